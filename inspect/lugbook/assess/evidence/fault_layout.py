"""How conductors are cut into sections at their devices, so that a short can lie before or behind each device."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from lugbook.model.network import Battery, Contact, Diode, Inline, Join, Network, Port, Source


@dataclass(frozen=True, slots=True)
class Section:
    """A piece of a conductor between its ends and devices: an element of the circuit, from node a to node b."""

    id: str
    conductor: str
    a: str
    b: str
    start: float
    end: float


@dataclass(frozen=True, slots=True)
class Layout:
    """How conductors are cut into sections at their devices; the same in every state and case.

    `sections` by conductor; `device_nodes` are the two nodes that each device stands between. `dead` are elements with
    the node from which they only lead to loads: no fault current ever comes to that node through them.
    """

    sections: Mapping[str, tuple[Section, ...]]
    device_nodes: Mapping[str, tuple[str, str]]
    dead: frozenset[tuple[str, str]]


def place(node: str) -> str:
    """A node in words: the nodes beside a device inside a conductor have no name of their own."""
    if node.endswith(">"):
        return f"just past '{node[:-1]}'"
    return f"just before '{node[:-1]}'" if node.endswith("<") else f"at '{node}'"


def layout(network: Network) -> Layout:
    """Cut the conductors at their devices. A device at the very end of a conductor sits on that end's node."""
    sections: dict[str, tuple[Section, ...]] = {}
    nodes: dict[str, tuple[str, str]] = {}
    for one in network.conductors:
        cut, here, at, whole = [], one.a, 0.0, one.length.high
        last = len(one.devices) - 1
        for n, placed in enumerate(one.devices):
            if placed.at > at:
                before = f"{placed.device.id}<"
                cut.append(Section(f"{one.id}|{n}", one.id, here, before, at, placed.at))
                here, at = before, placed.at
            after = one.b if n == last and placed.at >= whole else f"{placed.device.id}>"
            nodes[placed.device.id] = (here, after)
            here = after
        if here != one.b:
            cut.append(Section(f"{one.id}|{len(one.devices)}", one.id, here, one.b, at, whole))
        sections[one.id] = tuple(cut)
    for edge in network.of(Inline):
        assert isinstance(edge, Inline)
        nodes[edge.device.id] = (edge.a, edge.b)
    return Layout(sections, nodes, _dead(network, sections, nodes))


def _dead(
    network: Network, sections: Mapping[str, tuple[Section, ...]], nodes: Mapping[str, tuple[str, str]]
) -> frozenset[tuple[str, str]]:
    """Take off the tips that hold no source, one by one."""
    touching: dict[str, set[tuple[str, str, str]]] = {}
    ways = [(s.id, s.a, s.b) for one in sections.values() for s in one]
    ways += [(device, a, b) for device, (a, b) in nodes.items()]
    ways += [(edge.id, edge.a, edge.b) for edge in network.of(Join, Contact, Diode)]
    for way in ways:
        touching.setdefault(way[1], set()).add(way)
        touching.setdefault(way[2], set()).add(way)
    held = {node for edge in network.of(Battery, Source, Port) for node in (edge.a, edge.b)}
    tips = [node for node, here in touching.items() if len(here) == 1 and node not in held]
    found = set()
    while tips:
        node = tips.pop()
        if len(touching[node]) != 1:
            continue
        way = touching[node].pop()
        root = way[2] if way[1] == node else way[1]
        touching[root].discard(way)
        found.add((way[0], root))
        if len(touching[root]) == 1 and root not in held:
            tips.append(root)
    return frozenset(found)

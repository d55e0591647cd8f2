"""Which sources feed a short, with how much each, and by which conductors their current comes."""

from __future__ import annotations

from dataclasses import dataclass

from lugbook.assess.evidence.circuit import Layout
from lugbook.calc.nodal import Short
from lugbook.model.evidence import Amount, Sentence
from lugbook.model.network import (
    Battery,
    Conductor,
    Contact,
    Device,
    Diode,
    Inline,
    Join,
    Network,
    Port,
    Source,
)

# Shares below this part of the fault current are left out.
SMALL = 0.005
SOURCES = (Battery, Source, Port)


def feeders(network: Network) -> tuple[str, ...]:
    """Everything that can give current."""
    return tuple(name for name, edge in network.edges.items() if isinstance(edge, SOURCES))


def shares(names: tuple[str, ...], short: Short) -> tuple[tuple[str, float], ...]:
    """What each source gives while the short lasts [A], the largest first. Blocks in series carry the same each."""
    least = max(abs(short.amperes) * SMALL, 0.01)
    given = [(name, -short.currents[name]) for name in names if name in short.currents]
    return tuple(sorted((one for one in given if one[1] > least), key=lambda one: (-one[1], one[0])))


@dataclass(frozen=True, slots=True)
class Wire:
    """An element of the circuit that current may come through; `name` is the edge that it belongs to."""

    element: str
    name: str
    a: str
    b: str
    device: Device | None


class Wires:
    """What touches each node. Of a short somewhere else, what only leads to loads is left out: it carries nothing."""

    def __init__(self, network: Network, cut: Layout) -> None:
        self._feeding: dict[str, list[Wire]] = {}
        self._up: dict[str, tuple[str, Wire]] = {}
        self._chains: dict[str, dict[str, Wire]] = {}
        self._dead = cut.dead
        for edge in network.edges.values():
            if isinstance(edge, Conductor):
                for section in cut.sections[edge.id]:
                    self._add(Wire(section.id, edge.id, section.a, section.b, None))
                for placed in edge.devices:
                    nodes = cut.device_nodes[placed.device.id]
                    self._add(Wire(placed.device.id, edge.id, *nodes, placed.device))
            elif isinstance(edge, Inline):
                self._add(Wire(edge.device.id, edge.id, edge.a, edge.b, edge.device))
            elif isinstance(edge, Join | Contact | Diode | Battery):
                self._add(Wire(edge.id, edge.id, edge.a, edge.b, None))

    def _add(self, wire: Wire) -> None:
        for node, other in ((wire.a, wire.b), (wire.b, wire.a)):
            if (wire.element, node) in self._dead:
                self._up[other] = (node, wire)
            else:
                self._feeding.setdefault(node, []).append(wire)

    def at(self, node: str, end: str) -> tuple[Wire, ...]:
        """The wires at a node that can carry the current of a short at `end`."""
        if end not in self._chains:
            chain: dict[str, Wire] = {}
            here = end
            while here in self._up:
                here, wire = self._up[here]
                chain[here] = wire
            self._chains[end] = chain
        more = self._chains[end].get(node)
        return (*self._feeding.get(node, ()), *((more,) if more else ()))


def paths(network: Network, wires: Wires, names: tuple[str, ...], short: Short) -> dict[str, tuple[str, ...]]:
    """By source that feeds the short: the conductors and contacts that most of its current takes from its positive.

    What a source gives to something else meanwhile, such as another battery, is left out.
    """
    found = {}
    # Where the live pole is the negative one the current comes out of the short's other end.
    target = short.at if short.amperes >= 0 else short.to
    for source, _ in shares(names, short):
        here = network.edges[source].a
        way: list[str] = []
        seen = {here}
        while here != target:
            step = _onward(wires, short, here, seen, target)
            if step is None:
                break
            name, here = step
            seen.add(here)
            if name not in way:
                way.append(name)
        if here == target:
            found[source] = tuple(name for name in way if not isinstance(network.edges[name], Battery))
    return found


def _onward(wires: Wires, short: Short, node: str, seen: set[str], target: str) -> tuple[str, str] | None:
    """The wire that most of the current leaves a node through, and where it leads."""
    best, found = 0.01, None
    for wire in wires.at(node, target):
        onward = wire.b if wire.a == node else wire.a
        if wire.element in short.currents and onward not in seen:
            amperes = short.currents[wire.element] * (1 if wire.a == node else -1)
            if amperes > best:
                best, found = amperes, (wire.name, onward)
    return found


def told(source: str, amperes: float, way: tuple[str, ...]) -> Sentence:
    """A source's share in words."""
    amount = Amount(amperes, "A")
    if not way:
        return (f"'{source}' gives ", amount, ", straight at its posts.")
    names = ", ".join(f"'{name}'" for name in way)
    return (f"'{source}' gives ", amount, f", by way of {names}.")

"""The sources of power on the live pole, and what lies past a conductor."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from lugbook.assess.evidence.draws import ports
from lugbook.assess.evidence.poles import Poles
from lugbook.model.islands import Islands
from lugbook.model.network import Conductor, Contact, Diode, Inline, Join, Network, Port, Source

SourceOf = Literal["battery", "alternator", "charger", "other source"]
KINDS: dict[str, SourceOf] = {
    "alternator": "alternator",
    "generator": "alternator",
    "mains charger": "charger",
    "dc-dc": "charger",
    "pv-controller": "charger",
    "inverter-charger": "charger",
}


@dataclass(frozen=True, slots=True)
class Origin:
    """A source of power at the nodes of its live pole. `most` is what it gives if it limits itself.

    `limited` is None where that is not known; a battery is never limited. `element` is the battery bank, source or
    converter, `subject` the id that the file's entry has.
    """

    element: str
    kind: SourceOf
    nodes: tuple[str, ...]
    most: float | None
    limited: bool | None


def origins(network: Network, poles: Poles) -> tuple[Origin, ...]:
    """The sources of power on the live pole, batteries first; the blocks of a bank count together."""
    inside = Islands(network.nodes)
    for edge in network.of(Conductor, Join):
        if (isinstance(edge, Conductor) and edge.use == "link") or (
            isinstance(edge, Join) and edge.resistance.assumed == "link"
        ):
            inside.join(edge.a, edge.b)
    posts: dict[tuple[str, str], set[str]] = {}
    for battery in network.batteries:
        for node in (battery.a, battery.b):
            if node not in poles.back:
                posts.setdefault((battery.bank, inside.find(node)), set()).add(node)
    found = [
        Origin(bank, "battery", tuple(sorted(nodes)), None, False)
        for (bank, _), nodes in sorted(posts.items())
    ]
    for source in network.sources:
        nodes = _live(source, poles)
        if nodes:
            kind = KINDS.get(source.kind, "other source")
            found.append(Origin(source.id, kind, nodes, source.current, source.self_limited))
    for port in ports(network):
        converter = network.converters[port.owner]
        gives = port.direction in ("out", "both") if converter.kind != "inverter" else False
        fed_by_own_source = any(source.a == port.a for source in network.sources)
        if (gives and not fed_by_own_source) or (port.direction == "in" and converter.back_feed is True):
            nodes = _live(port, poles)
            if nodes:
                kind = KINDS.get(converter.kind, "other source")
                found.append(
                    Origin(converter.id, kind, nodes, port.current, None if port.current is None else True)
                )
    return tuple(found)


def _live(edge: Source | Port, poles: Poles) -> tuple[str, ...]:
    return tuple(node for node in (edge.a, edge.b) if node not in poles.back)[:1]


def beyond(
    network: Network, conductor: Conductor, node: str, without: frozenset[str] = frozenset()
) -> set[str]:
    """Nodes that lie past a conductor seen from its end `node`, with every switch closed and no edge of `without`."""
    start = network.other(conductor, node)
    seen, stack = {start}, [start]
    while stack:
        here = stack.pop()
        for edge in network.at(here):
            if edge.id == conductor.id or edge.id in without:
                continue
            if not isinstance(edge, Conductor | Join | Inline | Contact | Diode):
                continue
            if isinstance(edge, Diode) and edge.b == here:
                continue
            further = network.other(edge, here)
            if further not in seen:
                seen.add(further)
                stack.append(further)
    return seen


def banks_at(network: Network, nodes: set[str]) -> set[str]:
    """The banks with a post among these nodes."""
    return {battery.bank for battery in network.batteries if {battery.a, battery.b} & nodes}

"""The currents of a state: what loads draw and what sources give, through every conductor, device and contact.

Loads draw a constant current; batteries share by their resistance and that of the cables. Both parts are linear, so
they are kept apart and added. Whatever hangs as a branch is summed up from its tips; only rings, such as batteries or
conductors side by side, need equations.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from math import inf

from lugbook.assess.evidence.capacity import at_20
from lugbook.assess.evidence.draws import battery_resistance, ports
from lugbook.model.islands import Islands
from lugbook.model.network import (
    Battery,
    Conductor,
    Contact,
    Diode,
    Edge,
    Inline,
    Join,
    Network,
    Port,
    Source,
    State,
)

# Joins, devices and contacts [ohm]: far below any cable, so that they take no share of their own.
NOTHING = 1e-8
# What stands for a source that feeds a part without a battery [ohm].
STIFF = 1e-3

Draw = tuple[str, str, float]
"""From which node to which, through an element outside the conductors, and how much [A]."""


@dataclass(slots=True)
class Grid:
    """What conducts in a state: branches to be summed up, and the rings that are left.

    `side` names the part of each node without what only stands for a source, and `most` is what such a part without a
    battery is given [A]. The return may be common with a part that has a battery.
    """

    resistance: dict[str, float]
    ends: dict[str, tuple[str, str]]
    island: dict[str, str] = field(default_factory=dict)
    order: list[tuple[str, str, str]] = field(default_factory=list)
    core: dict[str, list[str]] = field(default_factory=dict)
    side: dict[str, str] = field(default_factory=dict)
    most: dict[str, float] = field(default_factory=dict)

    def flows(self, draws: Iterable[Draw]) -> dict[str, float]:
        """Current of each edge, from its end a to its end b; draws between separate parts are left out."""
        injected: dict[str, float] = {}
        for a, b, amperes in self.given(draws):
            injected[a] = injected.get(a, 0.0) - amperes
            injected[b] = injected.get(b, 0.0) + amperes
        found = {}
        for node, edge, parent in self.order:
            flow = injected.pop(node, 0.0)
            if flow:
                found[edge] = flow if self.ends[edge][0] == node else -flow
                injected[parent] = injected.get(parent, 0.0) + flow
        for name, nodes in self.core.items():
            left = {node: injected[node] for node in nodes if abs(injected.get(node, 0.0)) > 1e-12}
            if len(nodes) > 1 and left:
                found |= self._ring(name, nodes, left)
        return found

    def given(self, draws: Iterable[Draw]) -> list[Draw]:
        """The draws inside one part. Where no battery feeds, the sources give what they can and no more."""
        wanted: dict[str, list[Draw]] = {}
        for draw in draws:
            part = self.island.get(draw[0], "")
            if part and self.island.get(draw[1]) == part:
                wanted.setdefault(self.fed(draw[0], draw[1]), []).append(draw)
        found = []
        for part, here in wanted.items():
            asked = sum(amperes for _, _, amperes in here)
            share = min(1.0, self.most.get(part, asked) / asked) if asked > 0 else 1.0
            found += [(a, b, amperes * share) for a, b, amperes in here]
        return found

    def fed(self, a: str, b: str) -> str:
        """The part without a battery that one of two nodes lies in; empty where there is none."""
        return next((part for node in (a, b) if (part := self.side.get(node, "")) in self.most), "")

    def _ring(self, name: str, nodes: list[str], injected: Mapping[str, float]) -> dict[str, float]:
        """Node voltages of a ringed part, and from them its currents."""
        import numpy as np

        place = {node: n for n, node in enumerate(nodes)}
        matrix = np.zeros((len(nodes), len(nodes)))
        right = np.zeros(len(nodes))
        edges = [edge for edge, (a, b) in self.ends.items() if a in place and b in place and self.island[a] == name and edge not in self._branches]  # fmt: skip
        for edge in edges:
            a, b = (place[end] for end in self.ends[edge])
            conductance = 1 / self.resistance[edge]
            matrix[a, a] += conductance
            matrix[b, b] += conductance
            matrix[a, b] -= conductance
            matrix[b, a] -= conductance
        for node, amperes in injected.items():
            right[place[node]] = amperes
        volts = np.zeros(len(nodes))
        volts[1:] = np.linalg.solve(matrix[1:, 1:], right[1:])
        return {
            edge: float(volts[place[self.ends[edge][0]]] - volts[place[self.ends[edge][1]]])
            / self.resistance[edge]
            for edge in edges
        }

    @property
    def _branches(self) -> set[str]:
        return {edge for _, edge, _ in self.order}


def grid(network: Network, state: State, *, charging: bool, without: Collection[str] = ()) -> Grid:
    """What conducts in a state; with `charging`, sources push current through diodes and into batteries.

    `without` leaves out edges: batteries that take nothing, diodes that block.
    """
    edges = [
        edge for edge in network.edges.values() if edge.id not in without and _conducts(edge, network, state)
    ]
    diodes = [edge for edge in network.of(Diode) if edge.id not in state.removed and edge.id not in without]
    feeding = [edge for edge in network.sources if network.present(edge, state)]
    if charging:
        edges += diodes
    else:
        edges += _needed(network, edges, diodes)
    slack = _slack(network, edges, feeding, charging)
    made = Grid(
        {edge.id: _resistance(edge) for edge in (*edges, *slack)},
        {edge.id: (edge.a, edge.b) for edge in (*edges, *slack)},
    )
    _prune(made)
    islands = _islands(network, edges)
    powered = {islands.find(edge.a) for edge in edges if isinstance(edge, Battery)}
    made.side = {node: islands.find(node) for node in made.island}
    for edge in slack:
        if isinstance(edge, Source) or (isinstance(edge, Port) and not charging):
            side = next((made.side[n] for n in (edge.a, edge.b) if made.side[n] not in powered), "")
            if side:
                made.most[side] = made.most.get(side, 0.0) + (inf if edge.current is None else edge.current)
    return made


def _conducts(edge: Edge, network: Network, state: State) -> bool:
    return isinstance(edge, Conductor | Join | Inline | Contact | Battery) and network.present(edge, state)


def _resistance(edge: Edge) -> float:
    if isinstance(edge, Conductor):
        return at_20(edge).low
    if isinstance(edge, Battery):
        return battery_resistance(edge)
    if isinstance(edge, Source | Port):
        return STIFF
    return NOTHING


def _islands(network: Network, edges: Iterable[Edge]) -> Islands:
    islands = Islands(network.nodes)
    for edge in edges:
        islands.join(edge.a, edge.b)
    return islands


def _needed(network: Network, edges: list[Edge], diodes: list[Edge]) -> list[Edge]:
    """Diodes through which a part without a battery is fed from one that has one."""
    islands = _islands(network, edges)
    powered = {islands.find(edge.a) for edge in edges if isinstance(edge, Battery)}
    return [d for d in diodes if islands.find(d.a) in powered and islands.find(d.b) not in powered]


def _slack(network: Network, edges: list[Edge], feeding: list[Source], charging: bool) -> list[Edge]:
    """What holds the voltage where no battery does: sources and converters for loads, the controller of solar cells for them."""
    islands = _islands(network, edges)
    lone = [source for source in feeding if islands.find(source.a) != islands.find(source.b)]
    if not charging:
        return [*lone, *_outputs(network, islands, lone)]
    parts = {islands.find(node) for source in lone for node in (source.a, source.b)}
    return [
        port
        for port in ports(network)
        if network.converters[port.owner].kind == "pv-controller"
        and port.direction != "out"
        and {islands.find(port.a), islands.find(port.b)} <= parts
    ]


def _outputs(network: Network, islands: Islands, lone: list[Source]) -> list[Port]:
    """Outputs of converters into a part without a battery, where another side has a battery or a source."""
    every = ports(network)
    live = {islands.find(source.a) for source in lone}
    return [
        port
        for port in every
        if port.direction == "out"
        and islands.find(port.a) != islands.find(port.b)
        and islands.find(port.a) not in live
        and any(
            islands.find(other.a) == islands.find(other.b) or islands.find(other.a) in live
            for other in every
            if other.owner == port.owner and other.id != port.id
        )
    ]


def _prune(made: Grid) -> None:
    """Take off the tips one by one; what cannot be taken off is in a ring."""
    touching: dict[str, set[str]] = {}
    islands = Islands({node for ends in made.ends.values() for node in ends})
    for edge, (a, b) in made.ends.items():
        touching.setdefault(a, set()).add(edge)
        touching.setdefault(b, set()).add(edge)
        islands.join(a, b)
    made.island = {node: islands.find(node) for node in touching}
    tips = sorted(node for node, edges in touching.items() if len(edges) == 1)
    while tips:
        node = tips.pop()
        if len(touching[node]) != 1:
            continue
        edge = touching[node].pop()
        a, b = made.ends[edge]
        parent = b if a == node else a
        touching[parent].discard(edge)
        made.order.append((node, edge, parent))
        if len(touching[parent]) == 1:
            tips.append(parent)
    gone = {node for node, _, _ in made.order}
    for node in sorted(touching):
        if node not in gone:
            made.core.setdefault(made.island[node], []).append(node)

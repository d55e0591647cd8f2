"""Which nodes belong to the return pole, which are earthed, and what stands between two nodes by nominal voltage."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass

from lugbook.model.islands import Islands
from lugbook.model.network import Battery, Conductor, Contact, Diode, Edge, Inline, Join, Network, Port

# What conducts without taking up voltage.
PLAIN = (Conductor, Join, Inline)
# A nominal voltage this near to the system's is the system's (12.8 V blocks in a 12 V system).
NEAR = 0.1
# Nominal voltages of small craft [V], and how far above them a charging voltage may lie.
NOMINAL = (12.0, 24.0, 36.0, 48.0)
CHARGED = 1.25


@dataclass(frozen=True, slots=True)
class Poles:
    """`back`: nodes of the return pole. `earthed`: those of them that are joined to a body on purpose.

    `level` is the nominal voltage of each node that a battery or the output of a converter reaches, `group` tells which
    levels compare. `cells` is the highest voltage of solar cells at the nodes of their run, which stands across an open
    device there; `charged` the same of a solar controller's output.
    """

    back: frozenset[str]
    earthed: frozenset[str]
    level: dict[str, float]
    group: dict[str, str]
    cells: dict[str, float]
    charged: dict[str, float]

    def live(self, edge: Edge) -> bool:
        """Whether an edge belongs to a pole that needs devices."""
        return edge.a not in self.back or edge.b not in self.back

    def between(self, edge: Edge, system: float) -> float:
        """Nominal voltage across an edge; the system's where no battery tells."""
        if self.group.get(edge.a, "") != self.group.get(edge.b, "-"):
            return system
        volts = abs(self.level[edge.a] - self.level[edge.b])
        return system if abs(volts - system) <= NEAR * system or volts == 0 else volts


def poles(network: Network) -> Poles:
    """Find the poles with every switch closed that can be closed without a short."""
    islands = Islands(network.nodes)
    for edge in network.of(*PLAIN):
        islands.join(edge.a, edge.b)
    for contact in network.of(Contact):
        ends = {islands.find(contact.a), islands.find(contact.b)}
        if all({islands.find(b.a), islands.find(b.b)} != ends for b in network.batteries):
            islands.join(contact.a, contact.b)
    earthing = network.earthing
    earth = islands.find(network.earthed_at) if network.earthed_at else None
    tops = {islands.find(battery.a) for battery in network.batteries}
    bottoms = {islands.find(battery.b) for battery in network.batteries}
    others = [edge for edge in network.sources if islands.find(edge.a) != islands.find(edge.b)]
    tops |= {islands.find(edge.a) for edge in others}
    bottoms |= {islands.find(edge.b) for edge in others}
    returns = tops - bottoms if earthing == "positive-earthed" else bottoms - tops
    if earth is not None:
        returns |= {earth}
    grounds = (
        set() if earthing in ("insulated", "not known") else ({earth} if earth is not None else set(returns))
    )
    names = {node: islands.find(node) for node in network.nodes}
    level, group = _levels(network, islands)
    return Poles(
        back=frozenset(node for node, name in names.items() if name in returns),
        earthed=frozenset(node for node, name in names.items() if name in grounds),
        level={node: level[name] for node, name in names.items() if name in level},
        group={node: group[name] for node, name in names.items() if name in group},
        cells=_runs(network, [(one.a, one.volts.high) for one in network.sources if one.kind == "pv"]),
        charged=_runs(network, _controllers(network)),
    )


def _controllers(network: Network) -> list[tuple[str, float]]:
    """Outputs of the controllers of solar cells, each with its highest voltage."""
    return [
        (port.a, port.volts[1])
        for port in network.of(Port)
        if isinstance(port, Port)
        and port.direction == "out"
        and port.volts is not None
        and network.converters[port.owner].kind == "pv-controller"
    ]


def _runs(network: Network, starts: list[tuple[str, float]]) -> dict[str, float]:
    """The highest of these voltages at each node that is joined to their start, up to the posts of batteries."""
    posts = {node for battery in network.batteries for node in (battery.a, battery.b)}
    found: dict[str, float] = {}
    for start, volts in starts:
        seen, stack = {start}, [start]
        while stack:
            node = stack.pop()
            found[node] = max(found.get(node, 0.0), volts)
            for edge in network.at(node):
                further = network.other(edge, node)
                if isinstance(edge, (*PLAIN, Contact, Diode)) and further not in seen | posts:
                    seen.add(further)
                    stack.append(further)
    return found


def banks(network: Network, found: Poles) -> tuple[frozenset[str], ...]:
    """The batteries that charge as one: those that cables alone join, without a switch, relay or diode between them."""
    islands = Islands(network.nodes)
    for edge in network.of(*PLAIN, Battery):
        if edge.a not in found.back and edge.b not in found.back:
            islands.join(edge.a, edge.b)
    together: dict[str, set[str]] = {}
    for battery in network.batteries:
        live = battery.a if battery.a not in found.back else battery.b
        together.setdefault(islands.find(live), set()).add(battery.id)
    return tuple(frozenset(together[name]) for name in sorted(together))


def nominal(volts: tuple[float, float]) -> float:
    """The nominal voltage of an output with these limits: 12 V for 13.2 to 14.4 V; its lower limit where none is near."""
    low, high = volts
    return max((n for n in NOMINAL if n <= high and low <= n * CHARGED), default=low)


def _levels(network: Network, islands: Islands) -> tuple[dict[str, float], dict[str, str]]:
    """Levels from the batteries; where none stands, from the output of the converter that feeds the part."""
    links: dict[str, list[tuple[str, float]]] = {}
    for battery in network.batteries:
        a, b = islands.find(battery.a), islands.find(battery.b)
        links.setdefault(a, []).append((b, -battery.volts))
        links.setdefault(b, []).append((a, battery.volts))
    told = set(links)
    for port in network.of(Port):
        if isinstance(port, Port) and port.direction == "out" and port.volts is not None:
            a, b = islands.find(port.a), islands.find(port.b)
            if a not in told and a != b:
                told.add(a)
                links.setdefault(a, []).append((b, -nominal(port.volts)))
                links.setdefault(b, []).append((a, nominal(port.volts)))
    level: dict[str, float] = {}
    group: dict[str, str] = {}
    for start in sorted(links):
        if start in level:
            continue
        level[start], group[start] = 0.0, start
        queue = deque([start])
        while queue:
            node = queue.popleft()
            for further, volts in links[node]:
                if further not in level:
                    level[further], group[further] = level[node] + volts, start
                    queue.append(further)
    return level, group

"""Which sources feed a short, with how much each, and by which conductors their current comes."""

from __future__ import annotations

from lugbook.assess.evidence.circuit import Layout
from lugbook.calc.nodal import Short
from lugbook.model.evidence import Amount, Sentence
from lugbook.model.network import Battery, Conductor, Contact, Diode, Inline, Join, Network, Port, Source

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


def paths(network: Network, cut: Layout, names: tuple[str, ...], short: Short) -> dict[str, tuple[str, ...]]:
    """By source that feeds the short: the conductors and contacts that most of its current takes from its positive.

    What a source gives to something else meanwhile, such as another battery, is left out.
    """
    outgoing = flows(network, cut, short)
    found = {}
    for source, _ in shares(names, short):
        here, way, seen = network.edges[source].a, [], {network.edges[source].a}
        while here != short.at:
            onward = [step for step in outgoing.get(here, ()) if step[1] not in seen]
            if not onward:
                break
            name, here, _ = max(onward, key=lambda step: step[2])
            seen.add(here)
            if name not in way:
                way.append(name)
        if here == short.at:
            found[source] = tuple(name for name in way if not isinstance(network.edges[name], Battery))
    return found


def told(source: str, amperes: float, way: tuple[str, ...]) -> Sentence:
    """A source's share in words."""
    amount = Amount(amperes, "A")
    if not way:
        return (f"'{source}' gives ", amount, ", straight at its posts.")
    names = ", ".join(f"'{name}'" for name in way)
    return (f"'{source}' gives ", amount, f", by way of {names}.")


def flows(network: Network, cut: Layout, short: Short) -> dict[str, list[tuple[str, str, float]]]:
    """By node: along which element current leaves it, to which node, and how much [A]."""
    found: dict[str, list[tuple[str, str, float]]] = {}

    def add(name: str, element: str, a: str, b: str) -> None:
        if element not in short.currents:
            return
        amperes = short.currents[element]
        if amperes < 0:
            a, b, amperes = b, a, -amperes
        if amperes > 0.01:
            found.setdefault(a, []).append((name, b, amperes))

    for edge in network.edges.values():
        if isinstance(edge, Conductor):
            for section in cut.sections[edge.id]:
                add(edge.id, section.id, section.a, section.b)
            for placed in edge.devices:
                add(edge.id, placed.device.id, *cut.device_nodes[placed.device.id])
        elif isinstance(edge, Inline):
            add(edge.id, edge.device.id, edge.a, edge.b)
        elif isinstance(edge, Join | Contact | Diode | Battery):
            add(edge.id, edge.id, edge.a, edge.b)
    return found

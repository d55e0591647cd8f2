"""Which sources and converters a charging conductor belongs to."""

from __future__ import annotations

from dataclasses import dataclass

from lugbook.model.network import Conductor, Diode, Edge, Inline, Join, Network, Port, Source

ITEMS = {
    "alternator": "alternator-output-protection",
    "generator": "alternator-output-protection",
    "mains charger": "charger-dc-side",
    "dc-dc": "charger-dc-side",
    "inverter-charger": "charger-dc-side",
    "pv-controller": "solar-battery-fuse",
    "pv": "solar-array-cable",
    "wind": "wind-generator-control",
}


@dataclass(frozen=True, slots=True)
class Feeds:
    """The sources and ports at the ends of a run of charging conductors, and the checklist items that speak of them."""

    sources: tuple[Source, ...]
    ports: tuple[Port, ...]
    items: tuple[str, ...]


def feeds(network: Network, one: Conductor) -> Feeds:
    """Follow charging conductors, diodes, joins and devices from both ends; switches and relays end the run."""
    seen, stack = {one.a, one.b}, [one.a, one.b]
    sources: dict[str, Source] = {}
    ports: dict[str, Port] = {}
    while stack:
        node = stack.pop()
        for edge in network.at(node):
            if isinstance(edge, Source) and node in (edge.a, edge.b):
                sources[edge.id] = edge
            elif isinstance(edge, Port):
                ports[edge.id] = edge
            elif (isinstance(edge, Conductor) and edge.use == "charging") or isinstance(
                edge, Diode | Join | Inline
            ):
                further = network.other(edge, node)
                # Past a battery's post the run is another one.
                if further not in seen and not _post(network, node):
                    seen.add(further)
                    stack.append(further)
    kinds: list[str] = [source.kind for source in sources.values()]
    kinds += [network.converters[port.owner].kind for port in ports.values()]
    return Feeds(
        tuple(sources[key] for key in sorted(sources)),
        tuple(ports[key] for key in sorted(ports)),
        tuple(dict.fromkeys(ITEMS[kind] for kind in kinds if kind in ITEMS)),
    )


def outputs(network: Network, one: Conductor | Inline) -> tuple[Source, ...]:
    """The sources whose output a conductor or device carries.

    Those that it is the only way on from, whatever its use is entered as; else those of its run of charging conductors.
    """
    alone = tuple(source for source in network.sources if one.id in _alone(network, source))
    if alone:
        return alone
    return feeds(network, one).sources if isinstance(one, Conductor) and one.use == "charging" else ()


def _alone(network: Network, source: Source) -> frozenset[str]:
    """What carries a source's output alone: from its terminals on while there is one way, or diodes that part it."""
    found: set[str] = set()
    ways = [(source.id, node) for node in (source.a, source.b)]
    while ways:
        came, here = ways.pop()
        on = [edge for edge in network.at(here) if edge.id != came and not _signal(edge)]
        if len(on) != 1 and not all(isinstance(edge, Diode) for edge in on):
            continue
        for edge in on:
            if isinstance(edge, Conductor | Inline | Join | Diode) and edge.id not in found:
                found.add(edge.id)
                ways.append((edge.id, network.other(edge, here)))
    return frozenset(found)


def _signal(edge: Edge) -> bool:
    return isinstance(edge, Conductor) and edge.use in ("sense", "control")


def _post(network: Network, node: str) -> bool:
    return any(node in (battery.a, battery.b) for battery in network.batteries)

"""The part of an installation that a diagnosis has to do with: what carries nothing in the states read is left out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from types import MappingProxyType

from lugbook.model.findings import Reading
from lugbook.model.network import (
    Battery,
    Conductor,
    Contact,
    Converter,
    Diode,
    Edge,
    Inline,
    Join,
    Load,
    Network,
    Source,
    State,
)

ENDING = (Battery, Conductor, Contact, Diode, Inline, Join)


def narrowed(network: Network, readings: Sequence[Reading]) -> Network:
    """The states that were read and those of rest, without loads that are off in all of them and their dead ends.

    What ends nowhere carries no current, so that every prediction stays as it was. Terminals of readings are kept.
    """
    read = {one.state_id for one in readings}
    states = tuple(s for s in network.states if s.id in read or not (s.sources or s.loads))
    named = {network.aliases.get(name, name) for one in readings for name in one.at or ()}
    named |= {one.in_ for one in readings if one.in_} | {name.rpartition(".")[0] for name in named}
    edges = {
        name: edge for name, edge in network.edges.items() if _used(edge, network, states) or name in named
    }
    ends = dead_ends(edges, named)
    while ends:
        edges = {name: edge for name, edge in edges.items() if name not in ends}
        ends = dead_ends(edges, named)
    nodes = {node for edge in edges.values() for node in (edge.a, edge.b)} | named
    touching: dict[str, tuple[str, ...]] = {}
    for name, edge in edges.items():
        for node in dict.fromkeys((edge.a, edge.b)):
            touching[node] = (*touching.get(node, ()), name)
    return replace(
        network, states=states, edges=MappingProxyType(edges), touching=MappingProxyType(touching),
        nodes=MappingProxyType({name: node for name, node in network.nodes.items() if name in nodes}),
    )  # fmt: skip


def _used(edge: Edge, network: Network, states: Sequence[State]) -> bool:
    """Whether a load or source is on, a contact closed, in one of the states; everything else may carry current."""
    sources = {name for state in states for name in state.sources}
    if isinstance(edge, Contact):
        return any(edge.id in state.closed for state in states)
    if isinstance(edge, Diode) and isinstance(network.edges.get(edge.owner), Source):
        return edge.owner in sources  # the output of a charger that is off blocks
    if isinstance(edge, Load) and edge.kind != "coil":
        return any(edge.owner in state.loads for state in states)
    if isinstance(edge, Source):
        return edge.id in sources
    owner = network.converters.get(getattr(edge, "owner", ""))
    return not isinstance(owner, Converter) or any(feeds(network, owner, state) for state in states)


def feeds(network: Network, converter: Converter, state: State) -> bool:
    """Whether a converter can give in a state: a solar controller only where a solar panel is on."""
    solar = {source.id for source in network.sources if source.kind == "pv"}
    return converter.kind != "pv-controller" or bool(solar & state.sources)


def dead_ends(edges: dict[str, Edge], named: set[str]) -> set[str]:
    """What has an end that nothing else touches, and is neither named nor switched on."""
    count = Counter(node for edge in edges.values() for node in (edge.a, edge.b))
    return {
        name for name, edge in edges.items()
        if isinstance(edge, ENDING) and name not in named
        and any(count[node] == 1 and node not in named for node in (edge.a, edge.b))
    }  # fmt: skip

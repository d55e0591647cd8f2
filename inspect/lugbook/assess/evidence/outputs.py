"""Sources with several outputs: what each output gives, and how they share out the whole current.

Where the maker states what one output gives at most, its lead is judged by that. Which output gives how much is a matter
of the batteries' charge; so each comes first in turn and the others give what is left.
"""

from __future__ import annotations

from lugbook.assess.evidence.currents import Draw
from lugbook.model.defaults import Assumption
from lugbook.model.network import Conductor, Diode, Inline, Join, Network, Source, State


def inner(network: Network, source: Source) -> tuple[Diode, ...]:
    """The outputs of a source, each of which gives less than the whole current; empty where there are none such."""
    return tuple(
        edge
        for edge in _outputs(network, source)
        if edge.current is not None and edge.current < source.current
    )


def _outputs(network: Network, source: Source) -> tuple[Diode, ...]:
    return tuple(e for e in network.of(Diode) if isinstance(e, Diode) and e.owner == source.id)


def parted(network: Network) -> frozenset[str]:
    """The ids of all these outputs: current enters behind them, not through them."""
    return frozenset(edge.id for source in network.sources for edge in inner(network, source))


def pushes(network: Network, source: Source) -> tuple[tuple[Draw, ...], ...]:
    """The ways in which a source gives all it can, each as draws from the network."""
    every = inner(network, source)
    if not every:
        return (((source.a, source.b, -source.current),),)
    made = []
    for first in range(len(every)):
        left, draws = source.current, []
        for edge in (*every[first:], *every[:first]):
            amperes = min(edge.current or 0.0, left)
            left -= amperes
            draws.append((edge.b, source.b, -amperes))
        made.append(tuple(draws))
    return tuple(made)


def together(network: Network, state: State) -> tuple[tuple[Draw, ...], ...]:
    """What all sources give in a state, in each way of sharing it out."""
    each = [pushes(network, source) for source in network.sources if network.present(source, state)]
    turns = max((len(ways) for ways in each), default=1)
    return tuple(tuple(draw for ways in each for draw in ways[turn % len(ways)]) for turn in range(turns))


def given(network: Network, source: Source) -> dict[str, float]:
    """What hangs on one of several outputs alone, and the greatest current of that output [A]."""
    return {
        name: edge.current or source.current
        for edge in _outputs(network, source)
        for name in _behind(network, edge)
    }


def assumptions(network: Network) -> dict[str, tuple[Assumption, ...]]:
    """By conductor or device that hangs on one output alone: that it carries the whole current, where that was assumed."""
    return {
        name: assumed
        for source in network.sources
        if (assumed := tuple(one for one in network.assumed(source.id) if one.default.name == "whole-output"))
        for name in given(network, source)
    }


def _behind(network: Network, output: Diode) -> frozenset[str]:
    """What carries an output alone: from its terminal on while there is one way."""
    found: set[str] = set()
    came, here = output.id, output.b
    while True:
        on = [edge for edge in network.at(here) if edge.id != came]
        if len(on) != 1 or not isinstance(on[0], Conductor | Inline | Join) or on[0].id in found:
            return frozenset(found)
        came = on[0].id
        found.add(came)
        here = network.other(on[0], here)

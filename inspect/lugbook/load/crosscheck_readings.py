"""Where readings say that they were taken: the state, the terminals and the conductor have to be in the installation."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from lugbook.load.faults import nearest
from lugbook.load.tree import Document
from lugbook.model.findings import Findings, Reading
from lugbook.model.problem import Path

if TYPE_CHECKING:
    from lugbook.model.network import Conductor, Network

ENDS = ("from", "to")


def check_readings(findings: Findings, network: Network | None, document: Document) -> None:
    """Report every state, terminal and conductor of a reading that the installation does not have.

    Also a reading from a terminal to itself, which can show nothing.
    """
    if network is None and findings.installation is not None:
        return  # the faults of the installation itself are reported
    known = _known(network)
    for i, reading in enumerate(findings.readings):
        if reading.at is not None and reading.at[0] == reading.at[1]:
            message = f"the reading begins and ends at '{reading.at[0]}'"
            document.report(("readings", i, "at", 1), "P603", message, "name two different terminals")
        for path, what, name in _named(reading):
            if name not in known[what]:
                hint = nearest(name, known[what]) if network else "add 'installation'"
                document.report(
                    ("readings", i, *path), "P212", f"the installation has no {what} '{name}'", hint
                )


def _named(reading: Reading) -> Iterator[tuple[Path, str, str]]:
    """Key, kind and name of all that a reading points at."""
    if reading.state_id is not None:
        yield ("state_id",), "state", reading.state_id
    for n, name in enumerate(reading.at or ()):
        yield ("at", n), "terminal", name
    if reading.in_ is not None:
        yield ("in",), "conductor, battery or source", reading.in_


def _known(network: Network | None) -> dict[str, frozenset[str]]:
    """By kind, the names that readings can use."""
    if network is None:
        return dict.fromkeys(("state", "terminal", "conductor, battery or source"), frozenset())
    from lugbook.model.network import Battery, Conductor, Port, Source

    edges = [edge.id for edge in network.of(Conductor, Battery, Source, Port)]
    aliases = [name for name, to in network.aliases.items() if to in edges]
    return {
        "state": frozenset(state.id for state in network.states),
        "terminal": frozenset((*network.nodes, *network.aliases, *_lugs(network.conductors))),
        "conductor, battery or source": frozenset((*edges, *aliases)),
    }


def _lugs(conductors: Iterable[Conductor]) -> Iterator[str]:
    return (f"{one.id}.{end}" for one in conductors for end in ENDS)

"""The states of an installation: those named in the file, and those that its switches can reach."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

from lugbook.load.expand import Expansion
from lugbook.load.faults import nearest
from lugbook.model import network as net
from lugbook.model.installation import Interlock, State
from lugbook.model.problem import Path

# More combinations of positions than this are not all worked through.
MOST_STATES = 1024


def named_states(build: Expansion) -> tuple[net.State, ...]:
    """The states of the file; without any, the boat at rest and the boat charging."""
    plan = build.installation
    if not plan.states:
        return (
            _resolve(
                "charging", "everything as usual, all sources on", build, {}, _all_sources(build), named=True
            ),
            _resolve("rest", "everything as usual, no source on", build, {}, frozenset(), named=True),
        )
    made = [_named(state, build, (*build.where, "states", n)) for n, state in enumerate(plan.states)]
    return tuple(sorted(made, key=lambda state: state.id))


def reachable_states(build: Expansion) -> tuple[tuple[net.State, ...], bool]:
    """Every combination of positions that no interlock forbids, all sources on; and whether these are all."""
    names = sorted(build.switches)
    options = [tuple(build.switches[name].positions) or ("",) for name in names]
    count = 1
    for choice in options:
        count *= len(choice)
    complete = count <= MOST_STATES
    combinations = product(*options) if complete else _neighbours(names, build)
    if not complete:
        message = f"the switches have {count} combinations of positions; only single changes from usual and the named states are worked through"
        build.document.report(
            build.where, "P618", message, "name the ones that matter under 'states'", severity="warning"
        )
    found: dict[tuple[str, ...], net.State] = {}
    for combination in combinations:
        positions = dict(zip(names, combination, strict=True))
        if combination not in found and not any(
            _violates(lock, positions) for lock in build.installation.interlocks
        ):
            label = ", ".join(f"{name} {position}" for name, position in positions.items())
            state = _resolve(
                label or "as found", label or "as found", build, positions, _all_sources(build), named=False
            )
            found[combination] = state
    if not found and build.switches:
        where = (*build.where, "interlocks")
        build.document.report(
            where, "P614", "the interlocks leave no combination of positions", "correct them"
        )
    return tuple(found[key] for key in sorted(found)), complete


def _neighbours(names: list[str], build: Expansion) -> Iterator[tuple[str, ...]]:
    bases = [{name: build.switches[name].usual for name in names}]
    for state in build.installation.states:
        bases.append(bases[0] | {k: v for k, v in state.positions.items() if k in bases[0]})
    for base in bases:
        yield tuple(base.values())
        for name in names:
            for position in build.switches[name].positions:
                yield tuple((base | {name: position}).values())


def _violates(lock: Interlock, positions: dict[str, str]) -> bool:
    return bool(lock.never) and all(positions.get(name) == position for name, position in lock.never.items())


def _all_sources(build: Expansion) -> frozenset[str]:
    return frozenset(source.id for source in build.installation.sources)


def _usual(build: Expansion, sources: frozenset[str]) -> dict[str, str]:
    """Where everything stands that a state does not name. A combiner follows whether anything charges."""
    return {
        name: ("closed" if sources else "open") if switch.relay == "combiner" else switch.usual
        for name, switch in sorted(build.switches.items())
    }


def _resolve(
    name: str,
    title: str,
    build: Expansion,
    positions: dict[str, str],
    sources: frozenset[str],
    *,
    named: bool,
    loads: frozenset[str] | None = None,
    removed: frozenset[str] = frozenset(),
    path: Path | None = None,
) -> net.State:
    full = _usual(build, sources) | positions
    where = build.where if path is None else path
    if named and len(positions) < len(full):
        build.assume("usual-position", name, where)
    closed = [
        contact
        for key, position in full.items()
        for contact in build.switches[key].positions.get(position, ())
    ]
    every = frozenset(edge.id for edge in build.edges.values() if isinstance(edge, net.Load))
    return net.State(
        id=name,
        title=title,
        named=named,
        positions=full,
        closed=frozenset(closed),
        sources=sources,
        loads=every if loads is None else loads,
        removed=removed,
        path=where,
    )


def _named(state: State, build: Expansion, path: Path) -> net.State:
    positions = _positions(state.positions, build, (*path, "positions"))
    known_sources = _all_sources(build)
    plan = build.installation
    known_loads = {load.id for load in plan.loads} | {circuit.id for circuit in plan.circuits}
    banks: dict[str, set[str]] = {battery.id: set() for battery in build.installation.batteries}
    for edge in build.edges.values():
        if isinstance(edge, net.Battery):
            banks[edge.bank].add(edge.id)
    sources = _known(state.sources, known_sources, "source", build, (*path, "sources"))
    loads = None if state.loads is None else _known(state.loads, known_loads, "load", build, (*path, "loads"))
    tripped = _known(state.tripped, banks, "battery", build, (*path, "tripped"))
    removed = _removed(state, build, (*path, "open")) | {block for bank in tripped for block in banks[bank]}
    for n, lock in enumerate(build.installation.interlocks):
        if _violates(lock, _usual(build, sources) | positions):
            line = build.document.locate((*build.where, "interlocks", n)).line
            words = " and ".join(f"'{name}' at '{position}'" for name, position in lock.never.items())
            message = f"the state '{state.id}' has {words}, which the interlock in line {line} forbids"
            build.document.report(path, "P614", message, "correct the state or the interlock")
    title = state.title or state.id
    return _resolve(
        state.id,
        title,
        build,
        positions,
        sources,
        named=True,
        loads=loads,
        removed=frozenset(removed),
        path=path,
    )


def _known(names: tuple[str, ...], known: object, what: str, build: Expansion, path: Path) -> frozenset[str]:
    choices = set(known)  # type: ignore[call-overload]
    for n, name in enumerate(names):
        if name not in choices:
            hint = nearest(name, choices) or (f"there are: {', '.join(sorted(choices))}" if choices else "")
            build.document.report((*path, n), "P613", f"there is no {what} '{name}'", hint)
    return frozenset(name for name in names if name in choices)


def _positions(wanted: dict[str, str], build: Expansion, path: Path) -> dict[str, str]:
    good = {}
    for name, position in wanted.items():
        switch = build.switches.get(name)
        if switch is None:
            hint = nearest(name, build.switches) or f"there are: {', '.join(sorted(build.switches))}"
            build.document.report(
                (*path, name), "P613", f"there is no switch or relay '{name}'", hint, on_key=True
            )
        elif position not in switch.positions:
            hint = nearest(position, switch.positions) or f"it has: {', '.join(switch.positions)}"
            build.document.report((*path, name), "P613", f"'{name}' has no position '{position}'", hint)
        else:
            good[name] = position
    return good


def check_interlocks(build: Expansion) -> None:
    """Every interlock names switches and positions that exist."""
    for n, lock in enumerate(build.installation.interlocks):
        path = (*build.where, "interlocks", n, "never")
        _positions(lock.never, build, path)
        if not lock.never:
            build.document.report(
                path, "P613", "this interlock names nothing", "write for instance {main: both, link: on}"
            )


def _removed(state: State, build: Expansion, path: Path) -> set[str]:
    """The edges that are gone: named themselves, or because a device in them is open."""
    plan = build.installation
    lists = (plan.conductors, plan.bonds, plan.joins, plan.devices)
    holders = {entry.id: entry.id for entries in lists for entry in entries}
    holders |= {
        f"{circuit.id}.{part}": f"{circuit.id}.{part}"
        for circuit in plan.circuits
        for part in ("feed", "return")
    }
    for edge in build.edges.values():
        if isinstance(edge, net.Conductor):
            holders |= {placed.device.id: edge.id for placed in edge.devices}
        if isinstance(edge, net.Conductor | net.Join | net.Inline):
            holders[edge.id] = edge.id
    gone = _known(state.open, holders, "conductor, bond, join or device", build, path)
    return {holders[name] for name in gone}

"""Which readings of a job count, with their uncertainty; the others are named with the reason.

A voltage along one pole is a drop: without the current at the same moment it says nothing of the section. What a meter
may be off comes from the reading itself (`within`), else from a common meter's accuracy statement.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from lugbook.assess.diagnosis.bench import Bench
from lugbook.assess.evidence.poles import Poles, poles
from lugbook.calc.uncertainty import combine, instrument_limit, standard_uncertainty
from lugbook.model.diagnosis import Measured, Moment, Phase, Point
from lugbook.model.findings import Reading
from lugbook.model.network import Network, State

# A common meter on d.c. volts: per cent of the reading, digits. A d.c. clamp: the same, and its zero [A].
METER, CLAMP, CLAMP_ZERO = (0.5, 2.0), (2.0, 3.0), 0.5
# Readings by the clock count as simultaneous if they lie no further apart [min].
TOGETHER = 2
# A delay has elapsed for certain after so many times its length, and has not before so many.
EARLY, LATE = 0.8, 1.3


@dataclass(frozen=True, slots=True)
class Taken:
    """The readings that count; those without a simultaneous current; those that cannot be placed."""

    used: tuple[Measured, ...]
    undecided: tuple[str, ...]
    unplaced: tuple[str, ...]


def take(bench: Bench, readings: Sequence[Reading]) -> Taken:
    """Sort the readings of a job."""
    network, found = bench.network, poles(bench.network)
    states = {state.id: state for state in network.states}
    used, undecided, unplaced = list[Measured](), list[str](), list[str]()
    flows = [r for r in readings if r.in_ is not None and (r.quantity == "current" or r.current is not None)]
    for reading in readings:
        placed = reading.at is not None or reading.in_ is not None
        if reading.state_id is None and not placed:
            continue  # not meant for the charging path
        state = states.get(reading.state_id or "") if placed else None
        made = _measured(bench, reading, state) if state is not None and not reading.value.bound else []
        if not made or state is None:
            unplaced.append(reading.id)
            continue
        timed = any(_together(reading, other) for other in flows)
        if made[0].point.b and not timed and _drop(bench, found, made[0].point):
            undecided.append(reading.id)
            continue
        if not timed and state.sources:
            undecided.append(reading.id)  # it counts for the batteries and sources, and for no section
        used += [replace(one, timed=timed or not state.sources, place=reading.place) for one in made]
    return Taken(tuple(used), tuple(undecided), tuple(unplaced))


def _measured(bench: Bench, reading: Reading, state: State) -> list[Measured]:
    """The reading, and the current that was written with it."""
    moment = Moment(state.id, _phase(bench.network, reading, state))
    meter, made = reading.instrument or "", list[Measured]()
    if reading.quantity == "voltage" and reading.at is not None:
        a, b = (_node(bench, name) for name in reading.at)
        if a is None or b is None or a == b:
            return []
        u = _u(reading, METER)
        made.append(Measured(reading.id, moment, Point(a, b), reading.value.value, u, meter, timed=False))
        if reading.current is not None and reading.in_ is not None:
            value = reading.current.value
            exponent = int(reading.current.number.as_tuple().exponent)
            made += _current(bench, f"{reading.id}#", moment, reading.in_, value, _clamp(value, exponent), "")
    elif reading.quantity == "current" and reading.in_ is not None:
        u = _u(reading, CLAMP)
        made += _current(bench, reading.id, moment, reading.in_, reading.value.value, u, meter)
    return made


def _current(
    bench: Bench, name: str, moment: Moment, where: str, value: float, u: float, meter: str
) -> list[Measured]:
    edge = where if where in bench.network.edges else bench.network.aliases.get(where, "")
    known = edge in bench.network.edges
    return [Measured(name, moment, Point(edge), value, u, meter, timed=True)] if known else []


def _u(reading: Reading, meter: tuple[float, float]) -> float:
    value = reading.value
    if reading.within is not None:
        return standard_uncertainty(limit=reading.within.value)
    exponent = int(value.number.as_tuple().exponent)
    if value.kind == "current":
        return _clamp(
            value.value, exponent, scale=abs(value.value / float(value.number)) if value.number else 1
        )
    scale = abs(value.value / float(value.number)) if value.number else 1.0
    limit = instrument_limit(
        reading=value.value, percent=meter[0], digits=meter[1], resolution=scale * 10.0 ** min(exponent, 0)
    )
    return standard_uncertainty(limit=limit)


def _clamp(value: float, exponent: int, scale: float = 1.0) -> float:
    limit = instrument_limit(
        reading=value, percent=CLAMP[0], digits=CLAMP[1], resolution=scale * 10.0 ** min(exponent, -1)
    )
    zero = CLAMP_ZERO if abs(value) > 1 or scale == 1.0 else 0.0
    return combine(uncertainties=[standard_uncertainty(limit=limit), standard_uncertainty(limit=zero)])


def _phase(network: Network, reading: Reading, state: State) -> Phase:
    delays = [s.delay for s in network.switches.values() if s.delay]
    if not delays or reading.after is None or not state.sources:
        return ""
    if reading.after.value < EARLY * min(delays):
        return "early"
    return "late" if reading.after.value > LATE * max(delays) else ""


def _node(bench: Bench, name: str) -> str | None:
    """A node by its name or alias, or a lug: conductor.from, conductor.to."""
    if name in bench.network.nodes:
        return name
    if name in bench.network.aliases:
        return bench.network.aliases[name]
    owner, _, end = name.rpartition(".")
    return name if owner in bench.path and end in ("from", "to") else None


def _drop(bench: Bench, found: Poles, point: Point) -> bool:
    """Whether both ends lie on one pole."""

    def pole(name: str) -> bool:
        owner, _, end = name.rpartition(".")
        if owner in bench.path and end in ("from", "to"):
            edge = bench.network.edges[owner]
            name = edge.a if end == "from" else edge.b
        return name in found.back

    return pole(point.a) == pole(point.b)


def _together(one: Reading, other: Reading) -> bool:
    """Same state and moment: the same reading, equal times since the state began, or nearly equal clock times."""
    if one is other:
        return True
    if one.state_id != other.state_id:
        return False
    if one.after is not None and other.after is not None:
        return bool(abs(one.after.value - other.after.value) <= TOGETHER * 60)
    if one.time is None or other.time is None:
        return False
    return abs(_minutes(one.time) - _minutes(other.time)) <= TOGETHER


def _minutes(clock: str) -> int:
    hours, minutes = clock.split(":")[:2]
    return int(hours) * 60 + int(minutes)

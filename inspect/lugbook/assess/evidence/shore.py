"""Readings of the mains side, mode by mode, against the limits of the standards for them.

Nobody is told here how to measure: the readings come from people who are entitled to take them, and every piece of
evidence repeats what entitled them. The figures of the standards are recalled and say so.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import inf

from lugbook.assess.evidence.base import entered
from lugbook.assess.evidence.limits import judge, margin, practice
from lugbook.assess.evidence.shore_limits import (
    ADDITIONAL,
    CONTINUITY,
    DELAYED,
    INSULATION,
    PROMPT,
    RCD,
    Insulation,
)
from lugbook.model.evidence import Amount, Bound, Evidence, Input, Sentence, Verdict
from lugbook.model.problem import Path
from lugbook.model.quantity import Quantity
from lugbook.model.shore import ShoreReading, ShoreVisit

# A reading given as '> 300 ms' lies above 300 ms, by however little.
ABOVE = 1 + 1e-6


def shore_power(visits: Sequence[ShoreVisit]) -> tuple[Evidence, ...]:
    """Evidence for every reading of the mains side. A visit without 'qualified' does not get this far."""
    found: list[Evidence] = []
    for i, visit in enumerate(visits):
        told: set[tuple[str, float]] = set()
        for j, reading in enumerate(visit.readings):
            path = ("shore", i, "readings", j)
            found += RULES[reading.test](visit, reading, path)
            if reading.rated is not None and (reading.place, reading.rated.value) not in told:
                told.add((reading.place, reading.rated.value))
                found.append(_rated(visit, reading, reading.rated.value, path))
    return tuple(found)


def span(value: Quantity) -> tuple[float, float]:
    """What a reading leaves open: an instrument's '>' and '<' bound it on one side only."""
    if value.bound == ">":
        return value.value * ABOVE, inf
    if value.bound == "<":
        return 0.0, value.value
    return value.value, value.value


def _made(
    visit: ShoreVisit, reading: ShoreReading, path: Path, *, rule: str, item: str, low: float, high: float, unit: str,
    limit: Bound | None, says: Sentence, inputs: tuple[Input, ...], formula: str, numbers: Sentence = (),
    verdict: Verdict | None = None, wants: tuple[str, ...] = (), notes: tuple[Sentence, ...] = (),
) -> Evidence:  # fmt: skip
    judged = verdict or (judge(low, high, limit) if limit is not None else "cannot be decided")
    left = margin(low, high, limit) if limit is not None and high != inf else None
    by = f"Taken on {visit.mode} supply by: {visit.qualified}."
    return Evidence(
        "shore power", rule, reading.id, path, reading.id, item, "", low, high, unit, inputs, formula,
        numbers or (Amount(low, unit),), limit, (), judged, wants, left, (), f"{visit.mode} supply", True, says,
        notes=((by,), *notes),
    )  # fmt: skip


def _rated(visit: ShoreVisit, reading: ShoreReading, rated: float, path: Path) -> Evidence:
    limit = practice(ADDITIONAL.value, "A", ADDITIONAL.clause, known=ADDITIONAL.known)
    return _made(
        visit, reading, path, rule="rated residual current", item="shore-rcd-present", low=rated, high=rated, unit="A",
        limit=limit, inputs=(entered("In", "rated residual current", rated, "A"),), formula="In <= 30 mA",
        says=("The RCD is rated ", Amount(rated, "A"), "."),
    )  # fmt: skip


def _type_notes(reading: ShoreReading) -> tuple[Sentence, ...]:
    if reading.type == "AC":
        return (
            ("Type AC may not see a residual current with a d.c. part, such as electronic chargers make.",),
        )
    if reading.type == "not known":
        return (("The type of the RCD was not recorded.",),)
    return ()


def _time(visit: ShoreVisit, reading: ShoreReading, path: Path) -> Iterator[Evidence]:
    assert reading.times is not None
    assert reading.rated is not None
    rated, times = reading.rated.value, float(reading.times)
    opened = reading.value is not None or reading.tripped is True
    inputs = (
        entered("In", f"rated residual current, type {reading.type}", rated, "A"),
        entered("x", "test current as a multiple of it", times, "ratio"),
    )
    at: Sentence = (f"at {reading.times} times ", Amount(rated, "A"))
    rule = f"RCD at {reading.times} times"
    if times < 1 or reading.value is None:
        wanted = times >= 1
        limit = practice(float(wanted), "count", RCD.clause, "at least" if wanted else "at most", RCD.known)
        yield _made(
            visit, reading, path, rule=rule, item="shore-rcd-test", low=float(opened), high=float(opened), unit="count",
            limit=limit, inputs=inputs, formula="opens" if wanted else "stays closed",
            numbers=("opened" if opened else "stayed closed",), notes=_type_notes(reading),
            verdict="cannot be decided" if wanted and opened else None, wants=("the trip time",) if wanted and opened else (),
            says=("The RCD opened " if opened else "The RCD stayed closed ", *at, "."),
        )  # fmt: skip
        return
    least, most = (DELAYED if reading.delayed else PROMPT)[times]
    low, high = span(reading.value)
    early = high < least
    limit = practice(least if early else most, "s", RCD.clause, "at least" if early else "at most", RCD.known)
    verdict: Verdict | None = "cannot be decided" if not early and low < least else None
    yield _made(
        visit, reading, path, rule=rule, item="shore-rcd-test", low=low, high=high, unit="s", limit=limit, inputs=inputs,
        formula="t <= t0", numbers=(*_shown(reading.value, "s"), " against ", Amount(limit.value, "s")), verdict=verdict,
        says=("The RCD opened after ", *_shown(reading.value, "s"), " ", *at, "."), notes=_type_notes(reading),
    )  # fmt: skip


def _shown(value: Quantity, unit: str) -> Sentence:
    """A reading in its unit, with the bound that its instrument gave."""
    return {">": "more than ", "<": "less than "}.get(value.bound, ""), Amount(value.value, unit)


def _current(visit: ShoreVisit, reading: ShoreReading, path: Path) -> Iterator[Evidence]:
    assert reading.rated is not None
    assert reading.value is not None
    rated = reading.rated.value
    low, high = span(reading.value)
    early = high <= rated / 2
    limit = practice(
        rated / 2 * ABOVE if early else rated, "A", RCD.clause, "at least" if early else "at most", RCD.known
    )
    verdict: Verdict | None = "cannot be decided" if not early and low <= rated / 2 else None
    yield _made(
        visit, reading, path, rule="RCD current", item="shore-rcd-test", low=low, high=high, unit="A", limit=limit,
        inputs=(entered("In", f"rated residual current, type {reading.type}", rated, "A"),),
        formula="0.5 In < I <= In", numbers=(*_shown(reading.value, "A"), " against ", Amount(rated, "A")),
        verdict=verdict, notes=_type_notes(reading),
        says=("The RCD opened at ", *_shown(reading.value, "A"), " of its ", Amount(rated, "A"), "."),
    )  # fmt: skip


def _continuity(visit: ShoreVisit, reading: ShoreReading, path: Path) -> Iterator[Evidence]:
    assert reading.value is not None
    low, high = span(reading.value)
    limit = practice(CONTINUITY.value, "ohm", CONTINUITY.clause, known=CONTINUITY.known)
    yield _made(
        visit, reading, path, rule="earth continuity", item="mains-protective-earth", low=low, high=high, unit="ohm",
        limit=limit, inputs=(), formula="R <= R0", numbers=(*_shown(reading.value, "ohm"), " against ", Amount(limit.value, "ohm")),
        says=("The protective earth reads ", *_shown(reading.value, "ohm"), "."),
    )  # fmt: skip


def _polarity(visit: ShoreVisit, reading: ShoreReading, path: Path) -> Iterator[Evidence]:
    wrong = float(not reading.correct)
    limit = practice(0, "count", "IEC 60364-6, 6.4.3 (polarity)")
    yield _made(
        visit, reading, path, rule="polarity", item="shore-polarity", low=wrong, high=wrong, unit="count", limit=limit,
        inputs=(), formula="each pole where it belongs", numbers=("in order" if reading.correct else "swapped",),
        says=("Live, neutral and earth stand where they belong." if reading.correct else "The poles do not stand where they belong.",),
    )  # fmt: skip


def _insulation(visit: ShoreVisit, reading: ShoreReading, path: Path) -> Iterator[Evidence]:
    assert reading.value is not None
    assert reading.test_voltage is not None
    rule: Insulation = INSULATION["extra-low" if reading.extra_low else "mains"]
    low, high = span(reading.value)
    limit = practice(rule.least, "ohm", rule.clause, "at least", rule.known)
    verdict = judge(low, high, limit)
    short = reading.test_voltage.value < rule.volts and verdict != "departure"
    yield _made(
        visit, reading, path, rule="insulation resistance", item="mains-cable", low=low, high=high, unit="ohm", limit=limit,
        inputs=(entered("U", "test voltage", reading.test_voltage.value, "V"),), formula="R >= R0",
        numbers=(*_shown(reading.value, "ohm"), " against ", Amount(rule.least, "ohm")),
        verdict="cannot be decided" if short else verdict,
        wants=(f"a test at {rule.volts:g} V d.c., with everything disconnected that it could destroy",) if short else (),
        says=("The insulation reads ", *_shown(reading.value, "ohm"), " at ", Amount(reading.test_voltage.value, "V"), "."),
    )  # fmt: skip


def _bonds(visit: ShoreVisit, reading: ShoreReading, path: Path) -> Iterator[Evidence]:
    assert reading.bonds is not None
    count = float(reading.bonds)
    wanted = 0.0 if visit.mode == "shore" and not reading.transformer else 1.0
    clause = "one join of neutral and earth for each source: ashore on shore supply, aboard otherwise; common practice, no source"
    limit = practice(wanted, "count", clause, "at least" if count < wanted else "at most")
    yield _made(
        visit, reading, path, rule="neutral-earth bond", item="neutral-earth-bond", low=count, high=count, unit="count",
        limit=limit, inputs=(entered("n", "joins of neutral and earth aboard", count, "count"),), formula="n = n0",
        numbers=(Amount(count, "count"), " against ", Amount(wanted, "count")),
        says=(f"Joins of neutral and earth aboard on {visit.mode} supply: ", Amount(count, "count"), "; there should be ", Amount(wanted, "count"), "."),
        notes=(("Whether the supply ashore joins them was not looked at here.",),) if wanted == 0 else (),
    )  # fmt: skip


RULES = {
    "rcd time": _time,
    "rcd current": _current,
    "earth continuity": _continuity,
    "polarity": _polarity,
    "insulation": _insulation,
    "neutral-earth bond": _bonds,
}

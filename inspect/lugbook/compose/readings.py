"""The test record: each reading with the one before it, its limit and the verdict."""

from __future__ import annotations

from lugbook.compose.common import Phrases
from lugbook.compose.evidence import limit
from lugbook.model.assessed import Assessed
from lugbook.model.evidence import Evidence
from lugbook.model.findings import PastReading, Reading
from lugbook.model.shore import ShoreReading, ShoreVisit
from lugbook.model.view import ReadingView

DASH = "–"
# The gravest verdict of several about one reading is the one that is printed.
GRAVEST = ("departure", "cannot be decided", "within")
# Items whose limit is of a figure that is worked out from the reading.
WORKED_OUT = ("battery-rest-voltage", "battery-load-test", "battery-specific-gravity")


def compose_readings(assessed: Assessed, phrases: Phrases) -> tuple[ReadingView, ...]:
    """The test record, in the order of the file. A reading before work stands beside the one after it."""
    findings = assessed.job.findings
    day = findings.report.visit.date
    names = {one.id: phrases.instrument(one, day) for one in findings.report.instruments}
    readings = {reading.id: reading for reading in findings.readings}
    repeated = {reading.before for reading in findings.readings}
    past = {(one.place, one.quantity): one for one in _carried(assessed)}
    judged: dict[tuple[str | int, ...], list[Evidence]] = {}
    for one in assessed.evidence:
        if one.limit is None:
            continue
        if one.analysis == "shore power":
            judged.setdefault(one.path, []).append(one)
        elif one.reading:
            judged.setdefault((one.reading,), []).append(one)
    return (
        *(
            _reading(
                reading, readings.get(reading.before or ""), past.get((reading.place, reading.quantity)),
                judged.get((reading.id,), []), names, phrases,
            )
            for reading in findings.readings
            if reading.id not in repeated
        ),
        *(
            _mains(visit, reading, judged.get(("shore", i, "readings", j), []), names, phrases)
            for i, visit in enumerate(findings.shore)
            for j, reading in enumerate(visit.readings)
        ),
    )  # fmt: skip


def compose_qualified(assessed: Assessed, phrases: Phrases) -> tuple[str, ...]:
    """What entitled whoever took the readings of the mains side, a line for each."""
    words = phrases.words
    return tuple(
        dict.fromkeys(
            words("shore.by", mode=words(f"shore.mode.{visit.mode}"), qualified=visit.qualified or words("not_recorded"))
            for visit in assessed.job.findings.shore
        )
    )  # fmt: skip


def _carried(assessed: Assessed) -> list[PastReading]:
    """What was measured at the earlier visit."""
    every = (*assessed.defects, *assessed.closed)
    return [reading for defect in every if defect.carried for reading in defect.carried.readings]


def _reading(
    reading: Reading,
    before: Reading | None,
    past: PastReading | None,
    judged: list[Evidence],
    names: dict[str, str],
    phrases: Phrases,
) -> ReadingView:
    words, value = phrases.words, phrases.format.quantity
    then, state_then = DASH, DASH
    if before is not None:
        when = before.time or words("not_recorded")
        by = names.get(before.instrument or "", words("not_recorded"))
        then = words("readings.before_line", value=value(before.value), time=when, instrument=by)
        state_then = "; ".join(part for part in (before.state, before.note) if part) or DASH
    elif past is not None:
        then = words("readings.earlier_line", value=value(past.value))
        state_then = past.state or DASH
    held, verdict = _held(judged, phrases)
    if reading.limit is not None and not judged:
        key = "at_least" if reading.limit.at_least is not None else "at_most"
        held = words(f"readings.{key}", value=value(reading.limit.value), source=reading.limit.source)
        verdict = words(f"evidence.verdict.{reading.limit.verdict(reading.value)}")
    return ReadingView(
        id=reading.id,
        quantity=words(f"quantity.{reading.quantity}"),
        place=reading.place,
        value=value(reading.value),
        before=then,
        before_state=state_then,
        limit=held,
        verdict=verdict,
        state=reading.state or DASH,
        instrument=names.get(reading.instrument or "", DASH),
        time=reading.time or DASH,
        note=reading.note or DASH,
    )


def _held(judged: list[Evidence], phrases: Phrases) -> tuple[str, str]:
    """What the calculations hold a reading against, and the gravest of their verdicts.

    A limit may be of what is worked out from the reading: the charge, the resistance. Then it says of what.
    """
    if not judged:
        return phrases.words("readings.no_limit"), DASH
    held = []
    for one in judged:
        text = limit(one.limit, phrases) or ""
        held.append(phrases.words(f"readings.of.{one.item}", limit=text) if one.item in WORKED_OUT else text)
    verdict = min((one.verdict for one in judged), key=GRAVEST.index)
    return "; ".join(dict.fromkeys(held)), phrases.words(f"evidence.verdict.{verdict}")


def _mains(
    visit: ShoreVisit, reading: ShoreReading, judged: list[Evidence], names: dict[str, str], phrases: Phrases
) -> ReadingView:
    """A reading of the mains side. It may be taken dead: the state is the supply that it is judged for."""
    words = phrases.words
    if reading.value is not None:
        value = phrases.format.quantity(reading.value)
    elif reading.bonds is not None:
        value = str(reading.bonds)
    elif reading.correct is not None:
        value = words("shore.correct" if reading.correct else "shore.swapped")
    else:
        value = words("shore.opened" if reading.tripped else "shore.closed")
    test = words(f"shore.test.{reading.test}")
    times = words("shore.times", test=test, times=reading.times) if reading.times else test
    held, verdict = _held(judged, phrases)
    return ReadingView(
        id=reading.id,
        quantity=times,
        place=reading.place,
        value=value,
        before=DASH,
        before_state=DASH,
        limit=held,
        verdict=verdict,
        state=words("shore.judged_for", mode=words(f"shore.mode.{visit.mode}")),
        instrument=names.get(reading.instrument or "", DASH),
        time=reading.time or DASH,
        note=reading.note or DASH,
    )

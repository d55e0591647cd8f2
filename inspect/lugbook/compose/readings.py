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
        if one.analysis == "shore power" and one.limit is not None:
            judged.setdefault(one.path, []).append(one)
    return (
        *(
            _reading(
                reading, readings.get(reading.before or ""), past.get((reading.place, reading.quantity)), names, phrases
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


def _carried(assessed: Assessed) -> list[PastReading]:
    """What was measured at the earlier visit."""
    every = (*assessed.defects, *assessed.closed)
    return [reading for defect in every if defect.carried for reading in defect.carried.readings]


def _reading(
    reading: Reading,
    before: Reading | None,
    past: PastReading | None,
    names: dict[str, str],
    phrases: Phrases,
) -> ReadingView:
    words, value = phrases.words, phrases.format.quantity
    then = DASH
    if before is not None:
        when = before.time or words("not_recorded")
        by = names.get(before.instrument or "", words("not_recorded"))
        then = words("readings.before_line", value=value(before.value), time=when, instrument=by)
    elif past is not None:
        then = words("readings.earlier_line", value=value(past.value))
    held, verdict = words("readings.no_limit"), DASH
    if reading.limit is not None:
        key = "at_least" if reading.limit.at_least is not None else "at_most"
        held = words(f"readings.{key}", value=value(reading.limit.value), source=reading.limit.source)
        verdict = words(f"evidence.verdict.{reading.limit.verdict(reading.value)}")
    return ReadingView(
        id=reading.id,
        quantity=words(f"quantity.{reading.quantity}"),
        place=reading.place,
        value=value(reading.value),
        before=then,
        limit=held,
        verdict=verdict,
        state=reading.state or DASH,
        instrument=names.get(reading.instrument or "", DASH),
        time=reading.time or DASH,
        note=reading.note or DASH,
    )


def _mains(
    visit: ShoreVisit, reading: ShoreReading, judged: list[Evidence], names: dict[str, str], phrases: Phrases
) -> ReadingView:
    """A reading of the mains side; its note says what entitled whoever took it."""
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
    note = words("shore.by", qualified=visit.qualified or "")
    found = sorted({one.verdict for one in judged}, key=GRAVEST.index)
    held = "; ".join(dict.fromkeys(limit(one.limit, phrases) or "" for one in judged))
    return ReadingView(
        id=reading.id,
        quantity=times,
        place=reading.place,
        value=value,
        before=DASH,
        limit=held or words("readings.no_limit"),
        verdict=words(f"evidence.verdict.{found[0]}") if found else DASH,
        state=words(f"shore.mode.{visit.mode}"),
        instrument=names.get(reading.instrument or "", DASH),
        time=reading.time or DASH,
        note=f"{reading.note}; {note}" if reading.note else note,
    )

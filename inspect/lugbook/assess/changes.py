"""What has changed since an earlier visit: by what the findings carry, or between two judged jobs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import get_args

from lugbook.assess.risk import LEVELS
from lugbook.model.assessed import Assessed, JudgedDefect
from lugbook.model.changes import Change, Changes, ChangeWord, Pair, Remark, Side
from lugbook.model.decided import Decided
from lugbook.model.findings import Carried, Findings, PastReading, Reading

ORDER: tuple[ChangeWord, ...] = get_args(ChangeWord)
Measured = Reading | PastReading


def changes_of(assessed: Assessed) -> Changes | None:
    """What changed since the visit that the findings carry over; None if they carry none."""
    everything = (*assessed.defects, *assessed.closed)
    carried = [defect.carried for defect in everything if defect.carried is not None]
    if not carried:
        return None
    readings = assessed.job.findings.readings
    rows = [_since(defect, readings) for defect in everything]
    last = max(carried, key=lambda one: (str(one.visited or ""), one.revision or 0))
    return Changes(last.report, last.revision, last.visited, _sorted(rows))


def decided_before(findings: Findings) -> dict[str, Decided]:
    """Defect id -> the last decision that an earlier visit left about it."""
    defects = [defect for result in findings.results for defect in result.defects]
    found: dict[str, Decided] = {}
    for defect in (*defects, *findings.extra):
        past = defect.carried.decided if defect.carried else None
        if defect.id and defect.carried and past:
            found[defect.id] = Decided(
                defect=defect.id, title=defect.title, decision=past.decision, role=past.by, day=past.date,
                authority=past.authority, channel=past.channel, revision=past.revision, evidence=past.evidence,
                note=past.note, report=defect.carried.report,
            )  # fmt: skip
    return found


def compare(old: Assessed, new: Assessed) -> Changes:
    """What changed from one judged job to another.

    Defects belong together if the newer one was carried over from the older report; if both are of one report and
    have the same id; or else, if neither holds, if they stand at the same place and answer the same item.
    """
    rest = list(new.defects)
    closed = list(new.closed)
    readings = new.job.findings.readings
    rows: list[Change] = []
    used: set[tuple[str, str]] = set()
    for defect in old.defects:
        if defect.seen is None and new.job.network is None:
            continue  # computed then, and nothing to compute it from now: nobody can say what became of it
        after = _partner(defect, old, new, rest) or _partner(defect, old, new, closed)
        if after is not None:
            (rest if after in rest else closed).remove(after)
        change = _between(defect, after, new)
        pairs = _pairs(defect.readings, readings)
        used |= {_spot(pair.quantity, pair.place) for pair in pairs}
        rows.append(replace(change, pairs=pairs))
    rows += [_new(defect) for defect in rest]
    report = old.job.findings.report
    others = tuple(
        pair
        for pair in _pairs(old.job.findings.readings, readings)
        if pair.after is not None and _spot(pair.quantity, pair.place) not in used
    )
    return Changes(report.number, None, report.visit.date or report.date, _sorted(rows), others)


def _partner(
    defect: JudgedDefect, old: Assessed, new: Assessed, candidates: Sequence[JudgedDefect]
) -> JudgedDefect | None:
    numbers = old.job.findings.report.number, new.job.findings.report.number
    for other in candidates:
        carried = other.carried
        if carried is not None and carried.id == defect.id and _same_line(carried, numbers[0]):
            return other
    if numbers[0] == numbers[1]:
        return next((other for other in candidates if other.id == defect.id), None)
    spot = _place(defect)
    return next((other for other in candidates if other.carried is None and _place(other) == spot), None)


def _same_line(carried: Carried, number: str) -> bool:
    """Whether the earlier report, or one that it went on from, is the one compared with."""
    return carried.report == number or any(number in line for line in carried.history)


def _place(defect: JudgedDefect) -> tuple[str, str]:
    return defect.item or defect.title.casefold(), " ".join(defect.place.casefold().split())


def _since(defect: JudgedDefect, readings: Sequence[Reading]) -> Change:
    carried = defect.carried
    if carried is None:
        return _new(defect)
    remark: Remark | None = "not answered" if defect.now is None else None
    return Change(
        id=defect.id,
        title=defect.title,
        place=defect.place,
        item=defect.item,
        state=_state(defect, carried),
        number=None if defect.closed else defect.number,
        before=Side(carried.seen, carried.level, carried.act_by, carried.photos),
        after=_side(defect),
        pairs=_pairs(carried.readings, readings),
        history=carried.history,
        first_seen=carried.first_seen,
        remark=remark,
    )


def _state(defect: JudgedDefect, carried: Carried) -> ChangeWord:
    if defect.now is not None and defect.now != "open":
        return defect.now
    return "worse" if LEVELS.index(defect.risk.level) < LEVELS.index(carried.level) else "open"


def _new(defect: JudgedDefect) -> Change:
    return Change(
        id=defect.id,
        title=defect.title,
        place=defect.place,
        item=defect.item,
        state="new",
        number=defect.number,
        before=None,
        after=_side(defect),
    )


def _between(defect: JudgedDefect, after: JudgedDefect | None, new: Assessed) -> Change:
    state, remark = _fate(defect, new) if after is None else _judged(defect, after)
    return Change(
        id=after.id if after else defect.id,
        title=defect.title,
        place=defect.place,
        item=defect.item,
        state=state,
        number=after.number if after and not after.closed else None,
        before=_side(defect),
        after=_side(after) if after else None,
        first_seen=defect.carried.first_seen if defect.carried else None,
        remark=remark,
    )


def _judged(before: JudgedDefect, after: JudgedDefect) -> tuple[ChangeWord, Remark | None]:
    if after.now is not None and after.now != "open":
        return after.now, None
    worse = LEVELS.index(after.risk.level) < LEVELS.index(before.risk.level)
    return "worse" if worse else "open", "not answered" if after.carried and after.now is None else None


def _fate(defect: JudgedDefect, new: Assessed) -> tuple[ChangeWord, Remark]:
    """What became of a defect that the newer report does not name, by the answer to its item."""
    if defect.item in {item.id for item in new.not_asked}:
        return "gone", "does not apply now"
    answer = next((answer for answer in new.answers if answer.item.id == defect.item), None)
    if answer is not None and answer.result == "no departure seen":
        return "fixed", "no departure seen now"
    if answer is not None and answer.result == "not applicable":
        return "gone", "does not apply now"
    return "open", "not looked at again"


def _side(defect: JudgedDefect) -> Side:
    if defect.closed:
        return Side(defect.seen or "", None, None, defect.photos)
    return Side(defect.seen or "", defect.risk.level, defect.act_by, defect.photos)


def _spot(quantity: str, place: str) -> tuple[str, str]:
    return quantity, " ".join(place.casefold().split())


def _pairs(before: Iterable[Measured], after: Iterable[Reading]) -> tuple[Pair, ...]:
    now: dict[tuple[str, str], Reading] = {}
    for one in after:
        now.setdefault(_spot(one.quantity, one.place), one)
    pairs = []
    for reading in before:
        found = now.get(_spot(reading.quantity, reading.place))
        pairs.append(Pair(reading.quantity, reading.place, reading.value, found.value if found else None))
    return tuple(pairs)


def _sorted(rows: Iterable[Change]) -> tuple[Change, ...]:
    """Worse first, then new, open, fixed and gone; within each as the report orders them."""
    return tuple(sorted(rows, key=lambda row: (ORDER.index(row.state), row.number or 0)))

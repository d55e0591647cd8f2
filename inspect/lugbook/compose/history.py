"""All jobs together: what is open, overdue and declined, by boat, by kind of defect and defect by defect."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from lugbook.model.history import OVERDUE_DAYS, DefectRecord, JobRecord

Cell = str | int
Row = dict[str, Cell]
DECLINED = frozenset({"declined", "deferred"})


@dataclass(frozen=True, slots=True)
class OpenDefect:
    """A defect that counts, in the last job that knows of it. `days` since it was first seen, if that is known."""

    job: JobRecord
    defect: DefectRecord
    days: int | None
    overdue: bool


@dataclass(frozen=True, slots=True)
class Overview:
    """The tables. `doubled` names folders whose report was counted already from another folder."""

    boats: tuple[Row, ...]
    kinds: tuple[Row, ...]
    defects: tuple[Row, ...]
    doubled: tuple[tuple[str, str], ...]


def overview(jobs: Sequence[JobRecord], today: date) -> Overview:
    """Count. A defect that a later job of the same boat carried over counts there, and not in the earlier one."""
    kept, doubled = _once(jobs)
    carried = {
        (_boat(job), defect.carried_from, defect.id)
        for job in kept
        for defect in job.defects
        if defect.carried_from is not None
    }
    found = [
        _open(job, defect, today)
        for job in kept
        for defect in job.defects
        if defect.state == "open" and (_boat(job), job.report, defect.id) not in carried
    ]
    found.sort(key=lambda one: (not one.overdue, -(one.days or 0), one.job.boat, one.defect.id))
    return Overview(_boats(kept, found), _kinds(found), tuple(_row(one) for one in found), doubled)


def _once(jobs: Sequence[JobRecord]) -> tuple[list[JobRecord], tuple[tuple[str, str], ...]]:
    """Each report of a boat once: copies of a folder are no further visits."""
    kept: dict[tuple[str, str], JobRecord] = {}
    doubled = []
    for job in sorted(jobs, key=lambda job: job.folder):
        first = kept.setdefault((_boat(job), job.report), job)
        if first is not job:
            doubled.append((job.folder, first.folder))
    return list(kept.values()), tuple(doubled)


def _boat(job: JobRecord) -> str:
    """What tells boats apart: the identification, or else the name."""
    sign = "".join(c for c in job.identification.casefold() if c.isalnum())
    return sign or " ".join(job.boat.casefold().split())


def _open(job: JobRecord, defect: DefectRecord, today: date) -> OpenDefect:
    days = (today - date.fromisoformat(defect.first_seen)).days if defect.first_seen else None
    limit = OVERDUE_DAYS[defect.act_by] if defect.act_by else None
    return OpenDefect(job, defect, days, days is not None and limit is not None and days > limit)


def _boats(jobs: Iterable[JobRecord], found: Iterable[OpenDefect]) -> tuple[Row, ...]:
    rows: dict[str, Row] = {}
    for job in sorted(jobs, key=lambda job: (job.day or "", job.report)):  # the last name that a boat had
        row = rows.setdefault(
            _boat(job), {"boat": "", "identification": "", "jobs": 0, "last visit": "", **_zero()}
        )
        row |= {
            "boat": job.boat,
            "identification": job.identification,
            "last visit": job.day or row["last visit"],
        }
        row["jobs"] = int(row["jobs"]) + 1
    for one in found:
        _count(rows[_boat(one.job)], one)
    return tuple(
        sorted(rows.values(), key=lambda row: (-int(row["overdue"]), -int(row["open"]), str(row["boat"])))
    )


def _kinds(found: Iterable[OpenDefect]) -> tuple[Row, ...]:
    rows: dict[str, Row] = {}
    boats: dict[str, set[str]] = {}
    for one in found:
        kind = one.defect.item or "(no item)"
        question = one.job.questions.get(
            kind, "Defects that no item asks for" if one.defect.item is None else ""
        )
        row = rows.setdefault(kind, {"kind": kind, "question": question, "boats": 0, **_zero()})
        boats.setdefault(kind, set()).add(_boat(one.job))
        row["boats"] = len(boats[kind])
        _count(row, one)
    return tuple(sorted(rows.values(), key=lambda row: (-int(row["open"]), str(row["kind"]))))


def _zero() -> Row:
    return {"open": 0, "make safe now": 0, "overdue": 0, "declined": 0, "said done": 0}


def _count(row: Row, one: OpenDefect) -> None:
    counted = {
        "open": True,
        "make safe now": one.defect.act_by == "make safe now",
        "overdue": one.overdue,
        "declined": one.defect.decision in DECLINED,
        "said done": one.defect.decision == "done",
    }
    for key, value in counted.items():
        row[key] = int(row[key]) + int(value)


def _row(one: OpenDefect) -> Row:
    job, defect = one.job, one.defect
    return {
        "boat": job.boat,
        "identification": job.identification,
        "report": job.report,
        "id": defect.id,
        "kind": defect.item or "(no item)",
        "title": defect.title,
        "place": defect.place,
        "level": defect.level,
        "act by": defect.act_by or "",
        "first seen": defect.first_seen or "",
        "days": "" if one.days is None else one.days,
        "overdue": "yes" if one.overdue else "no",
        "decision": defect.decision or "",
        "decided by": defect.decided_by or "",
        "decided on": defect.decided_on or "",
        "folder": job.folder,
    }


def as_data(view: Overview, today: date, bad: Iterable[tuple[str, str]]) -> dict[str, Any]:
    """The overview for other programs."""
    return {
        "format": "lugbook-history-1",
        "on": today.isoformat(),
        "overdue_after_days": OVERDUE_DAYS,
        "boats": list(view.boats),
        "kinds": list(view.kinds),
        "defects": list(view.defects),
        "not_counted": [{"folder": folder, "why": why} for folder, why in bad],
        "counted_once": [{"folder": folder, "as": first} for folder, first in view.doubled],
    }


def as_table(rows: Sequence[Row], widths: dict[str, int]) -> list[str]:
    """Rows as text in columns: numbers to the right, long texts cut to the width given."""
    if not rows:
        return []
    keys = list(rows[0])
    cells = [[_cut(str(row[key]), widths.get(key)) for key in keys] for row in rows]
    sizes = [max(len(line[n]) for line in [keys, *cells]) for n in range(len(keys))]
    right = [all(isinstance(row[key], int) for row in rows) for key in keys]

    def laid(line: Sequence[str]) -> str:
        parts = [c.rjust(s) if r else c.ljust(s) for c, s, r in zip(line, sizes, right, strict=True)]
        return "  ".join(parts).rstrip()

    return [laid(keys), *(laid(line) for line in cells)]


def _cut(text: str, width: int | None) -> str:
    return text if width is None or len(text) <= width else text[: width - 1] + "…"

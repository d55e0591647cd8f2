"""What is kept of each job for the overview of all jobs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from lugbook.model.decided import DecisionWord, Role
from lugbook.model.vocabulary import ActBy, Level

State = Literal["open", "fixed", "gone"]

# After how many days since it was first seen a defect counts as overdue. Common practice, no source: 'the next trip' is
# taken as within a month, 'this season' as half a year, 'the next refit' as two years.
OVERDUE_DAYS: dict[ActBy, int] = {
    "make safe now": 1,
    "before the next trip": 30,
    "this season": 183,
    "at the next refit": 730,
}


@dataclass(frozen=True, slots=True)
class DefectRecord:
    """A defect of one job. Days are ISO dates; `carried_from` is the number of the report that it was carried from."""

    id: str
    item: str | None
    title: str
    place: str
    level: Level
    act_by: ActBy | None
    state: State
    first_seen: str | None
    carried_from: str | None
    decision: DecisionWord | None
    decided_by: Role | None
    decided_on: str | None


@dataclass(frozen=True, slots=True)
class JobRecord:
    """One job. It holds no names of people."""

    folder: str
    report: str
    boat: str
    identification: str
    day: str | None
    defects: tuple[DefectRecord, ...]
    questions: dict[str, str]


@dataclass(frozen=True, slots=True)
class BadJob:
    """A job, or a part of one, that cannot be counted, and why."""

    folder: str
    message: str

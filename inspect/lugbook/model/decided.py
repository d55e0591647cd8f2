"""What was decided about defects, as later reports print it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

Role = Literal["owner", "buyer", "skipper", "agent", "yard", "insurer", "inspector", "other"]
DecisionWord = Literal["accepted", "declined", "deferred", "no-answer", "done"]
Safety = Literal["made safe", "refused", "not made safe"]


@dataclass(frozen=True, slots=True)
class Decided:
    """The last decision about one defect. `evidence` is the sum of the file that shows it, if there is one."""

    defect: str
    title: str
    decision: DecisionWord
    role: Role
    day: date
    authority: str
    channel: str
    revision: int
    evidence: str | None
    note: str | None
    report: str | None = None
    """Number of the earlier report whose trail holds it; none if it is this one's."""

"""The judged job: what assess gives and compose takes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from lugbook.model.checklist import ChecklistGroup, Item, Source
from lugbook.model.extent import Extent
from lugbook.model.findings import Carried, Photo, Reading
from lugbook.model.job import Job
from lugbook.model.vocabulary import (
    ActBy,
    Caution,
    Danger,
    Harms,
    Level,
    Now,
    ProbabilityWord,
    ResultWord,
    SeverityWord,
)

if TYPE_CHECKING:
    from lugbook.model.curve import Curve
    from lugbook.model.evidence import Evidence, Stretch
    from lugbook.model.remedied import Remedied


@dataclass(frozen=True, slots=True)
class Risk:
    """A level with what it comes from. `matrix` is what severity and probability give; `level` is what counts."""

    severity: SeverityWord
    probability: ProbabilityWord
    matrix: Level
    level: Level
    reason: str | None


@dataclass(frozen=True, slots=True)
class JudgedDefect:
    """One defect with its place in the order of urgency (`number`, from 1).

    `seen` is None for a defect that was computed and not seen; its `title` and `place` are then ids of the
    installation, which compose puts into words. `evidence` is what computed it, `computed` the level that gave.
    `own`: the inspector's level, where the computed one replaced it because it was lower. `disagree`: why the inspector does not follow it.
    """

    number: int
    id: str
    title: str
    place: str
    seen: str | None
    until_then: str | None
    told: str | None
    opinion: str | None
    readings: tuple[Reading, ...]
    risk: Risk
    act_by: ActBy | None
    harms: Harms
    danger: Danger
    service: bool
    why: str
    remedy: str
    photos: tuple[Photo, ...]
    sources: tuple[Source, ...]
    cautions: tuple[Caution, ...]
    item: str | None
    at: str | None = None
    evidence: tuple[Evidence, ...] = ()
    computed: Level | None = None
    own: Level | None = None
    disagree: str | None = None
    now: Now | None = None
    carried: Carried | None = None

    @property
    def closed(self) -> bool:
        """Put right, or no longer applicable."""
        return self.now in ("fixed", "gone")

    @property
    def level(self) -> Level:
        """The level that counts."""
        return self.risk.level


@dataclass(frozen=True, slots=True)
class Overruled:
    """A computed departure that the inspector takes for none, with the reason."""

    item: str
    at: str
    level: Level
    reason: str
    evidence: tuple[Evidence, ...]


@dataclass(frozen=True, slots=True)
class Answer:
    """What was answered to an item that this boat is asked. `result` is None while unanswered.

    `see` are defects that were entered under another item and concern this one too.
    """

    item: Item
    result: ResultWord | None
    extent: Extent | None
    reason: str | None
    note: str | None
    told: str | None
    readings: tuple[Reading, ...]
    photos: tuple[Photo, ...]
    defects: tuple[JudgedDefect, ...]
    see: tuple[JudgedDefect, ...]


@dataclass(frozen=True, slots=True)
class Worked:
    """What the installation gave: defects seen and computed, and everything behind them.

    `evidence` is everything that was computed, `back` the nodes of the return pole, `bare` the lengths that no device
    protects. `overruled` are computed departures that the inspector takes for none, `idle` disagreements that speak of
    nothing computed, `curves` the devices that stand in a defect.
    """

    defects: tuple[JudgedDefect, ...]
    evidence: tuple[Evidence, ...] = ()
    back: frozenset[str] = frozenset()
    bare: tuple[Stretch, ...] = ()
    overruled: tuple[Overruled, ...] = ()
    idle: tuple[str, ...] = ()
    curves: tuple[Curve, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Assessed(Worked):
    """A judged job. `groups` keeps the order of the walk; `not_asked` are items for things that are not fitted.

    `urgency` is when to act on a level whose danger is present, and on one whose danger is latent.
    `matrix` is the table that the levels come from, so that the report prints the one that was used.
    """

    job: Job
    groups: tuple[tuple[ChecklistGroup, tuple[Answer, ...]], ...]
    not_asked: tuple[Item, ...]
    cautions: tuple[Caution, ...]
    matrix: dict[ProbabilityWord, tuple[Level, ...]]
    urgency: dict[Level, tuple[ActBy, ActBy]]
    closed: tuple[JudgedDefect, ...] = ()
    """Carried defects that are put right or no longer applicable. They are not among `defects`."""
    remedied: Remedied | None = None
    """What is proposed, and what the analyses say of it."""

    @property
    def answers(self) -> tuple[Answer, ...]:
        """All answers in the order of the walk."""
        return tuple(answer for _, answers in self.groups for answer in answers)

"""What has changed between two visits."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from lugbook.model.findings import Photo
from lugbook.model.quantity import Quantity
from lugbook.model.vocabulary import ActBy, Level, ReadingKind

ChangeWord = Literal["worse", "new", "open", "fixed", "gone"]
# Why a defect counts as it does where nobody said so in so many words.
Remark = Literal["not answered", "not looked at again", "no departure seen now", "does not apply now"]


@dataclass(frozen=True, slots=True)
class Pair:
    """A quantity measured at one place, then and now; None where it was not measured."""

    quantity: ReadingKind
    place: str
    before: Quantity | None
    after: Quantity | None


@dataclass(frozen=True, slots=True)
class Side:
    """What one visit says of a defect. `level` is None if it is closed."""

    seen: str
    level: Level | None
    act_by: ActBy | None
    photos: tuple[Photo, ...]


@dataclass(frozen=True, slots=True)
class Change:
    """A defect then and now. `number` is its place in the newer report, None if it is not among its defects.

    `visited` is the day of the earlier visit, `first_seen` that of the first.
    """

    id: str
    title: str
    place: str
    item: str | None
    state: ChangeWord
    number: int | None
    before: Side | None
    after: Side | None
    pairs: tuple[Pair, ...] = ()
    history: tuple[str, ...] = ()
    first_seen: date | None = None
    remark: Remark | None = None


@dataclass(frozen=True, slots=True)
class Changes:
    """All changes between two reports, the gravest first. `pairs` are readings that belong to no defect."""

    report: str
    revision: int | None
    visited: date | None
    rows: tuple[Change, ...]
    pairs: tuple[Pair, ...] = ()

"""What the capture page exports: the facts in `capture.json`, and an export that was checked and laid out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints

CAPTURE_FORMAT = "lugbook-capture/1"
CAPTURE_FILE = "capture.json"

HexSum = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]
VisitId = Annotated[
    str, StringConstraints(pattern=r"^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$")
]
Moment = Annotated[
    str,
    StringConstraints(
        pattern=r"^[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}(:[0-9]{2}(\.[0-9]{1,6})?)?(Z|[+-][0-9]{2}:?[0-9]{2})?$"
    ),
]
Short = Annotated[str, StringConstraints(max_length=200)]


class _Part(BaseModel):
    """Immutable, no value converted; keys that this version does not know are left aside."""

    model_config = ConfigDict(frozen=True, extra="ignore", strict=True)


class FileFacts(_Part):
    """A file of the export."""

    sha256: HexSum
    bytes: int = Field(ge=0)


class ListUsed(_Part):
    """A checklist that the page was made from."""

    id: Short
    edition: Short


class PhoneClock(_Part):
    """What the phone's clock said. Nothing here is proof of the time."""

    phone: Moment | None = None
    """The phone's time at the export, with its offset from UTC."""
    zone: Short | None = None
    """The phone's time zone, by its IANA name."""
    started: Moment | None = None
    """The phone's time when the visit was begun."""
    offset_s: float | None = Field(default=None, allow_inf_nan=False, ge=-1e9, le=1e9)
    """Seconds by which the phone was ahead of a clock that it was compared with; nothing if nobody compared."""


class Capture(_Part):
    """The file `capture.json`."""

    format: Literal["lugbook-capture/1"]
    visit: VisitId
    """One visit keeps one id, however often it is exported."""
    export: int = Field(ge=0)
    """Counts the exports of a visit, from 1; 0 is a job that was packed and never exported yet."""
    program: Short
    """Version of the program that made the page."""
    checklist: Annotated[tuple[ListUsed, ...], Field(strict=False)] = ()
    files: dict[str, FileFacts]
    """Every file of the export except capture.json itself."""
    clock: PhoneClock | None = None
    came_from: HexSum | None = Field(default=None, alias="from")
    """SHA-256 of the findings that were loaded into the page from a packed job, if it was."""
    events: Annotated[tuple[Any, ...], Field(strict=False)] = ()


@dataclass(frozen=True, slots=True)
class Export:
    """An export whose files lie in `folder`, each with the sum that capture.json gives it."""

    capture: Capture
    folder: Path
    photos: tuple[str, ...]
    """Paths of its pictures, such as photos/p1.jpg."""
    notice: bool


Side = Literal["ours", "theirs"]


@dataclass(frozen=True, slots=True)
class Conflict:
    """A value that both sides changed, each in its way. The place is that of our side, from 1."""

    path: str
    line: int
    column: int
    ours: str
    theirs: str


Choose = Callable[[Conflict], Side]


@dataclass(frozen=True, slots=True)
class Merged:
    """The text of both. `taken` are the places where their side was followed; `relaid` if the layout was lost."""

    text: str
    taken: tuple[str, ...]
    conflicts: tuple[Conflict, ...]
    relaid: bool


def clock_words(capture: Capture) -> str | None:
    """The clock of the phone in one line, for the trail; nothing if it says nothing."""
    clock = capture.clock
    if clock is None or clock.phone is None:
        return None
    told = [f"phone's clock at the export {clock.phone}"]
    if clock.zone:
        told.append(f"zone {clock.zone}")
    if clock.started:
        told.append(f"visit begun {clock.started}")
    if clock.offset_s is None:
        told.append("not compared with another clock")
    else:
        way = "ahead of" if clock.offset_s >= 0 else "behind"
        told.append(f"{abs(clock.offset_s):g} s {way} the clock that it was compared with")
    return ", ".join(told)

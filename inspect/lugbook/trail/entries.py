"""The entries of the trail. Each line of `trail.jsonl` is one of them, as canonical JSON.

Texts here stay for ever: names and contacts never stand in an entry, only the number of a person and a salted
sum of what `people.json` says of them (`Person`).
"""

from __future__ import annotations

from pathlib import PurePosixPath
from typing import Annotated, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, StringConstraints, TypeAdapter

from lugbook.model.decided import DecisionWord, Role, Safety

Kind = Literal["start", "capture", "issue", "notice", "delivery", "receipt", "decision", "erase", "import"]

Sum = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]
PersonId = Annotated[str, StringConstraints(pattern=r"^p[1-9][0-9]{0,5}$")]
DefectRef = Annotated[str, StringConstraints(pattern=r"^d[1-9][0-9]{0,4}$")]
Date = Annotated[str, StringConstraints(pattern=r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$")]
Moment = Annotated[
    str, StringConstraints(pattern=r"^[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}Z$")
]
Words = Annotated[str, StringConstraints(min_length=1, max_length=4000)]


def _inside(path: str) -> str:
    """A path that stays below the folder that it is relative to, written with slashes."""
    parts = path.split("/")
    if not path or "\\" in path or "\0" in path or any(part in ("", ".", "..") for part in parts):
        raise ValueError("not a path inside the folder")
    if PurePosixPath(path).is_absolute() or ":" in parts[0]:
        raise ValueError("not a path inside the folder")
    return path


RelPath = Annotated[str, AfterValidator(_inside)]


class Record(BaseModel):
    """Base of everything in the trail: immutable, nothing unknown, no value converted."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, defer_build=True)


class FileSum(Record):
    """A file and its SHA-256 sum. The path is relative to the job's folder, or to the revision's in a manifest."""

    path: RelPath
    sha256: Sum


class Person(Record):
    """Somebody, without the name."""

    person: PersonId
    """The key in people.json."""
    commitment: Sum
    """SHA-256 of what people.json holds under that key, salt included."""
    role: Role


class Carried(Record):
    """The earlier job that a return visit goes on from."""

    number: Words
    """Number of its report."""
    head: Sum
    """Head of its trail at that time."""


class StartBody(Record):
    """The trail begins: what was there."""

    program: str
    captured: tuple[FileSum, ...]
    """Findings and pictures as they were."""
    clock_offset: str | None = None
    """How far the clock of phone or camera was off, as told."""
    carries: Carried | None = None


class CaptureBody(Record):
    """A later export of the capture page was put together with the job."""

    program: str
    visit: str
    """The visit's id."""
    export: int = Field(ge=0)
    """Which export of it."""
    captured: tuple[FileSum, ...]
    """The export as it came, and the pictures that were new."""
    clock_offset: str | None = None
    """What was known of the phone's clock."""


class Supersedes(Record):
    """The issue that a later one takes the place of."""

    revision: int
    entry: Sum


class IssueBody(Record):
    """A report was issued."""

    number: Words
    revision: int = Field(ge=1)
    draft: bool
    folder: RelPath
    manifest: Sum
    """SHA-256 of manifest.json, which names what the report was made from."""
    outputs: tuple[FileSum, ...]
    supersedes: Supersedes | None
    reason: Words | None


class NoticeBody(Record):
    """Somebody was told of an immediate danger."""

    notice: int = Field(ge=1)
    hazard: Words
    place: Words
    told: Person
    how: Words
    time: str
    safety: Safety
    measure: Words | None
    """What was done, or why nothing was."""
    made_safe_by: Person | None
    consent_of: Role | None
    refused_by: Role | None
    outputs: tuple[FileSum, ...]


class DeliveryBody(Record):
    """Something was sent or handed over."""

    of: Sum
    """The entry of what was delivered."""
    to: Person
    channel: Words
    evidence: FileSum | None


class ReceiptBody(Record):
    """Somebody says that they have it."""

    of: Sum
    by: Person
    channel: Words
    evidence: FileSum | None


class DecisionBody(Record):
    """What somebody decided about one defect, and what they had been shown."""

    defect: DefectRef
    title: Words
    decision: DecisionWord
    revision: int = Field(ge=1)
    of: Sum
    """The issue entry of that revision."""
    text: Sum
    """SHA-256 of the defect in that revision's report.json, as canonical JSON."""
    by: Person
    authority: Words
    channel: Words
    evidence: FileSum | None
    note: Words | None


class EraseBody(Record):
    """Names, or files that hold them, were erased. Their sums stay."""

    people: tuple[PersonId, ...]
    files: tuple[FileSum, ...]
    reason: Words
    asked_by: Role


class ImportBody(Record):
    """Something made elsewhere was taken in."""

    what: Literal["time-stamp token"]
    of: Sum
    """The entry that the token names."""
    file: FileSum
    time: Moment
    """What the token says."""
    authority_certificate: FileSum | None
    """The certificate that its signature was checked with."""


class EntryBase(Record):
    """What every entry says."""

    format: Literal["lugbook-entry-1"] = "lugbook-entry-1"
    entry: int = Field(ge=1)
    previous: Sum | None
    """SHA-256 of the entry before; nothing in the first."""
    date: Date
    """The day of the event."""
    recorded_at: Moment
    recorded_by: Person
    signed_by: str | None
    """Fingerprint of the key whose signature lies in signatures/."""


class StartEntry(EntryBase):
    kind: Literal["start"] = "start"
    body: StartBody


class CaptureEntry(EntryBase):
    kind: Literal["capture"] = "capture"
    body: CaptureBody


class IssueEntry(EntryBase):
    kind: Literal["issue"] = "issue"
    body: IssueBody


class NoticeEntry(EntryBase):
    kind: Literal["notice"] = "notice"
    body: NoticeBody


class DeliveryEntry(EntryBase):
    kind: Literal["delivery"] = "delivery"
    body: DeliveryBody


class ReceiptEntry(EntryBase):
    kind: Literal["receipt"] = "receipt"
    body: ReceiptBody


class DecisionEntry(EntryBase):
    kind: Literal["decision"] = "decision"
    body: DecisionBody


class EraseEntry(EntryBase):
    kind: Literal["erase"] = "erase"
    body: EraseBody


class ImportEntry(EntryBase):
    kind: Literal["import"] = "import"
    body: ImportBody


Entry = (
    StartEntry
    | CaptureEntry
    | IssueEntry
    | NoticeEntry
    | DeliveryEntry
    | ReceiptEntry
    | DecisionEntry
    | EraseEntry
    | ImportEntry
)
Body = (
    StartBody
    | CaptureBody
    | IssueBody
    | NoticeBody
    | DeliveryBody
    | ReceiptBody
    | DecisionBody
    | EraseBody
    | ImportBody
)
ENTRY: TypeAdapter[Entry] = TypeAdapter(
    Annotated[Entry, Field(discriminator="kind")], config=ConfigDict(defer_build=True)
)
KINDS: dict[type[Record], Kind] = {
    StartBody: "start",
    CaptureBody: "capture",
    IssueBody: "issue",
    NoticeBody: "notice",
    DeliveryBody: "delivery",
    ReceiptBody: "receipt",
    DecisionBody: "decision",
    EraseBody: "erase",
    ImportBody: "import",
}


def persons(entry: Entry) -> tuple[Person, ...]:
    """Everybody whom an entry mentions."""
    found = [entry.recorded_by]
    found += [value for _, value in entry.body if isinstance(value, Person)]
    return tuple(found)

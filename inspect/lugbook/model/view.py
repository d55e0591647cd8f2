"""The finished view of a report: every word, number and order is settled. `report.json` is this, and nothing else.

Texts of the inspector and of the checklists are Markdown; everything else is plain text.
"""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict

from lugbook.model.findings import Mark
from lugbook.model.vocabulary import ActBy, Level


class View(BaseModel):
    """Base of the view's parts."""

    model_config = ConfigDict(frozen=True, extra="forbid", use_attribute_docstrings=True)


class Fact(View):
    """A label and what belongs to it. An empty text means 'not recorded' was filled in already."""

    label: str
    text: str
    markdown: bool = False
    """Whether the text is Markdown."""


class PictureView(View):
    """A picture as it is set."""

    key: str
    """The name of the prepared picture, such as picture-3.jpg."""
    thumb: str
    """The name of its small copy, made for the first page only."""
    file: str
    """The original's name inside photos/."""
    anchor: str
    number: int
    """Number in the report, from 1."""
    label: str
    """'Picture 3'."""
    caption: str
    alt: str
    marks: tuple[Mark, ...]
    taken: str | None
    """When it was taken, if the report is to say so."""
    tall: bool
    """Whether it is higher than wide."""
    width: str
    """Its share of its row, as a CSS length; pictures of one row come out equally high."""


class LevelView(View):
    """A risk level in words, and its mark."""

    level: Level
    words: str
    short: str
    mark_alt: str


class DefectView(View):
    """One defect, ready to be set."""

    number: int
    """Its place in the order of urgency, from 1. It changes from report to report; the id does not."""
    id: str
    """Stable id, never reused."""
    anchor: str
    title: str
    place: str
    level: LevelView
    act_by: ActBy | None
    act_by_words: str
    statements: tuple[Fact, ...]
    """Seen, measured, told, opinion: marked apart. Markdown."""
    why: str
    """Markdown."""
    remedy: str
    """Markdown."""
    keep_service: bool
    """Whether the thing must be kept in service."""
    risk_line: str
    override: str | None
    sources: tuple[str, ...]
    caution_lines: tuple[str, ...]
    beside: PictureView | None
    """A picture that stands alone is set beside the text."""
    rows: tuple[tuple[PictureView, ...], ...]
    """Several pictures, by rows of even height."""
    question: str | None
    item: str | None
    """Id of the checklist item."""
    decided: tuple[str, ...] = ()
    """What was decided about it, in sentences, from the trail."""

    @property
    def first_picture(self) -> PictureView | None:
        """The one that the first page shows small."""
        return self.beside or (self.rows[0][0] if self.rows else None)


class CountView(View):
    """How many defects a level has."""

    level: LevelView
    count: int


class UrgentView(View):
    """A line of the first page."""

    number: int
    anchor: str
    title: str
    place: str
    act_by: str
    level: LevelView
    thumb: str | None
    """The name of the small prepared picture."""
    thumb_alt: str


class FirstPage(View):
    """The page for the owner."""

    facts: tuple[Fact, ...]
    verdict: tuple[str, ...]
    counts: tuple[CountView, ...]
    urgent: tuple[UrgentView, ...]
    urgent_more: str | None
    not_seen: tuple[str, ...]
    not_seen_more: str | None
    caution_lines: tuple[str, ...]
    answered: str
    ask: str
    picture: PictureView | None


class CautionView(View):
    """A caution in one line and in full."""

    id: str
    line: str
    text: str


class ReadingView(View):
    """A row of the test record."""

    id: str
    quantity: str
    place: str
    value: str
    state: str
    instrument: str
    time: str
    note: str


class InstrumentView(View):
    """An instrument."""

    name: str
    serial: str
    calibrated: str
    due: str
    overdue: bool
    check: str


class AnswerView(View):
    """One question with its answer."""

    item: str
    question: str
    result: str
    result_key: str
    extent: str
    statements: tuple[Fact, ...]
    defects: tuple[tuple[int, str], ...]
    """Numbers and anchors of the defects."""


class GroupView(View):
    """One stop of the walk."""

    title: str
    answers: tuple[AnswerView, ...]
    rows: tuple[tuple[PictureView, ...], ...]


class UnseenView(View):
    """A question that was not looked at."""

    question: str
    state: str
    reason: str
    """Markdown."""


class SectionView(View):
    """A headed list of facts."""

    title: str
    facts: tuple[Fact, ...]


class MatrixRow(View):
    """A row of the risk table."""

    probability: str
    cells: tuple[LevelView, ...]


class Letterhead(View):
    """The user's own."""

    name: str
    lines: tuple[str, ...]
    logo: str | None
    """The name of the prepared logo."""
    logo_alt: str


class SignatureView(View):
    """The signature."""

    name: str
    date: str
    place: str
    image: str | None
    image_alt: str


class IssueView(View):
    """Which issue of the report this is."""

    revision: int
    title: str
    lines: tuple[str, ...]
    """What it takes the place of, and why."""
    manifest: str | None
    """SHA-256 of the manifest. Printed; empty in report.json, which the manifest covers."""


class ReportView(View):
    """A whole report."""

    format: Literal["lugbook-report-1"] = "lugbook-report-1"
    program: str
    """Version of the program."""
    language: str
    title: str
    number: str
    boat: str
    day: str
    """ISO date that the document carries."""
    draft: bool
    precedence: str
    letterhead: Letterhead
    first: FirstPage
    cautions: tuple[CautionView, ...]
    defects: tuple[DefectView, ...]
    readings: tuple[ReadingView, ...]
    instruments: tuple[InstrumentView, ...]
    walk_intro: str
    groups: tuple[GroupView, ...]
    not_asked_intro: str | None
    not_asked: tuple[str, ...]
    unseen: tuple[UnseenView, ...]
    unanswered: str | None
    limits: tuple[str, ...]
    """Markdown."""
    visit: tuple[SectionView, ...]
    severities: tuple[str, ...]
    matrix: tuple[MatrixRow, ...]
    levels: tuple[LevelView, ...]
    files: tuple[tuple[str, str], ...]
    """Name and SHA-256 of what the report was made from."""
    made_with: str
    signature: SignatureView
    pictures: tuple[PictureView, ...]
    """Every picture once per place where it is set."""
    issue: IssueView | None = None
    """Empty in a report that was not issued."""
    decided_before: tuple[str, ...] = ()
    """Decisions about defects that this report no longer holds."""


class ContactEntry(View):
    """A picture of the contact sheet."""

    name: str
    picture: str | None
    """A data: address."""
    note: str

"""The finished view of a report: every word, number and order is settled. `report.json` is this, and nothing else.

Texts of the inspector and of the checklists are Markdown; everything else is plain text.
"""

from __future__ import annotations

from typing import Literal

from lugbook.model.changes import ChangeWord
from lugbook.model.chart import Chart
from lugbook.model.diagnosis_view import DiagnosisView
from lugbook.model.diagram import DiagramView
from lugbook.model.findings import Mark
from lugbook.model.remedy_view import RemedyView
from lugbook.model.view_base import View
from lugbook.model.vocabulary import ActBy, Level

LONG = 150


class Fact(View):
    """A label and what belongs to it. An empty text means 'not recorded' was filled in already."""

    label: str
    """What it says it is."""
    text: str
    """What belongs to it."""
    markdown: bool = False
    """Whether the text is Markdown."""

    @property
    def long(self) -> bool:
        """Whether the text wants a line of its own where short ones stand side by side."""
        return len(self.text) > LONG


class PictureView(View):
    """A picture as it is set."""

    key: str
    """The name of the prepared picture, such as picture-3.jpg."""
    thumb: str
    """The name of its small copy, made for the first page only."""
    file: str
    """The original's name inside photos/."""
    anchor: str
    """Name to jump to inside the page."""
    number: int
    """Number in the report, from 1."""
    label: str
    """'Picture 3'."""
    caption: str
    """Printed under the picture."""
    alt: str
    """What the picture shows, in words."""
    marks: tuple[Mark, ...]
    """Marks drawn over it."""
    taken: str | None
    """When it was taken, if the report is to say so."""
    tall: bool
    """Whether it is higher than wide."""
    width: str
    """Its share of its row, as a CSS length; pictures of one row come out equally high."""


class LevelView(View):
    """A risk level in words, and its mark."""

    level: Level
    """The level, as a word of the format."""
    words: str
    """The level in the report's language."""
    short: str
    """The same in one word."""
    mark_alt: str
    """What its mark looks like, in words."""


class DefectView(View):
    """One defect, ready to be set."""

    number: int
    """Its place in the order of urgency, from 1. It changes from report to report; the id does not."""
    id: str
    """Stable id, never reused."""
    anchor: str
    """Name to jump to inside the page."""
    title: str
    """A short headline."""
    place: str
    """Where on the boat."""
    level: LevelView
    """Its risk level."""
    act_by: ActBy | None
    """When to act, as a word of the format; none if the risk is removed."""
    act_by_words: str
    """When to act, in the report's language."""
    until_then: str | None
    """What to do, or not to do, until it is put right."""
    statements: tuple[Fact, ...]
    """Seen, measured, told, opinion: marked apart. Markdown."""
    why: str
    """Markdown."""
    remedy: str
    """Markdown."""
    keep_service: bool
    """Whether the thing must be kept in service."""
    risk_line: str
    """Severity, probability, whom it harms and whether it is present, in a sentence."""
    override: str | None
    """What the table gives, what the inspector sets, and why; none if they agree."""
    sources: tuple[str, ...]
    """What it is judged against."""
    caution_lines: tuple[str, ...]
    """Cautions for working on it, one line each."""
    beside: PictureView | None
    """A picture that stands alone is set beside the text."""
    rows: tuple[tuple[PictureView, ...], ...]
    """Several pictures, by rows of even height."""
    question: str | None
    """The question on the checklist that it answers."""
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
    """The level."""
    count: int
    """How many defects have it."""


class UrgentView(View):
    """A line of the first page."""

    number: int
    """The defect's number."""
    anchor: str
    """Name of the defect to jump to."""
    title: str
    """Its headline."""
    place: str
    """Where on the boat."""
    act_by: str
    """When to act, in words."""
    until_then: str | None
    """What to do, or not to do, until it is put right."""
    level: LevelView
    """Its risk level."""
    thumb: str | None
    """The name of the small prepared picture."""
    thumb_alt: str
    """What the small picture shows."""


class FirstPage(View):
    """The page for the owner."""

    said_first: str | None
    """What is to be read before anything else, such as that the report is a sample."""
    facts: tuple[Fact, ...]
    """Boat, client, date and the like."""
    verdict: tuple[str, ...]
    """The verdict in sentences."""
    counts: tuple[CountView, ...]
    """How many defects of each level."""
    urgent: tuple[UrgentView, ...]
    """The most urgent defects."""
    urgent_more: str | None
    """How many more there are."""
    also_until: str | None
    """What to do, or not to do, until the others that are due before the next trip are put right."""
    not_seen_intro: str
    """How many questions have an answer, and how many could not be looked at."""
    not_seen: tuple[str, ...]
    """What was not looked at."""
    not_seen_more: str | None
    """How many more there are."""
    cost: str
    """What the work may cost, as a range, or that nothing was estimated."""
    glossary: tuple[Fact, ...]
    """Words of the trade that this page uses, in everyday words."""
    choices: tuple[str, ...]
    """What can be ticked beside each urgent defect; empty without one."""
    decide: str
    """What the owner's signature means, and what it does not."""
    caution_lines: tuple[str, ...]
    """The cautions that apply, one line each."""
    limits: str | None
    """How many limits of the inspection are described inside."""
    ask: str
    """Whom to ask."""
    picture: PictureView | None
    """The picture of the boat."""


class PlanGroup(View):
    """Everything that is due by one time."""

    title: str
    """The time by which to act."""
    entries: tuple[tuple[str, str], ...]
    """Numbered titles and anchors, in the order of the numbers."""
    many: bool = False
    """Whether the list is long and is set in two columns."""


class EvidenceView(View):
    """One computed value against one limit."""

    analysis: str
    """Which analysis."""
    rule: str
    """Which rule of it."""
    subject: str
    """What it is about."""
    item: str
    """Id of the checklist item that it speaks to."""
    basis: str
    """Id of the basis; empty for common practice alone."""
    verdict: str
    """Within, departure, or cannot be decided."""
    verdict_key: str
    """The same as one word."""
    says: str
    """What it says, in a sentence."""
    formula: str
    """The formula in symbols."""
    numbers: str
    """The formula in numbers."""
    limit: str | None
    """The limit with its clause and label."""
    margin: str | None
    """The share of the limit that is left."""
    inputs: tuple[str, ...]
    """What went in, each with its unit and where it comes from."""
    alternatives: tuple[str, ...]
    """Values that a rule could use, with the one used marked."""
    assumptions: tuple[str, ...]
    """What was assumed."""
    wants: tuple[str, ...]
    """The datum that would decide."""
    state: str
    """The state of the boat that governs."""
    notes: tuple[str, ...]
    """Anything else to know."""
    exempt: str | None
    """The clause that exempts it."""


class BasisView(View):
    """What the installation is judged against."""

    id: str
    """Its id."""
    title: str
    """Its title."""
    edition: str
    """Its edition."""
    kind: str
    """Law, standard or practice."""
    in_force: str
    """From when to when."""
    binds: str
    """Whom it binds."""
    overridden: tuple[str, ...]
    """Limits that the job's own basis replaces."""


class SideBySide(View):
    """The same boat under several bases."""

    bases: tuple[str, ...]
    """Their titles."""
    rows: tuple[tuple[str, str, tuple[str, ...]], ...]
    """Subject, rule, and a verdict for each basis."""


class PieceView(View):
    """Everything that one analysis says of one thing that departs."""

    analysis: str
    """Which analysis."""
    subject: str
    """What it is about."""
    says: tuple[str, ...]
    """What it says, each sentence once."""
    rows: tuple[tuple[str, str], ...]
    """Labelled texts: limits, formula, inputs and the like."""


class OpenView(View):
    """What one analysis cannot decide."""

    analysis: str
    """Which analysis."""
    formula: str
    """The formula in symbols."""
    assumed: str
    """Marks of what was assumed."""
    common: str
    """Data that all of it hangs on."""
    groups: tuple[tuple[str, tuple[tuple[str, str], ...]], ...]
    """Data that would decide with those, and the things in question, each with what was computed."""


class ShortsView(View):
    """What solid shorts would draw."""

    rows: tuple[tuple[str, str, str], ...]
    """Place, to where with the least and the most current, and the sources' shares of the largest."""
    inputs: tuple[str, ...]
    """What the batteries' shares come from."""
    formula: str
    """The formula in symbols."""
    assumed: str
    """Marks of what was assumed."""


class WithinView(View):
    """What one analysis finds within its limits."""

    analysis: str
    """Which analysis."""
    rows: tuple[tuple[str, str, str], ...]
    """Thing, sentence, limits with their marks."""


class CalculationsView(View):
    """Everything that was computed from the installation."""

    bases: tuple[BasisView, ...]
    """What it is judged against."""
    departures: tuple[EvidenceView, ...]
    """What departs."""
    undecided: tuple[EvidenceView, ...]
    """What cannot be decided."""
    within: tuple[EvidenceView, ...]
    """What is within its limit."""
    departing: tuple[PieceView, ...]
    """What departs, folded: a piece for each thing and analysis."""
    open: tuple[OpenView, ...]
    """What cannot be decided, folded by what would decide it."""
    shorts: ShortsView | None
    """What shorts would draw, by place."""
    in_short: tuple[WithinView, ...]
    """What is within its limit, a table for each analysis."""
    limits: tuple[tuple[str, str], ...]
    """The marks of limits in the folded parts, each with its clause, label and how well it is known."""
    assumed: tuple[tuple[str, str], ...]
    """The marks of assumptions in the folded parts, each with its sentence and source."""
    beside: SideBySide | None
    """What the bases judge differently, if there are several."""
    overruled: tuple[str, ...]
    """Computed departures that the inspector takes for none."""
    idle: tuple[str, ...]
    """Disagreements that speak of nothing computed."""
    charts: tuple[Chart, ...] = ()
    """Time and current of each device that stands in a defect."""


class CautionView(View):
    """A caution in one line and in full."""

    id: str
    """Its id in the checklists."""
    line: str
    """In one line."""
    text: str
    """In full."""


class ReadingView(View):
    """A row of the test record."""

    id: str
    """Its id in the findings."""
    quantity: str
    """What was measured."""
    place: str
    """Between which points."""
    value: str
    """The value with its unit, as written."""
    before: str
    """The value before the work or at the earlier visit, and when; a dash without one."""
    before_state: str
    """State of the boat at that earlier value, and its note; a dash without them."""
    limit: str
    """What it is held against, with the source, or that there is no limit."""
    verdict: str
    """Within, departs, or cannot be decided; a dash without a limit."""
    state: str
    """State of the boat."""
    instrument: str
    """The instrument."""
    time: str
    """When."""
    note: str
    """Anything else."""


class InstrumentView(View):
    """An instrument."""

    name: str
    """Kind of instrument."""
    serial: str
    """Serial number."""
    calibrated: str
    """Last calibration."""
    due: str
    """Next calibration."""
    overdue: bool
    """Whether it was past its date at the visit."""
    check: str
    """The check before use."""


class AnswerView(View):
    """One question with its answer."""

    item: str
    """Id of the checklist item."""
    question: str
    """The question."""
    result: str
    """The result in the report's language."""
    result_key: str
    """The result as a word of the format."""
    extent: str
    """How far it was looked at."""
    statements: tuple[Fact, ...]
    """Observed and told: marked apart. Markdown."""
    pictures: tuple[tuple[str, str], ...]
    """Labels and anchors of its pictures."""
    defects: tuple[tuple[int, str], ...]
    """Numbers and anchors of the defects."""


class GroupView(View):
    """One stop of the walk."""

    title: str
    """Heading."""
    answers: tuple[AnswerView, ...]
    """Its questions, in the order of the walk."""
    rows: tuple[tuple[PictureView, ...], ...]
    """Pictures, by rows of even height."""


class UnseenView(View):
    """A question that was not looked at."""

    question: str
    """The question."""
    state: str
    """Whether it does not apply, was not looked at or has no answer yet."""
    reason: str
    """Markdown."""


class SectionView(View):
    """A headed list of facts."""

    title: str
    """Heading."""
    facts: tuple[Fact, ...]
    """What stands under it."""


class MatrixRow(View):
    """A row of the risk table."""

    probability: str
    """The probability in words."""
    cells: tuple[LevelView, ...]
    """The level for each severity."""


class Letterhead(View):
    """The user's own."""

    name: str
    """Trading name."""
    lines: tuple[str, ...]
    """Address and contact."""
    logo: str | None
    """The name of the prepared logo."""
    logo_alt: str
    """What the logo shows."""


class SignatureView(View):
    """The signature."""

    name: str
    """Name as signed."""
    date: str
    """Date of signature."""
    place: str
    """Place of signature."""
    image: str | None
    """The name of the prepared picture of the signature."""
    image_alt: str
    """What it shows."""


class IssueView(View):
    """Which issue of the report this is."""

    revision: int
    """Number of the revision, from 1."""
    title: str
    """The revision in words."""
    lines: tuple[str, ...]
    """What it takes the place of, and why."""
    manifest: str | None
    """SHA-256 of the manifest. Printed; empty in report.json, which the manifest covers."""


class PairView(View):
    """A quantity measured at one place, then and now."""

    place: str
    """Between which points."""
    quantity: str
    """What was measured."""
    before: str
    """The value then."""
    after: str
    """The value now."""


class ChangeView(View):
    """A defect of an earlier visit and what became of it, or a new one."""

    id: str
    """Stable id."""
    anchor: str
    """Name to jump to inside the page."""
    state: ChangeWord
    """What became of it, as a word of the format."""
    state_words: str
    """The same in the report's language."""
    title: str
    """Its headline."""
    place: str
    """Where on the boat."""
    link: str | None
    """Name of the defect's own entry in this report."""
    link_words: str
    """What the link says."""
    then: str
    """Level and urgency then."""
    now: str
    """Level and urgency now."""
    texts: tuple[Fact, ...]
    """What was seen then and now, and its history."""
    before: tuple[PictureView, ...]
    """Pictures of then."""
    after: tuple[PictureView, ...]
    """Pictures of now."""
    pairs: tuple[PairView, ...]
    """What was measured then and now."""


class ChangesView(View):
    """What has changed since an earlier visit."""

    title: str
    """Heading."""
    intro: str
    """Since which report."""
    counts: tuple[str, ...]
    """How many are worse, new, open, fixed and gone, in words."""
    rows: tuple[ChangeView, ...]
    """Every change, the gravest first."""
    pairs: tuple[PairView, ...] = ()
    """Readings then and now that belong to no defect."""


class ReportView(View):
    """A whole report."""

    format: Literal["lugbook-report-1"] = "lugbook-report-1"
    """The format of this file."""
    program: str
    """Version of the program."""
    language: str
    """Language of the words, such as en."""
    title: str
    """Title of the report."""
    number: str
    """Number of the report."""
    boat: str
    """Name of the boat."""
    day: str
    """ISO date that the document carries."""
    draft: bool
    """Whether questions are still open."""
    precedence: str
    """The note that local rules and licensed examiners take precedence."""
    letterhead: Letterhead
    """The inspector's own letterhead."""
    first: FirstPage
    """The page to read first."""
    plan: tuple[PlanGroup, ...]
    """All defects by the time by which to act, soonest first."""
    closer: tuple[tuple[str, str], ...]
    """Questions that need a closer look, with the reason. Markdown."""
    cautions: tuple[CautionView, ...]
    """The cautions that apply to this boat."""
    defects: tuple[DefectView, ...]
    """The defects, most urgent first."""
    calculations: CalculationsView | None
    """What was computed; none without an installation."""
    diagram: DiagramView | None
    """The line diagram; none without an installation."""
    readings: tuple[ReadingView, ...]
    """The test record."""
    readings_by: tuple[str, ...]
    """What entitled whoever took the readings of the mains side."""
    instruments: tuple[InstrumentView, ...]
    """The instruments used."""
    walk_intro: str
    """The sentence before the walk."""
    groups: tuple[GroupView, ...]
    """The questions, in the order of the walk."""
    not_asked_intro: str | None
    """The sentence before the questions that were not asked."""
    not_asked: tuple[str, ...]
    """Questions not asked, since the boat is said to have no such thing."""
    unseen: tuple[UnseenView, ...]
    """What was not looked at, and why."""
    unanswered: str | None
    """Questions without an answer yet."""
    limits: tuple[str, ...]
    """Markdown."""
    visit: tuple[SectionView, ...]
    """Who, what, where and when."""
    severities: tuple[str, ...]
    """The severities in words: the head of the risk table."""
    matrix: tuple[MatrixRow, ...]
    """The risk table, a row for each probability."""
    urgency: tuple[tuple[LevelView, str, str], ...]
    """When to act, for each level: with a danger that is present, and with one that is latent."""
    meanings: tuple[Fact, ...]
    """What the words for severity and probability mean."""
    overridden: tuple[str, ...]
    """The defects whose level the inspector set, in sentences."""
    levels: tuple[LevelView, ...]
    """The levels in words."""
    files: tuple[tuple[str, str], ...]
    """Name and SHA-256 of what the report was made from."""
    made_with: str
    """Which program and version made it."""
    signature: SignatureView
    """Who signed, when and where."""
    pictures: tuple[PictureView, ...]
    """Every picture once per place where it is set."""
    issue: IssueView | None = None
    """Empty in a report that was not issued."""
    decided_before: tuple[str, ...] = ()
    """Decisions about defects that this report no longer holds."""
    changes: ChangesView | None = None
    """What has changed since an earlier visit; empty on a first one."""
    diagnosis: DiagnosisView | None = None
    """What the readings say of the charging path; empty without readings that name their place in the installation."""
    remedy: RemedyView | None = None
    """What is proposed, before and after it, what to buy and what it takes; empty if nothing is proposed."""

    @property
    def readings_paired(self) -> bool:
        """Whether any reading stands beside an earlier one; without one the column for it is left out."""
        return any(reading.before != "–" for reading in self.readings)


class ComparisonView(View):
    """Two jobs side by side, as pages of their own."""

    language: str
    """Language of the page."""
    title: str
    """Its title."""
    boat: str
    """Name of the boat."""
    day: str
    """Date of the later visit."""
    precedence: str
    """The note that local rules come first."""
    letterhead: Letterhead
    """The user's own."""
    changes: ChangesView
    """What has changed."""


class ContactEntry(View):
    """A picture of the contact sheet."""

    name: str
    """Name of the file."""
    picture: str | None
    """A data: address."""
    note: str
    """When it was taken, or why it cannot be shown."""

"""The remedy as it is printed: proposals, before and after, parts, estimate. Every word and number is settled."""

from __future__ import annotations

from lugbook.model.diagram import DiagramView
from lugbook.model.view_base import View


class ProposedDevice(View):
    """A fuse or breaker that is proposed. With anything missing its figures are withheld."""

    name: str
    """What it is called."""
    place: str
    """Where it stands."""
    figures: tuple[tuple[str, str], ...]
    """Rating, largest fault current, breaking capacity, equipment limit: a label and a value each."""
    missing: str | None
    """What has to be known first; none if its figures are given."""


class ProposalView(View):
    """One thing that is proposed."""

    id: str
    """Its id in the findings."""
    title: str
    """What is proposed."""
    accepted: bool
    """Whether a named person has accepted it."""
    status: str
    """By whom and when, or that nobody has."""
    answers: tuple[tuple[str, str], ...]
    """The defects that it puts right: numbered title and anchor."""
    unknown: str | None
    """Ids that name no defect of this report."""
    changes: tuple[str, ...]
    """What changes, a line each."""
    devices: tuple[ProposedDevice, ...]
    """Its fuses and breakers."""
    hours: str | None
    """Time that it takes."""
    note: str | None
    """Anything else. Markdown."""


class ComparedView(View):
    """A subject before and after."""

    subject: str
    """What it is about."""
    analysis: str
    """Which analysis."""
    before: str
    """The verdict today."""
    after: str
    """The verdict after the remedy."""
    before_key: str
    """The same as a word of the format; 'none' where nothing is said."""
    after_key: str
    """The same for after."""
    says: str
    """What is said of it after the remedy; of today where nothing is said after."""


class PartView(View):
    """A line of the parts list."""

    group: str
    """Which drawer it comes from, in words."""
    what: str
    """What to buy."""
    quantity: str
    """How much, spares and waste included."""
    of_which: str
    """What of it is spare or waste."""
    uses: str
    """Where it goes."""


class PartsView(View):
    """The parts list."""

    rows: tuple[PartView, ...]
    """The lines, by drawer."""
    missing: tuple[str, ...]
    """What cannot be bought yet, and why."""
    notes: tuple[str, ...]
    """How waste and spares are counted."""


class EstimateView(View):
    """The estimate. It is no quotation."""

    rows: tuple[tuple[str, str], ...]
    """A label and a range each; the last row is the sum."""
    notes: tuple[str, ...]
    """What it holds and leaves out, how it is rounded, and what it is not."""
    short: str
    """The same in a sentence, for the first page."""


class RemedyView(View):
    """What is proposed, and what comes of it."""

    intro: tuple[str, ...]
    """What this section is."""
    proposals: tuple[ProposalView, ...]
    """The proposals, those accepted first."""
    summary: str | None
    """How many departures there are before and after; none if nothing accepted changes the installation."""
    compared: tuple[ComparedView, ...]
    """Before and after, by subject."""
    diagram: DiagramView | None
    """The line diagram after the remedy."""
    parts: PartsView | None
    """What to buy; none if nothing is accepted."""
    estimate: EstimateView | None
    """What it takes; none if nothing is accepted."""

"""The findings file: what the electrician writes."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any, Literal, Self, get_args

from pydantic import BeforeValidator, ConfigDict, ValidationInfo, WithJsonSchema, model_validator

from lugbook.model.decided import DecisionWord, Role
from lugbook.model.late import Late
from lugbook.model.quantity import Kind, Quantity
from lugbook.model.scalars import (
    Clock,
    Count,
    Day,
    DefectId,
    ExtentField,
    Field,
    Fraction,
    Frozen,
    Headline,
    Ident,
    Line,
    Text,
    YesNo,
    fault,
    quantity_of,
    quantity_pattern,
    read_quantity,
)
from lugbook.model.schema import lacks, needs, when
from lugbook.model.terminal import Terminal
from lugbook.model.vocabulary import (
    ActBy,
    Afloat,
    BatteryTest,
    ChargeStage,
    Danger,
    Exposure,
    Feature,
    Harms,
    Level,
    MarkKind,
    Now,
    ProbabilityWord,
    ReadingKind,
    ResultWord,
    SeverityWord,
    ShoreLead,
)

if TYPE_CHECKING:
    from lugbook.model.installation import Installation
    from lugbook.model.remedy import Proposal
    from lugbook.model.shore import ShoreVisit
else:
    Installation = Annotated[Any, Late("installation", "Installation")]
    Proposal = Annotated[Any, Late("remedy", "Proposal")]
    ShoreVisit = Annotated[Any, Late("shore", "ShoreVisit")]

Point = tuple[Fraction, Fraction]
Box = tuple[Point, Point]

# What each kind of mark needs besides its own name, and what it may have.
MARK_KEYS: dict[str, tuple[frozenset[str], frozenset[str]]] = {
    "arrow": (frozenset({"at", "to"}), frozenset({"text"})),
    "ring": (frozenset({"at", "size"}), frozenset({"text"})),
    "box": (frozenset({"at", "to"}), frozenset({"text"})),
    "path": (frozenset({"points"}), frozenset({"text"})),
    "number": (frozenset({"at", "text"}), frozenset()),
    "label": (frozenset({"at", "text"}), frozenset()),
}


MARK_PARTS = frozenset({"at", "to", "size", "points", "text"})
MARK_RULES: list[Any] = [
    when("mark", [kind], {"allOf": [needs(*sorted(needed)), lacks(*sorted(MARK_PARTS - needed - allowed))]})
    for kind, (needed, allowed) in MARK_KEYS.items()
]


class Mark(Frozen):
    """A mark drawn on a picture in the report. Coordinates run from 0,0 (upper left) to 1,1 (lower right)."""

    model_config = ConfigDict(json_schema_extra={"allOf": MARK_RULES})

    mark: MarkKind
    """arrow (at: tail, to: tip), ring (at, size), box (at, to: opposite corners), path (points), number, label (at, text)."""
    at: Point | None = None
    """Where the mark stands."""
    to: Point | None = None
    """The tip of an arrow, the other corner of a box."""
    size: Fraction | None = None
    """Diameter of a ring as a share of the picture's shorter side."""
    points: tuple[Point, ...] = ()
    """The corners of a dotted path."""
    text: Annotated[Line, WithJsonSchema({"type": ["string", "number"], "maxLength": 40})] | None = None
    """The number, or a short label."""

    @model_validator(mode="after")
    def _complete(self) -> Self:
        needed, allowed = MARK_KEYS[self.mark]
        given = {key for key in MARK_PARTS if getattr(self, key)}
        missing, extra = sorted(needed - given), sorted(given - needed - allowed)
        if missing or extra:
            what = f"needs {', '.join(missing)}" if missing else f"does not take {', '.join(extra)}"
            raise fault("P108", f"the mark '{self.mark}' {what}", "see the list of marks in docs/findings.md")
        if self.points and len(self.points) < 2:
            raise fault("P108", "a path has at least two points")
        if self.text is not None and len(self.text) > 40:
            raise fault("P109", "the text of a mark has at most 40 characters")
        return self


class Photo(Frozen):
    """A picture of the job."""

    file: Line
    """The file's name inside the folder photos/."""
    caption: Line
    """Printed under the picture."""
    alt: Line
    """What the picture shows, for those who cannot see it."""
    marks: tuple[Mark, ...] = ()
    """Marks drawn over it in the report."""
    private: YesNo = False
    """Left out of copies for third parties."""
    cover: tuple[Box, ...] = ()
    """Boxes, by two opposite corners, that copies for third parties show as solid blocks."""


class Person(Frozen):
    """Somebody named in the report."""

    name: Line | None = None
    """Name."""
    address: Text | None = None
    """Postal address."""
    contact: Line | None = None
    """Telephone or mail."""


class Client(Person):
    """Who ordered the report."""

    interest: Line | None = None
    """The client's interest in the boat: buyer, owner, insurer."""


class Electrician(Person):
    """Who looked, measured and judges."""

    business: Line | None = None
    """Trading name."""
    competence: Line | None = None
    """Training and registration."""
    insurance: Line | None = None
    """Professional insurance."""
    interest: Line | None = None
    """Own interest, for instance whether they will quote for the repair."""


class Craft(Frozen):
    """The boat."""

    name: Line | None = None
    """Name."""
    kind: Line | None = None
    """Kind of craft, such as coastal motor-sailer."""
    identification: Line | None = None
    """Hull identification number or registration."""
    builder: Line | None = None
    """Builder."""
    built: Count | None = None
    """Year of build."""
    length: quantity_of("length") | None = None  # type: ignore[valid-type]
    """Length of hull."""
    hull: Line | None = None
    """Hull material."""
    fuel: Line | None = None
    """Engine fuel."""
    system: Line | None = None
    """Nominal voltages on board, such as 12 V d.c. and 230 V a.c. from shore."""
    alterations: Text | None = None
    """Alterations told by the owner."""
    fitted: dict[Feature, YesNo | None] = Field(default_factory=dict)
    """What is fitted: yes, no, or empty while not known. Items for absent things are not asked."""
    photo: Photo | None = None
    """A picture of the boat for the first page."""


class Visit(Frozen):
    """When, where and in what state the boat was seen."""

    date: Day | None = None
    """Date of the inspection."""
    start: Clock | None = None
    """Begin."""
    finish: Clock | None = None
    """End."""
    place: Line | None = None
    """Where the boat lay."""
    afloat: Afloat | None = None
    """Afloat or ashore."""
    shore_lead: ShoreLead | None = None
    """The shore lead."""
    energised: Line | None = None
    """What was energised."""
    present: tuple[Line, ...] = ()
    """Who was present."""
    opened: tuple[Line, ...] = ()
    """Panels and lockers opened."""


class Instrument(Frozen):
    """A measuring instrument."""

    id: Ident
    """Named by readings."""
    name: Line
    """Kind of instrument, in general words."""
    serial: Line | None = None
    """Serial number."""
    calibrated: Day | None = None
    """Last calibration."""
    due: Day | None = None
    """Next calibration."""
    check: Line | None = None
    """The check before use."""


class Signature(Frozen):
    """Who signs."""

    name: Line | None = None
    """Name as signed."""
    date: Day | None = None
    """Date of signature."""
    place: Line | None = None
    """Place of signature."""
    image: Line | None = None
    """A picture of the signature: a file name inside photos/."""


class Terms(Frozen):
    """The user's own terms; none ship."""

    reference: Line
    """Which terms, such as 'Terms of business, sheet 3'."""
    date: Day
    """Their date."""


class ReportHead(Frozen):
    """Everything about the report itself."""

    number: Line
    """Number of the report."""
    date: Day | None = None
    """Date of the report."""
    language: Ident = "en"
    """Language of the report: en, de, or one of your own; see docs/adding-a-language.md."""
    written_in: Ident | None = None
    """Language of your own texts, if it is not that of the report: they are marked, so that they are read out rightly."""
    said_first: Line | None = None
    """What is to be read before anything else on the first page, such as that the report is a sample."""
    purpose: Line | None = None
    """Purpose, such as pre-purchase review."""
    checklists: tuple[Line, ...]
    """Shipped checklists by id, or a file of your own inside the job folder."""
    instructed: Day | None = None
    """When the order was given."""
    scope: Text | None = None
    """What was agreed to be looked at. Markdown."""
    client: Client = Client.absent()
    """Who ordered it."""
    owner: Person = Person.absent()
    """Who owns the boat."""
    permission: Line | None = None
    """Who gave permission to board."""
    reliance: Line | None = None
    """Who may rely on the report."""
    electrician: Electrician = Electrician.absent()
    """Who looked."""
    craft: Craft = Craft.absent()
    """The boat, and what is fitted in her."""
    visit: Visit = Visit.absent()
    """The visit."""
    limitations: tuple[Text, ...] = ()
    """What could not be looked at, and why. Markdown."""
    instruments: tuple[Instrument, ...] = ()
    """Instruments used."""
    basis: tuple[Line, ...] = ()
    """What it was judged against, in words."""
    distribution: tuple[Line, ...] = ()
    """Who gets a copy."""
    picture_times: YesNo = False
    """Print when each picture was taken, as its camera says."""
    signature: Signature = Signature.absent()
    """The signature."""
    terms: Terms | None = None
    """Your own terms, by reference."""


READING_KINDS: dict[str, tuple[Kind, ...]] = {
    "voltage": ("voltage",),
    "current": ("current",),
    "resistance": ("resistance",),
    "insulation resistance": ("resistance",),
    "temperature": ("temperature",),
    "relative density": ("density",),
    "time": ("time",),
    "torque": ("torque",),
    "power": ("power",),
    "frequency": ("frequency",),
    "length": ("length",),
    "charge": ("charge",),
}


READING_RULES: list[Any] = [
    when("quantity", [word], {"properties": {"value": {"pattern": quantity_pattern(*kinds)}}})
    for word, kinds in READING_KINDS.items()
]


def _read_value(value: Any, info: ValidationInfo) -> Quantity:
    every = tuple(kind for kinds in READING_KINDS.values() for kind in kinds)
    return read_quantity(value, *READING_KINDS.get(info.data.get("quantity", ""), every))


AnyQuantity = quantity_of(*dict.fromkeys(kind for kinds in READING_KINDS.values() for kind in kinds))
BATTERY_RULES: list[Any] = [
    when("test", [*get_args(BatteryTest)], needs("battery")),
    when("test", ["charging"], needs("stage")),
]


class ReadingLimit(Frozen):
    """What a reading is held against, where neither basis nor checklist has a limit."""

    model_config = ConfigDict(json_schema_extra={"oneOf": [needs("at_most"), needs("at_least")]})

    at_most: AnyQuantity | None = None  # type: ignore[valid-type]
    """The largest value that is in order."""
    at_least: AnyQuantity | None = None  # type: ignore[valid-type]
    """The smallest value that is in order."""
    source: Line
    """Where it comes from, such as the plate on the holder, or common practice."""

    @model_validator(mode="after")
    def _one_of_two(self) -> Self:
        if (self.at_most is None) == (self.at_least is None):
            raise fault("P102", "a limit is either 'at_most' or 'at_least'", "keep one of the two keys")
        return self

    @property
    def value(self) -> Quantity:
        """The limit itself."""
        found: Quantity | None = self.at_most or self.at_least
        assert found is not None, "one of the two is there"
        return found

    def verdict(self, value: Quantity) -> Literal["within", "departure", "cannot be decided"]:
        """A reading against the limit. What the instrument shows only as a bound may not decide it."""
        limit, least = self.value.value, self.at_least is not None
        good = value.value >= limit if least else value.value <= limit
        if not value.bound:
            return "within" if good else "departure"
        above = value.bound == ">"
        if above == least:
            return "within" if good else "cannot be decided"
        beyond = value.value <= limit if least else value.value >= limit
        return "departure" if beyond else "cannot be decided"


class Reading(Frozen):
    """A measured value."""

    model_config = ConfigDict(json_schema_extra={"allOf": [*READING_RULES, *BATTERY_RULES]})

    id: Ident
    """Named by results and defects."""
    quantity: ReadingKind
    """What was measured."""
    value: Annotated[Quantity, BeforeValidator(_read_value), WithJsonSchema({"type": "string"})]
    """The value with its unit, such as 12.62 V; > 200 Mohm where the instrument shows only a limit."""
    place: Line
    """Between which points."""
    state: Line | None = None
    """State of the boat: what was on, what was running."""
    instrument: Ident | None = None
    """Id of the instrument."""
    time: Clock | None = None
    """When."""
    at: tuple[Terminal, Terminal] | None = None
    """For a voltage: from which terminal of the installation to which; conductor.from is the lug at that end."""
    in_: Terminal | None = Field(default=None, alias="in")
    """For a current: the conductor (positive towards 'to'), battery (positive while it charges) or source."""
    current: quantity_of("current") | None = None  # type: ignore[valid-type]
    """For a voltage: the current that flowed at the same moment in the conductor named under 'in'; in a test of a battery its own, without sign."""
    state_id: Ident | None = None
    """The state of the installation that it was taken in."""
    after: quantity_of("time") | None = None  # type: ignore[valid-type]
    """How long that state had lasted; compared with a relay's delay."""
    within: quantity_of("voltage", "current") | None = None  # type: ignore[valid-type]
    """Largest error of the instrument at this value; left out, that of a common meter is taken."""
    note: Line | None = None
    """Anything else."""
    before: Ident | None = None
    """After work: id of the reading that was taken before it, of the same quantity. Both are printed side by side."""
    limit: ReadingLimit | None = None
    """What it is held against, where neither basis nor checklist has a limit."""
    battery: Terminal | None = None
    """Which battery or block of the installation it was read on, such as house or house.block-1."""
    test: BatteryTest | None = None
    """What was done with that battery: rest, loaded, charging or density."""
    stage: ChargeStage | None = None
    """For charging: the stage, bulk, absorption or float."""
    rest: quantity_of("time") | None = None  # type: ignore[valid-type]
    """For rest: time since it was last charged or loaded, such as 10 h."""
    temperature: quantity_of("temperature") | None = None  # type: ignore[valid-type]
    """Temperature of the battery."""
    maker: tuple[quantity_of("voltage"), quantity_of("voltage")] | None = None  # type: ignore[valid-type]
    """For charging: lowest and highest voltage that the battery's maker gives for this stage and temperature."""

    @model_validator(mode="after")
    def _limit_of_its_kind(self) -> Self:
        if self.limit is not None and self.limit.value.kind != self.value.kind:
            raise fault(
                "P120", f"the limit is a {self.limit.value.kind}, and the reading a {self.value.kind}"
            )
        return self

    @model_validator(mode="after")
    def _of_a_battery(self) -> Self:
        if self.test is not None and self.battery is None:
            raise fault("P102", f"the test '{self.test}' needs the key 'battery': which one was tested")
        if self.test == "charging" and self.stage is None:
            raise fault("P102", "the test 'charging' needs the key 'stage': bulk, absorption or float")
        wanted = "relative density" if self.test == "density" else "voltage"
        if self.test is not None and self.quantity != wanted:
            raise fault("P120", f"the test '{self.test}' takes a {wanted}, not a {self.quantity}")
        if self.test is not None and not 0.001 <= self.value.value <= 1000:
            raise fault("P121", f"a {wanted} of a battery lies above zero and up to 1000")
        if self.current is not None and abs(self.current.value) > 5000:
            raise fault("P121", "a current of at most 5 kA is expected here")
        if self.maker is not None and self.maker[0].value > self.maker[1].value:
            raise fault(
                "P121", "the lowest voltage of 'maker' stands above the highest", "write [lowest, highest]"
            )
        return self

    @model_validator(mode="after")
    def _of_the_installation(self) -> Self:
        if self.at is not None and self.quantity != "voltage":
            raise fault("P120", f"'at' takes a voltage, not a {self.quantity}", "name a conductor under 'in'")
        if self.in_ is not None and self.quantity == "voltage" and self.current is None:
            raise fault(
                "P102", "'in' of a voltage needs the key 'current': what flowed there at the same moment"
            )
        if self.in_ is not None and self.quantity not in ("voltage", "current"):
            raise fault("P120", f"'in' takes a current, not a {self.quantity}")
        if self.within is not None and self.within.kind != self.value.kind:
            raise fault("P120", f"'within' is a {self.within.kind}, and the reading a {self.value.kind}")
        return self


class PastReading(Frozen):
    """A value that was measured at an earlier visit."""

    model_config = ConfigDict(json_schema_extra={"allOf": READING_RULES})

    quantity: ReadingKind
    """What was measured."""
    value: Annotated[Quantity, BeforeValidator(_read_value), WithJsonSchema({"type": "string"})]
    """The value with its unit."""
    place: Line
    """Between which points. A reading of this visit with the same place and quantity is set beside it."""
    state: Line | None = None
    """State of the boat."""


class PastDecision(Frozen):
    """The last decision of an earlier visit, copied from its trail."""

    decision: DecisionWord
    """What was decided."""
    by: Role
    """Who decided."""
    date: Day
    """When."""
    authority: Line
    """What let them decide."""
    channel: Line
    """How it was made known."""
    revision: Count
    """The revision that they were shown."""
    evidence: Line | None = None
    """Sum of the file that shows it."""
    note: Text | None = None
    """A sentence that belongs to it."""


class Carried(Frozen):
    """What an earlier report said of a defect. 'lugbook revisit' writes it; leave it as it is."""

    report: Line
    """Number of the earlier report."""
    revision: Count | None = None
    """Its revision; empty if it was never issued."""
    id: DefectId
    """Id of the defect there: the same as here."""
    first_seen: Day | None = None
    """The day on which it was seen first."""
    visited: Day | None = None
    """The day of the earlier visit."""
    title: Headline
    """Its headline then."""
    level: Level
    """Its risk level then."""
    act_by: ActBy | None = None
    """By when to act, as of then."""
    seen: Text
    """What was seen then. Markdown."""
    readings: tuple[PastReading, ...] = ()
    """What was measured then."""
    photos: tuple[Photo, ...] = ()
    """Pictures of then, copied into photos/."""
    decided: PastDecision | None = None
    """The last decision about it."""
    history: tuple[Line, ...] = ()
    """Visits before that one, a line each."""


# What 'lugbook revisit' writes into `seen` of a carried defect: it must be replaced before the report is issued.
NOT_LOOKED = "Not looked at again yet."


class RiskOverride(Frozen):
    """A level other than the matrix gives; both are printed."""

    level: Level
    """The level that the inspector sets."""
    reason: Text
    """Why."""


class DefectBase(Frozen):
    """What a defect holds wherever it stands."""

    id: DefectId | None = None
    """Given by 'lugbook check --fix'; never reused."""
    title: Headline
    """A short headline, at most 90 characters."""
    place: Line
    """Where on the boat."""
    at: Terminal | None = None
    """The same place in the installation: a terminal, conductor, device or other element."""
    disagree: Text | None = None
    """Why the inspector does not follow a computed judgement about the same item and place. Both are printed."""
    seen: Text
    """What was seen. Markdown."""
    until_then: Line | None = None
    """What to do, or not to do, until it is put right: one short line for the first page."""
    told: Text | None = None
    """What the owner said. Markdown."""
    opinion: Text | None = None
    """The inspector's opinion, marked as such. Markdown."""
    readings: tuple[Ident, ...] = ()
    """Ids of readings that belong to it."""
    exposure: Exposure = "usual"
    """Selects the item's usual probability."""
    heat_mark: YesNo = False
    """Heat or arcing has already left a mark: then never improbable."""
    risk: RiskOverride | None = None
    """A level other than the matrix gives, with the reason."""
    photos: tuple[Photo, ...] = ()
    """Pictures."""
    now: Now | None = None
    """For a defect of an earlier visit: fixed, open, worse, or gone (no longer applicable)."""
    carried: Carried | None = None
    """What the earlier report said of it; 'lugbook revisit' writes this."""

    @model_validator(mode="after")
    def _now_of_something(self) -> Self:
        if self.now is not None and self.carried is None:
            raise fault(
                "P207", "'now' belongs to a defect of an earlier visit, and this one has no 'carried'"
            )
        return self


class Defect(DefectBase):
    """A departure from a checklist item. What is not given comes from the item."""

    severity: SeverityWord | None = None
    """Severity here."""
    probability: ProbabilityWord | None = None
    """Probability here."""
    harms: Harms | None = None
    """Whom it harms first."""
    danger: Danger | None = None
    """Present now, or latent."""
    service: YesNo | None = None
    """Needed to keep the boat afloat or seen."""
    why: Text | None = None
    """Why it matters. Markdown."""
    remedy: Text | None = None
    """What to do. Markdown."""


class ExtraDefect(DefectBase):
    """A departure that no item of the checklist asks for."""

    severity: SeverityWord
    """Severity."""
    probability: ProbabilityWord
    """Probability."""
    harms: Harms = "people"
    """Whom it harms first."""
    danger: Danger = "latent"
    """Present now, or latent."""
    service: YesNo = False
    """Needed to keep the boat afloat or seen."""
    why: Text
    """Why it matters. Markdown."""
    remedy: Text
    """What to do. Markdown."""
    source: Line = "common practice"
    """What it is judged against."""


RESULT_RULES: list[Any] = [
    when("result", ["further investigation", "not applicable", "not inspected"], needs("reason")),
    when("result", ["no departure seen", "defect", "further investigation"], needs("extent")),
    when("result", ["defect"], needs("defects")),
    when(
        "result",
        ["no departure seen", "further investigation", "not applicable", "not inspected"],
        {
            "properties": {
                "defects": {"anyOf": [{"type": "null"}, {"type": "array", "items": needs("carried")}]}
            }
        },
    ),
]


class Result(Frozen):
    """The answer to one item."""

    model_config = ConfigDict(json_schema_extra={"allOf": RESULT_RULES})

    item: Ident
    """Id of the checklist item."""
    result: ResultWord | None
    """The result; empty while unanswered."""
    extent: ExtentField | None = None
    """How far it was looked at: whole, part seen, sample 4 of 12; tested or not tested."""
    reason: Text | None = None
    """Required for further investigation, not applicable and not inspected. Markdown."""
    note: Text | None = None
    """What was observed. Markdown."""
    told: Text | None = None
    """What the owner said. Markdown."""
    readings: tuple[Ident, ...] = ()
    """Ids of readings that belong to it."""
    see: tuple[DefectId, ...] = ()
    """Defects entered under another item that concern this one too."""
    photos: tuple[Photo, ...] = ()
    """Pictures."""
    defects: tuple[Defect, ...] = ()
    """The departures found."""


class Disagreement(Frozen):
    """A computed departure that the inspector takes for none; both are printed."""

    item: Ident
    """The checklist item that it speaks to."""
    at: Terminal
    """The element of the installation that it stands at."""
    reason: Text
    """Why."""


class Findings(Frozen):
    """One visit."""

    format: Literal["lugbook-findings-1"]
    """The format of this file."""
    last_defect: Count = 0
    """The highest defect number ever given; 'lugbook check --fix' counts it up."""
    report: ReportHead
    """The report itself."""
    readings: tuple[Reading, ...] = ()
    """What was measured."""
    shore: tuple[ShoreVisit, ...] = ()
    """What qualified people measured on the mains side, by mode of supply."""
    results: tuple[Result, ...] = ()
    """The answers, item by item."""
    extra: tuple[ExtraDefect, ...] = ()
    """Defects that no item asks for."""
    installation: Installation | None = None
    """What is there: batteries, conductors, devices, loads. The more is entered, the more is computed."""
    disagree: tuple[Disagreement, ...] = ()
    """Computed departures that the inspector takes for none, with the reason. Both are printed."""
    remedy: tuple[Proposal, ...] = ()
    """What is proposed. Without a named designer it is a suggestion, and enters neither parts list nor estimate."""
    rates: Line | None = None
    """A file with your own prices inside the job's folder, such as rates.yaml. It is attached to nothing."""

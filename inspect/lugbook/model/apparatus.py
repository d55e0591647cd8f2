"""The written form of batteries, sources, converters, switches, relays and loads."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import BeforeValidator, Field, model_validator

from lugbook.model.scalars import Count, Frozen, Ident, Line, YesNo, fault
from lugbook.model.terminal import Terminal
from lugbook.model.wiring import (
    Amps,
    Area,
    Charge,
    Device,
    Duration,
    Element,
    Few,
    Length,
    Position,
    Power,
    Resistance,
    Run,
    Share,
    Space,
    Volts,
)

Chemistry = Literal["flooded", "agm", "gel", "lifepo4", "other lithium", "not known"]
LITHIUM = frozenset({"lifepo4", "other lithium"})
CrankingStandard = Literal["SAE", "EN", "IEC", "DIN", "not known"]
TakeOff = Literal["one end", "opposite ends", "bus bars"]
BmsSide = Literal["low side", "high side", "external", "none", "not known"]
SourceKind = Literal["alternator", "mains charger", "pv", "wind", "generator", "fuel cell", "other"]
FieldControl = Literal["internal", "external", "not known"]
ConverterKind = Literal["dc-dc", "inverter", "inverter-charger", "pv-controller", "equaliser", "other"]
Direction = Literal["in", "out", "both"]
SwitchKind = Literal["on-off", "parallel-link", "off-1-both-2", "off-1-2", "two-pole", "own"]
RelayKind = Literal["relay", "combiner", "contactor"]
Duty = Literal["continuous", "short-time"]
LoadKind = Literal["lamp", "motor", "cranking motor", "electronics", "heater", "other"]
Need = Literal["afloat", "seen", "alarm", "none"]

Pairs = tuple[tuple[str, str], ...]
# A position that closes nothing may be written as [] or left empty.
ContactPairs = Annotated[
    tuple[tuple[Position, Position], ...], BeforeValidator(lambda value: [] if value is None else value)
]
# Contacts of the common switches, and which of them each position closes. The first position named under
# `usual` is where the switch stands when a state does not name it.
SWITCHES: dict[str, tuple[tuple[str, ...], dict[str, Pairs], str]] = {
    "on-off": (("in", "out"), {"off": (), "on": (("in", "out"),)}, "on"),
    "parallel-link": (("in", "out"), {"off": (), "on": (("in", "out"),)}, "off"),
    "off-1-both-2": (
        ("common", "1", "2"),
        {
            "off": (),
            "1": (("common", "1"),),
            "both": (("common", "1"), ("common", "2")),
            "2": (("common", "2"),),
        },
        "1",
    ),
    "off-1-2": (("common", "1", "2"), {"off": (), "1": (("common", "1"),), "2": (("common", "2"),)}, "1"),
    "two-pole": (
        ("pos-in", "pos-out", "neg-in", "neg-out"),
        {"off": (), "on": (("pos-in", "pos-out"), ("neg-in", "neg-out"))},
        "on",
    ),
}


class Lithium(Frozen):
    """What watches over a lithium battery."""

    switches: BmsSide = "not known"
    """Which side the battery's own switch opens; external if it only drives a contactor."""
    charge_disconnect: YesNo | None = None
    """Whether it tells the chargers to stop before it opens."""
    low_temperature: YesNo | None = None
    """Whether it refuses charge when cold."""
    limit: Amps | None = None
    """Continuous current that it allows."""
    cell_short_circuit: Amps | None = None
    """Short-circuit current of the bare cells, from the maker."""


class BatteryLink(Run):
    """The cables between blocks of a bank; all alike."""

    length: Length
    """Length of each."""


class Battery(Element):
    """A battery, or a bank of equal blocks. Terminals: pos, neg; blocks also have their own (see series, parallel)."""

    chemistry: Chemistry = "not known"
    """How it is made."""
    volts: Volts | None = None
    """Nominal voltage of one block; left out, the system voltage divided by 'series'."""
    capacity: Charge | None = None
    """Capacity of one block."""
    capacity_at: Duration | None = None
    """The discharge time that the capacity is rated for, such as 20 h."""
    cca: Amps | None = None
    """Cold-cranking amperes of one block."""
    cca_standard: CrankingStandard = "not known"
    """The standard of that figure."""
    resistance: Resistance | None = None
    """Internal resistance of one block, measured or from the maker."""
    short_circuit: Amps | None = None
    """Short-circuit current of one block, from the maker."""
    series: Few = 1
    """Blocks in series; their joints are id.1 (above the first block), id.2 and so on."""
    parallel: Few = 1
    """Blocks, or strings of blocks, side by side."""
    link: BatteryLink | None = None
    """The cables between the blocks."""
    take_off: TakeOff = "opposite ends"
    """Where the boat's cables leave a bank of blocks side by side."""
    string_device: Device | None = None
    """A fuse in the positive of each string."""
    lithium: Lithium | None = None
    """For lithium batteries."""
    year: Count | None = None
    """Year of make."""
    starts: YesNo = False
    """Whether it starts the engine."""
    pos: Terminal | None = None
    """A node that the positive sits on directly."""
    neg: Terminal | None = None
    """A node that the negative sits on directly."""
    enclosed: YesNo | None = None
    """Whether it stands in a closed space, such as a box or locker, from which battery gas must find its way."""
    vent: Area | None = None
    """Free area of the high opening of that space to the open air; the low one is as large."""


class Source(Element):
    """An alternator, mains charger, panel of solar cells or the like. Terminals: pos (or 1, 2, 3), neg, sense, field."""

    kind: SourceKind
    """What it is."""
    current: Amps
    """Greatest current: cold maximum of an alternator, short-circuit current of solar cells."""
    self_limited: YesNo | None = None
    """Whether it cannot give more than that, whatever is across it."""
    volts: tuple[Volts, Volts] | None = None
    """Lowest and highest voltage that it charges with, or its open-circuit voltage twice."""
    outputs: Few = 1
    """Outputs that are kept apart inside; terminals 1, 2, 3 instead of pos if more than one."""
    output_current: Amps | None = None
    """What each of several outputs gives at most, by its maker: the whole current again if any one may give it all."""
    field: FieldControl | None = None
    """Where an alternator's field is controlled."""
    pos: Terminal | None = None
    """A node that the positive sits on directly."""
    neg: Terminal | None = None
    """A node that the negative sits on directly, such as engine."""
    sense: Terminal | None = None
    """A node whose voltage it senses directly; left out, its own output unless a conductor goes to id.sense."""


class Port(Frozen):
    """One d.c. side of a converter."""

    name: Position
    """Its terminal is id.name; with isolated sides, the negative is id.name-neg."""
    direction: Direction
    """in, out or both."""
    volts: tuple[Volts, Volts] | None = None
    """Lowest and highest voltage."""
    current: Amps | None = None
    """Greatest current through this side."""
    power: Power | None = None
    """Greatest power through this side."""


class Converter(Element):
    """A d.c.-d.c. charger, inverter, solar controller or equaliser. Terminals: one a port, and neg."""

    kind: ConverterKind
    """What it is."""
    ports: tuple[Port, ...] = ()
    """Its d.c. sides; an inverter has one."""
    isolated: YesNo = False
    """Whether the sides have negatives of their own."""
    back_feed: YesNo | None = None
    """Whether current can flow back from out to in."""
    efficiency: Share | None = None
    """Share of the power that comes out."""
    constant_power: YesNo | None = None
    """Draws more current as its input voltage falls."""
    idle: Amps | None = None
    """Current that it draws when nothing comes out."""
    neg: Terminal | None = None
    """A node that the common negative sits on directly."""


class Diode(Element):
    """A diode or a diode splitter: lets current from in to 1, 2 and so on only."""

    outputs: Few = 1
    """How many outputs."""
    current: Amps | None = None
    """Rated current."""
    drop: Volts | None = None
    """Voltage across it at that current."""


class Switch(Element):
    """A switch. Terminals: its contacts."""

    kind: SwitchKind = "on-off"
    """One of the common ones; 'own' with contacts and positions written out."""
    contacts: tuple[Position, ...] = ()
    """Names of the contacts (kind own)."""
    positions: dict[Position, ContactPairs] = Field(default_factory=dict)
    """What each position closes: {off: [], 1: [[common, 1]]} (kind own)."""
    usual: Position | None = None
    """Where it stands unless a state says otherwise."""
    make_before_break: YesNo | None = None
    """Whether it closes the next contact before it opens the last."""
    current: Amps | None = None
    """Rated current, continuous."""
    short_time: Amps | None = None
    """Rated current for a short time, such as cranking."""


class Relay(Element):
    """A relay, contactor or voltage-sensing combiner. Terminals: a, b, and for its control coil-pos and coil-neg."""

    kind: RelayKind = "relay"
    """What it is."""
    normally: Literal["open", "closed"] = "open"
    """Where it stands without control."""
    cut_in: Volts | None = None
    """Voltage at which a combiner closes."""
    cut_out: Volts | None = None
    """Voltage at which it opens."""
    delay: Duration | None = None
    """Delay before it closes."""
    senses: tuple[Literal["a", "b"], ...] = ()
    """Which sides it senses."""
    coil: Amps | None = None
    """Current of the coil or the control circuit."""
    current: Amps | None = None
    """Rated current, continuous."""
    short_time: Amps | None = None
    """Rated current for a short time."""


class LoadFields(Frozen):
    """What a load draws, and how much it is needed."""

    kind: LoadKind = "other"
    """What it is."""
    current: Amps | None = None
    """Current that it draws; either this or power."""
    power: Power | None = None
    """Power that it draws; either this or current."""
    duty: Duty = "continuous"
    """continuous, or short-time as a windlass or a starter."""
    stall: Amps | None = None
    """Current of a motor that is held fast."""
    max_fuse: Amps | None = None
    """Largest fuse that the maker allows."""
    needed: Need = "none"
    """Needed to stay afloat, to be seen, or as an alarm."""
    critical: YesNo | None = None
    """Whether the smaller voltage drop counts; left out, if it is needed."""
    constant_power: YesNo | None = None
    """Draws more current as the voltage falls, as electronics do."""

    @model_validator(mode="after")
    def _current_or_power(self) -> Self:
        if (self.current is None) == (self.power is None):
            given = (
                "neither 'current' nor 'power' is given"
                if self.power is None
                else "both 'current' and 'power' are given"
            )
            raise fault("P610", given, "write one of them, such as 'current: 5 A' or 'power: 60 W'")
        return self


class Load(LoadFields, Element):
    """Something that draws current. Terminals: pos, neg."""

    pos: Terminal | None = None
    """A node that the positive sits on directly."""
    neg: Terminal | None = None
    """A node that the negative sits on directly, such as engine."""


class Circuit(LoadFields, Run):
    """Shorthand: a load, its feed and its return in one entry. It expands to id, id.feed and id.return."""

    id: Ident
    """The load; its terminals are id.pos and id.neg."""
    title: Line | None = None
    """What it is called on the drawing."""
    from_: Terminal = Field(alias="from")
    """The positive bus or panel that feeds it."""
    to: Terminal
    """The negative bus that it returns to."""
    length: Length
    """Length of the feed, one way; the return is taken as long."""
    space: Space | None = None
    """The hottest place that feed and return pass through."""
    device: Device | None = None
    """The fuse or breaker at the 'from' end."""
    note: Line | None = None
    """Anything else."""

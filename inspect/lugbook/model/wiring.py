"""The written form of conductors, their ends and the overcurrent devices in them.

What the electrician writes from a sketch. `network.py` holds the expanded form that the analyses walk.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Annotated, Any, Literal, Self

from pydantic import BeforeValidator, Field, WithJsonSchema, model_validator

from lugbook.model.quantity import Kind, Quantity
from lugbook.model.scalars import (
    Count,
    Frozen,
    Ident,
    Line,
    YesNo,
    fault,
    quantity_of,
    read_count,
    read_quantity,
)
from lugbook.model.terminal import WORD, Terminal, shaped, text_like

POSITION = re.compile(WORD)
GAUGE = re.compile(r"(?:AWG ?)?(\d{1,2}|[1-4]/0|0{2,4})", re.IGNORECASE)
# Other ways to write the four sizes above AWG 1.
NOUGHTS = {"0": "1/0", "00": "2/0", "000": "3/0", "0000": "4/0"}
GAUGES = (*(str(n) for n in range(24, 0, -1)), "1/0", "2/0", "3/0", "4/0")
# Studs that have a size, and the three words that stand in its place.
STUDS = (
    "M3", "M4", "M5", "M6", "M8", "M10", "M12", "M14", "M16", "#6", "#8", "#10", "1/4", "5/16", "3/8", "1/2",
)  # fmt: skip
STUD_WORDS = ("post", "clamp", "unknown")

Stranding = Literal["class 2", "class 5"]
DeviceKind = Literal["fuse", "breaker"]
DeviceClass = Literal[
    "blade",
    "bolt-in strip",
    "post",
    "cartridge",
    "glass",
    "high-rupturing",
    "thermal",
    "magnetic",
    "not known",
]
Space = Literal["accommodation", "engine space", "battery space", "duct", "bilge", "deck", "panel"]
Metal = Literal["copper", "tinned copper", "brass", "aluminium", "steel", "stainless steel", "not known"]
Crimp = Literal["crimped", "soldered", "crimped and soldered", "clamp screw", "spring clamp", "not known"]
Enclosure = Literal["none", "sheath", "conduit", "panel"]
# What a conductor is insulated with, by its usual short names.
InsulationMaterial = Literal["pvc", "xlpe", "epr", "rubber", "silicone"]
ConductorUse = Literal["power", "cranking", "charging", "link", "sense", "control"]


def read_position(value: Any) -> str:
    """A switch position or contact, as written: `off`, `1` and `both` need no quotes here."""
    return shaped(value, POSITION, "a position: small letters, digits and hyphens, such as off or 1")


def read_gauge(value: Any) -> str:
    """An American wire gauge: `6`, `AWG 6`, `2/0` or `00`."""
    match = GAUGE.fullmatch(value) if isinstance(value, str) else None
    label = NOUGHTS.get(match[1], match[1]) if match else ""
    if label not in GAUGES:
        raise fault(
            "P606",
            f"'{value}' is not an American wire gauge from 24 to 4/0",
            "write for instance AWG 6 or 2/0",
        )
    return label


def read_stud(value: Any) -> str:
    """A stud by its size, or `post`, `clamp` or `unknown`."""
    if value not in STUDS and value not in STUD_WORDS:
        raise fault(
            "P612", f"'{value}' is not a stud known here", f"known: {', '.join((*STUDS, *STUD_WORDS))}"
        )
    return str(value)


def read_few(value: Any) -> int:
    """A whole number from 1 to 12: blocks, outputs, conductors side by side."""
    count = read_count(value)
    if not 1 <= count <= 12:
        raise fault("P121", f"'{count}' must be a whole number from 1 to 12")
    return count


def read_multiple(value: Any) -> float:
    """A multiple of a rating."""
    if (
        isinstance(value, str)
        and re.fullmatch(r"[0-9]{1,3}([.][0-9]{1,3})?", value)
        and 1 <= float(value) <= 100
    ):
        return float(value)
    raise fault("P121", f"'{value}' must be a number from 1 to 100")


def above_zero(*kinds: Kind) -> Callable[[Any], Quantity]:
    """A reader of quantities of these kinds that are above zero and no mere limit."""

    def read(value: Any) -> Quantity:
        quantity = read_quantity(value, *kinds)
        if quantity.value <= 0 or quantity.bound:
            raise fault("P121", f"'{value}' must be a number above zero")
        return quantity

    return read


def shape(kind: Kind) -> WithJsonSchema:
    """What editors are told of such a quantity."""
    schema: WithJsonSchema = quantity_of(kind).__metadata__[1]
    return schema


Position = Annotated[str, BeforeValidator(read_position), text_like(f"^{WORD}$")]
Gauge = Annotated[str, BeforeValidator(read_gauge), text_like(f"^{GAUGE.pattern}$")]
Stud = Annotated[str, BeforeValidator(read_stud), WithJsonSchema({"enum": [*STUDS, *STUD_WORDS]})]

Few = Annotated[
    int, BeforeValidator(read_few), WithJsonSchema({"type": "integer", "minimum": 1, "maximum": 12})
]

Multiple = Annotated[
    float, BeforeValidator(read_multiple), WithJsonSchema({"type": "number", "minimum": 1, "maximum": 100})
]

Length = Annotated[Quantity, BeforeValidator(above_zero("length")), shape("length")]
Area = Annotated[Quantity, BeforeValidator(above_zero("area")), shape("area")]
Volts = Annotated[Quantity, BeforeValidator(above_zero("voltage")), shape("voltage")]
Amps = Annotated[Quantity, BeforeValidator(above_zero("current")), shape("current")]
Power = Annotated[Quantity, BeforeValidator(above_zero("power")), shape("power")]
Resistance = Annotated[Quantity, BeforeValidator(above_zero("resistance")), shape("resistance")]
Charge = Annotated[Quantity, BeforeValidator(above_zero("charge")), shape("charge")]
Duration = Annotated[Quantity, BeforeValidator(above_zero("time")), shape("time")]
Torque = Annotated[Quantity, BeforeValidator(above_zero("torque")), shape("torque")]
Joules = Annotated[Quantity, BeforeValidator(above_zero("joule integral")), shape("joule integral")]
Share = Annotated[Quantity, BeforeValidator(above_zero("share")), shape("share")]
Temperature = Annotated[
    Quantity, BeforeValidator(lambda value: read_quantity(value, "temperature")), shape("temperature")
]
Offset = Annotated[Quantity, BeforeValidator(lambda value: read_quantity(value, "length")), shape("length")]


class Element(Frozen):
    """What every element of the installation has."""

    id: Ident
    """Unique in the installation; terminals are written id.terminal."""
    title: Line | None = None
    """What it is called on the drawing."""
    studs: dict[Position, Stud] = Field(default_factory=dict)
    """Stud of each terminal: {pos: M8, neg: M8}; post, clamp or unknown where there is no stud size."""
    space: Space | None = None
    """Where it is mounted."""
    note: Line | None = None
    """Anything else."""


class Device(Frozen):
    """A fuse or a circuit breaker."""

    id: Ident | None = None
    """Named where a result points at it; made from the conductor's id if left out."""
    title: Line | None = None
    """What it is called on the drawing."""
    kind: DeviceKind = "fuse"
    """fuse or breaker."""
    type: DeviceClass = "not known"
    """How it is built; it decides the clearing times."""
    rating: Amps | None = None
    """Rated current; required."""
    volts: Volts | None = None
    """Rated voltage as marked."""
    dc: YesNo | None = None
    """Whether it is marked for direct current."""
    breaks: tuple[tuple[Volts, Amps], ...] = ()
    """Breaking capacity, d.c., as pairs: [[14 V, 5 kA], [32 V, 2 kA]]."""
    let_through: Joules | None = None
    """Largest I2t that it lets through while it clears a short, from its maker, such as 1200 A2s."""
    curve: tuple[tuple[Multiple, Duration], ...] = ()
    """Longest opening times from its maker: multiple of the rating and time, [[2, 10 s], [6, 0.2 s]]."""
    polarised: YesNo = False
    """A breaker that must not be fed backwards."""
    line: Literal["from", "to"] = "from"
    """Towards which end a polarised breaker's line side looks."""
    continuous: Share | None = None
    """Share of its rating that the maker allows without a break, such as 100 %."""
    holder: Line | None = None
    """The holder, and what stands on it."""
    stud: Stud | None = None
    """Stud of its holder, where it stands in a conductor: its two lugs are made for it."""

    @model_validator(mode="after")
    def _has_rating(self) -> Self:
        if self.rating is None:
            raise fault("P609", "this device has no rating", "add 'rating: 50 A'")
        for (before, slow), (after, soon) in zip(self.curve, self.curve[1:], strict=False):
            if after <= before or soon.value > slow.value:
                raise fault(
                    "P619",
                    f"the curve's point at {after:g} does not follow the one at {before:g}",
                    "write rising multiples, with times that do not rise",
                )
        return self


class Placed(Device):
    """A device in a conductor."""

    at: Offset | None = None
    """Distance from the conductor's 'from' end along it; left out, at that end."""


class End(Frozen):
    """How one end of a conductor is made off."""

    barrel: Area | None = None
    """Conductor size stamped on the lug's barrel."""
    barrel_awg: Gauge | None = None
    """The same as a gauge."""
    hole: Length | None = None
    """Diameter of the hole, measured."""
    hole_for: Stud | None = None
    """The stud that the lug is stamped for."""
    crimp: Crimp | None = None
    """How it is joined."""
    metal: Metal | None = None
    """Metal of the lug."""
    torque: Torque | None = None
    """Torque as found or as set."""
    torque_range: tuple[Torque, Torque] | None = None
    """The maker's torque, from and to."""


class Run(Frozen):
    """What a length of conductor is, wherever it stands."""

    area: Area | None = None
    """Area of copper; either this or awg."""
    awg: Gauge | None = None
    """American wire gauge; either this or area."""
    insulation: Temperature | None = None
    """Temperature rating of the insulation, as printed on it."""
    insulation_material: InsulationMaterial | None = None
    """pvc, xlpe, epr, rubber or silicone, as printed on it or from its maker: what it stands for a moment in a short."""
    strands: Stranding | None = None
    """class 2 (stranded) or class 5 (flexible)."""
    tinned: YesNo | None = None
    """Whether the strands are tinned."""
    ambient: Temperature | None = None
    """Temperature around it, if measured."""
    bundle: Count | None = None
    """How many current-carrying conductors lie together, this one included."""
    enclosed: Enclosure | None = None
    """Sheath, conduit, panel or trunking over its whole length; or none."""
    colour: Line | None = None
    """Colour of the insulation. In a parts list: red, black for the return and green-yellow for bonding if left out."""

    @model_validator(mode="after")
    def _one_size(self) -> Self:
        if self.area is not None and self.awg is not None:
            raise fault(
                "P605", "both 'area' and 'awg' are given", "keep the one that is printed on the conductor"
            )
        if self.area is None and self.awg is None:
            raise fault("P605", "the size is missing", "write for instance 'area: 10 mm2' or 'awg: AWG 6'")
        rating = self.insulation
        if rating is not None and not 60 <= round(rating.value, 6) <= 200:
            raise fault(
                "P607",
                f"insulation for {rating.number} {rating.unit} is in no table",
                "tables run from 60 to 200 degC",
            )
        return self


class Conductor(Run):
    """A conductor from one terminal to another."""

    id: Ident
    """Unique in the installation."""
    title: Line | None = None
    """What it is called on the drawing."""
    from_: Terminal = Field(alias="from")
    """The terminal at which distances along it begin."""
    to: Terminal
    """The other terminal."""
    length: Length
    """Length of this conductor, one way."""
    space: Space | None = None
    """The hottest place it passes through."""
    use: ConductorUse = "power"
    """power, cranking, charging, link (between the blocks of one bank that are entered apart), sense or control."""
    parallel: Few = 1
    """How many equal conductors lie side by side between the same terminals."""
    devices: tuple[Placed, ...] = ()
    """Fuses and breakers in it."""
    ends: dict[Literal["from", "to"], End] = Field(default_factory=dict)
    """How the ends are made off."""
    note: Line | None = None
    """Anything else."""


class Bond(Run):
    """A conductor that only joins metal parts or bodies: engine strap, bonding, earthing."""

    id: Ident
    """Unique in the installation."""
    title: Line | None = None
    """What it is called on the drawing."""
    from_: Terminal = Field(alias="from")
    """One end."""
    to: Terminal
    """The other end."""
    length: Length | None = None
    """Length, if known."""
    ends: dict[Literal["from", "to"], End] = Field(default_factory=dict)
    """How the ends are made off."""
    note: Line | None = None
    """Anything else."""


class Join(Frozen):
    """Two terminals bolted together, or joined by a bar: no resistance worth a figure."""

    id: Ident
    """Unique in the installation."""
    title: Line | None = None
    """What it is called on the drawing."""
    from_: Terminal = Field(alias="from")
    """One terminal."""
    to: Terminal
    """The other terminal."""
    note: Line | None = None
    """Anything else."""

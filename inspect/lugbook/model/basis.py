"""A basis: the limits that judgements use, as data, each with its source; and how it binds."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Annotated, Any, Literal, Self

from pydantic import BeforeValidator, Field, WithJsonSchema, model_validator

from lugbook.model.scalars import Count, Day, Frozen, Ident, Line, Text, YesNo, fault, read_text
from lugbook.model.vocabulary import Known
from lugbook.model.wiring import Area, Gauge, Length, Share, Temperature, Torque, Volts, read_gauge

BasisKind = Literal["law", "standard", "practice"]
Label = Literal["law in force", "standard at build", "current standard", "good practice"]
Fuel = Literal["petrol", "diesel", "gas", "electric", "none"]
Supply = Literal["d.c.", "a.c."]
SourceRule = Literal["battery", "alternator", "charger", "other source", "reduction", "any"]
Condition = Literal["always", "nearest impractical", "enclosed throughout"]
Exemption = Literal[
    "cranking",
    "self-limited",
    "inside equipment",
    "pigtail",
    "small electronics",
    "ignition",
    "communication",
]
HoleSeries = Literal["fine", "medium", "coarse"]


def read_factor(value: Any) -> float:
    """A plain number above 0 and at most 10, written as a decimal."""
    text = read_text(value) if isinstance(value, str) else ""
    try:
        number = float(text)
    except ValueError:
        number = 0.0
    if not text.replace(".", "", 1).isdigit() or not 0 < number <= 10:
        raise fault(
            "P121", f"'{value}' is not a factor above 0 and at most 10", "write a decimal such as 0.85"
        )
    return number


def read_size(value: Any) -> str:
    """The size that heads a row of a table: a gauge, or an area in mm2 without its unit."""
    text = str(value)
    if text.replace(".", "", 1).isdigit() and float(text) > 0 and not text.startswith("00"):
        return text
    return read_gauge(value)


Factor = Annotated[
    float,
    BeforeValidator(read_factor),
    WithJsonSchema({"type": "number", "exclusiveMinimum": 0, "maximum": 10}),
]
Size = Annotated[str, BeforeValidator(read_size), WithJsonSchema({"type": ["string", "number"]})]


class InForce(Frozen):
    """When a basis is in force."""

    since: Day | None = Field(default=None, alias="from")
    """First day; empty if not known or not dated."""
    to: Day | None = None
    """Last day; empty if still in force."""


class Limit(Frozen):
    """What every limit says of itself."""

    clause: Line
    """The clause, or 'common practice'."""
    subject: Line
    """What the clause is about, in our own words."""
    known: Known
    """How the figure is known: read in a copy of the text, second-hand, or recalled."""
    note: Line | None = None
    """A caution about it."""
    in_force: InForce | None = None
    """From when to when, if that differs from the basis as a whole."""


class AmpacityTable(Limit):
    """Current that a conductor carries continuously, by size and insulation rating; amperes."""

    unit: Literal["AWG", "mm2"]
    """What the rows are headed with."""
    ambient: Temperature
    """The ambient temperature that the table is for."""
    ratings: tuple[Count, ...]
    """Insulation ratings that head the columns, degC."""
    rows: dict[Size, tuple[Count, ...]]
    """Amperes by size, one value for each rating."""
    exempt: tuple[Exemption, ...] = ()
    """Conductors that it does not bind."""

    @model_validator(mode="after")
    def _whole(self) -> Self:
        for size, row in self.rows.items():
            if len(row) != len(self.ratings):
                raise fault(
                    "P632",
                    f"the row '{size}' has {len(row)} values for {len(self.ratings)} ratings",
                    "one value for each rating",
                )
        return self


class AmbientFactors(Limit):
    """Factor on the table by insulation rating, in a hot place."""

    ambient: Temperature
    """The ambient temperature that the factors are for."""
    engine_space: YesNo = True
    """Whether the basis applies it to every engine space."""
    factors: dict[str, Factor]
    """By insulation rating, degC."""

    @model_validator(mode="after")
    def _ratings(self) -> Self:
        for rating in self.factors:
            if not rating.isdigit():
                raise fault(
                    "P632", f"'{rating}' is not an insulation rating", "write degrees Celsius, such as 105"
                )
        return self


class Bundling(Limit):
    """Factor on the table by the number of current-carrying conductors together."""

    least_volts: Volts | None = None
    """Nominal voltage from which it binds; empty means any."""
    bands: dict[Count, Factor]
    """The least number of conductors, and the factor from there on."""


class Distance(Limit):
    """How far along the conductor the overcurrent device may stand from its source of power."""

    source: SourceRule
    """Kind of source; 'reduction' is a step to a smaller conductor."""
    distance: Length
    """Greatest distance along the conductor."""
    condition: Condition = "always"
    """When this distance counts."""
    exempt: tuple[Exemption, ...] = ()
    """Conductors that it does not bind."""


class DeviceRating(Limit):
    """Greatest rating of a device by what its conductor carries."""

    below_volts: Volts | None = None
    """Nominal voltage below which it counts."""
    from_volts: Volts | None = None
    """Nominal voltage from which it counts."""
    factor: Factor
    """Share of the ampacity."""
    next_size: Factor | None = None
    """If that is no standard size, the next larger one up to this share."""
    corrected: YesNo
    """Whether the ampacity is corrected for ambient and bundling first."""
    exempt: tuple[Exemption, ...] = ()
    """Conductors that it does not bind."""


class SourceDevice(Limit):
    """Rating of the device in the output of a charging source, as shares of its greatest current."""

    least: Factor | None = None
    """At least this share, so that it does not open in service."""
    most: Factor | None = None
    """At most this share."""
    exempt: tuple[Exemption, ...] = ()
    """Sources that it does not bind."""


class VoltageDrop(Limit):
    """Greatest drop, there and back, as a share of the nominal voltage."""

    critical: Share
    """Where the circuit is vital."""
    other: Share
    """Elsewhere."""


class ContinuousLoad(Limit):
    """How much of a device's rating a continuous load may use."""

    share: Share
    """Share of the rating, unless the device's maker says otherwise."""


class SmallestConductor(Limit):
    """The smallest conductor allowed."""

    alone: Area | None = None
    """Installed by itself."""
    alone_awg: Gauge | None = None
    """The same as a gauge."""
    sheathed: Area | None = None
    """Inside a sheath with others."""
    sheathed_awg: Gauge | None = None
    """The same as a gauge."""
    out_of_sheath: Length | None = None
    """How far the sheathed size may leave the sheath."""
    longer_than: Length | None = None
    """Shorter conductors are free."""
    exempt: tuple[Exemption, ...] = ()
    """Conductors that it does not bind."""


class Supports(Limit):
    """Greatest distance between supports."""

    general: Length
    """Of conductors in general."""
    battery: Length | None = None
    """Of battery conductors up to the battery switch."""
    first: Length | None = None
    """From a battery terminal to the first support."""


class Number(Limit):
    """A count that may not be passed."""

    most: Count
    """The greatest number."""


class BatteryMovement(Limit):
    """How far a battery may move under a pull."""

    distance: Length
    """Greatest movement in any direction."""
    times_weight: Factor
    """The pull, as a multiple of the battery's weight."""
    pounds_force: Count | None = None
    """The pull need not be more than this, lbf."""


class BatteryTilt(Limit):
    """Inclination without loss of electrolyte, degrees."""

    degrees: Count
    """Any craft."""
    sailing: Count | None = None
    """Containment on a monohull under sail."""


class FuelClearance(Limit):
    """Metal parts of the fuel system above a battery."""

    height: Length
    """Height above the battery within which they are shielded."""


class Required(Limit):
    """A plain rule without a figure."""

    required: YesNo = True
    """Whether it is asked for."""
    exempt: tuple[Exemption, ...] = ()
    """What it does not bind."""


class CrankingEstimate(Limit):
    """Internal resistance of a warm battery from its cold-cranking figure."""

    factor: Factor
    """Factor on the cold resistance for the maximum case."""


class LugHole(Limit):
    """The clearance series that a lug's hole may not pass."""

    series: HoleSeries
    """Of the published clearance holes."""


class TorqueByStud(Limit):
    """Torque of clamped joints where no maker gives one."""

    studs: dict[str, tuple[Torque, Torque]]
    """From and to, by stud."""


class Limits(Frozen):
    """All limits of a basis; what it does not speak of is left out."""

    ampacity: tuple[AmpacityTable, ...] = ()
    """Ampacity tables, one a system of sizes."""
    ambient: tuple[AmbientFactors, ...] = ()
    """Factors for hot places."""
    bundling: Bundling | None = None
    """Factors for conductors together."""
    overcurrent: tuple[Distance, ...] = ()
    """Where the device stands."""
    device_rating: tuple[DeviceRating, ...] = ()
    """How large it may be."""
    device_voltage: Required | None = None
    """Its voltage rating is at least the nominal voltage."""
    earthed_pole: Required | None = None
    """No fuse or single-pole switch in an earthed pole."""
    charging_device: SourceDevice | None = None
    """The device in the output of a charging source."""
    continuous_load: ContinuousLoad | None = None
    """Continuous load on a device."""
    voltage_drop: VoltageDrop | None = None
    """Voltage drop."""
    smallest_conductor: SmallestConductor | None = None
    """Smallest conductor."""
    supports: Supports | None = None
    """Supports."""
    lugs_per_stud: Number | None = None
    """Lugs on a stud."""
    lug_hole: LugHole | None = None
    """Hole against stud."""
    spring_terminals: Required | None = None
    """No battery terminal held by a spring."""
    torque: TorqueByStud | None = None
    """Torque."""
    terminal_cover: Required | None = None
    """Live terminals are covered."""
    chafe: Required | None = None
    """Conductors are protected where they pass through a rigid part."""
    battery_movement: BatteryMovement | None = None
    """Battery restraint."""
    battery_tilt: BatteryTilt | None = None
    """Battery inclination."""
    fuel_clearance: FuelClearance | None = None
    """Metal fuel parts above a battery."""
    common_earth: Required | None = None
    """Several engines share a conductor between their earthed starters."""
    cranking_estimate: CrankingEstimate | None = None
    """Fault current from the cold-cranking figure."""


class Applies(Frozen):
    """To what a basis applies."""

    supply: tuple[Supply, ...] = ("d.c.",)
    """d.c., a.c. or both."""
    below_volts: Volts | None = None
    """Greatest nominal voltage."""
    fuels: tuple[Fuel, ...] = ()
    """Engines' fuel; empty means any."""
    outboards: YesNo = True
    """Whether outboard engines count."""
    longest: Length | None = None
    """Greatest length of hull."""


class BasisFile(Frozen):
    """A basis as written."""

    format: Literal["lugbook-basis-1"]
    """The format of this file."""
    id: Ident
    """The file's name without .yaml."""
    title: Line
    """Title in the report."""
    edition: Line
    """Edition, or the day on which this text was fixed."""
    kind: BasisKind | None = None
    """law, standard or practice; taken from 'based_on' if left out."""
    in_force: InForce | None = None
    """From when to when."""
    binds: Line | None = None
    """Whom it binds."""
    applies: Applies | None = None
    """To what it applies."""
    purpose: Text | None = None
    """What it is for, and what to beware of."""
    based_on: Ident | None = None
    """A shipped basis whose limits count where this file has none."""
    limits: Limits = Limits()
    """The limits."""


@dataclass(frozen=True, slots=True)
class Override:
    """A limit of a shipped basis that the job's own basis replaces."""

    key: str
    basis: str
    by: str


@dataclass(frozen=True, slots=True)
class Basis:
    """A resolved basis. `origin` names, for each limit, the basis that it comes from."""

    id: str
    title: str
    edition: str
    kind: BasisKind
    since: date | None
    to: date | None
    binds: str
    applies: Applies
    limits: Limits
    origin: Mapping[str, str]
    overridden: tuple[Override, ...]

    def bound(self, *, volts: float, fuel: Fuel | None, outboard: bool | None, hull: float | None) -> bool:
        """Whether a boat is among those that the basis applies to; what is not known counts as not.

        `volts` nominal, `hull` its length in metres.
        """
        applies = self.applies
        fits = applies.below_volts is None or volts <= applies.below_volts.value
        fits = fits and (not applies.fuels or fuel in applies.fuels)
        fits = fits and (applies.outboards or outboard is False)
        return fits and (applies.longest is None or (hull is not None and hull <= applies.longest.value))

    def label(self, *, built: int | None, on: date, bound: bool, limit: Limit | None = None) -> Label:
        """How a departure is labelled for a boat built in the year `built`, on the day `on`.

        `bound`: whether the boat is among those that the basis applies to; figures borrowed from a basis that
        does not bind the boat are good practice. `limit`: the limit departed from, if it has dates of its own.
        """
        since, to = self.since, self.to
        if limit is not None and limit.in_force is not None:
            since, to = limit.in_force.since, limit.in_force.to
        now = (since is None or since <= on) and (to is None or on <= to)
        if self.kind == "practice" or not bound:
            return "good practice"
        if self.kind == "law":
            return "law in force" if now else "good practice"
        if now:
            return "current standard"
        then = (
            built is not None and (since is None or since.year <= built) and (to is None or built <= to.year)
        )
        return "standard at build" if then else "good practice"

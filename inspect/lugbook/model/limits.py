"""The limits of a basis: every one with its clause, and how its figure is known."""

from __future__ import annotations

from typing import Annotated, Any, Literal, Self

from pydantic import BeforeValidator, Field, WithJsonSchema, model_validator

from lugbook.model.scalars import Count, Day, Frozen, Line, YesNo, fault, read_text
from lugbook.model.vocabulary import Known
from lugbook.model.wiring import (
    Amps,
    Area,
    DeviceClass,
    Duration,
    Gauge,
    Length,
    Share,
    Temperature,
    Torque,
    Volts,
    read_gauge,
)

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


class DeviceClassFigures(Limit):
    """What a class of fuses or breakers is held to by its standard: opening times, and breaking capacity."""

    device: DeviceClass
    """The class, as devices name it under 'type'."""
    gates: dict[str, Duration] = Field(default_factory=dict)
    """Longest opening time by multiple of the rating, such as {2: 5 s, 3.5: 0.5 s}."""
    gates_least: dict[str, Duration] = Field(default_factory=dict)
    """Shortest opening time by multiple of the rating; drawn in charts, and judged by nothing."""
    breaks: tuple[tuple[Volts, Amps], ...] = ()
    """Breaking capacity, d.c., as pairs of volts and amperes, where a device's own is not entered."""
    largest: Amps | None = None
    """The largest rating that the standard covers."""

    @model_validator(mode="after")
    def _multiples(self) -> Self:
        for multiple in (*self.gates, *self.gates_least):
            if not multiple.replace(".", "", 1).isdigit() or not 1 < float(multiple) <= 100:
                raise fault(
                    "P632", f"'{multiple}' is not a multiple of the rating", "write a number such as 3.5"
                )
        return self


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
    device_classes: tuple[DeviceClassFigures, ...] = ()
    """Opening times and breaking capacity by class of device."""

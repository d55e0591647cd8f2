"""A basis: the limits that judgements use, whom it binds, and how departures from it are labelled."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Literal

from lugbook.model.limits import (
    AmbientFactors,
    AmpacityTable,
    BatteryMovement,
    BatteryTilt,
    Bundling,
    Condition,
    ContinuousLoad,
    CrankingEstimate,
    DeviceClassFigures,
    DeviceRating,
    Distance,
    Exemption,
    FuelClearance,
    HoleSeries,
    InForce,
    Limit,
    Limits,
    LugHole,
    Number,
    Required,
    SmallestConductor,
    SourceDevice,
    SourceRule,
    Supports,
    TorqueByStud,
    VoltageDrop,
)
from lugbook.model.scalars import Frozen, Ident, Line, Text, YesNo
from lugbook.model.wiring import Length, Volts

BasisKind = Literal["law", "standard", "practice"]
Label = Literal["law in force", "standard at build", "current standard", "good practice"]
Fuel = Literal["petrol", "diesel", "gas", "electric", "none"]
Supply = Literal["d.c.", "a.c."]


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
    limits: Limits = Limits.absent()
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
        if self.kind == "law":  # a law for makers does not reach back to boats that are older, or may be
            reaches = built is not None and (since is None or since.year <= built)
            return "law in force" if now and reaches else "good practice"
        if now:
            return "current standard"
        then = (
            built is not None and (since is None or since.year <= built) and (to is None or built <= to.year)
        )
        return "standard at build" if then else "good practice"


# The limits belong to a basis: both are imported from here.
__all__ = [
    "AmbientFactors",
    "AmpacityTable",
    "Applies",
    "Basis",
    "BasisFile",
    "BasisKind",
    "BatteryMovement",
    "BatteryTilt",
    "Bundling",
    "Condition",
    "ContinuousLoad",
    "CrankingEstimate",
    "DeviceClassFigures",
    "DeviceRating",
    "Distance",
    "Exemption",
    "Fuel",
    "FuelClearance",
    "HoleSeries",
    "InForce",
    "Label",
    "Limit",
    "Limits",
    "LugHole",
    "Number",
    "Override",
    "Required",
    "SmallestConductor",
    "SourceDevice",
    "SourceRule",
    "Supply",
    "Supports",
    "TorqueByStud",
    "VoltageDrop",
]

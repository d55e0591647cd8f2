"""The question that `lugbook size` answers: what was asked, what is refused, what is missing, and the answer.

Quantities keep the form in which they were written. Everything computed is SI, as in `model.evidence`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from lugbook.model.apparatus import Duty
from lugbook.model.evidence import Amount, Evidence
from lugbook.model.limits import Condition, DeviceClassFigures
from lugbook.model.quantity import Quantity
from lugbook.model.vocabulary import Known
from lugbook.model.wiring import InsulationMaterial, Space

Feed = Literal["battery", "alternator", "mains charger"]
Chemistry = Literal["lead", "lithium", "not known"]
Rating = Literal["SAE", "EN", "IEC", "DIN", "not known"]
Unit = Literal["mm2", "AWG"]
FaultHow = Literal["resistance", "short circuit", "cranking"]

# Larger currents [A] are beyond what a single cable on a small craft is for.
MOST_CURRENT = 1000.0
PLACES: dict[str, Space] = {
    "accommodation": "accommodation", "engine-space": "engine space", "battery-space": "battery space",
    "duct": "duct", "bilge": "bilge", "deck": "deck", "panel": "panel",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Refusal:
    """One thing in the question that cannot be: the option, what is wrong, and what to write instead."""

    option: str
    message: str
    hint: str = ""


@dataclass(frozen=True, slots=True)
class Missing:
    """A fact without which no figure is given, and the option that brings it."""

    what: Literal["fault current", "equipment limit", "place"]
    give: str


@dataclass(frozen=True, slots=True)
class Question:
    """A cable to be sized. `one_way` is the length of one conductor [m]; None is what was not said."""

    current: Quantity | None
    power: Quantity | None
    inverter: bool
    efficiency: Quantity | None
    lowest: Quantity | None
    length: Quantity
    both_ways: bool
    insulation: Quantity
    material: InsulationMaterial | None
    place: Space | None
    ambient: Quantity | None
    bundle: int | None
    system: Quantity
    critical: bool
    duty: Duty
    duty_said: bool
    stall: Quantity | None
    max_fuse: Quantity | None
    no_max_fuse: bool
    cca: Quantity | None
    cca_standard: Rating
    short_circuit: Quantity | None
    resistance: Quantity | None
    chemistry: Chemistry
    charge_voltage: Quantity | None
    upstream: Quantity | None
    source: Feed
    self_limited: bool
    from_stud: str | None
    to_stud: str | None
    sheathed: bool
    unit: Unit | None
    bases: tuple[str, ...]

    @property
    def one_way(self) -> float:
        """Length of one conductor [m]."""
        return self.length.value / 2 if self.both_ways else self.length.value

    @property
    def missing(self) -> tuple[Missing, ...]:
        """What has to be known before any figure is given."""
        found: list[Missing] = []
        if self.cca is None and self.short_circuit is None and self.resistance is None:
            found.append(
                Missing(
                    "fault current",
                    "--battery-short-circuit 2.8kA, --battery-resistance 5mohm or --battery-cca 800A",
                )
            )
        if self.max_fuse is None and not self.no_max_fuse:
            found.append(
                Missing("equipment limit", "--max-fuse 60A, or --max-fuse none if its maker sets none")
            )
        if self.place is None:
            found.append(Missing("place", f"--place with one of {', '.join(PLACES)}"))
        return tuple(found)


@dataclass(frozen=True, slots=True)
class Bounding:
    """One rule that bounds the fuse [A]: a factor on `base`, which is the ampacity as corrected or as in the table."""

    rule: Literal[
        "design current",
        "continuous load",
        "charging output, least",
        "conductor",
        "maker",
        "stall",
        "charging output, most",
        "far end",
    ]
    value: float
    clause: str
    known: Known
    factor: float | None = None
    base: float | None = None
    corrected: bool = True


@dataclass(frozen=True, slots=True)
class Placing:
    """How far from a source along the conductor the fuse may stand [m], and when that distance counts."""

    source: Literal["battery", "reduction", "charging source"]
    distance: float
    condition: Condition
    clause: str
    known: Known


@dataclass(frozen=True, slots=True)
class Rejected:
    """A size that is too small, and the first reason. `least` is the smallest size that the basis allows."""

    size: str
    reason: Literal["smallest", "ampacity", "drop", "fuse", "far end"]
    has: Amount
    needs: Amount
    least: str = ""


@dataclass(frozen=True, slots=True)
class Lug:
    """A lug by barrel and hole [m], as the stud asks. `bore` is the barrel's inner diameter where a table has it."""

    end: Literal["from", "to"]
    stud: str
    barrel: str
    bore: float | None
    hole: float
    most: float | None
    clause: str


@dataclass(frozen=True, slots=True)
class FarEnd:
    """A short at the far end: its least current [A], and what it does to the fuse and the conductor.

    `stands` is how long the conductor bears it [s]; `longer` if that is only a lower bound; None where the limit of
    the insulation is not known. `opens` is the longest time of a fuse of the class [s], None where not known.
    """

    least: float
    most: float
    multiple: float
    stands: float | None
    longer: bool
    opens: float | None
    solid_only: bool


@dataclass(frozen=True, slots=True)
class Choice:
    """The answer under one basis. `size` is empty where nothing fits; `blocked` then says why."""

    basis: str
    title: str
    binds: str
    size: str
    area: float
    rating: float
    ratings: tuple[float, ...]
    least: tuple[Bounding, ...]
    most: tuple[Bounding, ...]
    places: tuple[Placing, ...]
    column: float
    ampacity: Evidence | None
    drop: Evidence | None
    drop_limited: bool
    far: FarEnd | None
    lugs: tuple[Lug, ...]
    rejected: tuple[Rejected, ...]
    blocked: Literal["", "no size", "no fuse"]
    evidence: tuple[Evidence, ...]


@dataclass(frozen=True, slots=True)
class FaultSource:
    """What the source can drive into a short at its terminals [A], and how that is known."""

    volts: float
    volts_assumed: bool
    emf: tuple[float, float]
    resistance: tuple[float, float]
    most: float
    how: FaultHow
    clause: str
    blades: DeviceClassFigures
    """What the basis holds blade fuse-links to."""

    @property
    def estimate(self) -> bool:
        """Whether it may rule a device out, but never in."""
        return self.how == "cranking"


@dataclass(frozen=True, slots=True)
class BladeFit:
    """Whether a blade fuse-link can break the fault; `why` is what speaks against it."""

    fits: Literal["yes", "no", "not known"]
    why: Literal["", "current", "voltage", "rating", "estimate"]


@dataclass(frozen=True, slots=True)
class Answer:
    """All that is printed. Without figures (`choices` empty) where something in `missing` has to be known first."""

    question: Question
    missing: tuple[Missing, ...]
    amperes: float
    fault: FaultSource | None
    classes: tuple[BladeFit, ...]
    choices: tuple[Choice, ...]
    assumptions: tuple[str, ...]

"""What is bought for an accepted remedy, and what it costs.

Lengths are whole millimetres and money is decimal, so that nothing is lost in adding up.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

PartKind = Literal[
    "cable",
    "fuse",
    "breaker",
    "holder",
    "lug",
    "clamp",
    "ferrule",
    "sleeve",
    "clip",
    "label",
    "element",
    "other",
]
EstimateKind = Literal["labour", "cable", "devices", "ends", "small parts", "elements", "other"]


@dataclass(frozen=True, slots=True)
class Use:
    """Where a part goes: an element's id, how many or how many millimetres, and at which terminal."""

    element: str
    count: int
    at: str = ""


@dataclass(frozen=True, slots=True)
class Part:
    """One line of the list.

    `what` is the class of a device, the title of an element or the words of the file. `size` is that of the conductor.
    `hole` is the diameter of a lug's hole for its `stud` [m]. `breaks` is the d.c. breaking capacity as marked:
    volts and amperes. `needed` and `spare` count pieces, or millimetres where `metres` is true; of cable, `spare` is
    the waste. `price` is where the rates file has its price.
    """

    kind: PartKind
    uses: tuple[Use, ...]
    needed: Decimal
    spare: Decimal
    metres: bool = False
    what: str = ""
    size: str = ""
    colour: str = ""
    insulation: float | None = None
    hole: float | None = None
    stud: str = ""
    rating: float | None = None
    volts: float | None = None
    breaks: tuple[tuple[float, float], ...] = ()

    @property
    def total(self) -> Decimal:
        """What to buy: pieces, or millimetres."""
        return self.needed + self.spare


@dataclass(frozen=True, slots=True)
class Wanting:
    """Something that cannot be bought yet, and what has to be known first."""

    element: str
    why: Literal["stud", "insulation", "fault current", "breaking capacity", "too weak", "equipment limit", "place", "voltage"]  # fmt: skip
    at: str = ""


@dataclass(frozen=True, slots=True)
class PartsList:
    """The list, in the order of the van's drawers, and what could not be put on it. `waste` is a share."""

    parts: tuple[Part, ...]
    wanting: tuple[Wanting, ...]
    waste: Decimal


@dataclass(frozen=True, slots=True)
class Range:
    """From `low` to `high`."""

    low: Decimal
    high: Decimal

    def __add__(self, other: Range) -> Range:
        return Range(self.low + other.low, self.high + other.high)

    def times(self, other: Range) -> Range:
        """The product of two ranges that lie at or above zero."""
        if min(self.low, other.low) < 0:
            raise ValueError("ranges below zero are not multiplied here")
        return Range(self.low * other.low, self.high * other.high)


@dataclass(frozen=True, slots=True)
class EstimateLine:
    """A kind of cost and its range, unrounded."""

    kind: EstimateKind
    amount: Range


@dataclass(frozen=True, slots=True)
class Estimate:
    """What an accepted remedy takes. Without rates, `currency` is empty and there are no lines.

    `seconds` is the working time of the proposals that say it, `untimed` the ids of those that do not. `unpriced` are
    parts without a price. `net` is the sum, `tax` what is added to it, `gross` both, all of them unrounded.
    """

    seconds: Range
    untimed: tuple[str, ...]
    pieces: int
    currency: str = ""
    lines: tuple[EstimateLine, ...] = ()
    unpriced: tuple[Part, ...] = ()
    net: Range = Range(Decimal(0), Decimal(0))
    tax_name: str = ""
    tax_rate: Decimal = Decimal(0)
    tax: Range = Range(Decimal(0), Decimal(0))

    @property
    def gross(self) -> Range:
        """With tax."""
        return self.net + self.tax

"""The user's own prices: `rates.yaml` in the job's folder. They stay there; a report holds sums only."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema

from lugbook.model.quantity import SPELLINGS
from lugbook.model.scalars import Frozen, Line, fault
from lugbook.model.wiring import Share, read_gauge

MONEY = re.compile(r"[0-9]{1,7}(\.[0-9]{1,4})?")
WITH_COMMA = re.compile(r"([0-9]{1,7}),([0-9]{1,4})")
SIZE = re.compile(r"([0-9]+(?:\.[0-9]+)?)\s*(\S.*)")
CURRENCY = re.compile(r"[A-Z]{3}")


@dataclass(frozen=True, slots=True)
class Money:
    """A price from `low` to `high`, without tax, in the currency of its file."""

    low: Decimal
    high: Decimal


def _figure(value: Any) -> Decimal:
    if not isinstance(value, str) or not MONEY.fullmatch(value):
        comma = WITH_COMMA.fullmatch(value) if isinstance(value, str) else None
        hint = f"write a decimal point: {comma[1]}.{comma[2]}" if comma else "write 9.50, or [9.50, 12]"
        raise fault("P121", f"'{value}' is not a price", hint)
    return Decimal(str(value))


def read_money(value: Any) -> Money:
    """`9.50`, or `[9.50, 12]` from low to high; digits with a decimal point, no currency."""
    pair = value if isinstance(value, list) else [value, value]
    if len(pair) != 2:
        raise fault("P121", "a price is one number or two", "write 9.50, or [9.50, 12]")
    low, high = _figure(pair[0]), _figure(pair[1])
    if low > high:
        raise fault("P121", f"the price {low} stands before {high}, yet is more", "write the lower one first")
    return Money(low, high)


def read_size(value: Any) -> str:
    """A conductor's size as the report writes it: `35 mm2` or `AWG 6`."""
    text = str(value)
    if text.upper().startswith("AWG"):
        return f"AWG {read_gauge(text)}"
    match = SIZE.fullmatch(text)
    if match is None or SPELLINGS.get(match[2], match[2]) != "mm2":
        raise fault("P120", f"'{value}' is not the size of a conductor", "write for instance 35 mm2 or AWG 6")
    return f"{Decimal(match[1])} mm2"


def _currency(value: Any) -> str:
    if not isinstance(value, str) or not CURRENCY.fullmatch(value):
        raise fault("P105", f"'{value}' is not a currency", "write its three letters, such as EUR or GBP")
    return str(value)


_PRICE: dict[str, Any] = {"type": "number", "minimum": 0}
Price = Annotated[
    Money,
    BeforeValidator(read_money),
    WithJsonSchema({"anyOf": [_PRICE, {"type": "array", "items": _PRICE, "minItems": 2, "maxItems": 2}]}),
]
Size = Annotated[str, BeforeValidator(read_size), WithJsonSchema({"type": "string", "minLength": 3})]
Currency = Annotated[
    str, BeforeValidator(_currency), WithJsonSchema({"type": "string", "pattern": "^[A-Z]{3}$"})
]


class Tax(Frozen):
    """The tax that is added to the sum."""

    name: Line
    """What it is called, such as VAT."""
    rate: Share
    """Its rate, such as 20 %."""


class Prices(Frozen):
    """Prices without tax. What has none is named in the estimate, and not counted."""

    cable: dict[Size, Price] = Field(default_factory=dict)
    """A metre of cable by size: {35 mm2: [9.50, 12]}."""
    lug: dict[Size, Price] = Field(default_factory=dict)
    """A crimped lug by the size of its barrel."""
    clamp: dict[Size, Price] = Field(default_factory=dict)
    """A clamp for a battery's post, by the size of its cable."""
    ferrule: dict[Size, Price] = Field(default_factory=dict)
    """A sleeve for a wire end under a clamp screw."""
    fuse: dict[Line, Price] = Field(default_factory=dict)
    """A fuse-link by class, or by class and rating: {bolt-in strip: [6, 9], bolt-in strip 150 A: 11}."""
    holder: dict[Line, Price] = Field(default_factory=dict)
    """A fuse holder by class."""
    breaker: dict[Line, Price] = Field(default_factory=dict)
    """A circuit breaker by class, or by class and rating."""
    sleeve: Price | None = None
    """A metre of sleeve for lugs."""
    clip: Price | None = None
    """A clip or tie that holds a cable."""
    label: Price | None = None
    """A label."""
    other: dict[Line, Price] = Field(default_factory=dict)
    """Anything else, by the words under 'parts' or by the element's title."""


class RatesFile(Frozen):
    """Your own prices."""

    format: Literal["lugbook-rates-1"]
    """The format of this file."""
    currency: Currency
    """Three letters, such as EUR."""
    labour: Price
    """An hour's work, without tax: 58, or [58, 66]."""
    tax: Tax | None = None
    """Tax that is added to the sum."""
    waste: Share | None = None
    """Cable bought beyond its length; left out, 10 %."""
    prices: Prices = Prices.absent()
    """Prices without tax."""

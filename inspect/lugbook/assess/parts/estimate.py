"""What an accepted remedy takes: hours and parts, and with the user's own rates a range of money.

Sums of ranges by interval arithmetic: the least of all together, and the most of all together. Nothing is rounded here.
"""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from lugbook.model.parts import Estimate, EstimateKind, EstimateLine, Part, PartKind, PartsList, Range
from lugbook.model.quantity import Quantity
from lugbook.model.rates import Money, Prices, RatesFile
from lugbook.model.remedy import Proposal

NOTHING = Range(Decimal(0), Decimal(0))
SECONDS = {"h": Decimal(3600), "min": Decimal(60), "s": Decimal(1), "ms": Decimal("0.001")}
HOUR, METRE = Decimal(3600), Decimal(1000)
KINDS: dict[PartKind, EstimateKind] = {
    "cable": "cable", "fuse": "devices", "breaker": "devices", "holder": "devices", "lug": "ends", "clamp": "ends",
    "ferrule": "ends", "sleeve": "small parts", "clip": "small parts", "label": "small parts", "element": "elements", "other": "other",
}  # fmt: skip


def estimate(accepted: Iterable[Proposal], listed: PartsList, rates: RatesFile | None) -> Estimate:
    """Hours and pieces of the accepted proposals, and what they cost."""
    proposals = tuple(accepted)
    seconds = sum((_seconds(one) for one in proposals), NOTHING)
    untimed = tuple(one.id for one in proposals if one.hours is None)
    if rates is None:
        return Estimate(seconds, untimed, len(listed.parts))
    sums: dict[EstimateKind, Range] = {"labour": _labour(seconds, rates.labour)}
    unpriced = []
    for part in listed.parts:
        price = price_of(part, rates.prices)
        if price is None:
            unpriced.append(part)
            continue
        kind = KINDS[part.kind]
        sums[kind] = sums.get(kind, NOTHING) + _cost(part, price)
    lines = tuple(EstimateLine(kind, amount) for kind, amount in sums.items())
    net = sum(sums.values(), NOTHING)
    rate = rates.tax.rate.number / 100 if rates.tax else Decimal(0)
    return Estimate(
        seconds=seconds,
        untimed=untimed,
        pieces=len(listed.parts),
        currency=rates.currency,
        lines=lines,
        unpriced=tuple(unpriced),
        net=net,
        tax_name=rates.tax.name if rates.tax else "",
        tax_rate=rate,
        tax=net.times(Range(rate, rate)),
    )


def waste_of(rates: RatesFile | None) -> Decimal | None:
    """The share of cable that is bought beyond its length, if the user says."""
    return rates.waste.number / 100 if rates is not None and rates.waste is not None else None


def _seconds(one: Proposal) -> Range:
    return NOTHING if one.hours is None else Range(*(_exact(time) for time in one.hours))


def _exact(time: Quantity) -> Decimal:
    return time.number * SECONDS[time.unit]


def _labour(seconds: Range, price: Money) -> Range:
    """Multiplied before it is divided, so that a third of an hour is no rounded number."""
    worked = seconds.times(Range(price.low, price.high))
    return Range(worked.low / HOUR, worked.high / HOUR)


def _cost(part: Part, price: Money) -> Range:
    amount = part.total / METRE if part.metres else part.total
    return Range(price.low, price.high).times(Range(amount, amount))


def price_of(part: Part, prices: Prices) -> Money | None:
    """The price of a piece, or of a metre; None if the file has none."""
    if part.kind == "sleeve":
        return prices.sleeve
    if part.kind == "clip":
        return prices.clip
    if part.kind == "label":
        return prices.label
    if part.kind in ("element", "other"):
        return prices.other.get(part.what)
    if part.kind in ("fuse", "breaker", "holder"):
        table: dict[str, Money] = getattr(prices, part.kind)
        rated = f"{part.what} {Decimal(str(part.rating)).normalize():f} A" if part.rating is not None else ""
        return table.get(rated) or table.get(part.what)
    sized: dict[str, Money] = getattr(prices, part.kind)
    return sized.get(part.size)

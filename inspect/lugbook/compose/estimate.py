"""The estimate in words. Ranges are rounded outwards, to the currency's smallest coin; in short, to whole tens."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from babel.numbers import format_currency, get_currency_precision

from lugbook.compose.common import Phrases
from lugbook.compose.parts import what_of
from lugbook.model.parts import Estimate, Range
from lugbook.model.remedy_view import EstimateView

TEN = Decimal(10)
LEFT = 3
"""Numbers of defects that are named on the first page as not in the sum; the rest are counted."""


def compose_estimate(
    found: Estimate, phrases: Phrases, designed: Sequence[int] = (), left: Sequence[int] = ()
) -> EstimateView:
    """Hours and parts; with rates, what they cost. `designed` and `left`: numbers of the defects in it and not in it."""
    words = phrases.words
    numbers = ", ".join(map(str, designed))
    covers = words.count("estimate.covers", len(designed), numbers=numbers) if designed else ""
    rows = [(words("estimate.hours"), hours_of(found.seconds, phrases))]
    notes = [words("estimate.no_quotation")]
    if found.untimed:
        notes.append(words("estimate.untimed", ids=", ".join(found.untimed)))
    if not found.currency:
        rows.append((words("estimate.parts"), words.count("estimate.lines", found.pieces)))
        notes.append(words("estimate.no_rates"))
        short = words("estimate.short_hours", covers=covers, hours=rows[0][1], parts=rows[1][1])
        return EstimateView(rows=tuple(rows), notes=tuple(notes), short=_short(short, left, phrases))
    rows += [
        (words(f"estimate.kind.{line.kind}"), money(line.amount, found.currency, phrases))
        for line in found.lines
    ]
    rows.append((words("estimate.net"), money(found.net, found.currency, phrases)))
    if found.tax_name:
        label = words("estimate.tax", name=found.tax_name, rate=_percent(found.tax_rate, phrases))
        rows.append((label, money(found.tax, found.currency, phrases)))
        rows.append((words("estimate.gross"), money(found.gross, found.currency, phrases)))
    notes.append(words("estimate.rounding"))
    if found.unpriced:
        what = "; ".join(what_of(part, phrases) for part in found.unpriced)
        notes.append(words("estimate.unpriced", what=what))
    key = "estimate.short" if not (found.unpriced or found.untimed) else "estimate.short_part"
    tax = words("estimate.with_tax", name=found.tax_name) if found.tax_name else words("estimate.without_tax")
    rough = money(outwards(found.gross, TEN), found.currency, phrases, whole=True)
    short = words(key, covers=covers, money=rough, tax=tax)
    return EstimateView(rows=tuple(rows), notes=tuple(notes), short=_short(short, left, phrases))


def _short(said: str, left: Sequence[int], phrases: Phrases) -> str:
    """The line of the first page: what the work takes, what is not in it, and that it binds nobody."""
    words, parts = phrases.words, [said]
    shown = left if len(left) <= LEFT + 1 else left[:LEFT]
    numbers = ", ".join(map(str, shown))
    if len(shown) < len(left):
        parts.append(words.count("estimate.left_more", len(left) - len(shown), numbers=numbers))
    elif left:
        parts.append(words("estimate.left", numbers=numbers))
    return " ".join((*parts, words("estimate.short_end")))


def outwards(amount: Range, step: Decimal) -> Range:
    """The low end down and the high end up to a multiple of the step, so that nothing falls out of the range."""
    return Range(
        (amount.low / step).to_integral_value(ROUND_FLOOR) * step,
        (amount.high / step).to_integral_value(ROUND_CEILING) * step,
    )


def money(amount: Range, currency: str, phrases: Phrases, *, whole: bool = False) -> str:
    """A range of money, rounded outwards to the currency's smallest coin."""
    coin = Decimal(1).scaleb(-get_currency_precision(currency))
    shown = outwards(amount, coin)
    low, high = (_currency(value, currency, phrases, whole=whole) for value in (shown.low, shown.high))
    return low if low == high else phrases.words("evidence.range", low=low, high=high)


def _currency(value: Decimal, currency: str, phrases: Phrases, *, whole: bool) -> str:
    locale = phrases.format.locale
    pattern = "#,##0 ¤¤" if whole else None
    if pattern is None:
        digits = get_currency_precision(currency)
        pattern = f"#,##0{'.' + '0' * digits if digits else ''} ¤¤"
    made = format_currency(value, currency, pattern, locale=locale, currency_digits=False)
    return str(made).replace(" ", "\u00a0")


def _percent(share: Decimal, phrases: Phrases) -> str:
    return f"{phrases.format.number((share * 100).normalize() + 0)}\u00a0%"


def hours_of(seconds: Range, phrases: Phrases) -> str:
    """Hours from least to most, to the second decimal and outwards."""
    shown = outwards(Range(seconds.low / 3600, seconds.high / 3600), Decimal("0.01"))
    low, high = (phrases.format.number(value.normalize() + 0) for value in (shown.low, shown.high))
    if low == high:
        return phrases.words("remedy.hours", n=low)
    return phrases.words("remedy.hours_range", low=low, high=high)

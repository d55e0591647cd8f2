"""The estimate's ranges against the interval arithmetic of mpmath (mpmath.iv), and the rounding outwards."""

from __future__ import annotations

import random
from decimal import Decimal

import pytest
from mpmath import iv, mp

from lugbook.assess.parts.estimate import estimate
from lugbook.compose.common import Phrases
from lugbook.compose.estimate import compose_estimate, money, outwards
from lugbook.model.parts import Part, PartKind, PartsList, Range, Use
from lugbook.model.rates import RatesFile
from lugbook.model.remedy import Proposal
from lugbook.words.catalogue import load_words

SIZES = ("1.5 mm2", "4 mm2", "16 mm2", "AWG 2")
KINDS: tuple[PartKind, ...] = ("cable", "lug", "clamp", "ferrule")


def made(seed: int) -> tuple[tuple[Proposal, ...], PartsList, RatesFile]:
    """Proposals, parts and prices drawn from a seed."""
    draw = random.Random(seed)

    def price() -> list[str]:
        low = Decimal(draw.randint(1, 99999)).scaleb(-draw.choice((0, 1, 2, 3)))
        return [f"{low:f}", f"{low + Decimal(draw.randint(0, 5000)).scaleb(-2):f}"]

    prices: dict[str, object] = {kind: {size: price() for size in SIZES} for kind in KINDS}
    rates = RatesFile.model_validate(
        {"format": "lugbook-rates-1", "currency": "EUR", "labour": price(), "prices": prices,
         "tax": {"name": "VAT", "rate": f"{draw.choice(('7.7', '19', '20', '8.1'))} %"}}
    )  # fmt: skip
    parts = tuple(
        Part(kind, (Use("x", 1),), Decimal(draw.randint(1, 9000)), Decimal(draw.randint(0, 90)), metres=kind == "cable", size=size)
        for kind in KINDS
        for size in draw.sample(SIZES, 2)
    )  # fmt: skip
    hours = [
        [f"{low} min", f"{low + draw.randint(0, 300)} min"]
        for low in (draw.randint(1, 600) for _ in range(3))
    ]
    proposals = tuple(
        Proposal.model_validate({"id": f"p{n}", "title": "T", "hours": pair}) for n, pair in enumerate(hours)
    )
    return proposals, PartsList(parts, (), Decimal("0.1")), rates


@pytest.mark.parametrize("seed", range(40))
def test_sums_are_those_of_interval_arithmetic(seed: int) -> None:
    """Source: mpmath.iv (interval arithmetic with outward rounding), 60 digits."""
    proposals, listed, rates = made(seed)
    found = estimate(proposals, listed, rates)
    mp.dps = iv.dps = 60
    seconds = sum(
        (iv.mpf([str(t[0].number), str(t[1].number)]) * 60 for t in (p.hours for p in proposals) if t),
        iv.mpf(0),
    )
    labour = iv.mpf([str(rates.labour.low), str(rates.labour.high)])
    total = seconds * labour / 3600
    for part in listed.parts:
        price = getattr(rates.prices, part.kind)[part.size]
        amount = iv.mpf(str(part.needed + part.spare)) / (1000 if part.metres else 1)
        total += amount * iv.mpf([str(price.low), str(price.high)])
    gross = total * (1 + iv.mpf(str(rates.tax.rate.number)) / 100) if rates.tax else total
    for ours, theirs in ((found.net, total), (found.gross, gross)):
        assert abs(mp.mpf(str(ours.low)) - theirs.a) < mp.mpf("1e-18") * (1 + abs(theirs.a))
        assert abs(mp.mpf(str(ours.high)) - theirs.b) < mp.mpf("1e-18") * (1 + abs(theirs.b))
    cents = outwards(found.gross, Decimal("0.01"))
    assert mp.mpf(str(cents.low)) <= theirs.a + mp.mpf("1e-18")
    assert mp.mpf(str(cents.high)) >= theirs.b - mp.mpf("1e-18")
    assert found.gross.low - cents.low < Decimal("0.01")
    assert cents.high - found.gross.high < Decimal("0.01")


def test_a_worked_example_with_what_has_no_price() -> None:
    """By hand: 20 min at 60 to 66 are 20 to 22; 4.8 m at 2.50 are 12; together 32 to 34, with 20 % 38.40 to 40.80."""
    rates = RatesFile.model_validate(
        {"format": "lugbook-rates-1", "currency": "EUR", "labour": ["60", "66"], "tax": {"name": "VAT", "rate": "20 %"},
         "prices": {"cable": {"4mm2": "2.50"}}}
    )  # fmt: skip
    cable = Part("cable", (Use("x", 4300),), Decimal(4300), Decimal(500), metres=True, size="4 mm2")
    lug = Part("lug", (Use("x", 2),), Decimal(2), Decimal(1), size="4 mm2", stud="M6", hole=0.0064)
    timed = Proposal.model_validate({"id": "a", "title": "A", "hours": "20 min"})
    untimed = Proposal.model_validate({"id": "b", "title": "B"})
    found = estimate((timed, untimed), PartsList((cable, lug), (), Decimal("0.1")), rates)
    assert (found.net, found.gross) == (
        Range(Decimal(32), Decimal(34)),
        Range(Decimal("38.4"), Decimal("40.8")),
    )
    assert (found.unpriced, found.untimed) == ((lug,), ("b",))
    view = compose_estimate(found, Phrases(load_words()))
    assert view.rows[-1] == ("Sum", "38.40\u00a0EUR to 40.80\u00a0EUR")
    assert "30\u00a0EUR to 50\u00a0EUR" in view.short
    assert "and more for what has no price or time yet" in view.short
    assert any("quotation" in note for note in view.notes)


@pytest.mark.parametrize(
    ("designed", "left", "said"),
    [
        ((), (), "designed so far may take 2 h of work and 0 lines of the parts list. An estimate"),
        ((3,), (1,), "(number 3) may take 2 h of work and 0 lines of the parts list. Not in this sum: 1. An"),
        ((1, 2), (3, 4, 5, 6), "(numbers 1, 2) may take 2 h of work and 0 lines of the parts list. Not in this sum: 3, 4, 5, 6. An"),
        ((1,), (3, 4, 5, 6, 7), "Not in this sum: 3, 4, 5 and 2 others. An estimate is no quotation."),
    ],
)  # fmt: skip
def test_the_short_line_says_what_is_in_it_and_what_is_not(
    designed: tuple[int, ...], left: tuple[int, ...], said: str
) -> None:
    timed = Proposal.model_validate({"id": "a", "title": "A", "hours": "2 h"})
    found = estimate((timed,), PartsList((), (), Decimal("0.1")), None)
    assert said in compose_estimate(found, Phrases(load_words()), designed, left).short


def test_without_rates_hours_and_lines_are_counted() -> None:
    cable = Part("cable", (Use("x", 4300),), Decimal(4300), Decimal(500), metres=True, size="4 mm2")
    timed = Proposal.model_validate({"id": "a", "title": "A", "hours": ["90 min", "2 h"]})
    found = estimate((timed,), PartsList((cable,), (), Decimal("0.1")), None)
    view = compose_estimate(found, Phrases(load_words()))
    assert view.rows == (("Working time", "1.5 to 2 h"), ("Parts", "1 line of the parts list"))
    assert "EUR" not in str(view)


@pytest.mark.parametrize(
    ("currency", "low", "high", "shown"),
    [
        ("EUR", "1.001", "1.009", "1.00\u00a0EUR to 1.01\u00a0EUR"),
        ("JPY", "1000.2", "1999.01", "1,000\u00a0JPY to 2,000\u00a0JPY"),
        ("EUR", "5", "5", "5.00\u00a0EUR"),
    ],
)
def test_money_is_rounded_outwards_to_the_smallest_coin(
    currency: str, low: str, high: str, shown: str
) -> None:
    """Source: ISO 4217, minor units (EUR 2, JPY 0), as the CLDR data of babel has them."""
    assert money(Range(Decimal(low), Decimal(high)), currency, Phrases(load_words())) == shown

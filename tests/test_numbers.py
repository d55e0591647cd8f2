"""One formatter: three significant digits, handy units, the reader's decimal sign."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal

import pytest
from babel import Locale

from lugbook.model.quantity import parse_quantity
from lugbook.words.numbers import Formatter, bound

ENGLISH, GERMAN = Formatter(Locale.parse("en_GB")), Formatter(Locale.parse("de"))


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        (63.317, "A", "63.3 A"),
        (2834.0, "A", "2.83 kA"),
        (0.085, "A", "85.0 mA"),
        (0.0083, "ohm", "8.30 mΩ"),
        (0.000126, "ohm", "126 µΩ"),
        (0.25, "m", "250 mm"),
        (9.0, "m", "9.00 m"),
        (1.6e-5, "m2", "16.0 mm²"),
        (0.0, "V", "0 mV"),
        (330.4, "A", "330 A"),
        (3, "count", "3"),
        (0.9045, "ratio", "0.904"),
        (-0.4, "V", "-400 mV"),
    ],
)
def test_amounts(value: float, unit: str, shown: str) -> None:
    assert ENGLISH.amount(value, unit).replace("\u00a0", " ") == shown


def test_a_reading_keeps_the_digits_that_were_written() -> None:
    reading = parse_quantity("12.60 V", ("voltage",))
    assert ENGLISH.quantity(reading) == "12.60\u00a0V"
    assert GERMAN.quantity(reading) == "12,60\u00a0V"
    assert ENGLISH.quantity(parse_quantity("> 200 Mohm", ("resistance",))) == ">\u00a0200\u00a0MΩ"


def test_dates_by_locale() -> None:
    assert ENGLISH.day(date(2026, 6, 2)) == "2 June 2026"
    assert GERMAN.day(date(2026, 6, 2)) == "2. Juni 2026"
    assert ENGLISH.moment(datetime(2026, 6, 2, 9, 5)) == "2 June 2026, 09:05"
    assert ENGLISH.percent(-0.704) == "-70\u00a0%"
    assert ENGLISH.number(Decimal("1234.50")) == "1,234.50"


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("a 50 A fuse", "a 50\u00a0A fuse"),
        ("10 mm² of copper", "10\u00a0mm² of copper"),
        ("2 Anodes", "2 Anodes"),
        ("4 m and 20 min", "4\u00a0m and 20\u00a0min"),
        ("12 volts", "12\u00a0volts"),
        ("8 of 14", "8 of 14"),
    ],
)
def test_numbers_stay_with_their_units(text: str, shown: str) -> None:
    assert bound(text) == shown

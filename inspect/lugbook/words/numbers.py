"""One formatter for every number, quantity and date that is printed."""

from __future__ import annotations

import re
from datetime import date, datetime
from decimal import Decimal

from babel import Locale
from babel.dates import format_date
from babel.numbers import format_decimal

from lugbook.model.quantity import SPELLINGS, UNITS, Quantity

NO_BREAK = "\u00a0"
SYMBOLS = {
    "mm2": "mm²",
    "uV": "µV",
    "uA": "µA",
    "uohm": "µΩ",
    "mohm": "mΩ",
    "ohm": "Ω",
    "kohm": "kΩ",
    "Mohm": "MΩ",
    "Gohm": "GΩ",
    "degC": "°C",
    "degF": "°F",
    "Nm": "N m",
    "SG": "",
}


WRITTEN = "|".join(
    re.escape(unit)
    for unit in sorted(
        {*UNITS, *SPELLINGS, *SYMBOLS.values()} - {"", "a", "v", "C", '"', "in"}, key=lambda u: (-len(u), u)
    )
)
BEFORE_UNIT = re.compile(rf"(?<=\d) (?=(?:{WRITTEN}|rev/min|N m)\b)")


def bound(text: str) -> str:
    """Text whose numbers stay with their units at the end of a line."""
    return BEFORE_UNIT.sub(NO_BREAK, text)


class Formatter:
    """Formats by locale. A quantity keeps the digits that were written: they say how finely it was read."""

    def __init__(self, locale: Locale) -> None:
        self.locale = locale

    def number(self, value: Decimal | int) -> str:
        """A number with the digits it has."""
        exponent = Decimal(value).as_tuple().exponent
        digits = -exponent if isinstance(exponent, int) and exponent < 0 else 0
        return format_decimal(
            value, format="#,##0." + "0" * digits if digits else "#,##0", locale=self.locale
        )

    def quantity(self, quantity: Quantity) -> str:
        """A quantity with its unit, such as 12.62 V."""
        unit = SYMBOLS.get(quantity.unit, quantity.unit)
        bound = f"{quantity.bound}{NO_BREAK}" if quantity.bound else ""
        return f"{bound}{self.number(quantity.number)}{NO_BREAK if unit else ''}{unit}"

    def moment(self, moment: datetime) -> str:
        """A date and time of day, such as 2 June 2026, 09:41."""
        return f"{self.day(moment.date())}, {moment:%H:%M}"

    def day(self, day: date) -> str:
        """A date in words, such as 2 June 2026."""
        return format_date(day, format="long", locale=self.locale)

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
    "m3/h": "m³/h",
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
    "A2s": "A²s",
    "kA2s": "kA²s",
}


WRITTEN = "|".join(
    re.escape(unit)
    for unit in sorted(
        {*UNITS, *SPELLINGS, *SYMBOLS.values()} - {"", "a", "v", "C", '"', "in"}, key=lambda u: (-len(u), u)
    )
)
DECIMAL = re.compile(r"\d+[.]\d+")
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

    def amount(self, value: float, unit: str, count: int = 3) -> str:
        """A computed value with three significant digits, or `count`, and a handy unit, such as 8.3 mΩ or 63 %."""
        if unit == "count":
            return self.number(Decimal(round(value)))
        if unit == "%":
            return f"{self.number(_significant(value * 100, 2))}{NO_BREAK}%"
        if unit == "ratio":
            return f"{self.number(_significant(value))}"
        if unit in FINE:
            name = FINE[unit]
            return f"{self.number(_significant(value, 4))}{NO_BREAK if name else ''}{name}"
        scale, name = _handy(value, unit)
        number = self.number(_significant(value / scale, count))
        return f"{number}{NO_BREAK}{SYMBOLS.get(name, name)}"

    def written(self, text: str) -> str:
        """A size as written in the file or a table, such as 1.5 mm2, with the locale's decimal sign."""
        shown = DECIMAL.sub(lambda match: self.number(Decimal(match[0])), text)
        return shown.replace("mm2", "mm²")

    def percent(self, share: float) -> str:
        """A share as whole per cent."""
        return f"{self.number(Decimal(round(share * 100)))}{NO_BREAK}%"

    def moment(self, moment: datetime) -> str:
        """A date and time of day, such as 2 June 2026, 09:41."""
        return f"{self.day(moment.date())}, {moment:%H:%M}"

    def day(self, day: date) -> str:
        """A date in words, such as 2 June 2026."""
        return format_date(day, format="long", locale=self.locale)


# unit -> units to choose from, largest first, each with its size in the unit
HANDY: dict[str, tuple[tuple[float, str], ...]] = {
    "A": ((1e3, "kA"), (1.0, "A"), (1e-3, "mA")),
    "V": ((1.0, "V"), (1e-3, "mV")),
    "m": ((1.0, "m"), (1e-3, "mm")),
    "m2": ((1e-6, "mm2"),),
    "ohm": ((1.0, "ohm"), (1e-3, "mohm"), (1e-6, "uohm")),
    "s": ((1.0, "s"), (1e-3, "ms")),
}

# Readings whose fourth digit counts: volts of batteries, relative density.
FINE = {"V read": "V", "SG read": ""}
# Larger ones still, for values from there up.
LARGE: dict[str, tuple[tuple[float, str], ...]] = {"ohm": ((1e9, "Gohm"), (1e6, "Mohm"), (1e3, "kohm"))}


def _handy(value: float, unit: str) -> tuple[float, str]:
    """The unit in which a value has one to three digits before its point."""
    choices = HANDY.get(unit, ((1.0, unit),))
    if value:
        choices = (*LARGE.get(unit, ()), *choices)
    fit = next((choice for choice in choices if abs(value) >= choice[0] * 0.9995), choices[-1])
    return fit if value else choices[min(1, len(choices) - 1)]


def _significant(value: float, count: int = 3) -> Decimal:
    """So many significant digits; whole numbers from there up."""
    if value == 0:
        return Decimal(0)
    digits = max(0, count - 1 - Decimal(abs(value)).adjusted())
    return Decimal(f"{value:.{digits}f}")

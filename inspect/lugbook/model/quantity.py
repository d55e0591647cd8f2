"""Values with their units, read from text such as `12.62 V` and kept in SI inside.

Factors: exact by definition (international inch, foot, pound-force; SI prefixes). The American wire gauge is a
conductor size, not a unit; `calc.conductor` turns it into an area.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

Kind = Literal[
    "length",
    "area",
    "voltage",
    "current",
    "resistance",
    "power",
    "charge",
    "temperature",
    "time",
    "torque",
    "mass",
    "density",
    "frequency",
    "share",
    "joule integral",
]
Bound = Literal["", "<", ">"]

# unit -> (kind, factor to SI, offset to SI). Temperatures are kept in degrees Celsius, density as relative density.
UNITS: dict[str, tuple[Kind, float, float]] = {
    "mm": ("length", 1e-3, 0),
    "cm": ("length", 1e-2, 0),
    "m": ("length", 1.0, 0),
    "in": ("length", 0.0254, 0),
    "ft": ("length", 0.3048, 0),
    "mm2": ("area", 1e-6, 0),
    "uV": ("voltage", 1e-6, 0),
    "mV": ("voltage", 1e-3, 0),
    "V": ("voltage", 1.0, 0),
    "kV": ("voltage", 1e3, 0),
    "uA": ("current", 1e-6, 0),
    "mA": ("current", 1e-3, 0),
    "A": ("current", 1.0, 0),
    "kA": ("current", 1e3, 0),
    "uohm": ("resistance", 1e-6, 0),
    "mohm": ("resistance", 1e-3, 0),
    "ohm": ("resistance", 1.0, 0),
    "kohm": ("resistance", 1e3, 0),
    "Mohm": ("resistance", 1e6, 0),
    "Gohm": ("resistance", 1e9, 0),
    "W": ("power", 1.0, 0),
    "kW": ("power", 1e3, 0),
    "Ah": ("charge", 3600.0, 0),
    "degC": ("temperature", 1.0, 0),
    "degF": ("temperature", 5 / 9, -160 / 9),
    "ms": ("time", 1e-3, 0),
    "A2s": ("joule integral", 1.0, 0),
    "kA2s": ("joule integral", 1e3, 0),
    "s": ("time", 1.0, 0),
    "min": ("time", 60.0, 0),
    "h": ("time", 3600.0, 0),
    "Nm": ("torque", 1.0, 0),
    "kg": ("mass", 1.0, 0),
    "lb": ("mass", 0.45359237, 0),
    "SG": ("density", 1.0, 0),
    "Hz": ("frequency", 1.0, 0),
    "%": ("share", 0.01, 0),
}
# Other ways in which people write the same unit.
SPELLINGS = {
    "mm²": "mm2", "sqmm": "mm2", "sq mm": "mm2", "\u00b5V": "uV", "\u03bcV": "uV", "\u00b5A": "uA", "\u03bcA": "uA", "\u00b5Ω": "uohm", "\u03bcΩ": "uohm",
    "mΩ": "mohm", "Ω": "ohm", "\u2126": "ohm", "kΩ": "kohm", "MΩ": "Mohm", "GΩ": "Gohm", "ohms": "ohm", "milliohm": "mohm", "milliohms": "mohm", "megohm": "Mohm", "megohms": "Mohm",
    "volt": "V", "volts": "V", "v": "V", "amp": "A", "amps": "A", "a": "A", "C": "degC", "°C": "degC", "°F": "degF",
    "sec": "s", "mins": "min", "hours": "h", "hour": "h", "N·m": "Nm", "N.m": "Nm", "sg": "SG", "metre": "m",
    "metres": "m", "feet": "ft", "inch": "in", "inches": "in", '"': "in", "ah": "Ah",
}  # fmt: skip
EXAMPLES: dict[Kind, str] = {
    "length": "0.35 m, 350 mm or 14 in",
    "area": "10 mm2",
    "voltage": "12.62 V or 35 mV",
    "current": "50 A or 85 mA",
    "resistance": "8 mohm, 0.4 ohm or > 200 Mohm",
    "power": "120 W",
    "charge": "110 Ah",
    "temperature": "18 degC",
    "time": "38 ms or 2 h",
    "torque": "10 Nm",
    "mass": "28 kg",
    "density": "1.265 SG",
    "frequency": "50 Hz",
    "share": "80 %",
    "joule integral": "1200 A2s",
}
NUMBER = re.compile(r"(?P<bound>[<>]?)\s*(?P<number>[+-]?(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+))\s*(?P<unit>\S.*)?")


class QuantityError(ValueError):
    """The text is not a quantity of the wanted kind. `reason` is one of `number`, `unit`, `missing`, `kind`."""

    def __init__(self, reason: str, message: str) -> None:
        super().__init__(message)
        self.reason = reason


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value in SI, and the number and unit as they were written (they are what gets printed).

    `bound` is `<` or `>` where an instrument only showed a limit (`> 200 Mohm`).
    """

    value: float
    number: Decimal
    unit: str
    kind: Kind
    bound: Bound = ""


def _a(kind: str) -> str:
    return f"an {kind}" if kind[0] in "aeiou" else f"a {kind}"


def parse_quantity(text: str, kinds: tuple[Kind, ...]) -> Quantity:
    """Read text such as `12.62 V`.

    Raises QuantityError, whose message says what was expected, if the number or the unit is missing or wrong.
    """
    expected = " or ".join(EXAMPLES[kind] for kind in kinds)
    match = NUMBER.fullmatch(text.strip())
    if match is None:
        raise QuantityError(
            "number", f"'{text}' is not a number with a unit; expected for instance {expected}"
        )
    written = (match["unit"] or "").strip()
    if not written:
        raise QuantityError("missing", f"'{text}' has no unit; expected for instance {expected}")
    unit = SPELLINGS.get(written, written)
    if unit not in UNITS:
        raise QuantityError("unit", f"'{written}' is not a unit known here; expected for instance {expected}")
    kind, factor, offset = UNITS[unit]
    if kind not in kinds:
        raise QuantityError(
            "kind", f"'{text}' is {_a(kind)}; expected {' or '.join(map(_a, kinds))}, for instance {expected}"
        )
    number = Decimal(match["number"])
    value = float(number) * factor + offset
    if not math.isfinite(value) or abs(value) > 1e15:
        raise QuantityError("number", f"'{text}' is out of any range met on a boat")
    bound: Bound = "<" if match["bound"] == "<" else ">" if match["bound"] == ">" else ""
    return Quantity(value, number, unit, kind, bound)

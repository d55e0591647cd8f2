"""The scalar types of the input files: each reads the text as it was written, by its declared type.

Faults are raised as `PydanticCustomError(code, message, {"hint": ...})`; `load.faults` gives them a place.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from decimal import Decimal
from typing import Annotated, Any, Self

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, WithJsonSchema, model_validator
from pydantic_core import PydanticCustomError

from lugbook.model.extent import Extent, ExtentError, parse_extent
from lugbook.model.quantity import SPELLINGS, UNITS, Kind, Quantity, QuantityError, parse_quantity

# What YAML 1.1 readers make of unquoted words: true, false or nothing at all.
OTHER_WORDS = re.compile(r"y|n|yes|no|on|off|true|false|null|~", re.IGNORECASE)
OCTAL = re.compile(r"[+-]?0[0-9_]+")
EXPONENT = re.compile(r"[+-]?[0-9]+(\.[0-9]*)?[eE][+-]?[0-9]+")
COLONS = re.compile(r"[+-]?[0-9]+(:[0-5]?[0-9])+(\.[0-9]*)?")
SPELLED = re.compile(
    r"[+-]?(0x[0-9a-f_]+|0o[0-7_]+|0b[01_]+|[0-9][0-9_]*_[0-9_]*(\.[0-9_]*)?|\.inf|\.nan)", re.IGNORECASE
)
WHOLE = re.compile(r"[0-9]{1,9}")
DECIMAL = re.compile(r"[+-]?[0-9]{1,9}(\.[0-9]{1,9})?")
DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
DAY_FIRST = re.compile(r"([0-3]?[0-9])[./-]([01]?[0-9])[./-]([0-9]{4})")
COMMA = re.compile(r"([<>]?\s*[+-]?[0-9]+),([0-9]+)(.*)", re.DOTALL)
CURRENT_KIND = re.compile(r"[VA] ?(d\.?c|a\.?c)\.?$", re.IGNORECASE)
CLOCK = re.compile(r"([01][0-9]|2[0-3]):[0-5][0-9]")
IDENT = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")
DEFECT_ID = re.compile(r"d[1-9][0-9]{0,4}")
TRUE, FALSE = frozenset({"yes", "true"}), frozenset({"no", "false"})


def fault(code: str, message: str, hint: str = "") -> PydanticCustomError:
    """An error that carries its code and a hint through pydantic."""
    return PydanticCustomError(code, "{message}", {"message": message, "hint": hint})


def is_plain(value: object) -> bool:
    """Whether the scalar stood without quotes (`load.tree.Plain`)."""
    return type(value) is not str


def _scalar(value: Any, expected: str) -> str:
    if value is None:
        raise fault("P107", f"nothing stands here; expected {expected}")
    if not isinstance(value, str):
        raise fault(
            "P104",
            f"a {'list' if isinstance(value, list) else 'group of keys'} stands here; expected {expected}",
        )
    return value


# Form, code, and what other programs make of such a text without quotes.
TRAPS = (
    (OTHER_WORDS, "P110", "read as a truth value or as nothing by other programs"),
    (OCTAL, "P111", "read as another number by some programs"),
    (EXPONENT, "P112", "a number to some programs and text to others"),
    (SPELLED, "P114", "a number to some programs and text to others"),
)


def _refuse_traps(value: str) -> None:
    """Refuse unquoted text that other YAML readers turn into something else."""
    if not is_plain(value):
        return
    for form, code, meaning in TRAPS:
        if form.fullmatch(value):
            raise fault(code, f"'{value}' without quotes is {meaning}", f'write "{value}" in quotes')
    if COLONS.fullmatch(value) and not CLOCK.fullmatch(value):
        message = f"'{value}' without quotes is read as a count of seconds by some programs"
        raise fault("P113", message, f'write "{value}" in quotes')


def read_text(value: Any) -> str:
    """Text as written; unquoted words that change their meaning elsewhere are refused."""
    text = _scalar(value, "text")
    _refuse_traps(text)
    text = str(text).strip()
    if not text:
        raise fault("P107", "an empty text stands here", "write the text, or delete the key")
    return text


def read_line(value: Any) -> str:
    """One line of text of at most 200 characters."""
    text = read_text(value)
    if "\n" in text or len(text) > 200:
        raise fault(
            "P109",
            "this text must be one line of at most 200 characters",
            "put the details into the longer text beside it",
        )
    return text


def read_headline(value: Any) -> str:
    """One line of at most 90 characters."""
    text = read_line(value)
    if len(text) > 90:
        raise fault("P109", "a headline has at most 90 characters", "say the rest in 'seen'")
    return text


def read_count(value: Any) -> int:
    """A whole number from 0."""
    text = _scalar(value, "a whole number such as 12")
    _refuse_number_traps(text, "a whole number such as 12")
    if not WHOLE.fullmatch(text):
        raise fault("P121", f"'{text}' is not a whole number", "write digits only, such as 12")
    return int(text)


def _refuse_number_traps(text: str, expected: str) -> None:
    """Refuse spellings of numbers that programs disagree about."""
    if OCTAL.fullmatch(text):
        without = text.lstrip("+-0_") or "0"
        raise fault(
            "P111",
            f"'{text}' starts with 0: some programs read it as another number",
            f"write {without}; expected {expected}",
        )
    if EXPONENT.fullmatch(text):
        out = (
            f"write it out: {Decimal(text):f}; "
            if len(text) < 9 and abs(Decimal(text).adjusted()) < 9
            else ""
        )
        raise fault(
            "P112", f"'{text}' is text to some programs and a number to others", f"{out}expected {expected}"
        )
    if COLONS.fullmatch(text):
        raise fault(
            "P113", f"'{text}' is read as a count of seconds by some programs", f"expected {expected}"
        )
    if SPELLED.fullmatch(text):
        raise fault(
            "P114", f"'{text}' is text to some programs and a number to others", f"expected {expected}"
        )


def read_fraction(value: Any) -> float:
    """A share from 0 to 1, written as a decimal."""
    if isinstance(value, float) and 0 <= value <= 1:  # a view read back from report.json
        return value
    text = _scalar(value, "a number from 0 to 1")
    _refuse_number_traps(text, "a number from 0 to 1")
    if not DECIMAL.fullmatch(text) or not 0 <= float(text) <= 1:
        raise fault(
            "P121",
            f"'{text}' is not a number from 0 to 1",
            "0,0 is the upper left corner of the picture and 1,1 the lower right",
        )
    return float(text)


def read_yes_no(value: Any) -> bool:
    """`yes` or `no` (`true` and `false` mean the same)."""
    text = _scalar(value, "yes or no")
    if text.lower() in TRUE:
        return True
    if text.lower() in FALSE:
        return False
    raise fault("P105", f"'{text}' is neither yes nor no", "write yes or no")


def read_day(value: Any) -> date:
    """A date as YYYY-MM-DD."""
    text = _scalar(value, "a date such as 2026-06-02")
    try:
        if not DAY.fullmatch(text):
            raise ValueError
        return date.fromisoformat(text)
    except ValueError:
        hint, swapped = "write year-month-day, such as 2026-06-02", DAY_FIRST.fullmatch(text)
        if swapped:
            day, month, year = swapped.groups()
            hint = f"write year-month-day: {year}-{month:0>2}-{day:0>2} if the day comes first here"
        raise fault("P122", f"'{text}' is not a date", hint) from None


def read_clock(value: Any) -> str:
    """A time of day as HH:MM."""
    text = _scalar(value, "a time such as 09:30")
    if CLOCK.fullmatch(text):
        return str(text)
    if COLONS.fullmatch(text):
        raise fault(
            "P113",
            f"'{text}' is read as a count of seconds by some programs",
            "write hours and minutes with two digits each, such as 09:30",
        )
    raise fault("P123", f"'{text}' is not a time of day", "write hours and minutes, such as 09:30")


def _pattern(pattern: re.Pattern[str], what: str, code: str = "P125") -> Callable[[Any], str]:
    def read(value: Any) -> str:
        text = _scalar(value, what)
        _refuse_traps(text)
        if not pattern.fullmatch(text):
            raise fault(code, f"'{text}' does not have the form of {what}")
        return str(text)

    return read


def read_extent(value: Any) -> Extent:
    """How far an item was looked at."""
    try:
        return parse_extent(_scalar(value, "an extent such as whole"))
    except ExtentError as error:
        raise fault(
            "P124",
            str(error),
            "write whole, part seen, or sample 4 of 12; tested or not tested may follow after a comma",
        ) from None


QUANTITY_CODES = {"missing": "P119", "unit": "P120", "kind": "P120", "number": "P121"}


def read_quantity(value: Any, *kinds: Kind) -> Quantity:
    """A number with a unit of one of the kinds."""
    text = _scalar(value, "a number with a unit")
    number = (text.split() or [""])[0]
    if not OCTAL.fullmatch(number):  # with its unit, 010 cannot be taken for anything but ten
        _refuse_number_traps(number, "a number with a unit")
    try:
        return parse_quantity(text, kinds)
    except QuantityError as error:
        comma = COMMA.fullmatch(text)
        hint = f"write a decimal point: {comma[1]}.{comma[2]}{comma[3]}" if comma else ""
        if CURRENT_KIND.search(text):
            hint = "leave out d.c. and a.c. here; say it in words beside the value"
        raise fault(QUANTITY_CODES[error.reason], str(error), hint) from None


def quantity_of(*kinds: Kind) -> Any:
    """The annotation of a quantity of these kinds."""
    schema = {"type": "string", "pattern": quantity_pattern(*kinds)}
    return Annotated[
        Quantity, BeforeValidator(lambda value: read_quantity(value, *kinds)), WithJsonSchema(schema)
    ]


def quantity_pattern(*kinds: Kind) -> str:
    """How such a quantity is written, as a pattern for JSON Schema."""
    units = [unit for unit, (kind, _, _) in UNITS.items() if kind in kinds]
    units += [spelling for spelling, unit in SPELLINGS.items() if unit in units]
    choice = "|".join(re.escape(unit) for unit in sorted(units, key=lambda u: (-len(u), u)))
    return rf"^\s*[<>]?\s*[+-]?([0-9]+(\.[0-9]+)?|\.[0-9]+)\s*({choice})\s*$"


# YAML readers take an unquoted 17 for a number; here it is text like any other.
TEXT_SCHEMA = {"type": ["string", "number"], "pattern": r"\S", "maxLength": 50_000}
LOOK, TEST = r"(whole|part\s+seen|sample\s+[0-9]{1,5}\s+of\s+[0-9]{1,5})", r"(not\s+)?tested"
EXTENT_PATTERN = rf"^\s*({LOOK}(\s*,\s*{TEST})?|{TEST}(\s*,\s*{LOOK})?)\s*$"
Text = Annotated[str, BeforeValidator(read_text), WithJsonSchema(TEXT_SCHEMA)]
Line = Annotated[str, BeforeValidator(read_line), WithJsonSchema({**TEXT_SCHEMA, "maxLength": 200})]
Headline = Annotated[str, BeforeValidator(read_headline), WithJsonSchema({**TEXT_SCHEMA, "maxLength": 90})]
Ident = Annotated[
    str,
    BeforeValidator(_pattern(IDENT, "an id: small letters, digits and hyphens, such as battery-restraint")),
    WithJsonSchema({"type": "string", "pattern": f"^{IDENT.pattern}$"}),
]
DefectId = Annotated[
    str,
    BeforeValidator(_pattern(DEFECT_ID, "a defect id: d and a number, such as d7")),
    WithJsonSchema({"type": "string", "pattern": f"^{DEFECT_ID.pattern}$"}),
]
Count = Annotated[int, BeforeValidator(read_count), WithJsonSchema({"type": "integer", "minimum": 0})]
Fraction = Annotated[
    float, BeforeValidator(read_fraction), WithJsonSchema({"type": "number", "minimum": 0, "maximum": 1})
]
YesNo = Annotated[
    bool, BeforeValidator(read_yes_no), WithJsonSchema({"enum": [True, False, "yes", "no", "Yes", "No"]})
]
Day = Annotated[
    date,
    BeforeValidator(read_day),
    WithJsonSchema({"type": "string", "format": "date", "pattern": f"^{DAY.pattern}$"}),
]
Clock = Annotated[
    str, BeforeValidator(read_clock), WithJsonSchema({"type": "string", "pattern": f"^({CLOCK.pattern})$"})
]
ExtentField = Annotated[
    Extent, BeforeValidator(read_extent), WithJsonSchema({"type": "string", "pattern": EXTENT_PATTERN})
]


class Frozen(BaseModel):
    """Base of every input model: immutable, no unknown keys, an empty value is an absent one.

    A model is built when it is first used: most belong to files that a command does not read.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", arbitrary_types_allowed=True, defer_build=True)

    @classmethod
    def absent(cls) -> Self:
        """A group of keys that is left out, to be a default: it is made without building the model."""
        return cls.model_construct()

    @model_validator(mode="before")
    @classmethod
    def _empty_is_absent(cls, data: Any) -> Any:
        if not isinstance(data, dict):
            return data
        optional = {(f.alias or name) for name, f in cls.model_fields.items() if not f.is_required()}
        return {key: value for key, value in data.items() if value is not None or key not in optional}


__all__ = [
    "Clock",
    "Count",
    "Day",
    "DefectId",
    "ExtentField",
    "Field",
    "Fraction",
    "Frozen",
    "Headline",
    "Ident",
    "Line",
    "Text",
    "YesNo",
    "fault",
    "quantity_of",
    "quantity_pattern",
    "read_quantity",
]

"""The forms of the capture page, read off the JSON Schema of the findings: one field a key, its type and its bounds.

A form is a list of fields. A field is a small dict: `k` its key, `t` its type, `l` its label, and where they apply
`req` (required), `max` (characters), `lo` and `hi` (whole numbers), `u` (units, the usual one first), `o` (options as
[value, words]), `f` (the form of the entries), `of` (the field of the entries), `keys` (keys of a group), `more`
(folded away at first).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, get_args

from pydantic import BaseModel

from lugbook.compose.capture_words import Labels
from lugbook.model.quantity import UNITS, Kind
from lugbook.model.scalars import CLOCK, DEFECT_ID, EXTENT_PATTERN, IDENT, quantity_pattern
from lugbook.model.schema import schema
from lugbook.model.terminal import TERMINAL, WORD
from lugbook.model.wiring import GAUGE, GAUGES

Field = dict[str, Any]

# Kinds of quantity by the pattern that the schema writes for them.
KINDS: tuple[Kind, ...] = get_args(Kind)
COMBINED: tuple[tuple[Kind, ...], ...] = (
    *((kind,) for kind in KINDS),
    ("voltage", "current"),
    ("time", "current", "resistance"),
)
BY_PATTERN: dict[str, tuple[Kind, ...]] = {quantity_pattern(*kinds): kinds for kinds in COMBINED}
# The units offered, the usual one first; a hand-written file may use all that model/quantity.py knows.
UNIT_PADS: dict[Kind, tuple[str, ...]] = {
    kind: tuple(unit for unit, (known, *_) in UNITS.items() if known == kind) for kind in KINDS
} | {
    "length": ("m", "mm", "cm", "in", "ft"),
    "area": ("mm2",),
    "voltage": ("V", "mV"),
    "current": ("A", "mA", "kA"),
    "resistance": ("ohm", "mohm", "kohm", "Mohm"),
    "power": ("W", "kW"),
    "charge": ("Ah",),
    "temperature": ("degC", "degF"),
    "time": ("s", "ms", "min", "h"),
    "torque": ("Nm",),
    "mass": ("kg", "lb"),
    "density": ("SG",),
    "frequency": ("Hz",),
    "share": ("%",),
}
SCALARS: dict[str, str] = {
    f"^{IDENT.pattern}$": "ident",
    f"^{DEFECT_ID.pattern}$": "defect",
    f"^{TERMINAL.pattern}$": "terminal",
    f"^{WORD}$": "position",
    f"^{GAUGE.pattern}$": "gauge",
    f"^({CLOCK.pattern})$": "clock",
    EXTENT_PATTERN: "extent",
}
# Common areas of copper conductors [mm2], IEC 60228, the rows of the bases' own tables among them.
AREAS = ("0.75", "1", "1.5", "2.5", "4", "6", "10", "16", "25", "35", "50", "70", "95", "120")
# Where the page's forms begin: what the bench does later (remedies, rates) is kept as it came, and not asked for.
ROOTS = (
    "ReportHead",
    "Result",
    "ExtraDefect",
    "Reading",
    "ShoreVisit",
    "Installation",
    "Disagreement",
    "NoticeFile",
)
# The unit that is chosen at first where it is not the first of its kind.
FIRST_UNIT = {"hole": "mm", "capacity_at": "h", "rest": "h", "rated": "mA", "vent": "mm2"}
# Keys that stand open in a form, in this order; the others are folded away until they are wanted.
OPEN: dict[str, tuple[str, ...]] = {
    name: tuple(keys.split())
    for name, keys in {
        "Node": "title id kind body stud",
        "Battery": "title id chemistry capacity cca cca_standard parallel series starts studs",
        "Source": "title id kind current neg studs",
        "Converter": "title id kind ports studs",
        "Switch": "title id kind studs",
        "Relay": "title id kind studs",
        "InlineDevice": "title id kind type rating volts dc breaks",
        "Placed": "title kind type rating volts dc breaks at",
        "Device": "title kind type rating volts dc breaks",
        "Conductor": "title id from to area awg length devices ends insulation bundle enclosed space",
        "End": "barrel barrel_awg hole hole_for crimp",
        "Load": "title id kind current power pos neg studs",
        "Circuit": "title id kind from to current power area awg length insulation bundle device",
        "Bond": "title id from to area awg length",
        "Reading": "id quantity value place state instrument time",
        "Instrument": "id name serial calibrated due check",
        "State": "title id positions sources",
    }.items()
}


def forms(model: type[BaseModel], labels: Labels) -> dict[str, list[Field]]:
    """Name of a model -> its fields, for every model that can be reached from those of `ROOTS` in the schema of `model`."""
    made = schema(model)
    parts = {model.__name__: made, **made.get("$defs", {})}
    found: dict[str, list[Field]] = {}
    waiting = [name for name in ROOTS if name in parts]
    while waiting:
        name = waiting.pop()
        if name not in found:
            found[name] = _form(name, parts[name], labels)
            waiting += [named for field in found[name] for named in _named(field)]
    return dict(sorted(found.items()))


def _named(field: Field) -> list[str]:
    """The forms that a field is made of."""
    of = field.get("of", [])
    inner = [name for one in (of if isinstance(of, list) else [of]) for name in _named(one)]
    return inner + ([field["f"]] if "f" in field else [])


def needs(model: type[BaseModel]) -> dict[str, list[list[Any]]]:
    """Name of a model -> its rules [key, words, keys needed]: if the key holds one of the words, these must be there."""
    made = schema(model)
    parts = {model.__name__: made, **made.get("$defs", {})}
    return {name: rules for name, part in parts.items() if (rules := list(_rules(part)))}


def yes_no_keys(made: Mapping[str, Iterable[Field]]) -> list[str]:
    """Every key that holds yes or no: these words stand without quotes there, and with quotes elsewhere."""
    every = [field for fields in made.values() for field in fields]
    groups = [field["keys"] for field in every if field["t"] == "group" and field["of"]["t"] == "yesno"]
    return sorted(
        {field["k"] for field in every if field["t"] == "yesno"} | {key for keys in groups for key, _ in keys}
    )


def _rules(part: Mapping[str, Any]) -> Iterable[list[Any]]:
    for rule in part.get("allOf", ()):
        if "required" in rule:
            yield ["", [], rule["required"]]
        for key, test in rule.get("if", {}).get("properties", {}).items():
            then = rule["then"]
            required = [key for one in (then, *then.get("allOf", ())) for key in one.get("required", ())]
            if required:
                yield [key, test["enum"], required]


def _form(name: str, part: Mapping[str, Any], labels: Labels) -> list[Field]:
    required = set(part.get("required", ()))
    order = OPEN.get(name, ())
    fields = []
    for key, value in part.get("properties", {}).items():
        if key in ("format", "carried"):
            continue
        field: Field = {"k": key, "l": labels.field(name, key), **_typed(value, labels)}
        if key in FIRST_UNIT:
            field["u"] = sorted(field["u"], key=lambda unit: unit != FIRST_UNIT[key])
        if key in required and not _empty_allowed(value):
            field["req"] = 1
        if order and key not in order:
            field["more"] = 1
        fields.append(field)
    return sorted(fields, key=lambda field: order.index(field["k"]) if field["k"] in order else len(order))


def _empty_allowed(value: Mapping[str, Any]) -> bool:
    return {"type": "null"} in value.get("anyOf", ())


def _typed(value: Mapping[str, Any], labels: Labels) -> Field:
    """The field's type, without its key."""
    for one in value.get("anyOf", ()):
        if one.get("type") != "null":
            return _typed(one, labels)
    if "$ref" in value:
        return {"t": "form", "f": value["$ref"].rsplit("/", 1)[1]}
    for kind, read in (("enum", _enum), ("const", _enum), ("pattern", _pattern), ("items", _list)):
        if kind in value:
            return read(value, labels)
    if "prefixItems" in value:
        return {"t": "tuple", "of": [_typed(one, labels) for one in value["prefixItems"]]}
    if value.get("type") == "object":
        return _group(value, labels)
    if value.get("type") == "integer":
        return {"t": "count", "lo": value.get("minimum", 0), "hi": value.get("maximum", 999_999_999)}
    if value.get("type") == "number":
        return {"t": "fraction"}
    if "maxLength" in value:
        return {"t": "line", "max": value["maxLength"]}
    return {"t": "reading"}  # a quantity whose kind follows from another key


def _enum(value: Mapping[str, Any], labels: Labels) -> Field:
    words = value.get("enum", [value.get("const")])
    if any(word is True for word in words):  # 1 equals True, and is a word of its own elsewhere
        return {"t": "yesno"}
    return {"t": "enum", "o": [[word, labels.choice(word)] for word in words if isinstance(word, str)]}


def _pattern(value: Mapping[str, Any], _labels: Labels) -> Field:
    pattern = value["pattern"]
    if value.get("format") == "date":
        return {"t": "day"}
    if pattern in BY_PATTERN:
        kinds = BY_PATTERN[pattern]
        field: Field = {"t": "quantity", "u": [unit for kind in kinds for unit in UNIT_PADS[kind]]}
        return field | ({"pick": list(AREAS)} if kinds == ("area",) else {})
    if pattern in SCALARS:
        kind = SCALARS[pattern]
        return (
            {"t": kind, "o": [[f"AWG {g}", f"AWG {g}"] for g in GAUGES]} if kind == "gauge" else {"t": kind}
        )
    length = value.get("maxLength", 200)
    return {"t": "text" if length > 1000 else "line", "max": length}


def _list(value: Mapping[str, Any], labels: Labels) -> Field:
    if "prefixItems" in value:
        return {"t": "tuple", "of": [_typed(one, labels) for one in value["prefixItems"]]}
    one = _typed(value["items"], labels)
    return {"t": "forms", "f": one["f"]} if one["t"] == "form" else {"t": "list", "of": one}


def _group(value: Mapping[str, Any], labels: Labels) -> Field:
    """A group of keys whose values are all of one type."""
    inner = value.get("additionalProperties")
    for one in value.get("patternProperties", {}).values():
        inner = one
    keys = value.get("propertyNames", {}).get("enum", [])
    return {
        "t": "group",
        "of": _typed(inner or {}, labels),
        "keys": [[key, labels.choice(key)] for key in keys],
    }


def shared_options(made: Mapping[str, list[Field]]) -> list[list[list[str]]]:
    """Replaces each list of options by its number in the table that this returns: many forms share theirs."""
    table: list[list[list[str]]] = []

    def place(field: Field) -> None:
        if "o" in field:
            if field["o"] not in table:
                table.append(field["o"])
            field["o"] = table.index(field["o"])
        of = field.get("of", [])
        for one in of if isinstance(of, list) else [of]:
            place(one)

    for fields in made.values():
        for field in fields:
            place(field)
    return table


def unit_names(labels: Labels) -> dict[str, str]:
    """Unit as written -> as shown."""
    return {unit: labels.unit(unit) for unit in UNITS}


def usual_units() -> dict[str, list[str]]:
    """Kind of quantity -> the units offered."""
    return {kind: list(units) for kind, units in UNIT_PADS.items()}

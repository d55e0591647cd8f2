"""Readings of the mains side, by mode of supply: what was measured by whom, and what each kind of test needs."""

from __future__ import annotations

from typing import Annotated, Any, Literal, Self

from pydantic import ConfigDict, WithJsonSchema, model_validator

from lugbook.model.quantity import Kind
from lugbook.model.scalars import Clock, Count, Frozen, Ident, Line, YesNo, fault, quantity_of
from lugbook.model.schema import needs, when

ShoreMode = Literal["shore", "generator", "inverter"]
ShoreTest = Literal[
    "rcd time", "rcd current", "earth continuity", "polarity", "insulation", "neutral-earth bond"
]
RcdType = Literal["AC", "A", "F", "B", "not known"]
Multiple = Annotated[
    Literal["0.5", "1", "2", "5"], WithJsonSchema({"enum": ["0.5", "1", "2", "5", 0.5, 1, 2, 5]})
]

# What each test needs besides its place, and the kind of its value where it has one.
SHORE_KEYS: dict[ShoreTest, tuple[str, ...]] = {
    "rcd time": ("rated", "times"),
    "rcd current": ("rated", "value"),
    "earth continuity": ("value",),
    "polarity": ("correct",),
    "insulation": ("value", "test_voltage"),
    "neutral-earth bond": ("bonds",),
}
SHORE_VALUES: dict[ShoreTest, Kind] = {
    "rcd time": "time",
    "rcd current": "current",
    "earth continuity": "resistance",
    "insulation": "resistance",
}
SHORE_RULES: list[Any] = [when("test", [test], needs(*keys)) for test, keys in SHORE_KEYS.items()]


class ShoreReading(Frozen):
    """One measurement on the mains side."""

    model_config = ConfigDict(json_schema_extra={"allOf": SHORE_RULES})

    id: Ident
    """Named by defects and disagreements, under 'at'."""
    test: ShoreTest
    """What was tested."""
    place: Line
    """Which RCD, socket, circuit or case."""
    value: quantity_of("time", "current", "resistance") | None = None  # type: ignore[valid-type]
    """The trip time, trip current or resistance, such as 24 ms, 22 mA, 0.12 ohm or > 200 Mohm."""
    rated: quantity_of("current") | None = None  # type: ignore[valid-type]
    """RCD: rated residual current, such as 30 mA."""
    type: RcdType = "not known"
    """RCD: its type, as printed on it."""
    delayed: YesNo = False
    """RCD: time-delayed (marked S), so that it waits for another one behind it."""
    times: Multiple | None = None
    """RCD: test current as a multiple of the rated one: 0.5, 1, 2 or 5."""
    tripped: YesNo | None = None
    """RCD: whether it opened; with a trip time it did."""
    correct: YesNo | None = None
    """Polarity: whether live, neutral and earth stand where they belong."""
    test_voltage: quantity_of("voltage") | None = None  # type: ignore[valid-type]
    """Insulation: voltage of the test, d.c."""
    extra_low: YesNo = False
    """Insulation: whether the circuit is extra-low voltage, apart from the mains."""
    bonds: Count | None = None
    """Neutral-earth bond: how many joins of neutral and earth there are aboard in this mode."""
    transformer: YesNo = False
    """Neutral-earth bond: whether an isolating transformer stands between the shore and the boat."""
    instrument: Ident | None = None
    """Id of the instrument."""
    time: Clock | None = None
    """When."""
    note: Line | None = None
    """Anything else."""

    @model_validator(mode="after")
    def _complete(self) -> Self:
        missing = [key for key in SHORE_KEYS[self.test] if getattr(self, key) is None]
        if self.test == "rcd time" and self.value is None and self.tripped is None:
            missing.append("value (the trip time) or tripped")
        if missing:
            raise fault("P213", f"the test '{self.test}' needs {', '.join(missing)}")
        kind = SHORE_VALUES.get(self.test)
        if self.value is not None and self.value.kind != kind:
            what = f"a {kind}" if kind else "no value"
            raise fault("P120", f"the test '{self.test}' takes {what}, not a {self.value.kind}")
        if self.value is not None and self.value.value < 0:
            raise fault("P121", "a reading of the mains side is not below zero")
        if self.value is not None and self.tripped is False:
            raise fault("P213", "a trip time stands here, yet 'tripped' says no", "delete one of the two")
        return self


class ShoreVisit(Frozen):
    """What was measured on the mains side in one mode of supply, and who may do that by law."""

    model_config = ConfigDict(json_schema_extra={"allOf": [needs("qualified")]})

    mode: ShoreMode
    """What fed the boat: shore, generator or inverter."""
    qualified: Line | None = None
    """Required: what entitles whoever measured by local law, such as a registration; no name."""
    readings: tuple[ShoreReading, ...] = ()
    """The measurements."""

    @model_validator(mode="after")
    def _entitled(self) -> Self:
        if self.qualified is None:
            message = "readings of the mains side do not say who was entitled by law to take them"
            raise fault("P213", message, "add 'qualified: ...', such as a trade registration, without a name")
        return self

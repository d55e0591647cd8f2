"""Charging voltages against the maker's figures, or the usual ones of the chemistry and stage."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from lugbook.assess.evidence.batteries_base import Tested, made, of, read, tested, volt_error, volts
from lugbook.assess.evidence.limits import practice
from lugbook.calc.charging import Stage, charging_window
from lugbook.model.evidence import Evidence, Input, Origin, Verdict
from lugbook.model.findings import Reading
from lugbook.model.network import Network
from lugbook.model.vocabulary import Known

# Change of the charging voltage per kelvin and cell [V/K]: none, or the largest usual (recalled).
COMPENSATION = (0.0, -0.005)
# Where no temperature was read [degC] (common practice, no source).
COLD, WARM = 10.0, 30.0
READ: Known = "read"
RECALLED: Known = "recalled"
USUAL = "usual charging voltage of {kind}, {stage}, with and without temperature compensation"


@dataclass(frozen=True, slots=True)
class Span:
    """A window whose ends are not known better: from `least` or `low` up to `high` or `most`."""

    least: float
    low: float
    high: float
    most: float


def charging(network: Network, readings: Sequence[Reading]) -> Iterator[Evidence]:
    """Every charging voltage that was read."""
    for name, found in of(readings, "charging").items():
        for reading in found:
            yield _stage(tested(network, name), reading)


def window(battery: Tested, stage: Stage, temperatures: tuple[float, float]) -> Span | None:
    """The usual window over all temperatures, with and without compensation; None for a chemistry without one."""
    if battery.chemistry is None:
        return None
    shifts = (0.0,) if battery.chemistry == "lifepo4" else COMPENSATION
    windows = [
        charging_window(
            chemistry=battery.chemistry, stage=stage, cells=battery.cells, temperature=min(max(t, -20), 50), compensation=shift
        )
        for t in temperatures
        for shift in shifts
    ]  # fmt: skip
    lows, highs = [one.low for one in windows], [one.high for one in windows]
    return Span(min(lows), max(lows), min(highs), max(highs))


def _stage(battery: Tested, reading: Reading) -> Evidence:
    assert reading.stage is not None
    warmth, bulk = reading.temperature, reading.stage == "bulk"
    temperatures = (warmth.value, warmth.value) if warmth is not None else (COLD, WARM)
    inputs: tuple[Input, ...] = (volts(reading),)
    if reading.maker is not None:
        low, high = (one.value for one in reading.maker)
        span: Span | None = Span(low, low, high, high)
        clause, known = "the battery maker's figure", READ
    else:
        stage: Stage = "float" if reading.stage == "float" else "absorption"
        span = window(battery, stage, temperatures)
        origin: Origin = "entered" if warmth is not None else "assumed"
        inputs += (
            Input("t", "temperature of the battery", min(temperatures), max(temperatures), "degC", origin),
        )
        clause, known = USUAL.format(kind=battery.chemistry, stage=stage), RECALLED
    rule, state = f"charging voltage, {reading.id}", reading.state
    value, e = reading.value.value, volt_error(reading)
    says = (f"'{battery.name}' reads ", read(value), f" in {reading.stage}")
    if span is None:
        return made(
            battery, state, rule=rule, item="charge-voltage", low=value - e, high=value + e, unit="V", limit=None, formula="U1 <= U <= U2",
            numbers=(read(value),), inputs=inputs, says=(*says, "; no usual window is known for its chemistry."), wants=("the maker's charging voltages, under 'maker'",),
        )  # fmt: skip
    verdict, over = _judged(value - e, value + e, span, bulk=bulk)
    ceiling = verdict == "within" or over
    end = (span.most if verdict == "departure" else span.high) if ceiling else (span.least if verdict == "departure" else span.low)  # fmt: skip
    limit = practice(end, "V read", clause, "at most" if ceiling else "at least", known)  # fmt: skip
    expected = ("at most ", read(span.most)) if bulk else (read(span.least), " to ", read(span.most))
    return made(
        battery, state, rule=rule, item="charge-voltage", low=value - e, high=value + e, unit="V", limit=limit, verdict=verdict, inputs=inputs,
        formula="U <= U2" if bulk else "U1 <= U <= U2",
        numbers=(read(value), " against ", *expected), says=(*says, "; expected ", *expected, "."),
        wants=("the maker's charging voltages for this temperature, under 'maker'", *(() if warmth or reading.maker else ("the temperature of the battery",))), reading=reading.id,
    )  # fmt: skip


def _judged(low: float, high: float, span: Span, *, bulk: bool) -> tuple[Verdict, bool]:
    """The verdict, and whether it is the upper end that counts. In bulk the voltage may be anything below."""
    if low > span.most:
        return "departure", True
    if not bulk and high < span.least:
        return "departure", False
    inside = high <= span.high and (bulk or low >= span.low)
    return ("within" if inside else "cannot be decided"), high > span.high

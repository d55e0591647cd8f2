"""What every judgement of a battery's readings starts from: which battery, how many cells, how well it was read."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import inf

from lugbook.assess.evidence.limits import judge, margin
from lugbook.calc.battery import CHEMISTRIES, Chemistry
from lugbook.calc.uncertainty import instrument_limit
from lugbook.model.apparatus import LITHIUM
from lugbook.model.evidence import Amount, Bound, Evidence, Input, Sentence, Verdict
from lugbook.model.findings import Reading
from lugbook.model.network import Battery, Network
from lugbook.model.quantity import UNITS, Quantity

# A common meter and a common clamp: per cent of the reading, and steps of the last digit (common practice, no source).
METER, CLAMP = (0.5, 3.0), (2.0, 5.0)
COMMON_METER, COMMON_CLAMP = "common meter: 0.5 % and 3 digits", "common clamp: 2 % and 5 digits"


@dataclass(frozen=True, slots=True)
class Tested:
    """A battery or bank that was read. `chemistry` is None where no table speaks of it; `at` is a block or a bank."""

    name: str
    at: str
    chemistry: Chemistry | None
    cells: int
    blocks: tuple[Battery, ...]

    @property
    def twelve(self) -> float:
        """How many times a 12 V battery it is."""
        return self.cells / (4 if self.chemistry == "lifepo4" else 6)


def tested(network: Network, name: str) -> Tested:
    """The battery that a reading names: one block, or a whole bank by its strings of blocks."""
    blocks = tuple(one for one in network.batteries if name in (one.id, one.bank))
    string = [one for one in blocks if one.string == blocks[0].string]
    kind = blocks[0].chemistry
    per_cell = 3.2 if kind in LITHIUM else 2.0
    return Tested(
        name=name,
        at=name,
        chemistry=next((known for known in CHEMISTRIES if known == kind), None),
        cells=min(max(1, sum(round(one.volts / per_cell) for one in string)), 400),
        blocks=blocks,
    )


def error(value: Quantity, percent: float, digits: float) -> float:
    """Largest error of a reading by a common instrument, from the digits that were written."""
    exponent = value.number.as_tuple().exponent
    step = 10.0**exponent * UNITS[value.unit][1] if isinstance(exponent, int) else 0.0
    return instrument_limit(
        reading=value.value, percent=percent, digits=digits, resolution=min(max(step, 1e-9), 1000.0)
    )


def volt_error(reading: Reading) -> float:
    """Largest error of a voltage: as the reading says, else that of a common meter."""
    stated = reading.within is not None and reading.within.kind == "voltage"
    e = abs(reading.within.value) if stated and reading.within else error(reading.value, *METER)
    return min(e, 10.0)


def of(readings: Iterable[Reading], test: str) -> dict[str, list[Reading]]:
    """The readings of one kind of test, by battery."""
    found: dict[str, list[Reading]] = {}
    for one in readings:
        if one.test == test and one.battery is not None:
            found.setdefault(one.battery, []).append(one)
    return dict(sorted(found.items()))


def volts(reading: Reading, symbol: str = "U") -> Input:
    """A voltage with what the meter leaves open."""
    value, e = reading.value.value, volt_error(reading)
    source = f"{reading.place}; {'as stated' if reading.within is not None else COMMON_METER}"
    return Input(symbol, "voltage read", value - e, value + e, "V read", "entered", source)


def made(
    battery: Tested, state: str | None, *, rule: str, item: str, low: float, high: float, unit: str, formula: str,
    numbers: Sentence, limit: Bound | None, says: Sentence, inputs: tuple[Input, ...], verdict: Verdict | None = None,
    wants: tuple[str, ...] = (), notes: tuple[Sentence, ...] = (), reading: str = "",
) -> Evidence:  # fmt: skip
    """Evidence about a battery. Without a limit nothing is decided."""
    judged = verdict or (judge(low, high, limit) if limit is not None else "cannot be decided")
    finite = limit is not None and max(abs(low), abs(high)) != inf
    left = (
        margin(low, high, limit) if limit is not None and finite and judged != "cannot be decided" else None
    )
    return Evidence(
        "batteries", rule, battery.name, battery.blocks[0].path, battery.at, item, "", low, high, unit, inputs, formula,
        numbers, limit, (), judged, wants if judged == "cannot be decided" else (), left, (), state or "", False, says, notes, reading=reading,
    )  # fmt: skip


def read(value: float) -> Amount:
    """A voltage that was read, with its fourth digit."""
    return Amount(value, "V read")

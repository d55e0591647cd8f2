"""Batteries at rest: charge as a band, acid density of the cells, and batteries of one bank against each other."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import hypot

from lugbook.assess.evidence.batteries_base import (
    METER,
    Tested,
    error,
    made,
    of,
    read,
    tested,
    volt_error,
    volts,
)
from lugbook.assess.evidence.limits import practice
from lugbook.calc.bank import series_balance
from lugbook.calc.battery import ChargeBand, charge_band
from lugbook.model.evidence import Amount, Bound, Evidence, Input
from lugbook.model.findings import Reading
from lugbook.model.network import Network

HOUR = 3600.0
# Rest before a voltage tells anything [s] (second-hand: a public page: 8 h, better 24).
REST = 8 * HOUR
# By how much the published tables of lead-acid rest voltages differ, for 12 V [V] (second-hand, three tables).
SPREAD = 0.1
# Where no temperature was read [degC] (common practice, no source).
COLD, WARM = 5.0, 35.0
# Cells of one battery (common practice, no source), and blocks of one bank, for each 12 V (likewise) [V].
DENSITY, AT_REST, CHARGING, SIDE_BY_SIDE = 0.030, 0.2, 0.5, 0.2

WANTS = {
    "not rested": "a rest of 8 h, better 24 h, without load or charge, and its length under 'rest'",
    "flat curve": "the count of a battery monitor, or a full charge: the voltage does not tell",
    "": "a charge, a rest and a second reading",
}

# The least charge at rest.
LITHIUM_LEAST = (0.1, "%", "lithium is not left empty; common practice, no source")
LEAD_LEAST = (0.5, "%", "lead-acid is not left below half charge; common practice, no source")


def charge(network: Network, readings: Sequence[Reading]) -> Iterator[Evidence]:
    """State of charge from the voltage at rest, in bands: the tables do not allow more."""
    for name, found in of(readings, "rest").items():
        for reading in found:
            yield _charge(tested(network, name), reading)


def _charge(battery: Tested, reading: Reading) -> Evidence:
    value = reading.value.value
    warmth = reading.temperature
    low_t, high_t = (warmth.value, warmth.value) if warmth is not None else (COLD, WARM)
    rest = reading.rest.value if reading.rest is not None and reading.rest.bound != "<" else 0.0
    inputs: tuple[Input, ...] = (
        volts(reading),
        Input("t", "temperature of the battery", low_t, high_t, "degC", "entered" if warmth else "assumed"),
        Input("h", "rest", rest / HOUR, rest / HOUR, "h", "entered" if reading.rest else "assumed", "" if reading.rest else "not stated: none"),
    )  # fmt: skip
    kind = battery.chemistry
    if kind is None:
        return made(
            battery, reading.state, rule=f"charge at rest, {reading.id}", item="battery-rest-voltage", low=0, high=1, unit="%", limit=None,
            formula="table of the chemistry", numbers=(read(value),), inputs=inputs, wants=("the chemistry of the battery",),
            says=(f"'{battery.name}' reads ", read(value), " at rest. Its chemistry is not known here, so the charge cannot be told."),
        )  # fmt: skip
    band = _band(battery, reading, rest, (low_t, high_t))
    limit: Bound | None = practice(*(LITHIUM_LEAST if kind == "lifepo4" else LEAD_LEAST), "at least")
    told = f"{band.lowest} to {band.highest} % charged" if band.lowest != band.highest else f"about {band.lowest} % charged"  # fmt: skip
    if band.reason:
        limit = None
        told = "the charge cannot be told, " + ("for it was not rested" if band.reason == "not rested" else "for the voltage hardly changes with it")  # fmt: skip
    return made(
        battery, reading.state, rule=f"charge at rest, {reading.id}", item="battery-rest-voltage", low=band.lowest / 100, high=band.highest / 100,
        unit="%", limit=limit, formula="table of the chemistry, in bands of 25 %", numbers=(read(value), f": {told}"),
        inputs=inputs, wants=(WANTS[band.reason],), says=(f"'{battery.name}' reads ", read(value), f" at rest: {told}."),
        notes=(("A worn battery can rest at full voltage and hold little.",),), reading=reading.id,
    )  # fmt: skip


def _band(battery: Tested, reading: Reading, rest: float, temperatures: tuple[float, float]) -> ChargeBand:
    """The charge over all temperatures; meter and tables err independently."""
    assert battery.chemistry is not None
    spread = 0.0 if battery.chemistry == "lifepo4" else SPREAD * battery.twelve
    bands = [
        charge_band(
            chemistry=battery.chemistry, voltage=reading.value.value, cells=battery.cells, temperature=min(max(t, -20), 50),
            rest=rest, rest_required=REST, error=hypot(volt_error(reading), spread),
        )
        for t in temperatures
    ]  # fmt: skip
    untold = next((one for one in bands if one.reason), None)
    return untold or ChargeBand(min(one.lowest for one in bands), max(one.highest for one in bands), "")


def density(network: Network, readings: Sequence[Reading]) -> Iterator[Evidence]:
    """Acid density from cell to cell."""
    for name, found in of(readings, "density").items():
        if len(found) < 2:
            continue
        values = [one.value.value for one in found]
        low, high = min(values), max(values)
        battery = tested(network, name)
        limit = practice(DENSITY, "ratio", "0.030 between cells, common practice, no source")
        yield made(
            battery, found[0].state, rule="acid density", item="battery-specific-gravity", low=high - low, high=high - low, unit="ratio",
            limit=limit, formula="largest less smallest", inputs=tuple(Input("d", one.place, v, v, "SG read", "entered") for one, v in zip(found, values, strict=True)),
            numbers=(Amount(high, "SG read"), " - ", Amount(low, "SG read"), " = ", Amount(high - low, "ratio")),
            says=(f"The cells of '{name}' read from ", Amount(low, "SG read"), " to ", Amount(high, "SG read"), "."),
            reading=found[values.index(low)].id,
        )  # fmt: skip


def balance(network: Network, readings: Sequence[Reading]) -> Iterator[Evidence]:
    """Blocks of one bank, read one by one in one test and state: in series and side by side."""
    groups: dict[tuple[str, str, str, str], dict[str, Reading]] = {}
    blocks = {one.id: one for one in network.batteries}
    for test in ("rest", "charging"):
        for name, found in of(readings, test).items():
            if name in blocks:
                one = found[-1]
                key = (blocks[name].bank, test, one.stage or "", one.state or "")
                groups.setdefault(key, {})[name] = one
    for (bank, test, _, _), read_ones in sorted(groups.items()):
        whole = tested(network, bank)
        for string in sorted({one.string for one in whole.blocks}):
            mine = [one.id for one in whole.blocks if one.string == string]
            if len(mine) > 1 and all(name in read_ones for name in mine):
                yield _series(network, bank, test, string, [read_ones[name] for name in mine])
        alone = len({one.string for one in whole.blocks}) == len(whole.blocks) > 1
        if test == "rest" and alone and all(one.id in read_ones for one in whole.blocks):
            yield _side_by_side(network, [read_ones[one.id] for one in whole.blocks])


def _difference_error(one: Reading, difference: float) -> float:
    """Of two readings by one meter: its digits, and its per cent of the difference alone."""
    if one.within is not None:
        return volt_error(one)
    return error(one.value, 0, METER[1]) + abs(difference) * METER[0] / 100


def _series(network: Network, bank: str, test: str, string: int, found: list[Reading]) -> Evidence:
    block = tested(network, found[0].battery or "")
    tolerance = (AT_REST if test == "rest" else CHARGING) * block.twelve
    values = [one.value.value for one in found]
    result = series_balance(voltages=values, tolerance=tolerance)
    worst, off = found[result.worst], abs(result.deviation)
    e = _difference_error(worst, off)
    limit = practice(tolerance, "V", f"blocks in series, {'at rest' if test == 'rest' else 'charging'}: difference from their mean; common practice, no source")  # fmt: skip
    return made(
        tested(network, worst.battery or ""), worst.state, rule=f"blocks in series of '{bank}', string {string}, {test}", low=max(off - e, 0), high=off + e, unit="V",
        item="battery-rest-voltage" if test == "rest" else "charge-voltage", limit=limit, formula="U - mean of U",
        inputs=tuple(volts(one) for one in found), numbers=(read(worst.value.value), " - ", read(result.mean), " = ", Amount(result.deviation, "V")),
        says=(f"'{worst.battery}' stands ", Amount(off, "V"), " above" if result.deviation > 0 else " below", " the mean of its string, ", read(result.mean), "."),
        wants=("a meter that reads finer, or the difference after a longer rest or charge",),
    )  # fmt: skip


def _side_by_side(network: Network, found: list[Reading]) -> Evidence:
    low, *_, high = sorted(found, key=lambda one: one.value.value)
    off = high.value.value - low.value.value
    battery = tested(network, low.battery or "")
    e = 2 * _difference_error(low, off / 2)
    limit = practice(SIDE_BY_SIDE * battery.twelve, "V", "blocks side by side, links off, at rest; common practice, no source")  # fmt: skip
    return made(
        battery, low.state, rule="blocks side by side at rest", item="battery-load-test", low=max(off - e, 0), high=off + e, unit="V",
        limit=limit, formula="largest less smallest", inputs=tuple(volts(one) for one in found),
        numbers=(read(high.value.value), " - ", read(low.value.value), " = ", Amount(off, "V")),
        says=(f"'{low.battery}' rests ", Amount(off, "V"), f" below '{high.battery}' beside it."),
        wants=("a finer reading with the links off",),
    )  # fmt: skip

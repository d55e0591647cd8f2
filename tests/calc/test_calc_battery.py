"""Batteries, banks and charging against published tables and worked problems."""

from typing import Any

import pytest
from calc_rows import Row, confirm, table

from lugbook.calc import bank, battery, charging

HOUR = 3600


def band(chemistry: str, voltage: float, **changes: Any) -> dict[str, Any]:
    usual = {"chemistry": chemistry, "voltage": voltage, "cells": 6, "temperature": 25, "error": 0}
    return usual | {"rest": 10 * HOUR, "rest_required": 8 * HOUR} | changes


def limits(**inputs: Any) -> tuple[int, int, str]:
    result = battery.charge_band(**inputs)
    return result.lowest, result.highest, result.reason


def holds(*, charge: int, **inputs: Any) -> bool:
    result = battery.charge_band(**inputs)
    return (
        result.reason == ""
        and result.lowest <= charge <= result.highest
        and result.highest - result.lowest <= 75
    )


ACID = "second-hand: rest voltages with acid densities on a public page: 11.89, 12.06, 12.24, 12.45, 12.65 V"
MAGAZINE = "second-hand: a magazine's answer: 12.66, 12.45, 12.30, 12.15 V"
LIST = "second-hand: a mailing list: 12.6, 12.4, 12.2, 12.0, 11.6 V"
AGM = "second-hand: a vehicle maker's AGM table: 12.0, 12.3, 12.6, 12.8 V"
LITHIUM = "second-hand: public charts agree on 13.6 V full, 12.0 V empty and contradict each other in between"
WARM = "recalled: 0.2 mV per kelvin and cell; by hand: 6 * 0.0002 * 20 = 24 mV"
FLAT = (0, 100, "flat curve")


@table(
    [
        *(
            Row(f"acid {charge}", limits, band("flooded", volts), (charge, charge, ""), 0, ACID)
            for charge, volts in zip((0, 25, 50, 75, 100), (11.89, 12.06, 12.24, 12.45, 12.65), strict=True)
        ),
        Row("between", limits, band("flooded", 12.30), (50, 75, ""), 0, ACID),
        Row("between with error", limits, band("flooded", 12.30, error=0.1), (25, 75, ""), 0, ACID + "; 12.2 to 12.4"),
        Row("error to the step", limits, band("flooded", 12.34, error=0.1), (50, 75, ""), 0, ACID + "; 12.24 to 12.44"),
        Row("above all", limits, band("flooded", 12.9), (100, 100, ""), 0, ACID),
        Row("below all", limits, band("flooded", 11.2), (0, 0, ""), 0, ACID),
        *(Row(f"magazine {charge}", holds, band("flooded", volts, error=0.1) | {"charge": charge}, True, 0, MAGAZINE) for charge, volts in {100: 12.66, 75: 12.45, 50: 12.30, 25: 12.15}.items()),
        *(Row(f"list {charge}", holds, band("flooded", volts, error=0.1) | {"charge": charge}, True, 0, LIST) for charge, volts in {100: 12.6, 75: 12.4, 50: 12.2, 25: 12.0, 0: 11.6}.items()),
        *(Row(f"agm {charge}", limits, band("agm", volts), (charge, charge, ""), 0, AGM) for charge, volts in {25: 12.0, 50: 12.3, 75: 12.6, 100: 12.8}.items()),
        Row("agm empty", limits, band("agm", 11.8), (0, 0, ""), 0, "recalled: 11.8 V"),
        *(Row(f"gel {charge}", limits, band("gel", volts), (charge, charge, ""), 0, "recalled: gel as AGM") for charge, volts in {0: 11.8, 25: 12.0, 50: 12.3, 75: 12.6, 100: 12.8}.items()),
        Row("24 V", limits, band("flooded", 24.60, cells=12), (50, 75, ""), 0, ACID + ", twice"),
        Row("24 V, error", limits, band("flooded", 24.60, cells=12, error=0.2), (25, 75, ""), 0, ACID + ", twice"),
        Row("6 V", limits, band("flooded", 6.12, cells=3), (50, 50, ""), 0, ACID + ", half"),
        Row("cold", limits, band("flooded", 12.22, temperature=5), (50, 75, ""), 0, WARM + ": 12.244 V"),
        Row("hot", limits, band("flooded", 12.26, temperature=45), (25, 50, ""), 0, WARM + ": 12.236 V"),
        Row("cold, just short", limits, band("flooded", 12.2155, temperature=5), (25, 50, ""), 0, WARM + ": 12.2395 V"),
        Row("1 uV short", limits, band("flooded", 12.45 - 1e-6), (75, 75, ""), 0, ACID + "; 1 uV is allowed"),
        Row("1 uV over", limits, band("flooded", 12.24 + 1e-6), (50, 50, ""), 0, ACID + "; 1 uV is allowed"),
        Row("not rested", limits, band("flooded", 12.3, rest=8 * HOUR - 2), (0, 100, "not rested"), 0, "second-hand: rest of 8 h on a public page"),
        Row("just rested", limits, band("flooded", 12.3, rest=8 * HOUR), (50, 75, ""), 0, "second-hand: rest of 8 h on a public page"),
        Row("lithium full", limits, band("lifepo4", 13.6, cells=4), (75, 100, ""), 0, LITHIUM),
        Row("lithium, limit", limits, band("lifepo4", 13.4, cells=4), (75, 100, ""), 0, LITHIUM),
        Row("lithium, error", limits, band("lifepo4", 13.43, cells=4, error=0.05), FLAT, 0, LITHIUM),
        Row("lithium 13.2", limits, band("lifepo4", 13.2, cells=4), FLAT, 0, LITHIUM + ": 13.2 V is 40 % or 80 %"),
        Row("lithium 12.8", limits, band("lifepo4", 12.8, cells=4), FLAT, 0, LITHIUM),
        Row("lithium 12.79", limits, band("lifepo4", 12.79, cells=4), (0, 25, ""), 0, LITHIUM),
        Row("lithium 12.77, error", limits, band("lifepo4", 12.77, cells=4, error=0.05), FLAT, 0, LITHIUM),
        Row("lithium 12.02", limits, band("lifepo4", 12.02, cells=4), (0, 25, ""), 0, LITHIUM),
        Row("lithium 12.0", limits, band("lifepo4", 12.0, cells=4), (0, 0, ""), 0, LITHIUM),
        Row("lithium 11.96, error", limits, band("lifepo4", 11.96, cells=4, error=0.05), (0, 25, ""), 0, LITHIUM),
        Row("lithium full but for 1 uV", limits, band("lifepo4", 13.4 - 1e-6, cells=4), (75, 100, ""), 0, LITHIUM + "; 1 uV is allowed"),
        Row("lithium empty but for 1 uV", limits, band("lifepo4", 12.0 + 1e-6, cells=4), (0, 0, ""), 0, LITHIUM + "; 1 uV is allowed"),
        Row("lithium low but for 1 uV", limits, band("lifepo4", 12.8 - 1e-6, cells=4), FLAT, 0, LITHIUM + "; 1 uV is allowed"),
        Row("lithium 24 V", limits, band("lifepo4", 26.9, cells=8), (75, 100, ""), 0, LITHIUM + ", twice"),
        Row("lithium 24 V, error", limits, band("lifepo4", 26.9, cells=8, error=0.15), FLAT, 0, LITHIUM + ", twice"),
        Row("lithium 24 V, low", limits, band("lifepo4", 25.5, cells=8, error=0.05), (0, 25, ""), 0, LITHIUM + ", twice: 12.775 V"),
        Row("lithium not rested", limits, band("lifepo4", 13.6, cells=4, rest=5), (0, 100, "not rested"), 0, LITHIUM),
    ]
)  # fmt: skip
def test_charge(row: Row) -> None:
    confirm(row)


STEP = {"first_voltage": 12.60, "first_current": 10, "second_voltage": 12.20, "second_current": 60, "voltage_error": 0.02, "current_error": 2}  # fmt: skip
BOUNDS = "by hand: 0.40 / 50; 0.36 / 54; 0.44 / 46"


@table(
    [
        Row("resistance", battery.step_test, STEP, 0.008, 1e-9, BOUNDS, "resistance"),
        Row("lowest", battery.step_test, STEP, 0.36 / 54, 1e-9, BOUNDS, "lowest"),
        Row("highest", battery.step_test, STEP, 0.44 / 46, 1e-9, BOUNDS, "highest"),
        Row("lost in the error", battery.step_test, STEP | {"voltage_error": 0.3}, 0, 0, "by hand: 0.40 - 0.60 is below nothing", "lowest"),
        Row("currents alike", battery.step_test, STEP | {"current_error": 25}, None, 0, "by hand: 50 - 2 * 25 = 0", "highest"),
        Row("currents barely apart", battery.step_test, STEP | {"current_error": 24.75}, 0.88, 1e-6, "by hand: 0.44 / 0.5", "highest"),
        Row("no fall", battery.step_test, STEP | {"second_voltage": 12.60}, 0, 0, "by hand: no fall, no resistance", "resistance"),
        Row("unequal pair", bank.bank_shares, {"emfs": [12.7, 12.7], "resistances": [0.005, 0.015], "current": 80}, (60, 20), 1e-9, "by hand: shares 3 to 1"),
        Row("circulating", bank.bank_shares, {"emfs": [12.8, 12.4], "resistances": [0.005, 0.015], "current": 0}, (20, -20), 1e-9, "by hand: 0.4 V / 20 mohm"),
        Row("unlike and loaded", bank.bank_shares, {"emfs": [12.8, 12.4], "resistances": [0.005, 0.015], "current": 80}, (80, 0), 1e-9, "by hand: 60 + 20, 20 - 20"),
        Row("charged", bank.bank_shares, {"emfs": [12.7, 12.7], "resistances": [0.005, 0.015], "current": -40}, (-30, -10), 1e-9, "by hand: shares 3 to 1"),
        Row("three, one end", bank.one_end_shares, {"batteries": 3, "battery_resistance": 0.006, "link_resistance": 0.003, "current": 105}, (55, 30, 20), 1e-9, "by hand: far to near 1, 1.5, 1.5 + 2.5 / 2 = 2.75, sum 5.25, times 20"),
        Row("two, one end", bank.one_end_shares, {"batteries": 2, "battery_resistance": 0.01, "link_resistance": 0.005, "current": 50}, (30, 20), 1e-9, "by hand: 1 and 1.5"),
        Row("no links", bank.one_end_shares, {"batteries": 4, "battery_resistance": 0.01, "link_resistance": 0, "current": 80}, (20, 20, 20, 20), 1e-9, "by hand: quarters"),
        Row("one alone", bank.one_end_shares, {"batteries": 1, "battery_resistance": 0.01, "link_resistance": 0.4, "current": 80}, (80,), 1e-9, "by hand: all of it"),
        Row("closing a link", bank.equalising_current, {"higher": 12.7, "lower": 11.5, "resistance": 0.015}, 80, 1e-6, "by hand: 1.2 / 0.015"),
        Row("nothing to equalise", bank.equalising_current, {"higher": 12.7, "lower": 12.7, "resistance": 0.015}, 0, 0, "by hand: no difference"),
    ]
)  # fmt: skip
def test_steps_and_banks(row: Row) -> None:
    confirm(row)


UNEVEN = {"voltages": [13.2, 14.4], "tolerance": 0.3}
FOUR = {"voltages": [12.6, 12.7, 12.2, 12.5], "tolerance": 0.3}


@table(
    [
        Row("mean", bank.series_balance, FOUR, 12.5, 1e-9, "by hand: 50 / 4", "mean"),
        Row("worst", bank.series_balance, FOUR, 2, 0, "by hand: 12.2 is 0.3 below 12.5", "worst"),
        Row("deviation", bank.series_balance, FOUR, -0.3, 1e-9, "by hand: 12.2 - 12.5", "deviation"),
        Row("exactly tolerable", bank.series_balance, FOUR, True, 0, "by hand: 0.3 is not above 0.3", "balanced"),
        Row("not tolerable", bank.series_balance, FOUR | {"tolerance": 0.29}, False, 0, "by hand: 0.3 is above 0.29", "balanced"),
        Row("hair past", bank.series_balance, FOUR | {"tolerance": 0.3 - 5e-9}, False, 0, "by hand: 5 nV too little", "balanced"),
        Row("edge of the tolerance", bank.series_balance, {"voltages": [0, 2 * (0.25 + 1e-9)], "tolerance": 0.25}, True, 0, "by hand: 1 nV too much, as allowed", "balanced"),
        Row("high block", bank.series_balance, {"voltages": [12.0, 12.1, 12.9], "tolerance": 0.5}, 2, 0, "by hand: mean 12.33", "worst"),
        Row("first of equals", bank.series_balance, UNEVEN, 0, 0, "by hand: both 0.6 from 13.8", "worst"),
        Row("first of equals, bits aside", bank.series_balance, {"voltages": [0.7, 0.5, 0.3], "tolerance": 0.3}, 0, 0, "by hand: both 0.2 from 0.5", "worst"),
        Row("pair deviation", bank.series_balance, UNEVEN, -0.6, 1e-9, "by hand: 13.2 - 13.8", "deviation"),
    ]
)  # fmt: skip
def test_balance(row: Row) -> None:
    confirm(row)


def window(chemistry: str, stage: str, **changes: Any) -> dict[str, Any]:
    cells = 4 if chemistry == "lifepo4" else 6
    return {
        "chemistry": chemistry,
        "stage": stage,
        "cells": cells,
        "temperature": 25,
        "compensation": 0,
    } | changes


def both(**inputs: Any) -> tuple[float, float]:
    result = charging.charging_window(**inputs)
    return result.low, result.high


def shift_per_cell(*, temperature: float) -> float:
    """Change of the charging voltage against 25 degC at -3 mV per kelvin and cell."""
    there = charging.charging_window(**window("agm", "float", temperature=temperature, compensation=-0.003))
    return (there.low - charging.charging_window(**window("agm", "float")).low) / 6


USUAL = "recalled: makers' usual figures"
UNIVERSITY = "read: a battery maker's tutorial page: 2.30 V a cell at 25 degC, 2.27 at 35, 2.33 at 15"
RANGES = {
    ("flooded", "absorption"): (14.4, 14.8), ("agm", "absorption"): (14.4, 14.8), ("gel", "absorption"): (14.1, 14.4),
    ("flooded", "float"): (13.2, 13.8), ("agm", "float"): (13.2, 13.8), ("gel", "float"): (13.2, 13.8),
    ("lifepo4", "absorption"): (14.0, 14.6), ("lifepo4", "float"): (13.4, 13.6),
}  # fmt: skip


@table(
    [
        *(Row(f"{kind} {stage}", both, window(kind, stage), volts, 1e-9, USUAL) for (kind, stage), volts in RANGES.items()),
        Row("24 V gel", both, window("gel", "absorption", cells=12), (28.2, 28.8), 1e-9, USUAL + ", twice"),
        Row("24 V lithium", both, window("lifepo4", "absorption", cells=8), (28.0, 29.2), 1e-9, USUAL + ", twice"),
        Row("cold gel", both, window("gel", "absorption", temperature=15, compensation=-0.004), (14.34, 14.64), 1e-9, "by hand: 6 * 4 mV * 10 K = 0.24 V more"),
        Row("hot", shift_per_cell, {"temperature": 35}, -0.03, 1e-9, UNIVERSITY),
        Row("cold", shift_per_cell, {"temperature": 15}, 0.03, 1e-9, UNIVERSITY),
    ]
)  # fmt: skip
def test_charging_windows(row: Row) -> None:
    confirm(row)


def test_no_window_is_left_out() -> None:
    assert set(charging.CHARGING) == set(RANGES)


def cubic_metres_per_hour(*, cells: int, milliamperes: float, capacity: float) -> float:
    return charging.ventilation(cells=cells, gas_current=milliamperes / 1e3, capacity=capacity) * 3600


def opening_cm2(*, per_hour: float) -> float:
    return charging.vent_area(flow=per_hour / 3600) * 1e4


FACTORS = "second-hand: a battery maker's page, Q = 24 * 0.42e-3 * 5 * n * I: 0.0504, printed 0.05"
NORDIC = "second-hand: a battery maker's page after EN 50272-3: Q = 0.05 n Igas C / 100, 2 A per 100 Ah vented at 2.4 V a cell"


@table(
    [
        Row("12 V vented, boost", cubic_metres_per_hour, {"cells": 6, "milliamperes": 20, "capacity": 220}, 1.32, 1e-9, "second-hand: IEC 62485-2 formula on three pages; by hand: 0.05 * 6 * 20 * 220 / 1000"),
        Row("24 V sealed, float", cubic_metres_per_hour, {"cells": 12, "milliamperes": 1, "capacity": 100}, 0.06, 1e-9, "second-hand: IEC 62485-2 formula on three pages; by hand: 0.05 * 12 * 0.1"),
        Row("traction", cubic_metres_per_hour, {"cells": 24, "milliamperes": 20, "capacity": 500}, 12, 1e-9, NORDIC + "; by hand: 0.05 * 24 * 2 * 5"),
        Row("from its factors", cubic_metres_per_hour, {"cells": 6, "milliamperes": 20, "capacity": 220}, 24 * 0.42e-3 * 5 * 6 * 0.02 * 220, 0.011, FACTORS),
        Row("opening", opening_cm2, {"per_hour": 12}, 336, 1e-9, "second-hand: the same page, A = 28 Q cm2; by hand: 28 * 12"),
        Row("opening by air speed", opening_cm2, {"per_hour": 3.6}, 100, 1, "by hand: 1 litre/s at 0.1 m/s is 100 cm2; 28 is rounded from 27.8"),
    ]
)  # fmt: skip
def test_ventilation(row: Row) -> None:
    confirm(row)


# Typed from a public ventilation page after EN 50272-2 [mA/Ah], safety factor of 5 included.
GAS_PRINTED = {("vented", "float"): 5, ("valve-regulated", "float"): 1, ("vented", "boost"): 20, ("valve-regulated", "boost"): 8}  # fmt: skip


def test_gas_currents() -> None:
    assert {key: round(value * 1e3, 9) for key, value in charging.GAS_CURRENT.items()} == GAS_PRINTED


def test_lithium_is_never_told_within_its_flat_curve() -> None:
    for tenth_millivolts in range(128001, 134000, 97):
        result = battery.charge_band(**band("lifepo4", tenth_millivolts / 1e4, cells=4))
        assert result.reason == "flat curve"


def test_lithium_takes_no_compensation() -> None:
    with pytest.raises(ValueError, match=r"^compensation \[V/K\] must be 0 for lifepo4, not -0\.003$"):
        charging.charging_window(**window("lifepo4", "float", compensation=-0.003))

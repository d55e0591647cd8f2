"""Voltage drop against the worked tables of the aircraft circular and other published problems."""

from calc_rows import Row, confirm, table

from lugbook.calc import conductor, voltage_drop

FOOT = 0.3048
T7 = "read: FAA AC 43.13-1B CHG 1, table 11-7 (two copies)"
T8 = "read: FAA AC 43.13-1B CHG 1, table 11-8 (two copies)"


def drop_in_feet(*, ohm_per_foot: float, feet: float, amperes: float) -> float:
    return voltage_drop.drop(current=amperes, resistance=ohm_per_foot * feet, temperature=20)


def longest_in_feet(*, ohm_per_foot: float, volts: float, amperes: float) -> float:
    return (
        voltage_drop.longest_run(permitted=volts, current=amperes, resistance_per_metre=ohm_per_foot / FOOT)
        / FOOT
    )


@table(
    [
        Row("11-7, 1 V", drop_in_feet, {"ohm_per_foot": 0.00044, "feet": 107, "amperes": 20}, 0.942, 0.0005, T7),
        Row("11-7, 0.5 V", drop_in_feet, {"ohm_per_foot": 0.00028, "feet": 90, "amperes": 20}, 0.504, 0.0005, T7),
        Row("11-7, 4 V", drop_in_feet, {"ohm_per_foot": 0.00202, "feet": 88, "amperes": 20}, 3.555, 0.0005, T7 + ": prints 3.60, its own product is 3.555"),
        Row("11-7, 7 V", drop_in_feet, {"ohm_per_foot": 0.00306, "feet": 100, "amperes": 20}, 6.12, 0.005, T7),
        Row("11-8, 1 V", drop_in_feet, {"ohm_per_foot": 0.00126, "feet": 39, "amperes": 20}, 0.98, 0.005, T8),
        Row("11-8, 0.5 V", drop_in_feet, {"ohm_per_foot": 0.00126, "feet": 19.5, "amperes": 20}, 0.491, 0.0005, T8 + ": prints .366, its own product is .491"),
        Row("11-8, 4 V", drop_in_feet, {"ohm_per_foot": 0.00126, "feet": 156, "amperes": 20}, 3.93, 0.005, T8),
        Row("11-8, 7 V", drop_in_feet, {"ohm_per_foot": 0.00126, "feet": 273, "amperes": 20}, 6.88, 0.005, T8),
        # The circular reads lengths off a chart; they lie up to 2 % below the computed ones.
        Row("11-8, 1 V, run", longest_in_feet, {"ohm_per_foot": 0.00126, "volts": 1, "amperes": 20}, 39, 0.7, T8),
        Row("11-8, 0.5 V, run", longest_in_feet, {"ohm_per_foot": 0.00126, "volts": 0.5, "amperes": 20}, 19.5, 0.35, T8),
        Row("11-8, 4 V, run", longest_in_feet, {"ohm_per_foot": 0.00126, "volts": 4, "amperes": 20}, 156, 2.8, T8),
        Row("11-8, 7 V, run", longest_in_feet, {"ohm_per_foot": 0.00126, "volts": 7, "amperes": 20}, 273, 4.9, T8),
        Row("longest run", voltage_drop.longest_run, {"permitted": 0.6, "current": 30, "resistance_per_metre": 2e-3}, 10, 1e-9, "by hand: 0.6 / (30 * 0.002)"),
        Row("no drop permitted", voltage_drop.longest_run, {"permitted": 0, "current": 30, "resistance_per_metre": 2e-3}, 0, 0, "by hand: nothing may be lost"),
        Row("warm", voltage_drop.drop, {"current": 20, "resistance": 0.05, "temperature": 70.9}, 1.2, 1e-9, "by hand: 20 * 0.05 * 1.2, as 234.5 + 70.9 = 1.2 * 254.5"),
    ]
)  # fmt: skip
def test_drop_and_run(row: Row) -> None:
    confirm(row)


# Table 11-9 of the circular: ohm per 1000 ft at 20 degC, tin-plated, by gauge.
TIN_PLATED = {
    "24": 28.40, "22": 16.20, "20": 9.88, "18": 6.23, "16": 4.81, "14": 3.06, "12": 2.02, "10": 1.26, "8": 0.70,
    "6": 0.44, "4": 0.28, "2": 0.18, "1": 0.15, "1/0": 0.12, "2/0": 0.09, "3/0": 0.07, "4/0": 0.06,
}  # fmt: skip


def gauge_for(*, volts: float, amperes: float, feet: float, plain_copper: bool = False) -> str:
    areas = {gauge: conductor.awg_area(gauge=gauge) for gauge in TIN_PLATED}
    sizes = {
        area: conductor.RESISTIVITY_20 / area if plain_copper else TIN_PLATED[gauge] / 1000 / FOOT
        for gauge, area in areas.items()
    }
    found = voltage_drop.smallest_area(
        permitted=volts, current=amperes, length=feet * FOOT, temperature=20, resistances=sizes
    )
    return next(gauge for gauge, area in areas.items() if area == found)


SIZES = {16e-6: 1.24e-3, 6e-6: 3.39e-3, 10e-6: 1.95e-3}
SMALLEST = {"permitted": 0.36, "current": 20, "length": 8, "temperature": 20, "resistances": SIZES}
DROP_HAND = "by hand: 20 * 8 * 3.39e-3 = 0.542, * 1.95e-3 = 0.312, * 1.24e-3 = 0.198; limit 0.36"


@table(
    [
        Row("example 1", gauge_for, {"volts": 1, "amperes": 20, "feet": 50}, "8", 0, "read: FAA AC 43.13-1B CHG 1, 11-67 c, example 1"),
        Row("11-7, 1 V", gauge_for, {"volts": 1, "amperes": 20, "feet": 107}, "6", 0, T7),
        Row("11-7, 0.5 V but for chart error", gauge_for, {"volts": 0.505, "amperes": 20, "feet": 90}, "4", 0, T7 + ": its own drop is .504"),
        Row("11-7, 4 V", gauge_for, {"volts": 4, "amperes": 20, "feet": 88}, "12", 0, T7),
        Row("11-7, 7 V", gauge_for, {"volts": 7, "amperes": 20, "feet": 100}, "14", 0, T7),
        Row("bilge pump", gauge_for, {"volts": 1.2, "amperes": 10, "feet": 21, "plain_copper": True}, "16", 0, "read: a chandlery catalogue: 10 A, 11 ft out, 10 ft back, 10 % of 12 V"),
        Row("metric", voltage_drop.smallest_area, SMALLEST, 10e-6, 0, DROP_HAND),
        Row("warm", voltage_drop.smallest_area, SMALLEST | {"temperature": 70.9}, 16e-6, 0, DROP_HAND + ", all * 1.2"),
        Row("tight", voltage_drop.smallest_area, SMALLEST | {"permitted": 0.2}, 16e-6, 0, DROP_HAND),
        Row("none", voltage_drop.smallest_area, SMALLEST | {"permitted": 0.19}, None, 0, DROP_HAND),
        Row("exactly", voltage_drop.smallest_area, SMALLEST | {"permitted": 20 * 3.39e-3 * 8}, 6e-6, 0, DROP_HAND),
    ]
)  # fmt: skip
def test_smallest_size(row: Row) -> None:
    confirm(row)


ANNEX = "recalled: ISO 10133:2012 annex C; by hand: 0.0164 * 20 * 12 / 10 = 0.3936"


@table(
    [
        Row("standard's figure", voltage_drop.drop_by_standard, {"current": 20, "length": 12, "area": 10e-6}, 0.3936, 1e-9, ANNEX),
        Row("shared negative", voltage_drop.path_drop, {"currents": [5, 25, 40], "resistances": [0.04, 0.01, 0.002]}, 0.53, 1e-9, "by hand: 0.20 + 0.25 + 0.08"),
        Row("one section", voltage_drop.path_drop, {"currents": [7], "resistances": [0.03]}, 0.21, 1e-9, "by hand: 7 * 0.03"),
        Row("3 % of 12 V", voltage_drop.permitted_drop, {"system_voltage": 12, "percent": 3}, 0.36, 1e-9, "by hand: 12 * 0.03"),
        Row("10 % of 24 V", voltage_drop.permitted_drop, {"system_voltage": 24, "percent": 10}, 2.4, 1e-9, "by hand: 24 * 0.1"),
        Row("in per cent", voltage_drop.drop_percent, {"voltage_drop": 0.6, "system_voltage": 24}, 2.5, 1e-9, "by hand: 60 / 24"),
        Row("run at 70 degC", voltage_drop.run_at_temperature, {"run": 10, "temperature": 70}, 8.358, 0.0005, "read: FAA AC 43.13-1B 11-66 b (4): 254.5 * 10 / 304.5"),
        Row("run at 20 degC", voltage_drop.run_at_temperature, {"run": 42, "temperature": 20}, 42, 1e-9, "read: FAA AC 43.13-1B 11-66 b (4): L1 is the 20 degC value"),
    ]
)  # fmt: skip
def test_formulas(row: Row) -> None:
    confirm(row)


def test_the_standard_understates_a_warm_cable() -> None:
    standard = voltage_drop.drop_by_standard(current=30, length=10, area=16e-6)
    resistance = conductor.from_area(area=16e-6, length=10, temperature=20)
    true = voltage_drop.drop(current=30, resistance=resistance, temperature=70)
    assert round(true / standard, 2) == 1.26  # 0.017241 * 304.5 / 254.5 / 0.0164, by hand

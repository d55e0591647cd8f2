"""Loads and device ratings."""

from calc_rows import Row, confirm, table

from lugbook.calc import loads

PAGE = "read: a public page on inverter current, losses left out"
NEC_PRINTED = """1 3 6 10 15 20 25 30 35 40 45 50 60 70 80 90 100 110 125 150 175 200 225 250 300 350 400 450
500 600"""
MAKER = "recalled: blade fuse-links on sale after ISO 8820-3: 2 to 40 A small, 20 to 100 A large"
MCB = "recalled: IEC 60898-1, preferred rated currents"


def printed(*, text: str) -> tuple[float, ...]:
    return tuple(float(cell) for cell in text.split())


@table(
    [
        Row("NEC", printed, {"text": NEC_PRINTED}, loads.STANDARD_NEC, 0, "second-hand: NEC 2023, 240.6 (A), four public pages"),
        Row("blade", printed, {"text": "2 3 4 5 7.5 10 15 20 25 30 35 40 50 60 70 80 100"}, loads.STANDARD_BLADE, 0, MAKER),
        Row("breakers", printed, {"text": "6 8 10 13 16 20 25 32 40 50 63 80 100 125"}, loads.STANDARD_MCB, 0, MCB),
    ]
)  # fmt: skip
def test_series(row: Row) -> None:
    confirm(row)


@table(
    [
        Row("1000 W, 12 V", loads.inverter_current, {"power": 1000, "efficiency": 1, "voltage": 12}, 83.33, 0.005, PAGE),
        Row("3000 W, 24 V", loads.inverter_current, {"power": 3000, "efficiency": 1, "voltage": 24}, 125, 0.5, PAGE),
        Row("5000 W, 48 V", loads.inverter_current, {"power": 5000, "efficiency": 1, "voltage": 48}, 104.17, 0.005, PAGE),
        Row("with losses", loads.inverter_current, {"power": 2000, "efficiency": 0.8, "voltage": 10}, 250, 1e-9, "by hand: 2000 / (0.8 * 10)"),
        Row("stall", loads.stall_current, {"voltage": 12, "winding_resistance": 0.45, "path_resistance": 0.15}, 20, 1e-9, "by hand: 12 / 0.6"),
        Row("stall, no path", loads.stall_current, {"voltage": 24, "winding_resistance": 0.3, "path_resistance": 0}, 80, 1e-9, "by hand: 24 / 0.3"),
        Row("stall from rated", loads.stall_from_rated, {"current": 4, "factor": 5}, 20, 0, "by hand: 4 * 5"),
        Row("80 % of 50 A", loads.continuous_limit, {"rating": 50, "fraction": 0.8}, 40, 1e-9, "by hand: 0.8 * 50"),
        Row("125 % of 40 A", loads.rating_for_continuous, {"current": 40, "fraction": 0.8}, 50, 1e-9, "recalled: NEC 215.3, device at least 125 % of a continuous load"),
    ]
)  # fmt: skip
def test_currents(row: Row) -> None:
    confirm(row)


S = loads.STANDARD_NEC
LIST = "second-hand: NEC 240.6 (A), the list itself"
CFR1 = "read: 33 CFR 183.455 (c) (1), 150 % below 50 V"
CFR2 = "read: 33 CFR 183.455 (c) (2), next standard size up to 150 %"


@table(
    [
        Row("next above 41", loads.standard_at_least, {"current": 41, "series": S}, 45, 0, LIST),
        Row("next at 45", loads.standard_at_least, {"current": 45, "series": S}, 45, 0, LIST),
        Row("next above 600", loads.standard_at_least, {"current": 601, "series": S}, None, 0, LIST),
        Row("unsorted up", loads.standard_at_least, {"current": 8, "series": [30, 10, 20]}, 10, 0, "by hand: smallest of 10, 20, 30"),
        Row("at most 52.5", loads.standard_at_most, {"limit": 52.5, "series": S}, 50, 0, LIST),
        Row("at most 60", loads.standard_at_most, {"limit": 60, "series": S}, 60, 0, LIST),
        Row("at most 0.5", loads.standard_at_most, {"limit": 0.5, "series": S}, None, 0, LIST),
        Row("unsorted down", loads.standard_at_most, {"limit": 25, "series": [30, 10, 20]}, 20, 0, "by hand: largest of 10, 20"),
        Row("14 gauge, 50 A", loads.permitted_by_factor, {"rating": 50, "ampacity": 35, "factor": 1.5}, True, 0, CFR1 + ": limit 52.5 A"),
        Row("14 gauge, 60 A", loads.permitted_by_factor, {"rating": 60, "ampacity": 35, "factor": 1.5}, False, 0, CFR1 + ": limit 52.5 A"),
        Row("10 gauge 75 degC, 60 A", loads.permitted_by_factor, {"rating": 60, "ampacity": 40, "factor": 1.5}, True, 0, CFR1 + ": limit 60 A"),
        Row("equal but for a bit", loads.permitted_by_factor, {"rating": 0.3, "ampacity": 0.1, "factor": 3}, True, 0, "by hand: 3 * 0.1, which a computer makes 0.30000000000000004"),
        Row("a hair over", loads.permitted_by_factor, {"rating": 60.0000002, "ampacity": 40, "factor": 1.5}, False, 0, CFR1),
        Row("a hair under", loads.permitted_by_factor, {"rating": 60.00000005, "ampacity": 40, "factor": 1.5}, True, 0, "by hand: within the stated part in a thousand million"),
        Row("edge of the allowance", loads.permitted_by_factor, {"rating": 1.5 * 40 * (1 + 1e-9), "ampacity": 40, "factor": 1.5}, True, 0, "by hand: the stated part in a thousand million itself"),
        Row("at the ampacity", loads.permitted_next_size, {"rating": 50, "ampacity": 50, "factor": 1.5, "series": S}, True, 0, CFR2),
        Row("next size", loads.permitted_next_size, {"rating": 60, "ampacity": 55, "factor": 1.5, "series": S}, True, 0, CFR2),
        Row("two sizes up", loads.permitted_next_size, {"rating": 70, "ampacity": 55, "factor": 1.5, "series": S}, False, 0, CFR2),
        Row("over the standard size", loads.permitted_next_size, {"rating": 60, "ampacity": 50, "factor": 1.5, "series": S}, False, 0, CFR2),
        Row("past the factor", loads.permitted_next_size, {"rating": 6, "ampacity": 3.5, "factor": 1.5, "series": S}, False, 0, CFR2 + ": 6 A is next, 5.25 A the limit"),
        Row("past the series", loads.permitted_next_size, {"rating": 700, "ampacity": 650, "factor": 1.5, "series": S}, False, 0, CFR2),
        Row("odd rating below next", loads.permitted_next_size, {"rating": 57, "ampacity": 55, "factor": 1.5, "series": S}, True, 0, "by hand: smaller than the permitted 60 A"),
        Row("small factor", loads.permitted_next_size, {"rating": 50, "ampacity": 55, "factor": 0.5, "series": S}, True, 0, CFR2 + ": never stricter than the ampacity"),
    ]
)  # fmt: skip
def test_ratings(row: Row) -> None:
    confirm(row)

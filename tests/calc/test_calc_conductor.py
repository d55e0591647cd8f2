"""Conductors against published tables."""

from itertools import pairwise

import pytest
from calc_rows import Row, confirm, table

from lugbook.calc import conductor

FOOT = 0.3048
HYPER = "read: university physics page of wire gauges after Floyd, Electric Circuit Fundamentals, 2nd ed."
CIRRIS = "read: cable-tester maker's wire resistance table"

# Gauge: (diameter in mil, circular mils, ohm per 1000 ft at 20 degC), as printed there.
PRINTED = {
    "24": ("20.1", "404.01", "25.67"), "22": ("25.35", "642.4", "16.14"), "20": ("31.96", "1021.5", "10.15"),
    "18": ("40.3", "1624.3", "6.385"), "16": ("50.82", "2582.9", "4.016"), "14": ("64.08", "4106.8", "2.525"),
    "12": ("80.8", "6529", "1.588"), "11": ("90.74", "8234", "1.26"), "10": ("101.89", "10381", "0.9989"),
    "9": ("114.43", "13094", "0.7921"), "8": ("128.49", "16509", "0.6282"), "7": ("144.28", "20816", "0.4982"),
    "6": ("162.02", "26250", "0.3951"), "5": ("181.94", "33102", "0.3133"), "4": ("204.31", "41742", "0.2485"),
    "3": ("229.42", "52634", "0.197"), "2": ("257.63", "66373", "0.1563"), "1": ("289.3", "83694", "0.124"),
    "1/0": ("324.85", "105530", "0.0983"), "2/0": ("364.8", "133080", "0.078"),
    "3/0": ("409.65", "167810", "0.0618"), "4/0": ("460", "211600", "0.049"),
}  # fmt: skip


def last_digit(printed: str) -> float:
    """One step of the last digit printed, or 1 in 4000 where the table's own last digits are worn by rounding."""
    decimals = len(printed.partition(".")[2])
    return max(10.0**-decimals, float(printed) / 4000)


def diameter_mil(*, gauge: str) -> float:
    return conductor.awg_diameter(gauge=gauge) / 25.4e-6


def circular_mils(*, gauge: str) -> float:
    return conductor.awg_area(gauge=gauge) / (3.141592653589793 / 4 * 25.4e-6**2)


def ohms_per_1000_ft(*, gauge: str) -> float:
    return conductor.from_area(area=conductor.awg_area(gauge=gauge), length=1000 * FOOT, temperature=20)


AWG_ROWS = [
    Row(f"{name} of {gauge}", function, {"gauge": gauge}, float(text), last_digit(text), HYPER)
    for gauge, texts in PRINTED.items()
    for name, function, text in zip(
        ("diameter", "area", "resistance"),
        (diameter_mil, circular_mils, ohms_per_1000_ft),
        texts,
        strict=True,
    )
]


@table(AWG_ROWS)
def test_wire_gauges(row: Row) -> None:
    confirm(row)


# Typed from the conductor reference page (classes 1 and 2, 5 and 6, plain, tinned), whose order differs from the code.
TYPED = """
0.50 36.0 39 36.7 40.1
0.75 24.5 26 24.8 26.7
1.0 18.1 19.5 18.2 20.0
1.5 12.1 13.3 12.2 13.7
2.5 7.41 7.98 7.56 8.21
4 4.61 4.95 4.70 5.09
6 3.08 3.30 3.11 3.39
10 1.83 1.91 1.84 1.95
16 1.15 1.21 1.16 1.24
25 0.727 0.780 0.734 0.795
35 0.524 0.554 0.529 0.565
50 0.387 0.386 0.391 0.393
70 0.268 0.272 0.270 0.277
95 0.193 0.206 0.195 0.210
120 0.153 0.161 0.154 0.164
150 0.124 0.129 0.126 0.132
"""
COLUMNS = [("class 2", "plain"), ("class 5", "plain"), ("class 2", "tinned"), ("class 5", "tinned")]
TYPED_LINES = [[float(cell) for cell in line.split()] for line in TYPED.split("\n") if line]
IEC_ROWS = [
    Row(
        f"{line[0]:g} mm2 {stranding} {finish}",
        conductor.standard_resistance,
        {"area": line[0] * 1e-6, "stranding": stranding, "finish": finish},
        line[1 + column] / 1000,
        1e-12,
        "second-hand: IEC 60228:2004 as printed on a conductor reference page; a cable maker's page agrees from 1 mm2 on",
    )
    for line in TYPED_LINES
    for column, (stranding, finish) in enumerate(COLUMNS)
]


@table(IEC_ROWS)
def test_standard_resistance(row: Row) -> None:
    confirm(row)


def test_the_standard_table_holds_nothing_else() -> None:
    sizes = [line[0] for line in TYPED_LINES]
    assert {key: sorted(part) for key, part in conductor.IEC_60228.items()} == dict.fromkeys(COLUMNS, sizes)


def test_a_size_is_found_whatever_its_last_bit() -> None:
    assert 95 * 1e-6 != 95e-6
    for area in (95 / 1e6, 95 * 1e-6, 95e-6, 95.0000003e-6):
        assert conductor.standard_resistance(area=area, stranding="class 5", finish="plain") == 0.206e-3


KT = "second-hand: IEC 60228 annex as printed on a cable maker's page"
KT_PRINTED = {
    5: 1.064, 10: 1.042, 15: 1.020, 20: 1.000, 25: 0.980, 30: 0.962, 35: 0.943, 40: 0.926, 45: 0.909, 50: 0.893,
    55: 0.877, 60: 0.862, 65: 0.847, 70: 0.833, 75: 0.820, 80: 0.806, 85: 0.794, 90: 0.781, 95: 0.769, 100: 0.758,
}  # fmt: skip


@table(
    [
        Row(f"kt at {t}", conductor.standard_correction, {"temperature": t}, kt, 1e-9, KT)
        for t, kt in KT_PRINTED.items()
    ]
)
def test_standard_correction(row: Row) -> None:
    confirm(row)


def inverse(*, temperature: float) -> float:
    return 1 / conductor.temperature_factor(temperature=temperature)


def ratio_65_to_25(*, resistance_25: float) -> float:
    at_20 = resistance_25 / conductor.temperature_factor(temperature=25)
    return conductor.at_temperature(resistance=at_20, temperature=65)


NEETS_TABLE = (
    "read: US Navy NEETS module 4, wire table of the assignment questions, ohm per 1000 ft at 25 and 65 degC"
)


@table(
    [
        Row(
            "70 degC",
            inverse,
            {"temperature": 70},
            0.836,
            0.0005,
            "read: FAA AC 43.13-1B, 11-66 b (4): 254.5/304.5",
        ),
        Row(
            "105 degC",
            inverse,
            {"temperature": 105},
            0.7496,
            0.00005,
            "by hand: 254.5/339.5, AC 43.13-1B 11-66",
        ),
        Row("5 degC", inverse, {"temperature": 5}, 1.063, 0.0005, "by hand: 254.5/239.5, copper exactly"),
        Row("90 degC", inverse, {"temperature": 90}, 0.784, 0.0005, "by hand: 254.5/324.5, copper exactly"),
        Row(
            "per kelvin",
            conductor.temperature_factor,
            {"temperature": 120},
            1.393,
            0.0001,
            "second-hand: IEC 60028, 0.00393 per K: 1 + 100 * 0.00393",
        ),
        Row("gauge 6", ratio_65_to_25, {"resistance_25": 0.403}, 0.465, 0.0006, NEETS_TABLE),
        Row("gauge 8", ratio_65_to_25, {"resistance_25": 0.641}, 0.739, 0.001, NEETS_TABLE),
        Row("gauge 10", ratio_65_to_25, {"resistance_25": 1.020}, 1.180, 0.006, NEETS_TABLE),
        Row("gauge 12", ratio_65_to_25, {"resistance_25": 1.620}, 1.870, 0.006, NEETS_TABLE),
    ]
)
def test_temperature(row: Row) -> None:
    confirm(row)


def run(*, feet: float, per_1000_ft: float) -> float:
    """A single conductor of a length in feet."""
    return conductor.loop_resistance(
        out_per_metre=per_1000_ft / 1000 / FOOT, out_length=feet * FOOT, back_per_metre=0, back_length=0
    )


NEETS_1_12 = "read: US Navy NEETS module 4, assignment question 1-12"
LOOP = {"out_per_metre": 2e-3, "out_length": 3, "back_per_metre": 5e-3, "back_length": 7}


@table(
    [
        Row("2500 ft of 12", run, {"feet": 2500, "per_1000_ft": 1.62}, 4.05, 0.005, NEETS_1_12),
        Row("6000 ft of 7", run, {"feet": 6000, "per_1000_ft": 0.508}, 3.05, 0.005, NEETS_1_12),
        Row(
            "400 ft of 18",
            run,
            {"feet": 400, "per_1000_ft": 6.505},
            2.602,
            0.0005,
            "read: an electrician's maths page",
        ),
        Row(
            "1500 ft at 10.4",
            run,
            {"feet": 1500, "per_1000_ft": 10.4},
            15.6,
            0.05,
            "read: NEETS module 4, mil-foot",
        ),
        Row(
            "2 x 30 ft of 10",
            run,
            {"feet": 60, "per_1000_ft": 10.4 / 10.38},
            0.060,
            0.0005,
            "read: a trade forum, K=10.4",
        ),
        Row("out and back", conductor.loop_resistance, LOOP, 0.041, 1e-9, "by hand: 2 * 3 + 5 * 7 = 41 mohm"),
        Row(
            "10 mm2, 8 m",
            conductor.from_area,
            {"area": 10e-6, "length": 8, "temperature": 20},
            13.7928e-3,
            1e-9,
            "by hand: 0.017241 * 8 / 10 = 0.0137928 ohm",
        ),
        Row(
            "warm",
            conductor.from_area,
            {"area": 4e-6, "length": 6, "temperature": 274.5 - 254.5 + 50.9},
            0.0310338,
            1e-7,
            "by hand: 0.017241 * 6 / 4 * 1.2, as 234.5 + 70.9 = 1.2 * 254.5",
        ),
    ]
)
def test_runs(row: Row) -> None:
    confirm(row)


def test_gauges_step_by_a_constant_ratio() -> None:
    areas = [conductor.awg_area(gauge=gauge) for gauge in conductor.AWG_NUMBER]
    assert len(areas) == 28
    for smaller, larger in pairwise(areas):
        assert larger / smaller == pytest.approx(92 ** (2 / 39))

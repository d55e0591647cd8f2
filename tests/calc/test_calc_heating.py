"""Fault heating against printed k factors and worked problems."""

from math import sqrt

from calc_rows import Row, confirm, table

from lugbook.calc import heating


def k_printed(*, initial: float, final: float, metal: str = "copper") -> int:
    return round(heating.k_factor(initial=initial, final=final, metal=metal) / 1e6)


def k_exactly(*, initial: float, final: float, metal: str = "copper") -> float:
    return heating.k_factor(initial=initial, final=final, metal=metal) / 1e6


PAGE = "second-hand: BS 7671 and IEC 60364-5-54 table as printed on a cable-engineering page"
FULL = "by hand: sqrt(3.45e-3 * 254.5 / 17.241e-6 * ln(...))"
TABLE_K = {
    (70, 160): 115, (70, 140): 103, (90, 160): 100, (90, 250): 143, (60, 200): 141, (180, 350): 132,
}  # fmt: skip


@table(
    [
        *(Row(f"{ti} to {tf}", k_printed, {"initial": ti, "final": tf}, k, 0, PAGE) for (ti, tf), k in TABLE_K.items()),
        Row("90 to 140", k_exactly, {"initial": 90, "final": 140}, 85.43, 0.006, PAGE + ": prints 86, made with the rounded 226"),
        Row("aluminium", k_printed, {"initial": 70, "final": 160, "metal": "aluminium"}, 76, 0, PAGE),
        Row("bare protective", k_printed, {"initial": 30, "final": 160}, 143, 0, "recalled: IEC 60364-5-54, conductor not in a cable"),
        Row("105 degC cable", k_printed, {"initial": 105, "final": 160}, 87, 0, "by hand: 225.67 * sqrt(ln(394.5 / 339.5)) = 87.4"),
        Row("70 to 160 in full", k_exactly, {"initial": 70, "final": 160}, 114.84, 0.006, FULL),
        Row("steel", k_exactly, {"initial": 90, "final": 160, "metal": "steel"}, 36.24, 0.005, "by hand: sqrt(3.8e-3 * 222 / 138e-6) = 78.19; * sqrt(ln(362 / 292)) = 0.4635"),
        Row("leading constant", k_exactly, {"initial": 0, "final": 234.5 * 1.718281828459045}, 225.669, 0.0006, "read: a paper on IEC 60949: 225.669, where the logarithm is 1"),
    ]
)  # fmt: skip
def test_k(row: Row) -> None:
    confirm(row)


PRINTED = PAGE + ": final temperature"


@table(
    [
        Row("PVC", heating.momentary_temperature, {"material": "pvc", "area": 299e-6}, 160, 0, PRINTED),
        Row("PVC at the bound", heating.momentary_temperature, {"material": "pvc", "area": 300e-6}, 160, 0, PRINTED + ", up to 300 mm2"),
        Row("large PVC", heating.momentary_temperature, {"material": "pvc", "area": 301e-6}, 140, 0, PRINTED + ", above 300 mm2"),
        Row("XLPE", heating.momentary_temperature, {"material": "xlpe", "area": 301e-6}, 250, 0, PRINTED),
        Row("EPR", heating.momentary_temperature, {"material": "epr", "area": 35e-6}, 250, 0, PRINTED),
        Row("rubber", heating.momentary_temperature, {"material": "rubber", "area": 35e-6}, 200, 0, PRINTED),
        Row("silicone", heating.momentary_temperature, {"material": "silicone", "area": 35e-6}, 350, 0, PRINTED),
    ]
)  # fmt: skip
def test_what_insulation_stands_for_a_moment(row: Row) -> None:
    confirm(row)


def area_mm2(*, amperes: float, seconds: float, k: float) -> float:
    return heating.smallest_area(joule_integral=amperes**2 * seconds, k=k * 1e6) * 1e6


def amperes_for(*, area_mm2: float, initial: float, final: float) -> float:
    """The current that takes one second, in kA."""
    k = heating.k_factor(initial=initial, final=final, metal="copper")
    return sqrt(heating.withstand(k=k, area=area_mm2 * 1e-6)) / 1e3


TIME = {"current": 2000, "k": 115e6, "area": 10e-6}
EDGE = {"current": 100, "k": 100e6, "area": 5**0.5 * 1e-6}
CABLES = "read: a public page on short-circuit sizing, k = 143"
MELT = {"initial": 20, "joule_integral": 1.0e6, "area": 5e-6, "metal": "copper"}


@table(
    [
        Row("2500 A, 0.1 s", area_mm2, {"amperes": 2500, "seconds": 0.1, "k": 115}, 6.9, 0.05, "read: a public page on cable calculation: 6.9 mm2"),
        Row("12 kA, 0.2 s", area_mm2, {"amperes": 12000, "seconds": 0.2, "k": 143}, 37.5, 0.05, CABLES + ": 37.5 mm2"),
        Row("12 kA, 0.02 s", area_mm2, {"amperes": 12000, "seconds": 0.02, "k": 143}, 11.9, 0.05, CABLES + ": 11.9 mm2"),
        Row("1000 A, 0.5 s", area_mm2, {"amperes": 1000, "seconds": 0.5, "k": 115}, 6.149, 0.0005, "by hand: 707.1 / 115"),
        Row("95 mm2 for a second", amperes_for, {"area_mm2": 95, "initial": 90, "final": 250}, 13.6, 0.05, "read: a paper on IEC 60949, 95 mm2 from 90 to 250 degC: 13.6 kA"),
        Row("k2 S2", heating.withstand, {"k": 115e6, "area": 10e-6}, 1_322_500, 1e-3, "by hand: 1150 squared"),
        Row("time", heating.time_to_limit, TIME, 0.330625, 1e-9, "by hand: 1322500 / 4e6", "seconds"),
        Row("time is exact", heating.time_to_limit, TIME, False, 0, "by hand: below 5 s", "lower_bound"),
        Row("long", heating.time_to_limit, TIME | {"current": 500}, 5, 0, "by hand: 5.29 s is past the law's 5 s", "seconds"),
        Row("long is a lower bound", heating.time_to_limit, TIME | {"current": 500}, True, 0, "by hand: 5.29 s", "lower_bound"),
        Row("just short of 5 s", heating.time_to_limit, EDGE | {"current": 100.001}, False, 0, "by hand: 4.9999 s", "lower_bound"),
        Row("just past 5 s", heating.time_to_limit, EDGE | {"current": 99.999}, True, 0, "by hand: 5.0001 s", "lower_bound"),
        Row("5 s itself", heating.time_to_limit, {"current": 21, "k": 2.0**26, "area": sqrt(5 * 21**2) / 2**26}, False, 0, "by hand: 5 * 21^2 / 21^2; a power of two keeps it exact", "lower_bound"),
        Row("back to 160 degC", heating.final_temperature, {"initial": 70, "joule_integral": 114.84e6**2 * 1e-10, "area": 10e-6, "metal": "copper"}, 160, 0.05, PAGE + ": k = 115 (114.84)"),
        Row("final by hand", heating.final_temperature, MELT, 323.7, 0.05, "by hand: 254.5 * exp(1e6 * 17.241e-9 / (25e-12 * 3.45e6 * 254.5)) - 234.5 = 254.5 * exp(0.78544) - 234.5"),
        Row("gone", heating.final_temperature, MELT | {"joule_integral": 5e6}, None, 0, "by hand: exponent 3.9, past ln(1234.5 / 254.5) = 1.579"),
        Row("just there", heating.final_temperature, MELT | {"joule_integral": 2.0102e6}, 1000, 1, "by hand: exponent 1.5789"),
        Row("just past", heating.final_temperature, MELT | {"joule_integral": 2.0110e6}, None, 0, "by hand: exponent 1.5796"),
        Row("no fault", heating.final_temperature, MELT | {"joule_integral": 0}, 20, 1e-9, "by hand: nothing happens"),
    ]
)  # fmt: skip
def test_heat(row: Row) -> None:
    confirm(row)


G = {3.5: 0.5, 1.35: None, 2: 5, 6: 0.1}
BLADE = "recalled: ISO 8820-3 type C, upper gates 200 %: 5 s, 350 %: 0.5 s, 600 %: 0.1 s; no interpolation"


@table(
    [
        Row("below all", heating.clearing_time, {"current": 40.4, "rating": 30, "gates": G}, None, 0, BLADE),
        Row("no upper time", heating.clearing_time, {"current": 41, "rating": 30, "gates": G}, None, 0, BLADE),
        Row("under 200 %", heating.clearing_time, {"current": 59.9, "rating": 30, "gates": G}, None, 0, BLADE),
        Row("at 200 %", heating.clearing_time, {"current": 60, "rating": 30, "gates": G}, 5, 0, BLADE),
        Row("under 350 %", heating.clearing_time, {"current": 104.9, "rating": 30, "gates": G}, 5, 0, BLADE),
        Row("at 350 %", heating.clearing_time, {"current": 105, "rating": 30, "gates": G}, 0.5, 0, BLADE),
        Row("at 600 %", heating.clearing_time, {"current": 180, "rating": 30, "gates": G}, 0.1, 0, BLADE),
        Row("far above", heating.clearing_time, {"current": 3000, "rating": 30, "gates": G}, 0.1, 0, BLADE),
        Row("I2 t", heating.let_through, {"current": 300, "clearing": 0.5, "published": 99}, 45000, 1e-6, "by hand: 90000 * 0.5"),
        Row("at 0.1 s", heating.let_through, {"current": 300, "clearing": 0.1, "published": 99}, 9000, 1e-6, "by hand: 90000 * 0.1"),
        Row("below 0.1 s", heating.let_through, {"current": 300, "clearing": 0.09, "published": 99}, 99, 0, "recalled: IEC 60364-4-43, let-through below 0.1 s"),
        Row("not known", heating.let_through, {"current": 300, "clearing": 0.09, "published": None}, None, 0, "recalled: IEC 60364-4-43, let-through below 0.1 s"),
    ]
)  # fmt: skip
def test_clearing(row: Row) -> None:
    confirm(row)


# Typed from the annex of IEC 60364-5-54 as two public pages print it (units: J/(K mm3), degC, ohm mm).
METALS_PRINTED = {
    "copper": (3.45e-3, 234.5, 17.241e-6),
    "aluminium": (2.5e-3, 228, 28.264e-6),  # one page prints 28.267
    "steel": (3.8e-3, 202, 138e-6),
}


def test_metals() -> None:
    shipped = {
        name: (of.heat_capacity, of.inverse_coefficient, of.resistivity)
        for name, of in heating.METALS.items()
    }
    assert shipped.keys() == METALS_PRINTED.keys()
    for name, (heat, inverse, resistivity) in METALS_PRINTED.items():
        assert [round(value, 15) for value in shipped[name]] == [
            heat * 1e9,
            inverse,
            round(resistivity * 1e-3, 15),
        ]


def test_a_cold_cable_stands_more_and_115_flatters_boat_cable() -> None:
    cold, warm = k_exactly(initial=20, final=160), k_exactly(initial=70, final=160)
    assert cold > warm
    boat = k_exactly(initial=105, final=160)
    assert round((115 / boat) ** 2, 2) == 1.73

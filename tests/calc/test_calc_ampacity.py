"""Ampacity against published deratings."""

from calc_rows import Row, confirm, table

from lugbook.calc import ampacity

MANUAL = "second-hand: IEC 60364-5-52 method {} as printed in a compressor maker's instruction book"
# Method, insulation rating, ambient factors at 40, 45, 50 and 55 degC, and by area: A at 30, 40, 45, 50, 55 degC.
PVC = (0.87, 0.79, 0.71, 0.61)
XLPE = (0.91, 0.87, 0.82, 0.76)
# The book prints whole amperes, so 17 where the standard has 17.5 (recalled; its own derated values need 17.5).
PRINTED = {
    ("B2", 70, PVC): """
        1.5 15 13 12 11 9
        2.5 20 17 16 14 12
        4 27 23 21 19 16
        6 34 30 27 24 21
        10 46 40 36 33 28
        16 62 54 49 44 38
        25 80 70 63 57 49
        35 99 86 78 70 60
        50 118 103 93 84 72
        70 149 130 118 106 91
        95 179 156 141 127 109
        120 206 179 163 146 126""",
    ("C", 70, PVC): """
        1.5 17.5 15 14 12 11
        2.5 24 21 19 17 15
        4 32 28 25 23 20
        6 41 36 32 29 25
        10 57 50 45 40 35
        16 76 66 60 54 46
        25 96 84 76 68 59
        35 119 104 94 84 73
        50 144 125 114 102 88""",
    ("F", 70, PVC): """
        25 110 96 87 78 67
        35 137 119 108 97 84
        50 167 145 132 119 102
        70 216 188 171 153 132
        95 264 230 209 187 161
        120 308 268 243 219 188
        150 356 310 281 253 217""",
    # 25 mm2 at 50 degC: the book prints 110 for 135 * 0.82 = 110.7, against its own rounding elsewhere.
    ("F", 90, XLPE): """
        25 135 123 117 111 103
        35 169 154 147 139 128
        50 207 188 180 170 157
        70 268 244 233 220 204
        95 328 298 285 269 249
        120 383 349 333 314 291
        150 444 404 386 364 337""",
}


def by_table(*, tabulated: float, ambient: float, bundle: float) -> float:
    result = ampacity.derate(
        tabulated=tabulated, ambient_by_table=ambient, ambient_by_physics=2, bundle=bundle
    )
    assert result.governs == "table"
    return result.amperes


DERATING = [
    Row(
        f"{method} {rating} degC {cells[0]} mm2 at {ambient} degC",
        by_table,
        {"tabulated": float(cells[1]), "ambient": factor, "bundle": 1},
        float(cell),
        0.51,  # printed in whole amperes; 0.51 for a half that the book rounds down
        MANUAL.format(method),
    )
    for (method, rating, factors), text in PRINTED.items()
    for cells in (line.split() for line in text.split("\n") if line.strip())
    for ambient, factor, cell in zip((40, 45, 50, 55), factors, cells[2:], strict=True)
]


@table(DERATING)
def test_ambient_derating(row: Row) -> None:
    confirm(row)


def rounded_factor(*, rating: float, ambient: float) -> float:
    return round(ampacity.physical_factor(rating=rating, ambient=ambient, reference=30), 2)


NEC = "second-hand: NEC table 310.15 (B) (2) (a), 90 degC column, on a public wire-size page"
FACTORS = [
    *(
        Row(f"{rating} at {ambient}", rounded_factor, {"rating": rating, "ambient": ambient}, value, 1e-9, source)
        for rating, source, values in (
            (70, MANUAL.format("B2, C and F"), {40: 0.87, 45: 0.79, 50: 0.71, 55: 0.61}),
            (90, MANUAL.format("F"), {40: 0.91, 45: 0.87, 50: 0.82, 55: 0.76}),
            (90, NEC, {35: 0.96, 60: 0.71, 70: 0.58, 80: 0.41}),
        )
        for ambient, value in values.items()
    ),
    *(
        Row(f"engine space {rating}", rounded_factor, {"rating": rating, "ambient": 50}, value, 1e-9, source)
        for rating, value, source in (
            (60, 0.58, "second-hand: 33 CFR 183.425 note 1; NEC table agrees"),
            (75, 0.75, "second-hand: 33 CFR 183.425 note 1; NEC table agrees"),
            (125, 0.89, "recalled: 33 CFR 183.425 note 1"),
        )
    ),
    Row("engine space 90", rounded_factor, {"rating": 90, "ambient": 50}, 0.82, 1e-9, "second-hand: 33 CFR 183.425 note 1"),
    Row("80 differs", rounded_factor, {"rating": 80, "ambient": 50}, 0.77, 1e-9, "by hand: sqrt(30/50) = 0.7746; the law prints 0.78"),
    Row("105 differs", rounded_factor, {"rating": 105, "ambient": 50}, 0.86, 1e-9, "by hand: sqrt(55/75); the law prints 0.85"),
    Row("200 differs", rounded_factor, {"rating": 200, "ambient": 50}, 0.94, 1e-9, "by hand: sqrt(150/170); the law prints 1.00"),
    Row("60 degC in 60 degC", rounded_factor, {"rating": 60, "ambient": 60}, 0, 0, "by hand: nothing is left at the rating"),
    Row("60 degC in 80 degC", rounded_factor, {"rating": 60, "ambient": 80}, 0, 0, "by hand: nothing is left above the rating"),
    Row("105 in 60 degC", rounded_factor, {"rating": 105, "ambient": 60}, 0.77, 1e-9, "by hand: sqrt(45/75) = 0.7746"),
    Row("70 in 60 degC", rounded_factor, {"rating": 70, "ambient": 60}, 0.50, 1e-9, "by hand: sqrt(10/40) = 0.5"),
    Row("cooler", rounded_factor, {"rating": 70, "ambient": 15}, 1.17, 1e-9, "by hand: sqrt(55/40) = 1.1726"),
    Row(
        "table for 40 degC",
        ampacity.physical_factor,
        {"rating": 100, "ambient": 85, "reference": 40},
        0.5,
        1e-9,
        "by hand: sqrt(15/60) = 0.5",
    ),
]  # fmt: skip


@table(FACTORS)
def test_physical_factor(row: Row) -> None:
    confirm(row)


BANDS = {3: 0.70, 4: 0.60, 7: 0.50, 25: 0.40}
LAW_BANDS = "second-hand: 33 CFR 183.425 note 2 from two public copies"
CABLE_MAKER = "read: a marine cable maker's page of 105 degC ampacities by bundle and engine space"
# AWG, A for one, then: 2 in engine space, 3, 3 in engine space, 4-6, 4-6 engine, 7-24, 7-24 engine.
COMBINED = """
18 20 17 14 11.9 12 10.2 10 8.5
14 35 29.8 24.5 20.8 21 17.9 17.5 14.9
10 60 51 42 35.7 36 30.6 30 25.5
6 120 102 84 71.4 72 61.2 60 51
4/0 445 378.3 311.5 264.8 267 227 222.5 189.1
"""
CASES = [(2, True), (3, False), (3, True), (5, False), (5, True), (9, False), (9, True)]


def combined(*, base: float, conductors: int, engine_space: bool) -> float:
    return by_table(
        tabulated=base,
        ambient=0.85 if engine_space else 1,
        bundle=ampacity.bundle_factor(conductors=conductors, bands=BANDS),
    )


@table(
    [
        Row(
            f"gauge {cells[0]}, {number} together{', engine space' if engine else ''}",
            combined,
            {"base": float(cells[1]), "conductors": number, "engine_space": engine},
            float(cell),
            0.0501,
            CABLE_MAKER,
        )
        for cells in (line.split() for line in COMBINED.split("\n") if line)
        for (number, engine), cell in zip(CASES, cells[2:], strict=True)
    ]
)
def test_bundle_and_engine_space(row: Row) -> None:
    confirm(row)


ENGINE = "read: a chandler's page that reprints the 105 degC column of 33 CFR 183.425 outside and inside engine spaces"
OUTSIDE = "20 25 35 45 60 80 120 160 180 210 245 285 330 385 445"
INSIDE = "17 21 30 38 51 68 102 136 153 178 208 242 280 327 378"


@table(
    [
        Row(
            f"{outside} A outside",
            by_table,
            {"tabulated": float(outside), "ambient": 0.85, "bundle": 1},
            float(inside),
            0.5,
            ENGINE,
        )
        for outside, inside in zip(OUTSIDE.split(), INSIDE.split(), strict=True)
    ]
)
def test_engine_space(row: Row) -> None:
    confirm(row)


@table(
    [
        Row(f"{n} together", ampacity.bundle_factor, {"conductors": n, "bands": BANDS}, factor, 0, LAW_BANDS)
        for n, factor in {1: 1.0, 2: 1.0, 3: 0.7, 4: 0.6, 6: 0.6, 7: 0.5, 24: 0.5, 25: 0.4, 90: 0.4}.items()
    ]
)
def test_bundle_steps(row: Row) -> None:
    confirm(row)


SIDES = "by hand: the product of the factors, lower one first"
DERATE = {"tabulated": 70, "ambient_by_table": 0.86, "ambient_by_physics": 0.75, "bundle": 0.8}


@table(
    [
        Row("by table", ampacity.derate, DERATE, 48.16, 1e-9, "by hand: 70 * 0.86 * 0.8", "by_table"),
        Row("by physics", ampacity.derate, DERATE, 42.0, 1e-9, "by hand: 70 * 0.75 * 0.8", "by_physics"),
        Row("lower", ampacity.derate, DERATE, 42.0, 1e-9, SIDES, "amperes"),
        Row("governs", ampacity.derate, DERATE, "physics", 0, SIDES, "governs"),
        Row("equal", ampacity.derate, DERATE | {"ambient_by_physics": 0.86}, "table", 0, SIDES, "governs"),
        Row(
            "other way", ampacity.derate, DERATE | {"ambient_by_physics": 0.9}, 48.16, 1e-9, SIDES, "amperes"
        ),
        Row(
            "other way governs",
            ampacity.derate,
            DERATE | {"ambient_by_physics": 0.9},
            "table",
            0,
            SIDES,
            "governs",
        ),
    ]
)
def test_both_are_kept(row: Row) -> None:
    confirm(row)


READING = "by hand: no interpolation, the next lower row or column"


@table(
    [
        Row("column between", ampacity.column_for, {"ratings": [105, 60, 75], "rating": 104}, 75, 0, READING),
        Row(
            "column exactly", ampacity.column_for, {"ratings": [105, 60, 75], "rating": 105}, 105, 0, READING
        ),
        Row("lowest column", ampacity.column_for, {"ratings": [105, 60, 75], "rating": 60}, 60, 0, READING),
        Row(
            "row between",
            ampacity.row_for,
            {"areas": [4e-6, 2.5e-6, 6e-6], "area": 5.26e-6},
            4e-6,
            0,
            READING,
        ),
        Row(
            "row exactly",
            ampacity.row_for,
            {"areas": [16 / 1e6, 10e-6], "area": 16e-6},
            16e-6,
            1e-12,
            READING,
        ),
        Row(
            "nearly",
            ampacity.row_for,
            {"areas": [16e-6, 10e-6], "area": 16e-6 * (1 - 9e-7)},
            16e-6,
            0,
            READING,
        ),
        Row(
            "at the edge",
            ampacity.row_for,
            {"areas": [16e-6 * (1 + 1e-6), 4e-6], "area": 16e-6},
            16e-6 * (1 + 1e-6),
            0,
            READING,
        ),
        Row(
            "not quite",
            ampacity.row_for,
            {"areas": [16e-6, 10e-6], "area": 16e-6 * (1 - 2e-6)},
            10e-6,
            0,
            READING,
        ),
    ]
)
def test_reading_a_table(row: Row) -> None:
    confirm(row)


HOT = {"ambient": 30, "rating": 90, "current": 50, "ampacity": 100}
FAA = "recalled: FAA AC 43.13-1B 11-66 b (5), by hand: 30 + 60 * sqrt(0.25) = 60"


@table(
    [
        Row("half load", ampacity.conductor_temperature, HOT, 45, 1e-9, "by hand: 30 + 60 / 4"),
        Row(
            "full load",
            ampacity.conductor_temperature,
            HOT | {"current": 100},
            90,
            1e-9,
            "by hand: the rating itself",
        ),
        Row(
            "overload",
            ampacity.conductor_temperature,
            HOT | {"current": 150},
            165,
            1e-9,
            "by hand: 30 + 60 * 2.25",
        ),
        Row(
            "no load",
            ampacity.conductor_temperature,
            HOT | {"current": 0},
            30,
            1e-9,
            "by hand: the ambient itself",
        ),
        Row("aircraft, quarter", ampacity.conductor_temperature_faa, HOT | {"current": 25}, 60, 1e-9, FAA),
        Row("aircraft, full", ampacity.conductor_temperature_faa, HOT | {"current": 100}, 90, 1e-9, FAA),
    ]
)
def test_conductor_temperature(row: Row) -> None:
    confirm(row)


def test_the_two_temperatures_agree_only_at_the_ends() -> None:
    for current in (10.0, 40.0, 90.0):
        inputs = HOT | {"current": current}
        assert ampacity.conductor_temperature_faa(**inputs) > ampacity.conductor_temperature(**inputs)


def test_no_cell_of_the_derating_tables_is_left_out() -> None:
    assert len(DERATING) == 4 * (12 + 9 + 7 + 7)

"""Lugs and studs against printed tables."""

from calc_rows import Row, confirm, table

from lugbook.calc import conductor, termination

ISO = "second-hand: ISO 273 as printed alike on two public pages"
# Thread, fine, medium, coarse [mm].
ISO_273 = """
M3 3.2 3.4 3.6
M4 4.3 4.5 4.8
M5 5.3 5.5 5.8
M6 6.4 6.6 7.0
M8 8.4 9.0 10.0
M10 10.5 11.0 12.0
M12 13.0 13.5 14.5
M14 15.0 15.5 16.5
M16 17.0 17.5 18.5
"""
# Screw, close, normal, loose: metric drills [mm] of the same standard, within 0.25 mm of its inch holes.
ASME = (
    "second-hand: ASME B18.2.8-1999, metric drills for inch fasteners, as printed in an engineers' handbook"
)
ASME_DRILLS = """
#6 3.9 4.3 4.7
#8 4.6 5 5.4
#10 5.2 5.6 6
1/4 6.7 7.1 7.5
5/16 8.3 8.7 9.1
3/8 9.9 10.2 10.5
1/2 13.5 14.25 15.5
"""
INCH = "second-hand: ASME B18.2.8-1999 in inches, on a clearance-hole page; loose column also in a handbook"
ASME_INCH = """
1/4 0.266 0.281 0.297
5/16 0.328 0.344 0.359
3/8 0.391 0.406 0.422
"""
LOOSE = "second-hand: ASME B18.2.8-1999, loose column, in inches, as printed in an engineers' handbook"


def hole_mm(*, stud: str, series: termination.Series) -> float:
    return termination.clearance_hole(stud=stud, series=series) * 1e3


def hole_inch(*, stud: str, series: termination.Series) -> float:
    return termination.clearance_hole(stud=stud, series=series) / 0.0254


def diameter_mm(*, stud: str) -> float:
    return termination.stud_diameter(stud=stud) * 1e3


def cells(text: str) -> list[list[str]]:
    return [line.split() for line in text.split("\n") if line]


HOLES = [
    Row(
        f"{name} {line[0]} {series}",
        function,
        {"stud": line[0], "series": series},
        float(cell),
        tolerance,
        source,
    )
    for name, text, function, tolerance, source in (
        ("ISO", ISO_273, hole_mm, 1e-9, ISO),
        ("drill", ASME_DRILLS, hole_mm, 0.25, ASME),
        ("inch", ASME_INCH, hole_inch, 0.0005, INCH),
    )
    for line in cells(text)
    for series, cell in zip(("fine", "medium", "coarse"), line[1:], strict=True)
]
HOLES += [
    Row(f"loose {stud}", hole_inch, {"stud": stud, "series": "coarse"}, inches, 0.0005, LOOSE)
    for stud, inches in {
        "#6": 0.185,
        "#8": 0.213,
        "1/4": 0.297,
        "5/16": 0.359,
        "3/8": 0.422,
        "1/2": 0.609,
    }.items()
]
NUMBERED = "recalled: ASME B18.2.8-1999 in inches"
HOLES += [
    Row(f"numbered {stud} {series}", hole_inch, {"stud": stud, "series": series}, inches, 1e-9, NUMBERED)
    for stud, printed in {
        "#6": (0.153, 0.170, 0.185),
        "#8": (0.180, 0.196, 0.213),
        "#10": (0.206, 0.221, 0.238),
        "1/2": (0.53125, 0.5625, 0.609375),
    }.items()
    for series, inches in zip(("fine", "medium", "coarse"), printed, strict=True)
]
DIAMETERS = {
    "M3": 3, "M4": 4, "M5": 5, "M6": 6, "M8": 8, "M10": 10, "M12": 12, "M14": 14, "M16": 16, "#6": 3.5052, "#8": 4.1656,
    "#10": 4.826, "1/4": 6.35, "5/16": 7.9375, "3/8": 9.525, "1/2": 12.7,
}  # fmt: skip
HOLES += [
    Row(
        f"stud {stud}",
        diameter_mm,
        {"stud": stud},
        mm,
        1e-9,
        "recalled: ISO 261 and ASME B1.1, outer diameter",
    )
    for stud, mm in DIAMETERS.items()
]


@table(HOLES)
def test_holes_and_studs(row: Row) -> None:
    confirm(row)


def test_no_stud_is_left_out() -> None:
    named = {line[0] for line in cells(ISO_273) + cells(ASME_DRILLS)}
    assert set(termination.STUDS) == named == set(DIAMETERS)


CLASSES = "by hand: ISO 273 limits of the stud"
FITS = [
    ("M8 lug on M6", 8.4e-3, "M6", "oversize"), ("M10 lug on M8", 10.5e-3, "M8", "oversize"),
    ("M6 lug on M8", 6.4e-3, "M8", "does not go on"), ("6 mm hole on M5", 6.0e-3, "M5", "oversize"),
    ("M6 lug on M5", 6.4e-3, "M5", "oversize"), ("M10 lug on 3/8", 10.5e-3, "3/8", "loose"),
    ("M8 lug on 3/8", 8.4e-3, "3/8", "does not go on"), ("M8 lug on 5/16", 8.4e-3, "5/16", "matched"),
    ("M6 lug on M6", 6.4e-3, "M6", "matched"), ("medium exactly", 6.6e-3, "M6", "matched"),
    ("medium but for a bit", 6.6e-3 + 9e-8, "M6", "matched"), ("past medium", 6.6e-3 + 2e-7, "M6", "loose"),
    ("coarse exactly", 7.0e-3, "M6", "loose"), ("coarse but for a bit", 7e-3 + 9e-8, "M6", "loose"),
    ("past coarse", 7e-3 + 2e-7, "M6", "oversize"), ("the stud itself", 6.0e-3, "M6", "matched"),
    ("edge of medium", 6.6 / 1e3 + 1e-7, "M6", "matched"), ("edge of coarse", 7 / 1e3 + 1e-7, "M6", "loose"),
    ("a bit tight", 6e-3 - 9e-8, "M6", "matched"), ("too tight", 6e-3 - 2e-7, "M6", "does not go on"),
]  # fmt: skip


@table([Row(name, termination.hole_fit, {"hole": hole, "stud": stud}, verdict, 0, CLASSES, "verdict") for name, hole, stud, verdict in FITS])  # fmt: skip
def test_fit(row: Row) -> None:
    confirm(row)


LOST = {"face": 10e-3, "hole": 6.4e-3, "matched_hole": 5.3e-3}
FIT = {"conductor": 13.3e-6, "barrel": 16e-6, "least": 0.9, "most": 1.05}
RANGE = {"low": 5, "high": 6}
RING = "by hand: (40.96 - 28.09) / (100 - 28.09) = 12.87 / 71.91"
BARRELS = "recalled: DIN 46235, inner diameter d1"


def barrel_mm(*, area: float) -> float:
    return termination.barrel_diameter(area=area) * 1e3


@table(
    [
        Row("play", termination.hole_fit, {"hole": 8.4e-3, "stud": "M6"}, 2.4e-3, 1e-12, CLASSES, "play"),
        Row("negative play", termination.hole_fit, {"hole": 6.4e-3, "stud": "M8"}, -1.6e-3, 1e-12, CLASSES, "play"),
        Row("loose play", termination.hole_fit, {"hole": 6.9e-3, "stud": "M6"}, 0.9e-3, 1e-12, CLASSES, "play"),
        Row("matched play", termination.hole_fit, {"hole": 6.4e-3, "stud": "M6"}, 0.4e-3, 1e-12, CLASSES, "play"),
        Row("M6 hole on M5", termination.contact_lost, LOST, 0.17897, 1e-5, RING),
        Row("nothing lost", termination.contact_lost, LOST | {"hole": 5.3e-3}, 0, 0, "by hand: the matched hole"),
        Row("smaller hole", termination.contact_lost, LOST | {"hole": 5.0e-3}, 0, 0, "by hand: nothing is lost"),
        Row("face falls through", termination.contact_lost, LOST | {"hole": 10.5e-3}, 1, 0, "by hand: no ring is left"),
        Row("face just falls through", termination.contact_lost, LOST | {"hole": 10e-3}, 1, 1e-12, "by hand: no ring is left"),
        *(Row(f"barrel {mm2}", barrel_mm, {"area": mm2 * 1e-6}, mm, 1e-9, BARRELS) for mm2, mm in {6: 3.8, 10: 4.5, 16: 5.5, 25: 7.0, 35: 8.2, 50: 10.0, 70: 11.5, 95: 13.5, 120: 15.5, 150: 17.0}.items()),
        Row("gauge 6 in 16", termination.barrel_fit, FIT, "too small for the barrel", 0, "by hand: 83 %", "verdict"),
        Row("gauge 6 fills", termination.barrel_fit, FIT, 0.83125, 1e-9, "by hand: 13.3 / 16", "filling"),
        Row("16 in 16", termination.barrel_fit, FIT | {"conductor": 16e-6}, "matched", 0, "by hand: 100 %", "verdict"),
        Row("16 fills 16", termination.barrel_fit, FIT | {"conductor": 16e-6}, 1, 1e-9, "by hand: 100 %", "filling"),
        Row("least", termination.barrel_fit, FIT | {"conductor": 9e-6, "barrel": 10e-6}, "matched", 0, "by hand: 90 %", "verdict"),
        Row("below least", termination.barrel_fit, FIT | {"conductor": 8.9999e-6, "barrel": 10e-6}, "too small for the barrel", 0, "by hand: 89.999 %", "verdict"),
        Row("hair below least", termination.barrel_fit, FIT | {"conductor": 9e-6 * (1 - 5e-9), "barrel": 10e-6}, "too small for the barrel", 0, "by hand: past the allowance of 1e-9", "verdict"),
        Row("most", termination.barrel_fit, FIT | {"conductor": 10.5e-6, "barrel": 10e-6}, "matched", 0, "by hand: 105 %", "verdict"),
        Row("above most", termination.barrel_fit, FIT | {"conductor": 10.5001e-6, "barrel": 10e-6}, "too large for the barrel", 0, "by hand: 105.001 %", "verdict"),
        Row("hair above most", termination.barrel_fit, FIT | {"conductor": 10.5e-6 * (1 + 5e-9), "barrel": 10e-6}, "too large for the barrel", 0, "by hand: past the allowance of 1e-9", "verdict"),
        Row("above most fills", termination.barrel_fit, FIT | {"conductor": 12e-6, "barrel": 10e-6}, 1.2, 1e-9, "by hand: 12 / 10", "filling"),
        Row("edge of least", termination.barrel_fit, FIT | {"conductor": 0.9 * (1 - 1e-9) * 2**-17, "barrel": 2**-17}, "matched", 0, "by hand: the allowance itself; a power of two keeps it exact", "verdict"),
        Row("edge of most", termination.barrel_fit, FIT | {"conductor": 1.05 * (1 + 1e-9) * 2**-17, "barrel": 2**-17}, "matched", 0, "by hand: the allowance itself; a power of two keeps it exact", "verdict"),
        Row("barrel but for a hair", barrel_mm, {"area": 10.0000003e-6}, 4.5, 1e-9, BARRELS),
        Row("four lugs", termination.lugs_too_many, {"lugs": 4, "most": 4}, 0, 0, "read: FAA AC 43.13-1B 11-174 b: more than four"),
        Row("five lugs", termination.lugs_too_many, {"lugs": 5, "most": 4}, 1, 0, "read: FAA AC 43.13-1B 11-174 b: more than four"),
        Row("seven lugs", termination.lugs_too_many, {"lugs": 7, "most": 4}, 3, 0, "read: FAA AC 43.13-1B 11-174 b: more than four"),
        Row("no lug", termination.lugs_too_many, {"lugs": 0, "most": 4}, 0, 0, "by hand: none is too many"),
        Row("below", termination.torque_verdict, {"torque": 4.9} | RANGE, "below", 0, "by hand: 5 to 6"),
        Row("low end", termination.torque_verdict, {"torque": 5} | RANGE, "within", 0, "by hand: 5 to 6"),
        Row("high end", termination.torque_verdict, {"torque": 6} | RANGE, "within", 0, "by hand: 5 to 6"),
        Row("above", termination.torque_verdict, {"torque": 6.1} | RANGE, "above", 0, "by hand: 5 to 6"),
        Row("a single figure", termination.torque_verdict, {"torque": 6, "low": 6, "high": 6}, "within", 0, "read: a terminal maker's M8 figure, 6.0 N m"),
    ]
)  # fmt: skip
def test_terminations(row: Row) -> None:
    confirm(row)


# ISO 7089, outer diameters [mm], recalled and typed apart from the code.
WASHERS_RECALLED = [
    "M3",
    "7",
    "M4",
    "9",
    "M5",
    "10",
    "M6",
    "12",
    "M8",
    "16",
    "M10",
    "20",
    "M12",
    "24",
    "M16",
    "30",
]


def test_washers() -> None:
    typed = dict(zip(WASHERS_RECALLED[::2], map(float, WASHERS_RECALLED[1::2]), strict=True))
    assert {stud: round(d * 1e3, 6) for stud, d in termination.WASHER_DIAMETER.items()} == typed


def test_every_barrel_takes_its_conductor() -> None:
    sizes = sorted(termination.BARREL_DIAMETER)
    assert sizes == [mm2 for mm2 in conductor.IEC_60228["class 5", "plain"] if mm2 >= 6]
    for mm2 in sizes:
        bore = termination.barrel_diameter(area=mm2 * 1e-6)
        assert (
            3.14159 / 4 * bore**2 > 1.2 * mm2 * 1e-6
        )  # strands leave gaps, so the bore must exceed the copper

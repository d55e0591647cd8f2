"""Conductors in parallel."""

from calc_rows import Row, confirm, table

from lugbook.calc import parallel

R = [0.006, 0.003]
A = [70, 100]
HAND = "by hand: 6 and 3 mohm make 2 mohm; shares 1/3 and 2/3"


@table(
    [
        Row("6 and 3", parallel.resistance, {"resistances": R}, 0.002, 1e-12, HAND),
        Row("three", parallel.resistance, {"resistances": [20, 30, 60]}, 10, 1e-9, "by hand: 3/60 + 2/60 + 1/60 = 6/60"),
        Row("one", parallel.resistance, {"resistances": [0.4]}, 0.4, 1e-12, "by hand: itself"),
        Row("shares", parallel.shares, {"resistances": R, "current": 90}, (30, 60), 1e-9, HAND),
        Row("equal", parallel.shares, {"resistances": [0.5, 0.5], "current": 30}, (15, 15), 1e-9, "by hand: halves"),
        Row("worst place", parallel.worst, {"resistances": R, "ampacities": A, "current": 180}, 1, 0, HAND + ": 60/70, 120/100", "index"),
        Row("worst current", parallel.worst, {"resistances": R, "ampacities": A, "current": 180}, 120, 1e-9, HAND, "current"),
        Row("worst loading", parallel.worst, {"resistances": R, "ampacities": A, "current": 180}, 1.2, 1e-9, HAND, "loading"),
        Row("weak one", parallel.worst, {"resistances": R, "ampacities": [20, 100], "current": 90}, 0, 0, HAND + ": 30/20, 60/100", "index"),
        Row("first of equals", parallel.worst, {"resistances": [0.5, 0.5], "ampacities": [50, 50], "current": 30}, 0, 0, "by hand: equal", "index"),
        Row("permitted", parallel.permitted_current, {"resistances": R, "ampacities": A}, 150, 1e-9, HAND + ": the second is full at 100 A"),
        Row("permitted, weak one", parallel.permitted_current, {"resistances": R, "ampacities": [20, 100]}, 60, 1e-9, HAND + ": the first is full at 20 A"),
    ]
)  # fmt: skip
def test_parallel(row: Row) -> None:
    confirm(row)

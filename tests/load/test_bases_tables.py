"""The shipped tables against copies typed from their sources, and against physics."""

from __future__ import annotations

from math import sqrt
from pathlib import Path

import pytest

from lugbook.data import data_folder
from lugbook.load.bases import load_bases, shipped_bases
from lugbook.load.tree import parse
from lugbook.model.basis import AmpacityTable, Basis

NOWHERE = Path()

# read: 33 CFR 183.425, table 5, in a public law collection's copy. Typed column by column, the file has rows.
TABLE_5_SIZES = ["18", "16", "14", "12", "10", "8", "6", "4", "3", "2", "1", "1/0", "2/0", "3/0", "4/0"]
TABLE_5 = {
    60: "10 15 20 25 40 55 80 105 120 140 165 195 225 260 300",
    75: "10 15 20 25 40 65 95 125 145 170 195 230 265 310 360",
    80: "15 20 25 35 50 70 100 130 150 175 210 245 285 330 385",
    90: "20 25 30 40 55 70 100 135 155 180 210 245 285 330 385",
    105: "20 25 35 45 60 80 120 160 180 210 245 285 330 385 445",
    125: "25 30 40 50 70 90 125 170 195 225 265 305 355 410 475",
    200: "25 35 45 55 70 100 135 180 210 240 280 325 370 430 510",
}
# read: the 105 degC row of a cable maker's page, sizes 18 to 4/0 without 3: a second source for that column.
MAKER_105 = "20 25 35 45 60 80 120 160 210 245 285 330 385 445"

# recalled: ISO 10133:2012, table A.1, single conductors at 30 degC, column by column.
METRIC_SIZES = ["0.75", "1", "1.5", "2.5", "4", "6", "10", "16", "25", "35", "50", "70", "95", "120"]
METRIC = {
    70: "10 14 18 25 35 45 65 90 120 160 210 265 310 360",
    85: "12 18 21 30 40 50 70 100 140 185 230 285 330 400",
    105: "16 20 25 35 45 60 90 130 170 210 270 330 390 450",
}


def basis(name: str) -> Basis:
    document = parse("x: 1\n", "findings.yaml")
    (found,) = load_bases((name,), NOWHERE, document, ("bases",))
    assert document.problems == []
    return found


def tables(name: str, unit: str) -> AmpacityTable:
    (found,) = (table for table in basis(name).limits.ampacity if table.unit == unit)
    return found


def by_column(table: AmpacityTable) -> dict[int, dict[str, int]]:
    return {
        rating: {size: row[column] for size, row in table.rows.items()}
        for column, rating in enumerate(table.ratings)
    }


def typed(columns: dict[int, str], sizes: list[str]) -> dict[int, dict[str, int]]:
    return {
        rating: dict(zip(sizes, (int(cell) for cell in text.split()), strict=True))
        for rating, text in columns.items()
    }


@pytest.mark.parametrize("name", ["us-33cfr183", "good-practice"])
def test_table_5(name: str) -> None:
    assert by_column(tables(name, "AWG")) == typed(TABLE_5, TABLE_5_SIZES)


def test_table_5_against_a_second_source() -> None:
    sizes = [size for size in TABLE_5_SIZES if size != "3"]
    column = by_column(tables("us-33cfr183", "AWG"))[105]
    assert [column[size] for size in sizes] == [int(cell) for cell in MAKER_105.split()]


@pytest.mark.parametrize("name", ["metric-small-craft", "good-practice"])
def test_the_recalled_metric_table(name: str) -> None:
    table = tables(name, "mm2")
    assert by_column(table) == typed(METRIC, METRIC_SIZES)
    assert table.known == "recalled"


@pytest.mark.parametrize(("gauge", "metric"), [("14", "2.5"), ("10", "6"), ("2", "35"), ("2/0", "70")])
def test_both_tables_give_the_same_current_at_105_degrees(gauge: str, metric: str) -> None:
    """A weak check of what is recalled: nearest sizes of the two systems carry the same (read: 33 CFR, table 5)."""
    assert (
        by_column(tables("us-33cfr183", "AWG"))[105][gauge]
        == by_column(tables("metric-small-craft", "mm2"))[105][metric]
    )


# by hand: sqrt((T - 50)/(T - 30)) to two decimals. Printed otherwise: 105 degC 0.85 (second-hand, two makers'
# tables), 80 degC 0.78 and 200 degC 1.00 (recalled).
PHYSICS = {str(t): round(sqrt((t - 50) / (t - 30)), 2) for t in (60, 70, 75, 80, 85, 90, 105, 125, 200)}
PRINTED = {"80": 0.78, "105": 0.85, "200": 1.00}


def test_engine_space_factors_follow_physics_but_for_three() -> None:
    (factors,) = basis("us-33cfr183").limits.ambient
    assert factors.factors == {**{t: PHYSICS[t] for t in ("60", "75", "90", "125")}, **PRINTED}
    assert factors.ambient.value == 50


def test_good_practice_factors_are_the_lower_of_table_and_physics() -> None:
    (factors,) = basis("good-practice").limits.ambient
    assert factors.factors == {t: min(factor, PRINTED.get(t, factor)) for t, factor in PHYSICS.items()}


@pytest.mark.parametrize("name", ["us-33cfr183", "good-practice"])
def test_bundling(name: str) -> None:
    # second-hand: 33 CFR 183.425 note 2, from two cable makers' tables (0.40 from one).
    bundling = basis(name).limits.bundling
    assert bundling is not None
    assert bundling.bands == {3: 0.70, 4: 0.60, 7: 0.50, 25: 0.40}
    assert (bundling.least_volts is None) == (name == "good-practice")


# read: 33 CFR 183.455 (b), (c); recalled: 183.460.
US_DISTANCES = [
    ("183.455 (b) (1)", 0.1778, "read"),
    ("183.455 (b) (2)", 1.016, "read"),
    ("183.460 (a)", 1.8288, "recalled"),
]


@pytest.mark.parametrize(("clause", "metres", "known"), US_DISTANCES)
def test_us_distances(clause: str, metres: float, known: str) -> None:
    (rule,) = (rule for rule in basis("us-33cfr183").limits.overcurrent if rule.clause.endswith(clause))
    assert rule.distance.value == pytest.approx(metres, abs=1e-9)
    assert rule.known == known
    assert "cranking" in rule.exempt


def test_us_device_ratings() -> None:
    # read: 33 CFR 183.455 (c) (1) and (2).
    below, above = basis("us-33cfr183").limits.device_rating
    assert (below.below_volts is not None and below.below_volts.value, below.factor, below.next_size) == (
        50,
        1.5,
        None,
    )
    assert (above.from_volts is not None and above.from_volts.value, above.factor, above.next_size) == (
        50,
        1.0,
        1.5,
    )


def test_us_battery_and_conductor_rules() -> None:
    limits = basis("us-33cfr183").limits
    # read: 33 CFR 183.420 (a), (c); 183.425 (d) to (f).
    assert limits.battery_movement is not None
    assert limits.battery_movement.distance.value == pytest.approx(0.0254)
    assert (limits.battery_movement.times_weight, limits.battery_movement.pounds_force) == (2.0, 90)
    assert limits.fuel_clearance is not None
    assert limits.fuel_clearance.height.value == pytest.approx(0.3048)
    smallest = limits.smallest_conductor
    assert smallest is not None
    assert (smallest.alone_awg, smallest.sheathed_awg) == ("16", "18")
    assert smallest.out_of_sheath is not None
    assert smallest.out_of_sheath.value == pytest.approx(0.762)
    # The rule has no limit of voltage drop, and no count of lugs.
    assert limits.voltage_drop is None
    assert limits.lugs_per_stud is None


def test_metric_rules_seen_second_hand() -> None:
    limits = basis("metric-small-craft").limits
    # second-hand: ISO 10133:2012 5.2, 5.3, 5.7, 7.3, 7.4, 7.7 in two public excerpts; ISO 13297:2020 12.3 in one.
    assert limits.supports is not None
    assert limits.supports.battery is not None
    assert limits.supports.first is not None
    spans = (limits.supports.general.value, limits.supports.battery.value, limits.supports.first.value)
    assert spans == pytest.approx((0.45, 0.3, 1.0))
    assert limits.battery_movement is not None
    assert limits.battery_movement.distance.value == pytest.approx(0.010)
    assert limits.battery_tilt is not None
    assert (limits.battery_tilt.degrees, limits.battery_tilt.sailing) == (30, 45)
    charging = [rule for rule in limits.overcurrent if rule.clause.startswith("ISO 13297")]
    assert [rule.distance.value for rule in charging] == pytest.approx([1.8, 1.8])
    assert limits.voltage_drop is not None
    assert limits.voltage_drop.critical.value == pytest.approx(0.03)


def test_every_limit_says_where_it_comes_from() -> None:
    for name in shipped_bases():
        limits = basis(name).limits
        for key in type(limits).model_fields:
            value = getattr(limits, key)
            for limit in value if isinstance(value, tuple) else (value,) if value is not None else ():
                assert limit.clause, key
                assert limit.subject, key
                assert limit.known in ("read", "second-hand", "recalled")


def test_all_files_ship() -> None:
    assert set(shipped_bases()) == {"us-33cfr183", "metric-small-craft", "good-practice"}
    assert (data_folder("checklists") / "bases").is_dir()

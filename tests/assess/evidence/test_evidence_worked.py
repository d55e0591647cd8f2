"""Worked cases from outside, through the whole model: written file, network, basis, evidence."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import pytest
from trial_boats import judged, pick, written

from lugbook.assess.evidence.currents import grid
from lugbook.model.evidence import Circumstances, Verdict

US = "33 CFR 183.455 (b), (c)"
T5 = "33 CFR 183.425 table 5"


def simple(
    *,
    awg: str = "14",
    insulation: int = 105,
    volts: int = 12,
    fuse: str = "{rating: 50 A, at: 0 m}",
    bases: str = "us-33cfr183",
    extra: str = "",
    length: str = "3 m",
    current: str = "5 A",
    conductor: str = "",
) -> str:
    """A battery, one conductor to a load and one back."""
    return f"""\
  system: {volts} V
  bases: [{bases}]
  earthing: {{kind: negative-earthed, at: hull}}
  nodes: [{{id: hull, kind: body, body: hull}}]
  batteries: [{{id: bank, chemistry: agm, neg: hull}}]
  loads: [{{id: lamp, kind: lamp, current: {current}, neg: hull}}]
  conductors:
    - {{id: wire, from: bank.pos, to: lamp.pos, {conductor or f"awg: {awg}"}, insulation: {insulation} degC, length: {length}, ambient: 20 degC, bundle: 1, devices: [{fuse}]{extra}}}
"""


@dataclass(frozen=True)
class Fuse:
    id: str
    awg: str
    insulation: int
    volts: int
    rating: int
    verdict: Verdict
    limit: float
    source: str


FUSES = [
    Fuse("14 AWG, 50 A", "14", 105, 12, 50, "within", 52.5, f"read: {US}: 1.5 x 35 A"),
    Fuse("14 AWG, 60 A", "14", 105, 12, 60, "departure", 52.5, f"read: {US}: 1.5 x 35 A"),
    Fuse("10 AWG 75 degC, 60 A", "10", 75, 12, 60, "within", 60, f"read: {US}: 1.5 x 40 A"),
    Fuse("10 AWG 75 degC, 70 A", "10", 75, 12, 70, "departure", 60, f"read: {US}: 1.5 x 40 A"),
    Fuse("4/0 105 degC, 667 A", "4/0", 105, 24, 667, "within", 667.5, f"read: {US}: 1.5 x 445 A"),
    Fuse("18 AWG 60 degC, 16 A", "18", 60, 12, 16, "departure", 15, f"read: {US}: 1.5 x 10 A"),
    # From 50 V on the table itself, or the next standard size up to 150 %: 35 A is a standard size, 36 A would take 40 A.
    Fuse("14 AWG at 72 V, 35 A", "14", 105, 72, 35, "within", 35, f"read: {US} (2): table 5"),
    Fuse("14 AWG at 72 V, 40 A", "14", 105, 72, 40, "departure", 35, f"read: {US} (2): 35 A is a standard size"),
    Fuse("8 AWG 75 degC at 72 V, 70 A", "8", 75, 72, 70, "within", 70, f"read: {US} (2): 65 A, next standard size 70 A (NEC 240.6)"),
]  # fmt: skip


@pytest.mark.parametrize("row", FUSES, ids=lambda row: row.id)
def test_fuse_rule_of_the_law(row: Fuse) -> None:
    text = simple(
        awg=row.awg, insulation=row.insulation, volts=row.volts, fuse=f"{{rating: {row.rating} A, at: 0 m}}"
    )
    found = pick(judged(text), analysis="coordination", rule="rating")
    assert found.verdict == row.verdict
    assert found.limit is not None
    assert found.limit.value == pytest.approx(row.limit)


@dataclass(frozen=True)
class Far:
    id: str
    at: str
    enclosed: str
    verdict: Verdict
    source: str


FARS = [
    Far("7 in", "7 in", "none", "within", f"read: {US}: 7 in"),
    Far("177.8 mm", "177.8 mm", "none", "within", f"read: {US}: 7 in = 177.8 mm"),
    Far("178 mm in the open", "178 mm", "none", "departure", f"read: {US}: beyond 7 in"),
    Far("40 in in a sheath", "40 in", "sheath", "within", f"read: {US} (b) (2): 40 in enclosed"),
    Far("41 in in a sheath, battery", "41 in", "sheath", "within", "recalled: 33 CFR 183.460 (a): 72 in from a battery"),
    Far("72 in in a sheath, battery", "72 in", "sheath", "within", "recalled: 33 CFR 183.460 (a): 72 in from a battery"),
    Far("73 in in a sheath, battery", "73 in", "sheath", "departure", "recalled: 33 CFR 183.460 (a): beyond 72 in"),
    Far("40 in, sheath not stated", "40 in", "", "cannot be decided", f"read: {US}: the condition is not known"),
    Far("at the post", "0 in", "none", "within", f"read: {US}: at the source of power"),
]  # fmt: skip


@pytest.mark.parametrize("row", FARS, ids=lambda row: row.id)
def test_distances_of_the_law(row: Far) -> None:
    enclosed = f", enclosed: {row.enclosed}" if row.enclosed else ""
    found = pick(
        judged(simple(fuse=f"{{rating: 20 A, at: {row.at}}}", extra=enclosed)),
        analysis="coverage",
        subject="wire",
    )
    assert found.verdict == row.verdict


@dataclass(frozen=True)
class Carries:
    id: str
    awg: str
    insulation: int
    space: str
    together: int
    expected: float
    source: str


# Printed by a cable maker for 105 degC; the law binds bundles from 50 V only, so good practice is asked.
CARRIES = [
    Carries("14, three together", "14", 105, "accommodation", 3, 24.5, "read: cable maker's derating table"),
    Carries("10, 4 to 6", "10", 105, "accommodation", 5, 36, "read: cable maker's derating table"),
    Carries("6, 7 to 24", "6", 105, "accommodation", 12, 60, "read: cable maker's derating table"),
    Carries("18, engine", "18", 105, "engine space", 1, 17, "read: cable maker's derating table"),
    Carries("10, three, engine", "10", 105, "engine space", 3, 35.7, "read: cable maker's derating table"),
    Carries("6, 4 to 6, engine", "6", 105, "engine space", 4, 61.2, "read: cable maker's derating table"),
    Carries(
        "4/0, 7 to 24, engine", "4/0", 105, "engine space", 24, 189.1, "read: cable maker's derating table"
    ),
    Carries("14 at 60 degC", "14", 60, "accommodation", 1, 20, f"read: {T5}"),
    Carries("2/0 at 75 degC", "2/0", 75, "accommodation", 2, 265, f"read: {T5}"),
]


@pytest.mark.parametrize("row", CARRIES, ids=lambda row: row.id)
def test_ampacity_where_it_lies(row: Carries) -> None:
    # 30 degC leaves the table as it is; 50 degC is the ambient of the printed engine-space factor.
    ambient = 50 if row.space == "engine space" else 30
    text = simple(
        awg=row.awg, insulation=row.insulation, bases="good-practice", extra=f", space: {row.space}"
    )
    text = text.replace("ambient: 20 degC, bundle: 1", f"ambient: {ambient} degC, bundle: {row.together}")
    found = pick(judged(text), analysis="ampacity", subject="wire", rule="service")
    assert found.limit is not None
    assert found.limit.value == pytest.approx(row.expected, abs=0.051)


@dataclass(frozen=True)
class Run:
    id: str
    awg: str
    feet: float
    ohm_per_foot: float
    drop: float
    source: str


# FAA AC 43.13-1B tables 11-7 and 11-8, all at 20 A. The row for 88 ft prints 3.60 where its own product is 3.555.
RUNS = [
    Run("11-7, 1 V", "6", 107, 0.00044, 0.942, "read: FAA AC 43.13-1B table 11-7"),
    Run("11-7, 0.5 V", "4", 90, 0.00028, 0.504, "read: FAA AC 43.13-1B table 11-7"),
    Run("11-7, 4 V", "12", 88, 0.00202, 3.555, "read: FAA AC 43.13-1B table 11-7, its product"),
    Run("11-7, 7 V", "14", 100, 0.00306, 6.12, "read: FAA AC 43.13-1B table 11-7"),
    Run("11-8, 1 V", "10", 39, 0.00126, 0.983, "read: FAA AC 43.13-1B table 11-8, its product"),
]


@pytest.mark.parametrize("row", RUNS, ids=lambda row: row.id)
def test_aircraft_drop_tables_through_the_network(row: Run) -> None:
    """The network's currents with the circular's own resistances per foot."""
    network, _ = written(simple(awg=row.awg, length=f"{row.feet} ft", current="20 A"))
    state = network.states[0]
    flows = grid(network, state, charging=False).flows([("lamp.pos", "hull", 20.0)])
    assert flows["wire"] * row.ohm_per_foot * row.feet == pytest.approx(row.drop, abs=0.0006)


@pytest.mark.parametrize(
    ("awg", "ohm_per_1000_feet"),
    # read: a public wire table, ohm per 1000 ft at 20 degC of plain copper.
    [("18", 6.385), ("16", 4.016), ("14", 2.525), ("12", 1.588)],
)
def test_gauges_at_a_small_current(awg: str, ohm_per_1000_feet: float) -> None:
    """At 0.1 A nothing warms up: 100 ft at 20 degC; a tenth more is allowed for stranding and tinning."""
    found = pick(
        judged(simple(awg=awg, length="100 ft", current="0.1 A", bases="good-practice")),
        analysis="voltage drop",
    )
    assert found.low == pytest.approx(ohm_per_1000_feet * 0.1 * 0.1, rel=5e-4)
    assert found.high == pytest.approx(1.1 * found.low, rel=1e-9)


def test_metric_drop_by_the_standard_is_shown_but_not_used() -> None:
    """0.0164 x 20 A x 12 m / 10 mm2 = 0.3936 V (recalled formula); copper at temperature loses more."""
    text = simple(
        conductor="area: 10 mm2", length="12 m", current="20 A", bases="metric-small-craft", insulation=70
    )
    found = pick(judged(text), analysis="voltage drop")
    used, shown = found.alternatives
    assert shown.value == pytest.approx(0.3936)
    assert not shown.used
    assert used.used
    # IEC 60228 class 2 plain: 1.83 ohm/km x 12 m x 20 A at 20 + 40 x (20/65)^2 = 23.8 degC: 0.4457 V.
    assert found.low == pytest.approx(0.4457, abs=0.0005)


def test_both_factors_are_kept_and_the_lower_used() -> None:
    """The metric basis prints 0.75 for 70 degC in engine spaces; at 60 degC physics leaves sqrt(10/40) = 0.50."""
    text = simple(
        conductor="area: 10 mm2", bases="metric-small-craft", insulation=70, extra=", space: engine space"
    )
    found = pick(
        judged(text.replace("ambient: 20 degC", "ambient: 60 degC")), analysis="ampacity", subject="wire"
    )
    table, physics = found.alternatives
    assert table.value == pytest.approx(65 * 0.75)
    assert physics.value == pytest.approx(65 * 0.50)
    assert (table.used, physics.used) == (False, True)


@pytest.mark.parametrize(
    ("basis", "built", "bound", "label"),
    [
        ("us-33cfr183", 1999, True, "law in force"),
        ("us-33cfr183", 1999, False, "good practice"),
        ("metric-small-craft", 2015, True, "standard at build"),
        ("metric-small-craft", 1999, True, "good practice"),
        ("good-practice", 2015, True, "good practice"),
    ],
)
def test_label_of_a_departure(basis: str, built: int, bound: bool, label: str) -> None:
    around = Circumstances(date(2026, 6, 1), built, frozenset({basis}) if bound else frozenset())
    text = simple(
        fuse="{rating: 20 A, at: 2.5 m}", bases=basis, extra=", enclosed: none", conductor="area: 2.5 mm2"
    )
    found = pick(judged(text, around), analysis="coverage", subject="wire")
    assert found.verdict == "departure"
    assert found.limit is not None
    assert found.limit.label == label


def test_two_bases_side_by_side() -> None:
    """80 A on 10 AWG of 105 degC (60 A): allowed by the law's 1.5 x 60 = 90 A, not by good practice."""
    found = judged(simple(awg="10", fuse="{rating: 80 A, at: 0 m}", bases="us-33cfr183, good-practice"))
    assert pick(found, analysis="coordination", rule="rating", basis="us-33cfr183").verdict == "within"
    assert pick(found, analysis="coordination", rule="rating", basis="good-practice").verdict == "departure"

"""The twelve acceptance boats: coverage, coordination, ampacity and drop as worked by hand in tests/boats/expected."""

from __future__ import annotations

from typing import Any

import pytest
import yaml
from trial_boats import AROUND, BOATS, NAMES, boat, pick

from lugbook.assess.evidence.run import evidence

EXPECTED = {
    name: yaml.safe_load((BOATS / "expected" / f"{name}.yaml").read_text(encoding="utf-8"))["evidence"]
    for name in NAMES
}
# Lengths are exact sums; currents and voltages are worked to four figures, shares of a second battery left out.
TOLERANCE = {"coverage": 1e-6, "coordination": 5e-3, "ampacity": 5e-3, "voltage drop": 1e-2}
KEYS = {
    "basis",
    "analysis",
    "subject",
    "source",
    "rule",
    "item",
    "low",
    "high",
    "limit",
    "verdict",
    "exempt",
    "state",
    "at_least",
}
ROWS = [
    pytest.param(name, row, id=f"{name}-{n}-{row['subject']}")
    for name in NAMES
    for n, row in enumerate(EXPECTED[name])
]


@pytest.mark.parametrize(("name", "row"), ROWS)
def test_as_worked_by_hand(name: str, row: dict[str, Any]) -> None:
    assert set(row) <= KEYS
    network, bases = boat(name)
    rule = f"overcurrent, {row['source']}" if "source" in row else row.get("rule", "")
    found = pick(
        evidence(network, bases, AROUND),
        analysis=row["analysis"],
        subject=row["subject"],
        basis=row.get("basis", ""),
        rule=rule,
    )
    near = TOLERANCE[row["analysis"]]
    assert found.verdict == row["verdict"]
    assert bool(found.exempt) == row.get("exempt", False)
    if row.get("at_least"):
        # The envelope of all states may lie above the state that was worked by hand.
        assert found.high >= row["low"] * (1 - near)
        return
    for key in ("low", "high"):
        if key in row:
            assert getattr(found, key) == pytest.approx(row[key], rel=near, abs=1e-9)
    if "limit" in row:
        assert found.limit is not None
        assert found.limit.value == pytest.approx(row["limit"], rel=5e-3, abs=1e-9)
    for key in ("item", "state"):
        if key in row:
            assert getattr(found, key) == row[key]


@pytest.mark.parametrize("name", NAMES)
def test_each_boat_has_coverage_coordination_and_drop(name: str) -> None:
    assert {row["analysis"] for row in EXPECTED[name]} >= {"coverage", "coordination", "voltage drop"}


@pytest.mark.parametrize("name", NAMES)
def test_evidence_is_complete(name: str) -> None:
    """Every piece names its inputs, says something, and tells what would decide it if nothing does yet."""
    network, bases = boat(name)
    found = evidence(network, bases, AROUND)
    assert len({one.identity for one in found}) == len(found)
    for one in found:
        assert one.inputs
        assert one.says
        assert one.low <= one.high + 1e-12
        assert bool(one.wants) == (one.verdict == "cannot be decided"), one.identity
        if one.verdict == "departure":
            assert one.limit is not None
        for value in one.inputs:
            assert value.low <= value.high + 1e-12 or value.symbol.startswith("t(")
            assert value.origin != "assumed" or value.source is not None

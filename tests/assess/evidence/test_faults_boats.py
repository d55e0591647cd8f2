"""The twelve acceptance boats: fault figures as worked by hand in tests/boats/faults."""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest
import yaml
from trial_boats import AROUND, BOATS, NAMES, boat, plain, written

from lugbook.assess.evidence.base import grounds
from lugbook.assess.evidence.circuit import circuit, layout
from lugbook.assess.evidence.fault_evidence import fault_evidence
from lugbook.assess.evidence.fault_path import Wires, feeders, paths, shares
from lugbook.assess.evidence.faults import Faults, faults
from lugbook.assess.evidence.run import evidence
from lugbook.calc.nodal import Short
from lugbook.model.evidence import Evidence
from lugbook.model.network import State

WORKED: dict[str, dict[str, list[dict[str, Any]]]] = {
    name: yaml.safe_load((BOATS / "faults" / f"{name}.yaml").read_text(encoding="utf-8")) for name in NAMES
}
# Worked to four figures; contacts and devices of a microhm are left out by hand.
NEAR = 2e-3


@cache
def wired(name: str) -> tuple[Evidence, ...]:
    """All evidence of a boat, as a report gets it."""
    network, bases = boat(name)
    return evidence(network, bases, AROUND)


def of(name: str, analysis: str, subject: str) -> Evidence:
    """The one piece about a subject; closing a link is told from the shorts by its rule."""
    (one,) = (
        one
        for one in wired(name)
        if one.analysis == analysis
        and one.subject == subject
        and (analysis != "fault current" or one.rule.startswith("closing"))
    )
    return one


def rows(kind: str) -> list[Any]:
    return [
        pytest.param(name, row, id=f"{name}-{n}")
        for name in NAMES
        for n, row in enumerate(WORKED[name].get(kind, []))
    ]


@cache
def found(name: str) -> Faults:
    network, bases = boat(name)
    return faults(grounds(network, AROUND), bases)


def test_every_boat_has_figures_worked_by_hand() -> None:
    for name in NAMES:
        assert set(WORKED[name]) <= {"shorts", "devices", "heating", "closing"}
        assert "shorts" in WORKED[name] or "closing" in WORKED[name]


def _state(name: str, row: dict[str, Any]) -> State:
    states = found(name).grounds.network
    if "state" in row:
        return next(one for one in states.states if one.id == row["state"])
    wanted = row["positions"]
    # Reachable states have all sources on; by hand none is.
    from dataclasses import replace

    return replace(
        next(s for s in states.reachable if all(s.positions[k] == v for k, v in wanted.items())),
        sources=frozenset(),
    )


@pytest.mark.parametrize(("name", "row"), rows("shorts"))
def test_shorts(name: str, row: dict[str, Any]) -> None:
    assert set(row) <= {
        "state",
        "positions",
        "case",
        "at",
        "to",
        "amperes",
        "shares",
        "through",
        "path",
        "tolerance",
    }
    network, bases = boat(name)
    poles, cut = found(name).grounds.poles, layout(network)
    made = circuit(network, poles, bases, _state(name, row), row["case"], cut)
    (short,) = made.nodal.shorts([(row["at"], row["to"])])
    assert isinstance(short, Short)
    near = row.get("tolerance", NEAR)
    assert short.amperes == pytest.approx(row["amperes"], rel=near, abs=0.01)
    given = dict(shares(feeders(network), short))
    for source, amperes in row.get("shares", {}).items():
        assert given[source] == pytest.approx(amperes, rel=near, abs=0.05)
    for conductor, amperes in row.get("through", {}).items():
        through = [abs(short.currents[section.id]) for section in cut.sections[conductor]]
        assert through == pytest.approx([amperes] * len(through), rel=near, abs=0.05)
    for source, way in row.get("path", {}).items():
        assert list(paths(network, Wires(network, cut), feeders(network), short)[source]) == way


def _judge(one: Evidence, row: dict[str, Any]) -> None:
    assert one.verdict == row["verdict"], plain(one.says)
    if "limit" in row:
        assert one.limit is not None
        assert one.limit.value == row["limit"]
    for key in ("low", "high"):
        if key in row:
            assert getattr(one, key) == pytest.approx(row[key], rel=NEAR)
    if "item" in row:
        assert one.item == row["item"]
    if "wants" in row:
        assert any(row["wants"] in want for want in one.wants)
    assert bool(one.exempt) == row.get("exempt", False)
    assert ("nothing would stop it" in plain(one.says)) == row.get("nothing", False)
    assert row.get("says", "") in plain(one.says)


@pytest.mark.parametrize(("name", "row"), rows("devices"))
def test_devices(name: str, row: dict[str, Any]) -> None:
    _judge(of(name, "breaking capacity", row["device"]), row)


@pytest.mark.parametrize(("name", "row"), rows("heating"))
def test_heating(name: str, row: dict[str, Any]) -> None:
    _judge(of(name, "fault heating", row["conductor"]), row)


@pytest.mark.parametrize(("name", "row"), rows("closing"))
def test_closing(name: str, row: dict[str, Any]) -> None:
    _judge(of(name, "fault current", row["switch"]), row)


@pytest.mark.parametrize("name", NAMES)
def test_fault_evidence_is_complete(name: str) -> None:
    """Every piece names its inputs, says something, and tells what would decide it if nothing does yet."""
    network, bases = boat(name)
    every = fault_evidence(grounds(network, AROUND), bases)
    assert len({one.identity for one in every}) == len(every)
    assert {one.analysis for one in every} == {"fault current", "breaking capacity", "fault heating"}
    for one in every:
        assert one.inputs
        assert one.low <= one.high + 1e-12
        assert bool(one.wants) == (one.verdict == "cannot be decided"), one.identity
        assert one.verdict != "departure" or one.limit is not None
        text = " ".join([plain(one.says), *(plain(note) for note in one.notes), *one.wants])
        assert "<" not in text
        assert ">" not in text
        assert "|" not in text
        assert not any(word in text for word in ("safe", "certified", "passes", "complies", "guaranteed"))


@pytest.mark.parametrize("name", NAMES)
def test_a_boat_with_something_missing_is_still_judged(name: str) -> None:
    """Leave out one element after another: nothing breaks, and what is not decided says why."""
    lines = (BOATS / f"{name}.yaml").read_text(encoding="utf-8").splitlines()
    tried = 0
    for n in range(0, len(lines), 3):
        if not lines[n].strip().startswith("- {id:"):
            continue
        try:
            network, bases = written(
                "\n".join([*lines[:n], *lines[n + 1 :]]).partition("installation:\n")[2] + "\n"
            )
        except AssertionError:
            continue  # something else hangs on it
        tried += 1
        for one in fault_evidence(grounds(network, AROUND), bases):
            assert one.low <= one.high + 1e-9
            assert bool(one.wants) == (one.verdict == "cannot be decided")
    assert tried

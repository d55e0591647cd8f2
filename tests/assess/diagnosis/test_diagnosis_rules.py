"""The rules of a diagnosis one by one: what counts, what is excluded, what is proposed, and with which cautions."""

from __future__ import annotations

import math
from functools import cache
from typing import Any

import pytest
from trial_boats import boat, written

from lugbook.assess.diagnosis.hypotheses import bench_of, hypotheses
from lugbook.assess.diagnosis.predict import Predictor, normal, tiles
from lugbook.assess.diagnosis.rank import EXCLUDED
from lugbook.assess.diagnosis.readings import take
from lugbook.assess.diagnosis.run import Diagnoser
from lugbook.model.diagnosis import Moment, Point
from lugbook.model.findings import Reading

# Two lead-acid banks, a relay between them, an alternator. `{chemistry}` is that of the second bank.
PLAN = """  system: 12 V
  bases: [good-practice]
  earthing: {kind: negative-earthed, at: engine}
  nodes:
    - {id: engine, kind: body, body: engine}
  batteries:
    - {id: start, chemistry: flooded, capacity: 100 Ah, resistance: 5 mohm, starts: yes, neg: engine}
    - {id: service, chemistry: CHEMISTRY, capacity: 100 Ah, resistance: 5 mohm, neg: engine}
  sources:
    - {id: alternator, kind: alternator, current: 60 A, volts: [14.0 V, 14.4 V], self_limited: yes, neg: engine}
  relays:
    - {id: relay, current: 100 A}
  conductors:
    - {id: charge, from: alternator.pos, to: start.pos, area: 16 mm2, length: 1 m, insulation: 90 degC, use: charging}
    - {id: cross, from: start.pos, to: relay.a, area: 16 mm2, length: 1 m, insulation: 90 degC, use: charging}
    - {id: onward, from: relay.b, to: service.pos, area: 16 mm2, length: 1 m, insulation: 90 degC, use: charging}
  states:
    - {id: running, positions: {relay: closed}, sources: [alternator]}
    - {id: rest}
"""


@cache
def small(chemistry: str = "flooded") -> Diagnoser:
    return Diagnoser(written(PLAN.replace("CHEMISTRY", chemistry))[0])


def volts(name: str, value: str, a: str, b: str, **more: Any) -> Reading:
    return Reading.model_validate(
        {
            "id": name,
            "quantity": "voltage",
            "value": value,
            "place": "here",
            "at": [a, b],
            "state_id": "running",
            **more,
        }
    )


def amperes(name: str, value: str, where: str, **more: Any) -> Reading:
    return Reading.model_validate(
        {
            "id": name,
            "quantity": "current",
            "value": value,
            "place": "here",
            "in": where,
            "state_id": "running",
            **more,
        }
    )


def test_a_drop_without_a_simultaneous_current_is_not_decided_and_never_good() -> None:
    readings = [
        volts("posts", "14.2 V", "start.pos", "engine"),
        volts("far", "14.1 V", "service.pos", "engine"),
        volts("drop", "2 mV", "relay.a", "relay.b"),
    ]
    found = small().diagnose(readings, ahead=False)
    assert found is not None
    assert found.undecided == ("posts", "far", "drop")
    assert "drop" not in {one.id for one in found.used}
    assert not found.decided
    sections = {e.hypothesis.cause for e in found.excluded} & {"joint", "undersized"}
    assert not sections


def test_the_same_drop_with_its_current_counts() -> None:
    reading = volts("drop", "2 mV", "relay.a", "relay.b", current="20.0 A", **{"in": "cross"})
    taken = take(small().bench, [reading])
    assert [one.id for one in taken.used] == ["drop", "drop#"]
    assert all(one.timed for one in taken.used)
    assert taken.used[1].value == 20.0


@pytest.mark.parametrize(
    ("state", "clock", "counts"),
    # SOURCE: the rule of `readings.py`, both sides of its limit of two minutes.
    [("running", "10:02", True), ("running", "10:03", False), ("rest", "10:00", False)],
)
def test_simultaneous_means_the_same_state_and_time(state: str, clock: str, *, counts: bool) -> None:
    drop = volts("drop", "20 mV", "start.pos", "relay.a", time="10:00")
    taken = take(small().bench, [drop, amperes("flow", "20 A", "cross", time=clock, state_id=state)])
    assert ("drop" in {one.id for one in taken.used}) is counts


def test_what_cannot_be_placed_is_named() -> None:
    readings = [
        volts("no-state", "12 V", "start.pos", "engine", state_id="elsewhere"),
        volts("no-node", "12 V", "start.pos", "nowhere"),
        amperes("bound", "> 20 A", "cross"),
    ]
    assert take(small().bench, readings).unplaced == ("no-state", "no-node", "bound")
    assert small().diagnose(readings) is None


def test_uncertainty_of_a_meter_and_of_a_clamp_with_its_zero() -> None:
    taken = take(
        small().bench,
        [volts("v", "12.62 V", "start.pos", "engine"), amperes("i", "20.0 A", "cross"), volts("w", "12.62 V", "start.pos", "engine", within="90 mV")],
    )  # fmt: skip
    # By hand: 0.5 % of 12.62 and 2 digits of 0.01: 0.0831; rectangular (GUM 4.3.7, recalled): / sqrt 3.
    assert taken.used[0].u == pytest.approx(0.0831 / math.sqrt(3), rel=1e-6)
    # By hand: 2 % of 20 and 3 digits of 0.1: 0.7; the clamp's zero 0.5; in quadrature.
    assert taken.used[1].u == pytest.approx(math.hypot(0.7, 0.5) / math.sqrt(3), rel=1e-6)
    assert taken.used[2].u == pytest.approx(0.09 / math.sqrt(3), rel=1e-6)


def test_the_solver_predicts_an_open_contact_and_a_joint_as_by_hand() -> None:
    bench = small().bench
    every = {one.id: one for one in hypotheses(bench)}
    predictor, moment = Predictor(bench), Moment("running")
    opened = every["contact-open:relay"]
    component = predictor.component(opened, moment, 0, tiles(opened)[0], 0)
    assert component is not None
    mean, _ = normal(bench, component, [Point("onward"), Point("service.pos", "engine")])
    # By hand: no way to the service battery: no current, its open-circuit voltage of 12.55 V.
    assert mean == pytest.approx([0.0, 12.55], abs=0.01)
    joint = every["joint:cross.to"]
    tile = tiles(joint)[10]
    component = predictor.component(joint, moment, 10, tile, 0)
    assert component is not None
    mean, _ = normal(bench, component, [Point("cross.to", "relay.a"), Point("cross")])
    # By Ohm's law: the joint's drop is its resistance, with that of a good joint, times the current.
    assert mean[0] == pytest.approx((tile.values[0] + 0.00015) * mean[1], rel=1e-6)


def test_the_columns_are_the_solvers_own_differences() -> None:
    """Moving an unknown by a little and solving again gives the same change (central idea of a derivative)."""
    from lugbook.assess.diagnosis.bench import elements, tied, unknowns
    from lugbook.calc.nodal import Nodal, Solution

    bench = small().bench
    none = hypotheses(bench)[0]
    state = next(s for s in bench.network.states if s.id == "running")
    component = Predictor(bench).component(none, Moment("running"), 0, tiles(none)[0], 1)
    assert component is not None
    mean, columns = normal(bench, component, [Point("service.pos", "engine")])
    for k, name in enumerate(unknowns(bench.network, state)):
        made = elements(bench, state, frozenset(), (), {name: 0.01}, 1)
        moved = Nodal([*made, *tied(bench.network, made)]).solve()
        assert isinstance(moved, Solution)
        change = (moved.volts["service.pos"] - moved.volts["engine"] - mean[0]) / 0.01
        assert change == pytest.approx(columns[0, k], rel=0.35, abs=1e-4), name


OPEN = (
    volts("a", "14.20 V", "start.pos", "engine", time="10:00"),
    volts("b", "12.50 V", "service.pos", "engine", time="10:00"),
    amperes("i", "0.0 A", "onward", time="10:00"),
    amperes("j", "15.0 A", "charge", time="10:00"),
)


def test_an_open_contact_is_told_from_the_rest_and_the_rest_is_excluded_by_a_reading() -> None:
    found = small().diagnose(OPEN)
    assert found is not None
    assert found.ranked[0].hypothesis.id == "contact-open:relay"
    none = next(e for e in found.excluded if e.hypothesis.cause == "none")
    assert none.off > EXCLUDED
    assert none.reading in {"a", "b", "i", "j"}
    assert all(one.off <= EXCLUDED for one in found.ranked)
    assert sum(one.weight for one in found.ranked) <= 1 + 1e-9


def test_no_bridge_over_a_large_difference_and_none_between_chemistries() -> None:
    found = small().diagnose(OPEN, ahead=False)
    assert found is not None
    (bridge,) = found.bridges
    assert bridge.verdict == "difference too large"
    assert bridge.difference == pytest.approx(1.7)
    other = small("lifepo4").diagnose(OPEN, ahead=False)
    assert other is not None
    assert [b.verdict for b in other.bridges] in ([], ["never"])
    unknown = small("not known").diagnose(OPEN, ahead=False)
    assert unknown is not None
    assert [b.verdict for b in unknown.bridges] in ([], ["never"])


def test_a_bridge_needs_the_difference_read_and_small() -> None:
    from lugbook.assess.diagnosis.bridge import SMALL, bridges

    network = small().bench.network

    def verdict(*readings: Reading) -> str:
        return bridges(network, take(small().bench, readings).used, ["relay"])[0].verdict

    assert verdict(OPEN[0]) == "read first"
    near = volts("b", "14.00 V", "service.pos", "engine", time="10:00")
    assert verdict(OPEN[0], near) == "may"
    far = volts("b", f"{14.20 - SMALL - 0.01:.2f} V", "service.pos", "engine", time="10:00")
    assert verdict(OPEN[0], far) == "difference too large"
    mixed = Diagnoser(written(PLAN.replace("CHEMISTRY", "lifepo4"))[0]).bench
    assert bridges(mixed.network, take(mixed, [OPEN[0], near]).used, ["relay"])[0].verdict == "never"


def test_the_next_measurement_separates_and_carries_its_cautions() -> None:
    network = boat("emergency-link")[0]
    readings = [
        volts("a", "14.31 V", "alternator.pos", "engine", state_id="charging"),
        volts("b", "14.20 V", "start.pos", "start.neg", state_id="charging"),
        volts("c", "12.50 V", "service.pos", "service.neg", state_id="charging"),
    ]
    found = Diagnoser(network).diagnose(readings)
    assert found is not None
    assert {"contact-open:combiner", "no-reference-earth:combiner"} <= {r.hypothesis.id for r in found.ranked}
    assert found.next
    assert [one.bits for one in found.next] == sorted((one.bits for one in found.next), reverse=True) or all(
        abs(one.bits - found.next[0].bits) < 0.5 for one in found.next
    )
    assert len({one.point for one in found.next}) == len(found.next)
    for one in found.next:
        means = [mean for _, mean, _ in one.predictions]
        assert max(means) - min(means) > 0.1
        assert "short-circuit" in one.cautions
        if one.moment.state == "charging":
            assert {"rotating-machinery", "battery-switch-running"} <= set(one.cautions)


def test_the_path_is_found_from_the_source_to_every_battery_and_back() -> None:
    path = bench_of(boat("emergency-link")[0]).path
    assert {
        "charge-pos",
        "combine-a",
        "combine-b",
        "service-pos",
        "service-neg",
        "start-neg",
        "engine-neg",
    } <= path
    assert not {"panel-feed", "combine-earth", "link-start"} & path


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"quantity": "current", "value": "3 A", "at": ["start.pos", "engine"]}, "'at' takes a voltage"),
        ({"in": "cross"}, "needs the key 'current'"),
        ({"quantity": "time", "value": "3 s", "in": "cross"}, "'in' takes a current"),
        ({"within": "0.5 A"}, "'within' is a current"),
    ],
)
def test_a_reading_that_contradicts_itself_is_refused(changes: dict[str, Any], says: str) -> None:
    sound = {"id": "a", "quantity": "voltage", "value": "12 V", "place": "here"}
    assert Reading.model_validate(sound).at is None
    with pytest.raises(ValueError, match=says):
        Reading.model_validate(sound | changes)

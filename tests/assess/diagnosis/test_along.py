"""The line along the charging path, and the part of an installation that a diagnosis looks at."""

from __future__ import annotations

import math

import pytest
from test_diagnosis_rules import PLAN, volts
from trial_boats import written

from lugbook.assess.diagnosis.along import JOINT, along
from lugbook.assess.diagnosis.hypotheses import bench_of
from lugbook.assess.diagnosis.narrow import narrowed
from lugbook.assess.diagnosis.readings import take
from lugbook.assess.diagnosis.run import Diagnoser
from lugbook.model.diagnosis import Along
from lugbook.model.findings import Reading

BOAT = PLAN.replace("CHEMISTRY", "flooded")
# SOURCE: IEC 60228 (recalled), plain copper of 16 mm2: 1.15 ohm/km stranded, 1.21 flexible at 20 degC; tinned flexible 1.24.
LEAST, MOST = 1.15e-3, 1.24e-3
# SOURCE: IEC 60028, copper: 0.00393 per kelvin.
PER_KELVIN = 0.00393


def amperes(name: str, value: str, where: str) -> Reading:
    entry = {
        "id": name,
        "quantity": "current",
        "value": value,
        "place": "here",
        "in": where,
        "state_id": "running",
        "time": "10:00",
    }
    return Reading.model_validate(entry)


def line(*readings: Reading) -> Along | None:
    bench = bench_of(written(BOAT)[0])
    return along(bench, take(bench, readings).used)


CURRENT = amperes("flow", "20.0 A", "charge")
SOURCE = volts("source", "14.20 V", "alternator.pos", "engine", time="10:00")
BATTERY = volts("battery", "14.10 V", "start.pos", "engine", time="10:00")


def test_the_band_is_current_times_resistance() -> None:
    found = line(CURRENT, SOURCE, BATTERY)
    assert found is not None
    assert [stop.name for stop in found.stops] == ["", "charge"]
    # SOURCE: a clamp of 2 % and 3 digits, its zero within 0.5 A, as docs/diagnosing.md says: u by ISO/IEC Guide 98-3, 4.3.7.
    u = math.hypot(0.02 * 20 + 0.3, 0.5) / math.sqrt(3)
    low, high = found.band[1]
    assert 14.20 - high == pytest.approx((20 - 2 * u) * LEAST, rel=0.01)  # 20 degC at the coolest
    most = MOST * (1 + PER_KELVIN * (90 - 20)) + 2 * JOINT
    assert 14.20 - low == pytest.approx((20 + 2 * u) * most, rel=0.02)
    assert [(one.stop, one.value, one.chained) for one in found.seen] == [
        (0, 14.20, False),
        (1, 14.10, False),
    ]


def test_a_drop_leads_on_from_a_stop_that_was_read() -> None:
    lug = volts("lug", "300 mV", "charge.to", "start.pos", time="10:00")
    found = line(CURRENT, SOURCE, BATTERY, lug)
    assert found is not None
    assert [stop.plus for stop in found.stops] == ["alternator.pos", "charge.to", "start.pos"]
    (chained,) = [one for one in found.seen if one.chained]
    assert (chained.stop, chained.value) == (1, pytest.approx(14.40))
    (drop,) = found.drops
    assert (drop.start, drop.end, drop.value) == (1, 2, 0.3)
    assert drop.low == 0
    assert drop.high < 0.012  # 22 A through half a milliohm

    turned = line(CURRENT, SOURCE, BATTERY, volts("lug", "-300 mV", "start.pos", "charge.to", time="10:00"))
    assert turned is not None
    assert turned.drops[0].value == pytest.approx(0.3)


@pytest.mark.parametrize("missing", [0, 1, 2])
def test_without_source_battery_or_current_there_is_no_line(missing: int) -> None:
    assert line(*(one for n, one in enumerate((CURRENT, SOURCE, BATTERY)) if n != missing)) is None


def test_what_carries_nothing_is_left_out_and_changes_no_answer() -> None:
    more = BOAT.replace("  states:", "    - {id: lamp-pos, from: start.pos, to: lamp.pos, area: 2.5 mm2, length: 3 m}\n"
        "    - {id: lamp-neg, from: lamp.neg, to: engine, area: 2.5 mm2, length: 3 m}\n"
        "  loads:\n    - {id: lamp, current: 3 A}\n  states:").replace("sources: [alternator]}", "sources: [alternator], loads: []}").replace("{id: rest}", "{id: rest, loads: []}")  # fmt: skip
    whole = written(more)[0]
    readings = [CURRENT, SOURCE, volts("battery", "13.10 V", "start.pos", "engine", time="10:00")]
    part = narrowed(whole, readings)
    assert {"lamp-pos", "lamp-neg", "lamp"} <= set(whole.edges)
    assert not {"lamp-pos", "lamp-neg", "lamp"} & set(part.edges)
    assert {"charge", "cross", "onward", "alternator"} <= set(part.edges)
    answers = [Diagnoser(one).diagnose(readings, ahead=False) for one in (whole, part)]
    assert answers[0] is not None
    assert answers[1] is not None
    kept = {one.hypothesis.id: one.weight for one in answers[1].ranked}
    for one in answers[0].ranked[:5]:
        assert kept[one.hypothesis.id] == pytest.approx(one.weight, rel=1e-3)


def test_a_terminal_that_was_read_is_kept() -> None:
    more = BOAT.replace(
        "  states:", "    - {id: stub, from: start.pos, to: bar, area: 2.5 mm2, length: 3 m}\n  states:"
    )
    more = more.replace("    - {id: engine,", "    - {id: bar, kind: bus}\n    - {id: engine,")
    whole = written(more)[0]
    assert "stub" not in narrowed(whole, [SOURCE]).edges
    assert "stub" in narrowed(whole, [SOURCE, volts("x", "13 V", "bar", "engine")]).edges


def test_without_a_current_a_joint_that_is_left_keeps_the_verdict_open() -> None:
    """A joint of high resistance lets the posts read what a blown fuse does: seed 44 of the campaign."""
    from boat_bench import kirchhoff
    from trial_boats import boat
    from trial_faults import TRIALS, case

    trial = next(one for one in TRIALS if one.name == "joint before")
    network = boat(trial.boat)[0]
    drawn = case(trial, network, 44, kirchhoff)
    assert drawn.blind
    found = Diagnoser(network).diagnose(drawn.readings, ahead=False)
    assert found is not None
    assert not found.decided

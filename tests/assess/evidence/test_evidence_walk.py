"""The walk of the coverage: rings, links, taps, conductors side by side, both poles, sources that limit themselves."""

from __future__ import annotations

import pytest
from trial_boats import judged, pick, plain

HEAD = """\
  system: 12 V
  bases: [good-practice]
  earthing: {kind: negative-earthed, at: hull}
  nodes:
    - {id: hull, kind: body, body: hull}
    - {id: bus}
    - {id: far}
"""
ONE = "  batteries: [{id: bank, chemistry: agm, neg: hull}]\n"
LAMP = "  loads: [{id: lamp, kind: lamp, current: 5 A, pos: far, neg: hull}]\n"
KNOWN = "insulation: 105 degC, ambient: 30 degC, bundle: 1"


def wire(name: str, a: str, b: str, area: float, length: float, rest: str = "") -> str:
    return (
        f"    - {{id: {name}, from: {a}, to: {b}, area: {area:g} mm2, length: {length:g} m, {KNOWN}{rest}}}\n"
    )


def fuse(rating: float, at: float) -> str:
    return f", devices: [{{rating: {rating:g} A, at: {at:g} m}}]"


def test_a_fuse_splits_its_conductor() -> None:
    # 10 mm2 at 105 degC carries 90 A; 80 A protects it from 0.15 m on.
    found = pick(
        judged(
            HEAD + ONE + LAMP + "  conductors:\n" + wire("feed", "bank.pos", "far", 10, 3, fuse(80, 0.15))
        ),
        subject="feed",
        analysis="coverage",
    )
    assert (found.low, found.high, found.verdict) == (pytest.approx(0.15), pytest.approx(0.15), "within")
    assert [(one.start, one.end) for one in found.stretches] == [(0, 0.15)]
    assert "first device that protects it against a solid short" in plain(found.says)


def test_a_device_too_large_protects_nothing() -> None:
    found = pick(
        judged(
            HEAD + ONE + LAMP + "  conductors:\n" + wire("feed", "bank.pos", "far", 10, 3, fuse(100, 0.15))
        ),
        subject="feed",
        analysis="coverage",
    )
    assert (found.low, found.verdict) == (pytest.approx(3), "departure")
    assert [(one.start, one.end) for one in found.stretches] == [(0, 0.15), (0.15, 3)]


def test_a_reduction_is_a_new_origin() -> None:
    conductors = wire("main", "bank.pos", "bus", 35, 2, fuse(200, 0.1)) + wire(
        "tap", "bus", "far", 1, 1.5, fuse(5, 0.4)
    )
    found = pick(
        judged(HEAD + ONE + LAMP + "  conductors:\n" + conductors), subject="tap", analysis="coverage"
    )
    assert (found.low, found.item, found.verdict) == (pytest.approx(0.4), "fuse-taps", "departure")


def test_without_a_device_upstream_the_length_runs_from_the_source() -> None:
    conductors = wire("main", "bank.pos", "bus", 35, 2) + wire("tap", "bus", "far", 1, 1.5, fuse(5, 0.1))
    found = pick(
        judged(HEAD + ONE + LAMP + "  conductors:\n" + conductors), subject="tap", analysis="coverage"
    )
    assert (found.low, found.item) == (pytest.approx(2.1), "fuse-near-battery")


def test_a_ring_is_unprotected_up_to_its_middle() -> None:
    """Two ways of 2 m and 4 m: the farthest point of the ring lies 3 m from the post by either way."""
    conductors = (
        wire("short", "bank.pos", "bus", 10, 2)
        + wire("long", "bank.pos", "bus", 10, 4)
        + wire("past", "bus", "far", 10, 1)
    )
    found = judged(HEAD + ONE + LAMP + "  conductors:\n" + conductors)
    assert pick(found, subject="long", analysis="coverage").high == pytest.approx(3)
    assert pick(found, subject="short", analysis="coverage").high == pytest.approx(2)
    assert pick(found, subject="past", analysis="coverage").high == pytest.approx(3)


def test_a_ring_is_only_as_well_protected_as_its_worse_way() -> None:
    conductors = wire("fused", "bank.pos", "bus", 10, 1, fuse(60, 0.1)) + wire(
        "bare", "bank.pos", "bus", 35, 1
    )
    found = judged(HEAD + ONE + LAMP + "  conductors:\n" + conductors + wire("past", "bus", "far", 10, 1))
    assert pick(found, subject="past", analysis="coverage").high == pytest.approx(2)
    # From the bus the bare way feeds the other side of the fuse.
    assert pick(found, subject="fused", analysis="coverage").high == pytest.approx((1 + 0.9), abs=1e-9)


def test_between_two_banks_a_device_near_each() -> None:
    two = "  batteries: [{id: bank, chemistry: agm, neg: hull}, {id: other, chemistry: agm, neg: hull}]\n"
    devices = ", devices: [{rating: 80 A, at: 0.1 m}, {rating: 80 A, at: 4.9 m}]"
    both = judged(HEAD + two + "  conductors:\n" + wire("link", "bank.pos", "other.pos", 10, 5, devices))
    for source in ("bank", "other"):
        assert pick(both, subject="link", rule=f"overcurrent, {source}").high == pytest.approx(0.1)
    one = judged(HEAD + two + "  conductors:\n" + wire("link", "bank.pos", "other.pos", 10, 5, fuse(80, 0.1)))
    assert pick(one, subject="link", rule="overcurrent, bank").verdict == "within"
    assert pick(one, subject="link", rule="overcurrent, other").high == pytest.approx(4.9)


def test_conductors_side_by_side_share_one_device() -> None:
    """Two equal conductors of 90 A each behind 150 A: together they carry 180 A."""
    pair = wire("left", "bus", "far", 10, 1) + wire("right", "bus", "far", 10, 1)
    found = judged(
        HEAD + ONE + LAMP + "  conductors:\n" + wire("main", "bank.pos", "bus", 35, 1, fuse(150, 0.1)) + pair
    )
    assert pick(found, subject="left", analysis="coverage").verdict == "within"
    assert pick(found, subject="left", rule="service").high == pytest.approx(2.5)


def test_the_cranking_exemption_needs_a_sole_load() -> None:
    starter = "  loads: [{id: starter, kind: cranking motor, current: 150 A, duty: short-time, pos: far, neg: hull}%s]\n"
    cable = "  conductors:\n" + wire("cable", "bank.pos", "far", 35, 1.5, ", use: cranking")
    alone = pick(judged(HEAD + ONE + starter % "" + cable), subject="cable", analysis="coverage")
    assert (alone.verdict, alone.item) == ("within", "cranking-cable")
    assert alone.exempt
    assert "nothing would stop it" in plain(alone.says)
    shared = pick(
        judged(HEAD + ONE + starter % ", {id: horn, current: 3 A, pos: far, neg: hull}" + cable),
        subject="cable",
        analysis="coverage",
    )
    assert (shared.verdict, shared.exempt) == ("departure", "")


@pytest.mark.parametrize(
    ("limited", "area", "verdict"), [("yes", 10, "within"), ("yes", 4, "departure"), ("no", 10, "departure")]
)
def test_a_source_that_limits_itself_needs_no_device_for_a_cable_that_carries_it(
    limited: str, area: float, verdict: str
) -> None:
    # 60 A: 10 mm2 carries 90 A, 4 mm2 45 A. The basis asks for a device within 1.8 m; there is none in 3 m.
    source = f"  sources: [{{id: alternator, kind: alternator, current: 60 A, self_limited: {limited}, neg: hull}}]\n"
    found = judged(
        HEAD
        + LAMP
        + source
        + "  conductors:\n"
        + wire("out", "alternator.pos", "far", area, 3, ", use: charging")
    )
    assert pick(found, subject="out", analysis="coverage").verdict == verdict


def test_not_knowing_whether_it_limits_itself_decides_nothing() -> None:
    source = "  sources: [{id: alternator, kind: alternator, current: 60 A, neg: hull}]\n"
    found = pick(
        judged(
            HEAD
            + LAMP
            + source
            + "  conductors:\n"
            + wire("out", "alternator.pos", "far", 10, 3, ", use: charging")
        ),
        subject="out",
        analysis="coverage",
    )
    assert found.verdict == "cannot be decided"
    assert "whether the source limits its own current" in found.wants
    assert any("alternator's output" in plain(note) for note in found.notes)


def test_a_diode_lets_no_fault_current_back() -> None:
    diode = "  diodes: [{id: splitter}]\n"
    conductors = wire("a", "bank.pos", "splitter.1", 10, 1) + wire("b", "splitter.in", "far", 10, 1)
    found = judged(HEAD + ONE + LAMP + diode + "  conductors:\n" + conductors)
    assert pick(found, subject="a", analysis="coverage").high == pytest.approx(1)
    assert not [one for one in found if one.subject == "b" and one.analysis == "coverage"]


def test_the_worst_reachable_state_counts() -> None:
    """The file's only state has the switch off; with it on, the battery reaches the cable behind it."""
    switch = "  switches: [{id: main}]\n  states: [{id: away, positions: {main: 'off'}}]\n"
    conductors = wire("a", "bank.pos", "main.in", 10, 1) + wire("b", "main.out", "far", 10, 1)
    found = pick(
        judged(HEAD + ONE + LAMP + switch + "  conductors:\n" + conductors), subject="b", analysis="coverage"
    )
    assert (found.high, found.state) == (pytest.approx(2), "main on")
    assert not found.state_named


def test_positive_earth_turns_the_poles_round() -> None:
    text = (
        HEAD.replace("negative-earthed", "positive-earthed")
        + "  batteries: [{id: bank, chemistry: agm, pos: hull}]\n"
    )
    load = "  loads: [{id: lamp, kind: lamp, current: 5 A, pos: hull, neg: far}]\n"
    found = judged(text + load + "  conductors:\n" + wire("back", "far", "bank.neg", 10, 2, fuse(60, 1.8)))
    assert pick(found, subject="back", analysis="coverage").high == pytest.approx(0.2)


@pytest.mark.parametrize(
    ("earthing", "verdict"),
    [("{kind: negative-earthed, at: hull}", "departure"), ("{}", "cannot be decided")],
)
def test_a_fuse_in_an_earthed_negative_is_a_departure(earthing: str, verdict: str) -> None:
    text = HEAD.replace("{kind: negative-earthed, at: hull}", earthing)
    conductors = wire("feed", "bank.pos", "far", 10, 1, fuse(60, 0.1)) + wire(
        "back", "hull", "bank.neg", 10, 1, fuse(60, 0.1)
    )
    found = judged(
        text + "  batteries: [{id: bank, chemistry: agm}]\n" + LAMP + "  conductors:\n" + conductors
    )
    assert pick(found, subject="back.fuse", rule="earthed pole").verdict == verdict
    assert not [one for one in found if one.subject == "feed.fuse" and one.rule == "earthed pole"]


def test_a_two_pole_switch_may_open_the_negative() -> None:
    text = HEAD + "  batteries: [{id: bank, chemistry: agm}]\n" + LAMP
    conductors = (
        wire("a", "bank.pos", "both.pos-in", 10, 1)
        + wire("b", "both.pos-out", "far", 10, 1)
        + wire("c", "bank.neg", "both.neg-in", 10, 1)
        + wire("d", "both.neg-out", "hull", 10, 1)
    )
    found = judged(text + "  switches: [{id: both, kind: two-pole}]\n  conductors:\n" + conductors)
    assert not [one for one in found if one.rule == "earthed pole"]

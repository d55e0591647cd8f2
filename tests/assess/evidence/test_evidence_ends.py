"""Terminations through the model, and the corners of coordination and of limits."""

from __future__ import annotations

import pytest
from trial_boats import judged, pick, plain, written

from lugbook.assess.evidence.currents import grid
from lugbook.assess.evidence.limits import judge, margin, practice
from lugbook.assess.evidence.origins import origins
from lugbook.assess.evidence.poles import poles
from lugbook.model.evidence import Verdict

KNOWN = "insulation: 105 degC, ambient: 30 degC, bundle: 1"


def boat(
    ends: str = "",
    *,
    stud: str = "M6",
    rest: str = "",
    parallel: int = 1,
    area: float = 10,
    devices: str = "",
    load: str = "current: 5 A",
) -> str:
    return f"""\
  system: 12 V
  bases: [good-practice]
  earthing: {{kind: negative-earthed, at: hull}}
  nodes: [{{id: hull, kind: body, body: hull}}, {{id: post, kind: stud, stud: {stud}}}]
  batteries: [{{id: bank, chemistry: agm, neg: hull}}]
  loads: [{{id: lamp, kind: motor, {load}, pos: post, neg: hull}}]
  conductors:
    - {{id: wire, from: bank.pos, to: post, area: {area:g} mm2, length: 1 m, parallel: {parallel}, {KNOWN}, ends: {{to: {{{ends}}}}}, devices: [{devices}]}}
{rest}"""


@pytest.mark.parametrize(
    ("stud", "hole", "verdict"),
    [
        # second-hand: ISO 273 medium series: M5 5.5, M6 6.6, M8 9.0, M10 11 mm; the stud itself is the other limit.
        ("M6", "6.4 mm", "within"),
        ("M6", "6.6 mm", "within"),
        ("M6", "6.7 mm", "departure"),
        ("M6", "8.4 mm", "departure"),
        ("M5", "6 mm", "departure"),
        ("M8", "9 mm", "within"),
        ("M10", "8.4 mm", "departure"),
        # recalled: ASME B18.2.8 normal hole for 5/16 is 11/32 in = 8.73 mm.
        ("5/16", "8.4 mm", "within"),
        ("5/16", "9 mm", "departure"),
        ("unknown", "8.4 mm", "cannot be decided"),
    ],
)
def test_hole_against_stud(stud: str, hole: str, verdict: Verdict) -> None:
    found = pick(judged(boat(f"hole: {hole}", stud=stud)), analysis="terminations", rule="hole")
    assert (found.verdict, found.item, found.at) == (verdict, "lug-hole", "post")


def test_contact_face_that_an_oversize_hole_takes_away() -> None:
    # M5, washer of 10 mm (ISO 7089, recalled): (6.4^2 - 5.3^2) / (10^2 - 5.3^2) = 12.87 / 71.91 = 0.179.
    found = pick(judged(boat("hole: 6.4 mm", stud="M5")), analysis="terminations", rule="hole")
    assert found.alternatives[0].value == pytest.approx(0.179, abs=0.0005)


@pytest.mark.parametrize(
    ("barrel", "verdict"), [("10 mm2", "within"), ("16 mm2", "departure"), ("6 mm2", "departure")]
)
def test_barrel_against_conductor(barrel: str, verdict: Verdict) -> None:
    found = pick(judged(boat(f"barrel: {barrel}")), analysis="terminations", rule="barrel")
    assert (found.verdict, found.basis) == (verdict, "")


@pytest.mark.parametrize(
    ("torque", "given", "verdict", "limit"),
    [
        ("1.7 Nm", "", "departure", 1.8),
        ("2 Nm", "", "within", 2.2),
        ("2.3 Nm", "", "departure", 2.2),
        ("3.2 Nm", ", torque_range: [3 Nm, 4 Nm]", "within", 4.0),
        ("2.8 Nm", ", torque_range: [3 Nm, 4 Nm]", "departure", 3.0),
    ],
)
def test_torque_against_the_maker_or_the_basis(
    torque: str, given: str, verdict: Verdict, limit: float
) -> None:
    """second-hand: terminal makers: M5 studs 1.8 to 2.2 Nm; the maker's own range comes first."""
    found = pick(judged(boat(f"torque: {torque}{given}", stud="M5")), analysis="terminations", rule="torque")
    assert found.verdict == verdict
    assert found.limit is not None
    assert found.limit.value == pytest.approx(limit)
    assert found.margin is not None
    assert (found.margin < 0) == (verdict == "departure")


@pytest.mark.parametrize(("lugs", "verdict"), [(4, "within"), (5, "departure")])
def test_more_than_four_lugs_on_a_stud(lugs: int, verdict: Verdict) -> None:
    """read: FAA AC 43.13-1B 11-174: more than four go on a bus across adjacent studs."""
    assert (
        pick(judged(boat(parallel=lugs)), analysis="terminations", rule="lugs", subject="post").verdict
        == verdict
    )


def test_metals_that_corrode_each_other() -> None:
    rest = "  bonds: [{id: extra, from: post, to: bank.pos, area: 6 mm2, length: 1 m, insulation: 105 degC, ends: {from: {metal: %s}}}]\n"
    alike = pick(
        judged(boat("metal: copper", rest=rest % "tinned copper")), analysis="terminations", rule="metals"
    )
    mixed = pick(
        judged(boat("metal: copper", rest=rest % "aluminium")), analysis="terminations", rule="metals"
    )
    assert (alike.verdict, mixed.verdict) == ("within", "departure")
    assert "aluminium and copper" in plain(mixed.says)


def test_equal_conductors_side_by_side_carry_together() -> None:
    # Two of 10 mm2 (90 A each) behind 150 A: by hand 2 x 90 = 180 A.
    found = judged(boat(parallel=2, devices="{rating: 150 A, at: 0.1 m}", load="current: 100 A"))
    rating = pick(found, analysis="coordination", rule="rating")
    assert (rating.verdict, rating.limit and rating.limit.value) == ("within", pytest.approx(180))
    assert pick(found, analysis="ampacity", subject="wire").high == pytest.approx(50)


def test_a_large_device_behind_a_small_one_is_no_departure() -> None:
    """60 A at the battery protects the whole cable (90 A); the 125 A breaker at its far end switches and no more."""
    found = judged(boat(devices="{rating: 60 A, at: 0.1 m}, {kind: breaker, rating: 125 A, at: 0.9 m}"))
    second = pick(found, analysis="coordination", rule="rating", subject="wire.fuse-2")
    assert second.verdict == "within"
    assert plain(second.notes[0]) == "Smaller devices protect this conductor from every source."


@pytest.mark.parametrize(
    ("stall", "verdict"), [(9, "departure"), (10, "departure"), (15, "cannot be decided"), (20, "within")]
)
def test_a_motor_held_fast_must_open_its_fuse(stall: int, verdict: Verdict) -> None:
    """recalled: ISO 8820-3: a fuse-link carries its rating for ever and twice its rating for 5 s at most."""
    found = judged(boat(devices="{rating: 10 A, at: 0 m}", load=f"current: 5 A, stall: {stall} A"))
    assert pick(found, analysis="coordination", rule="stall").verdict == verdict


@pytest.mark.parametrize(
    ("amperes", "maker", "verdict"),
    [(40, "", "within"), (41, "", "departure"), (49, ", continuous: 100 %", "within")],
)
def test_continuous_load_on_a_fuse(amperes: int, maker: str, verdict: Verdict) -> None:
    """By hand: 0.8 x 50 A = 40 A, unless the maker allows all of it."""
    rest = "  states: [{id: sailing, loads: [lamp]}]\n"
    found = judged(boat(devices=f"{{rating: 50 A, at: 0 m{maker}}}", load=f"current: {amperes} A", rest=rest))
    assert pick(found, analysis="coordination", rule="continuous").verdict == verdict


@pytest.mark.parametrize(
    ("low", "high", "relation", "verdict", "left"),
    [
        (1, 2, "at most", "within", 0),
        (1, 3, "at most", "cannot be decided", -0.5),
        (3, 4, "at most", "departure", -1),
        (2, 3, "at least", "within", 0),
        (1, 3, "at least", "cannot be decided", -0.5),
        (0, 1, "at least", "departure", -1),
    ],
)
def test_a_span_against_a_limit_of_two(
    low: float, high: float, relation: str, verdict: Verdict, left: float
) -> None:
    limit = practice(2, "A", "trial", "at least" if relation == "at least" else "at most")
    assert judge(low, high, limit) == verdict
    assert margin(low, high, limit) == pytest.approx(left)


def test_a_source_alone_gives_no_more_than_it_can() -> None:
    """The battery has switched itself off: 60 A of loads on an alternator of 20 A draw 20 A."""
    rest = "  sources: [{id: alternator, kind: alternator, current: 20 A, pos: post, neg: hull}]\n  states: [{id: tripped, sources: [alternator], tripped: [bank]}]\n"
    network, _ = written(
        boat(load="current: 60 A", rest=rest)
        .replace("pos: post, neg: hull}]\n  conductors", "pos: end, neg: hull}]\n  conductors")
        .replace("{id: post", "{id: end}, {id: post")
        + ""
    )
    (state,) = network.states
    assert not state.sources.isdisjoint({"alternator"})
    extra = grid(network, state, charging=False)
    assert extra.most == {extra.island["post"]: 20.0}
    flows = extra.flows([("post", "hull", 60.0)])
    assert flows["alternator"] == pytest.approx(-20)


def test_origins_are_the_live_poles_alone() -> None:
    network, _ = written(boat())
    assert [(one.element, one.nodes) for one in origins(network, poles(network))] == [("bank", ("bank.pos",))]


def test_a_reversing_switch_does_not_join_the_poles() -> None:
    """A winch that runs both ways: its switch can join each lead to either pole, but never both at once."""
    rest = """\
  switches:
    - {id: reverse, kind: own, contacts: [plus, minus, x, y], positions: {"off": [], up: [[plus, x], [minus, y]], down: [[plus, y], [minus, x]]}}
  joins: [{id: j1, from: post, to: reverse.plus}, {id: j2, from: hull, to: reverse.minus}]
"""
    network, _ = written(boat(rest=rest))
    found = poles(network)
    assert "hull" in found.back
    assert not {"bank.pos", "post"} & found.back

"""Chargers with several outputs: what the lead of one output carries, and what all of them carry together."""

from __future__ import annotations

import pytest
from trial_boats import judged, pick, plain

from lugbook.model.evidence import Evidence

KNOWN = "insulation: 90 degC, strands: class 2, tinned: no, ambient: 30 degC, bundle: 1"
WHOLE = "What each of several outputs gives at most is not stated: each is taken to give the whole current."


def boat(*, each: str = "", outputs: int = 2, limited: str = "yes", area: float = 1.5, fuse: str = "") -> str:
    """A charger of 20 A with a battery on each output; every lead 1.5 mm2, unless told, with a fuse at its battery."""
    names = [f"bank-{n}" for n in range(1, outputs + 1)]
    leads = "".join(
        f"    - {{id: lead-{n}, from: charger.{n}, to: {name}.pos, area: {area:g} mm2, length: 2 m, {KNOWN}, use: charging{fuse}}}\n"
        f"    - {{id: back-{n}, from: {name}.neg, to: bar, area: 16 mm2, length: 1 m, {KNOWN}}}\n"
        for n, name in enumerate(names, 1)
    )
    batteries = ", ".join(f"{{id: {name}, chemistry: agm, resistance: 5 mohm}}" for name in names)
    return f"""\
  system: 12 V
  bases: [good-practice]
  earthing: {{kind: negative-earthed, at: hull}}
  nodes: [{{id: hull, kind: body, body: hull}}, {{id: bar}}]
  batteries: [{batteries}]
  sources: [{{id: charger, kind: mains charger, current: 20 A, volts: [13.5 V, 14.4 V], self_limited: {limited}, outputs: {outputs}{each}}}]
  conductors:
{leads}    - {{id: all, from: charger.neg, to: bar, area: 4 mm2, length: 2 m, {KNOWN}}}
    - {{id: earth, from: bar, to: hull, area: 16 mm2, length: 1 m, {KNOWN}}}
  states: [{{id: alongside, sources: [charger]}}]
"""


def carries(text: str, name: str) -> Evidence:
    return pick(judged(text), analysis="ampacity", subject=name, rule="service")


@pytest.mark.parametrize(
    ("outputs", "each", "lead", "together"),
    [
        (2, "", 20, 20),  # nobody says: either may give it all
        (2, ", output_current: 20 A", 20, 20),  # the maker says that either may
        (2, ", output_current: 10 A", 10, 20),
        (2, ", output_current: 15 A", 15, 20),  # 15 on the one, 5 left for the other
        (3, ", output_current: 8 A", 8, 20),  # 8 + 8 + 4
        (3, ", output_current: 5 A", 5, 15),  # three times 5 is all there is
    ],
)
def test_a_lead_carries_what_its_output_gives(outputs: int, each: str, lead: float, together: float) -> None:
    """By hand: the lead the smaller of both figures, the negative the smaller of the whole and the outputs' sum."""
    text = boat(outputs=outputs, each=each)
    for n in range(1, outputs + 1):
        one = carries(text, f"lead-{n}")
        assert (one.low, one.high) == (pytest.approx(lead), pytest.approx(lead))
        # Each battery's own negative carries what came in at its positive.
        assert carries(text, f"back-{n}").high == pytest.approx(lead)
    assert carries(text, "all").high == pytest.approx(together)


@pytest.mark.parametrize(
    ("each", "said"), [("", True), (", output_current: 20 A", False), (", output_current: 9 A", False)]
)
def test_what_was_not_stated_is_said(each: str, said: bool) -> None:
    text = boat(each=each)
    for name in ("lead-1", "lead-2"):
        sentences = [one.default.sentence for one in carries(text, name).assumptions]
        assert (WHOLE in sentences) == said
    # The negative carries the whole current for certain: nothing is assumed there.
    assert WHOLE not in [one.default.sentence for one in carries(text, "all").assumptions]
    assert all(
        WHOLE not in [a.default.sentence for a in one.assumptions]
        for one in judged(text)
        if one.subject == "back-1"
    )


def test_it_is_said_of_the_leads_alone() -> None:
    """Of shorts and of what lies past the batteries nothing was assumed: the whole current is all there is."""
    about = {
        (one.analysis, one.at)
        for one in judged(boat())
        for a in one.assumptions
        if a.default.sentence == WHOLE
    }
    assert about == {("ampacity", "lead-1"), ("ampacity", "lead-2")}


def test_one_output_has_nothing_to_share() -> None:
    text = boat(outputs=1).replace("charger.1", "charger.pos")
    assert carries(text, "lead-1").high == pytest.approx(20)
    assert all(WHOLE not in [a.default.sentence for a in one.assumptions] for one in judged(text))


@pytest.mark.parametrize(
    ("each", "verdict"),
    [("", "departure"), (", output_current: 12 A", "within"), (", output_current: 20 A", "departure")],
)
def test_a_lead_too_thin_for_the_whole_current(each: str, verdict: str) -> None:
    """0.75 mm2 of 90 degC at 30 degC carries 12 A (ISO 10133, recalled): not the 20 A of the whole charger."""
    one = carries(boat(each=each, area=0.75), "lead-1")
    assert one.verdict == verdict
    assert one.limit is not None
    assert one.limit.value == pytest.approx(12)


@pytest.mark.parametrize(
    ("each", "bare"), [("", True), (", output_current: 12 A", False), (", output_current: 13 A", True)]
)
def test_near_a_charger_that_limits_itself_the_outputs_current_counts(each: str, bare: bool) -> None:
    """0.75 mm2 carries 12 A: from the charger it needs no device if the output gives no more than that."""
    found = [
        one for one in judged(boat(each=each, area=0.75))
        if one.analysis == "coverage" and one.subject == "lead-1" and one.rule == "overcurrent, charger"
    ]  # fmt: skip
    assert bool(found) == bare
    assert all((WHOLE in [a.default.sentence for a in one.assumptions]) == (not each) for one in found)


@pytest.mark.parametrize(("each", "least"), [("", 25.0), (", output_current: 12 A", 15.0)])
def test_a_device_in_the_output_of_a_charger_without_a_limit(each: str, least: float) -> None:
    """1.25 times the greatest current (common practice): of 20 A 25 A, of 12 A 15 A."""
    fuse = ", devices: [{id: own-{n}, type: blade, rating: 20 A, at: 1.9 m}]"
    text = boat(each=each, limited="no", area=4, fuse=fuse)
    for n in (1, 2):
        text = text.replace("own-{n}", f"own-{n}", 1)
    one = pick(judged(text), analysis="coordination", subject="own-1", rule="charging output, least")
    assert one.limit is not None
    assert one.limit.value == pytest.approx(least)
    assert one.verdict == ("within" if each else "departure")
    assert (WHOLE in [a.default.sentence for a in one.assumptions]) == (not each)
    assert f"{'12' if each else '20'} A" in plain(one.says)

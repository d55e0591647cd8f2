"""What flows when a contact joins two banks, worked by hand on two batteries with a switch between them."""

from __future__ import annotations

import pytest
from trial_boats import AROUND, plain, written

from lugbook.assess.evidence.base import grounds
from lugbook.assess.evidence.closing import closing
from lugbook.assess.evidence.faults import faults
from lugbook.model.evidence import Evidence

KNOWN = "insulation: 90 degC, strands: class 2, tinned: no, ambient: 20 degC, bundle: 1"
FIVE, TEN = "chemistry: agm, resistance: 5 mohm", "chemistry: agm, resistance: 10 mohm"
MAKER = "chemistry: agm, short_circuit: 3 kA"
LITHIUM = "chemistry: lifepo4, volts: 12.8 V, lithium: {switches: low side, cell_short_circuit: 2 kA}"
# IEC 60228 (second-hand), class 2 plain at 20 degC: 10 mm2 1.83, 35 mm2 0.524 ohm/km. 1 m and 2 m to the switch, 1 m back;
# devices and contacts of a microhm are left out by hand.
WAY = 1.83e-3 + 2 * 1.83e-3 + 0.524e-3


def judged(
    *,
    one: str = FIVE,
    two: str = TEN,
    link: str = "current: 100 A",
    extra: str = "",
    switches: str = "",
    kind: str = "parallel-link",
    devices: str = "",
    to: str = "two.pos",
) -> tuple[Evidence, ...]:
    network, bases = written(f"""\
  system: 12 V
  bases: [good-practice]
  earthing: {{kind: negative-earthed, at: hull}}
  nodes: [{{id: hull, kind: body, body: hull}}]
  batteries: [{{id: one, {one}}}, {{id: two, {two}}}]
  switches: [{switches}{{id: link, kind: {kind}, {link}}}]
  loads: [{{id: lamp, kind: lamp, current: 5 A}}]
{devices}  conductors:
    - {{id: there, from: one.pos, to: link.in, area: 10 mm2, length: 1 m, {KNOWN}}}
    - {{id: onward, from: link.out, to: {to}, area: 10 mm2, length: 2 m, {KNOWN}, devices: [{{rating: 60 A, at: 1.9 m}}]}}
    - {{id: back, from: two.neg, to: one.neg, area: 35 mm2, length: 1 m, {KNOWN}}}
    - {{id: earth, from: one.neg, to: hull, area: 50 mm2, length: 0.2 m, {KNOWN}}}
    - {{id: feed, from: two.pos, to: lamp.pos, area: 2.5 mm2, length: 2 m, {KNOWN}}}
    - {{id: return, from: lamp.neg, to: two.neg, area: 2.5 mm2, length: 2 m, {KNOWN}}}
{extra}""")
    return closing(faults(grounds(network, AROUND), bases))


def only(**changed: str) -> Evidence:
    (found,) = judged(**changed)
    return found


def test_one_full_and_one_empty_bank() -> None:
    """Lead-acid 12.9 V full and 11.9 V empty: 1.0 V over 5 + 10 mohm and the way."""
    one = only()
    amperes = 1.0 / (0.015 + WAY)
    assert (one.low, one.high) == (pytest.approx(amperes, rel=1e-3), pytest.approx(amperes, rel=1e-3))
    assert (one.analysis, one.subject, one.at, one.item) == (
        "fault current",
        "link",
        "link:in-out",
        "isolation-parallel-link",
    )
    assert (one.rule, one.verdict, one.unit) == ("closing, link:in-out", "within", "A")
    assert plain(one.says) == (
        "Closing 'link' with 'one' full and 'two' empty would drive 47.58 A from the one into the other."
    )
    assert [plain(note) for note in one.notes] == [
        "It falls within seconds to minutes as the voltages draw level; no fuse need open for it."
    ]
    assert plain(one.numbers) == "I = 47.58 A to 47.58 A"
    assert [(i.symbol, i.name, i.low, i.high, i.unit, i.origin) for i in one.inputs] == [
        ("E", "open-circuit voltage of 'one'", 11.9, 12.9, "V", "assumed"),
        ("E", "open-circuit voltage of 'two'", 11.9, 12.9, "V", "assumed"),
        ("Icw", "continuous rating of 'link'", 100, 100, "A", "entered"),
    ]
    assert one.inputs[0].source
    assert one.limit is not None
    assert (one.limit.value, one.limit.unit, one.limit.relation) == (100, "A", "at most")
    assert one.limit.clause.startswith("common practice")
    assert one.margin == pytest.approx(1 - amperes / 100, rel=1e-2)
    assert one.wants == ()
    assert (one.basis, one.path, one.state) == ("", ("installation", "switches", 0), "link on")
    assert one.formula.startswith("I = (E of the full bank")
    assert (one.alternatives, one.assumptions, one.state_named) == ((), (), False)


@pytest.mark.parametrize(
    ("link", "verdict", "limit", "named"),
    [
        ("current: 40 A", "departure", 40, "continuous rating of 'link'"),
        ("current: 48 A", "within", 48, "continuous rating of 'link'"),
        ("current: 40 A, short_time: 60 A", "within", 60, "short-time rating of 'link'"),
        ("current: 40 A, short_time: 45 A", "departure", 45, "short-time rating of 'link'"),
        ("title: Link", "within", None, ""),
    ],
)
def test_what_the_contact_bears(link: str, verdict: str, limit: float | None, named: str) -> None:
    one = only(link=link)
    assert one.verdict == verdict
    assert (one.limit.value if one.limit else None) == limit
    assert (one.margin is None) == (limit is None)
    assert [i.name for i in one.inputs if i.symbol == "Icw"] == ([named] if named else [])


def test_a_limit_inside_the_range_decides_nothing() -> None:
    """A maker's 3 kA at 12.0 or at 12.9 V: 4.0 to 4.3 mohm each; 1.0 V over 8.0 to 8.6 mohm and the way."""
    one = only(one=MAKER, two=MAKER, link="current: 70 A")
    assert one.high == pytest.approx(1 / (0.0080 + WAY), rel=1e-3)
    assert one.low == pytest.approx(1 / (0.0086 + WAY), rel=1e-3)
    assert one.low < 70 < one.high
    assert "would drive 68.42 A to 71.35 A from" in plain(one.says)
    assert one.verdict == "cannot be decided"
    assert one.wants == ("the resistances of the banks that 'link' joins",)


def test_what_is_wanted_is_the_banks_own_datum() -> None:
    one = only(one="chemistry: agm, capacity: 100 Ah", link="current: 50 A")
    assert one.verdict == "cannot be decided"
    assert one.wants == ("the short-circuit current of 'one' from its maker, or a two-step test",)
    # 2.5 to 12 mohm for 100 Ah (default) and 10 mohm.
    assert one.high == pytest.approx(1 / (0.0125 + WAY), rel=1e-3)
    assert one.low == pytest.approx(1 / (0.0220 + WAY), rel=1e-3)


@pytest.mark.parametrize(
    ("one", "two", "full", "empty"), [(FIVE, LITHIUM, "two", "one"), (LITHIUM, FIVE, "one", "two")]
)
def test_the_worse_of_both_directions_counts(one: str, two: str, full: str, empty: str) -> None:
    """Lithium 13.6 V full against lead-acid 11.9 V empty: 1.7 V; the other way round 12.9 V against 12.0 V, 0.9 V.
    12.8 V / 2 kA is 6.4 mohm at least."""
    made = only(one=one, two=two)
    assert f"with '{full}' full and '{empty}' empty" in plain(made.says)
    assert made.high == pytest.approx(1.7 / (0.005 + 0.0064 + WAY), rel=1e-3)


def test_banks_that_lie_together_are_named_together() -> None:
    """'three' stands beside 'one' by 1 m of 10 mm2 each way: 5 mohm beside 5 + 3.66 mohm, 3.170 mohm together."""
    text = "".join(
        f"    - {{id: {pole}, from: three.{pole}, to: one.{pole}, area: 10 mm2, length: 1 m, {KNOWN}}}\n"
        for pole in ("pos", "neg")
    )
    one = only(one=f"{FIVE}}}, {{id: three, {FIVE}", extra=text)
    assert "with 'one, three' full and 'two' empty" in plain(one.says)
    assert one.high == pytest.approx(1 / (1 / (1 / 0.005 + 1 / 0.00866) + 0.010 + WAY), rel=1e-3)
    turned = only(one=f"{FIVE}}}, {{id: three, {FIVE}", two=LITHIUM, extra=text)
    assert "with 'two' full and 'one, three' empty" in plain(turned.says)


def test_without_the_bare_cells_there_is_no_figure() -> None:
    assert judged(two=LITHIUM.replace(", cell_short_circuit: 2 kA", "")) == ()


def test_a_contact_before_loads_or_closed_as_a_rule_joins_no_banks() -> None:
    loose = f"""\
    - {{id: to-side, from: one.pos, to: side.in, area: 10 mm2, length: 1 m, {KNOWN}}}
    - {{id: to-beside, from: two.pos, to: beside.in, area: 10 mm2, length: 1 m, {KNOWN}}}
    - {{id: from-beside, from: beside.out, to: side.out, area: 10 mm2, length: 1 m, {KNOWN}}}
"""
    # Two more switches in a row from bank to bank: either alone, with the other closed, joins them; and still 'link' does.
    every = judged(
        switches="{id: side, kind: parallel-link, current: 100 A}, {id: beside, kind: parallel-link, current: 100 A}, ",
        extra=loose,
    )
    assert {one.subject for one in every} == {"link", "side", "beside"}
    # By either way 1 V over 15 mohm and 1 + 1 + 1 m of 10 mm2; beside a closed 'link' there is nothing left to join.
    side = next(one for one in every if one.subject == "side")
    assert side.high == pytest.approx(1 / (0.015 + 3 * 1.83e-3 + 0.524e-3), rel=1e-3)
    # The first switch is closed as a rule and is passed over, the next is judged all the same.
    only_lamp = judged(
        switches="{id: light, current: 10 A}, ",
        extra=f"    - {{id: up, from: two.pos, to: light.in, area: 10 mm2, length: 1 m, {KNOWN}}}\n"
        f"    - {{id: down, from: light.out, to: lamp.pos, area: 10 mm2, length: 1 m, {KNOWN}}}\n",
    )
    assert {one.subject for one in only_lamp} == {"link"}


def test_links_inside_a_bank_and_devices_with_terminals_of_their_own_lie_on_the_way() -> None:
    """Two blocks of 10 mohm taken off at the first; links that nobody described, 0 to 0.5 mohm each way: 10 mohm beside
    10 to 11 mohm. The fuse with terminals of its own has nothing inside; its lead is 1 m of 10 mm2 more."""
    text = f"    - {{id: more, from: own.out, to: two.pos, area: 10 mm2, length: 1 m, {KNOWN}}}\n"
    one = only(
        one=f"{TEN}, parallel: 2, take_off: one end",
        extra=text,
        devices="  devices: [{id: own, rating: 60 A}]\n",
        to="own.in",
    )
    way = WAY + 1.83e-3
    assert one.high == pytest.approx(1 / (0.005 + 0.010 + way), rel=1e-3)
    assert one.low == pytest.approx(1 / (1 / (1 / 0.010 + 1 / 0.011) + 0.010 + way), rel=1e-3)
    assert one.margin == pytest.approx(1 - one.high / 100, rel=1e-2)


def test_a_switch_that_is_closed_as_a_rule_joins_nothing_new() -> None:
    assert judged(kind="on-off") == ()


def test_a_link_of_one_bank_to_itself_joins_nothing() -> None:
    """A second way beside the switch: both sides hold both banks already."""
    beside = f"    - {{id: beside, from: one.pos, to: two.pos, area: 10 mm2, length: 1 m, {KNOWN}}}\n"
    assert judged(extra=beside) == ()

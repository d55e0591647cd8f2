"""The rules of fault currents, breaking capacity and fault heating on small boats written out."""

from __future__ import annotations

import subprocess
import sys
import time
from math import log, sqrt

import pytest
from test_evidence_properties import large_boat
from trial_boats import AROUND, plain, undisturbed, written

from lugbook.assess.evidence.base import grounds
from lugbook.assess.evidence.breaking import breaking
from lugbook.assess.evidence.fault_bonding import fault_bonding
from lugbook.assess.evidence.fault_clearing import opening
from lugbook.assess.evidence.fault_evidence import fault_evidence
from lugbook.assess.evidence.fault_heating import fault_heating, when
from lugbook.assess.evidence.fault_points import k_of
from lugbook.assess.evidence.faults import Faults, fault_current, faults
from lugbook.assess.evidence.run import evidence
from lugbook.model.evidence import Amount, Evidence

KNOWN = "insulation: 90 degC, strands: class 2, tinned: no, ambient: 20 degC, bundle: 1"
MAKER = "chemistry: agm, short_circuit: 3 kA"


def small(
    *,
    battery: str = MAKER,
    devices: str = "",
    area: float = 10,
    length: float = 2,
    system: int = 12,
    bases: str = "good-practice",
    extra: str = "",
    elements: str = "",
) -> str:
    """A battery, a feed with its devices to a lamp, and the same length back."""
    return f"""\
  system: {system} V
  bases: [{bases}]
  earthing: {{kind: negative-earthed, at: hull}}
  nodes: [{{id: hull, kind: body, body: hull}}]
  batteries: [{{id: bank, {battery}}}]
  loads: [{{id: lamp, kind: lamp, current: 5 A}}]
{elements}  conductors:
    - {{id: feed, from: bank.pos, to: lamp.pos, area: {area:g} mm2, length: {length:g} m, {KNOWN}, devices: [{devices}]}}
    - {{id: return, from: lamp.neg, to: bank.neg, area: {area:g} mm2, length: {length:g} m, {KNOWN}}}
    - {{id: earth, from: bank.neg, to: hull, area: 50 mm2, length: 0.2 m, {KNOWN}}}
{extra}"""


def found(text: str) -> Faults:
    network, bases = written(text)
    return faults(grounds(network, AROUND), bases)


def of(every: tuple[Evidence, ...], subject: str) -> Evidence:
    (one,) = (one for one in every if one.subject == subject)
    return one


def fuse(text: str, name: str = "feed.fuse") -> Evidence:
    return of(breaking(found(text)), name)


def heat(text: str, name: str = "feed") -> Evidence:
    return of(fault_heating(found(text)), name)


def amounts(one: Evidence, unit: str) -> list[float]:
    return [part.value for part in one.says if isinstance(part, Amount) and part.unit == unit]


# --- breaking capacity


def test_a_blade_fuse_straight_on_a_big_bank_fails() -> None:
    """ISO 8820-3: 1000 A. 12.9 V behind 12 V / 3 kA = 4 mohm at most, 4.3 mohm at least: 3.0 to 3.2 kA at the post."""
    one = fuse(small(devices="{type: blade, rating: 30 A, at: 0 m}"))
    assert (one.verdict, one.item) == ("departure", "fuse-breaking-capacity")
    assert one.low == pytest.approx(3000, rel=2e-3)
    assert one.high == pytest.approx(3225, rel=2e-3)
    assert one.limit is not None
    assert one.limit.value == 1000
    assert "its class is good for 1000 A" in plain(one.says)


def test_a_class_figure_never_clears_a_device() -> None:
    """Behind 20 m of 1.5 mm2 (12.1 ohm/km) a blade sees 53 A at most, well under 1000 A; its own marking was not read."""
    text = small(area=1.5, length=20, devices="{type: blade, rating: 10 A, at: 19.9 m}")
    one = fuse(text)
    assert one.high < 1000
    assert one.verdict == "cannot be decided"
    assert one.wants == ("the d.c. breaking capacity of 'feed.fuse' at 12.9 V or more, as marked on it",)
    own = fuse(text.replace("rating: 10 A", "rating: 10 A, volts: 32 V, dc: yes, breaks: [[32 V, 1 kA]]"))
    assert own.verdict == "within"


@pytest.mark.parametrize(
    ("device", "verdict", "limit"),
    [
        ("dc: yes, breaks: [[32 V, 5 kA]]", "within", 5000),
        ("dc: yes, breaks: [[14 V, 5 kA], [32 V, 2 kA]]", "within", 5000),  # 12.9 V: the pair of 14 V
        ("dc: yes, breaks: [[12 V, 5 kA], [32 V, 2 kA]]", "departure", 2000),  # 12 V does not reach 12.9 V
        ("dc: yes, breaks: [[12 V, 5 kA]]", "cannot be decided", None),
        ("dc: no, volts: 250 V", "cannot be decided", None),  # a.c. alone says nothing
        ("", "cannot be decided", None),
        ("dc: yes, breaks: [[32 V, 3100 A]]", "cannot be decided", 3100),  # between 3.0 and 3.2 kA
    ],
)
def test_pairs_of_volts_and_amperes(device: str, verdict: str, limit: float | None) -> None:
    comma = ", " if device else ""
    one = fuse(small(devices=f"{{type: bolt-in strip, rating: 60 A{comma}{device}, at: 0 m}}"))
    assert one.verdict == verdict
    assert (one.limit.value if one.limit else None) == limit


def test_an_ac_capacity_is_not_known() -> None:
    one = fuse(small(devices="{type: glass, rating: 10 A, dc: no, volts: 250 V, at: 0 m}"))
    assert "not known (marked for a.c. alone)" in plain(one.says)


def test_the_voltage_is_that_with_chargers_on() -> None:
    charger = "  sources: [{id: charger, kind: mains charger, current: 30 A, volts: [13.5 V, 14.4 V], self_limited: yes, pos: bank.pos, neg: bank.neg}]\n"
    text = small(
        devices="{type: post, rating: 60 A, dc: yes, breaks: [[14 V, 9 kA], [32 V, 5 kA]], at: 0 m}",
        elements=charger,
    )
    one = fuse(text)
    assert one.limit is not None
    assert one.limit.value == 5000  # 14.4 V is above the pair of 14 V
    assert one.high == pytest.approx(14.4 / 0.004 + 30, rel=2e-3)


def test_switches_and_relays_are_never_asked() -> None:
    text = small(
        elements="  switches: [{id: main, current: 300 A}]\n",
        extra="    - {id: spur, from: bank.pos, to: main.in, area: 10 mm2, length: 1 m}\n",
    )
    assert breaking(found(text)) == ()


def test_a_strings_fuse_must_break_the_sum_of_the_others() -> None:
    """Three strings of 12.9 V behind 4 mohm: two of them, 6450 A, flow back through the fuse of the shorted third."""
    text = small(
        battery=f"{MAKER}, parallel: 3, take_off: bus bars, string_device: {{type: high-rupturing, rating: 200 A, dc: yes, breaks: [[32 V, 6 kA]]}}, "
        "link: {area: 120 mm2, length: 0.02 m, insulation: 90 degC, strands: class 2, tinned: no}"
    )
    one = fuse(text, "bank.fuse-1")
    own = 12.9 / 0.004
    assert one.high == pytest.approx(2 * own, rel=0.02)
    assert one.high > 1.9 * own
    assert one.verdict in ("departure", "cannot be decided")
    assert one.limit is not None
    assert one.limit.value == 6000


def test_without_the_bare_cells_nothing_is_decided_and_a_fuse_is_required() -> None:
    lithium = "chemistry: lifepo4, volts: 12.8 V, lithium: {switches: low side, limit: 100 A}"
    text = small(
        battery=lithium,
        devices="{type: high-rupturing, rating: 100 A, dc: yes, breaks: [[125 V, 20 kA]], at: 0 m}",
    )
    one = fuse(text)
    assert (one.verdict, one.item) == ("cannot be decided", "lithium-fuse")
    assert one.wants == ("the short-circuit current of the bare cells of 'bank', from its maker",)
    said = " ".join(plain(note) for note in one.notes)
    assert "a fuse is required all the same" in said
    assert "neither a fuse nor a limit" in said
    known = fuse(text.replace("limit: 100 A", "limit: 100 A, cell_short_circuit: 4 kA"))
    assert known.verdict == "within"
    # 13.6 V / (12.8 V / 4 kA): the management system's 100 A play no part.
    assert known.high == pytest.approx(4250, rel=2e-3)


def test_a_resistance_through_the_management_system_is_a_least_only() -> None:
    lithium = "chemistry: lifepo4, volts: 12.8 V, resistance: 4 mohm, lithium: {switches: low side}"
    one = fuse(
        small(
            battery=lithium, devices="{type: post, rating: 100 A, dc: yes, breaks: [[32 V, 5 kA]], at: 0 m}"
        )
    )
    assert one.verdict == "cannot be decided"
    weak = fuse(
        small(
            battery=lithium, devices="{type: post, rating: 100 A, dc: yes, breaks: [[32 V, 1 kA]], at: 0 m}"
        )
    )
    assert weak.verdict == "departure"


def test_cold_cranking_amperes_give_a_range() -> None:
    """(12.6 - 7.5 V) / 600 A = 8.5 mohm cold (EN 50342-1, recalled), 3.4 mohm warm (basis factor 0.4)."""
    one = fuse(
        small(
            battery="chemistry: flooded, cca: 600 A, cca_standard: EN",
            devices="{type: blade, rating: 30 A, at: 0 m}",
        )
    )
    assert one.low == pytest.approx(12.9 / 0.0085, rel=2e-3)
    assert one.high == pytest.approx(12.9 / 0.0034, rel=2e-3)


def test_the_makers_figure_comes_first() -> None:
    battery = "chemistry: agm, short_circuit: 3 kA, resistance: 9 mohm, cca: 100 A"
    assert fuse(small(battery=battery, devices="{type: blade, rating: 30 A, at: 0 m}")).high == pytest.approx(
        3225, rel=2e-3
    )


# --- fault heating

# 10 mm2 of 90 degC cable: k = 226 sqrt(ln(394.5/324.5)) = 99.74 (BS 7671 prints 100), k2S2 = 0.9948e6 A2s.
STANDS = (99.74 * 10) ** 2


def test_k_as_printed() -> None:
    """BS 7671 and IEC 60364-5-54, second-hand: 70 degC 115, 90 degC 100; 105 degC 87 by hand."""
    for rating, final, k in (
        (70, 160, 115),
        (90, 160, 100),
        (105, 160, 87),
        (90, 250, 143),
        (60, 200, 141),
        (180, 350, 132),
    ):
        made = k_of(rating, final)
        assert made is not None
        assert round(made / 1e6) == k
    assert k_of(160, 160) is None
    assert k_of(200, 160) is None


@pytest.mark.parametrize(
    ("material", "verdict", "stands"),
    [
        # 16 mm2 of 90 degC cable, 3.22 kA just behind the fuse for 0.4 s: 4.16 MA2s lie between the (k x 16)2 of each.
        ("", "departure", 99.74),
        ("pvc", "departure", 99.74),
        ("xlpe", "within", 142.87),
        ("epr", "within", 142.87),
    ],
)
def test_the_material_of_the_insulation_decides(material: str, verdict: str, stands: float) -> None:
    """BS 7671 and IEC 60364-5-54, second-hand: k of 90 degC PVC 100, of XLPE and EPR 143."""
    curve = "curve: [[1.5, 0.4 s], [15, 0.4 s]]"
    text = small(area=16, devices=f"{{type: bolt-in strip, rating: 100 A, at: 0 m, {curve}}}")
    if material:
        text = text.replace("insulation: 90 degC", f"insulation: 90 degC, insulation_material: {material}")
    one = heat(text)
    assert one.verdict == verdict
    assert one.low == pytest.approx((stands * 16) ** 2 / max(amounts(one, "A")[:2]) ** 2, rel=5e-3)
    named = [a.default.name for a in one.assumptions]
    assert ("insulation-material" in named) == (not material)
    notes = " ".join(plain(note) for note in one.notes)
    assert ("Cross-linked insulation (XLPE, EPR) would stand it" in notes) == (not material)


def test_silicone_at_its_rating_is_known_and_a_hot_cable_of_unknown_material_is_not() -> None:
    text = small(devices="{type: blade, rating: 30 A, at: 0 m}").replace(
        "insulation: 90 degC", "insulation: 180 degC"
    )
    one = heat(text)
    assert one.verdict == "cannot be decided"
    assert "the material of the insulation" in one.wants
    known = heat(text.replace("180 degC", "180 degC, insulation_material: silicone"))
    assert "the material of the insulation" not in known.wants
    assert {i.symbol: round(i.low) for i in known.inputs}["k"] == 132


@pytest.mark.parametrize(
    ("figures", "verdict"),
    [
        ("", "cannot be decided"),  # 0.1 s at most, and 9.95 kA2s stand 3.2 kA for 1 ms
        (", let_through: 9 kA2s", "within"),  # (99.74 x 1)2 = 9.95 kA2s, by hand
        (", let_through: 11 kA2s", "departure"),
    ],
)
def test_the_let_through_of_its_maker_decides(figures: str, verdict: str) -> None:
    one = heat(small(area=1, length=1, devices=f"{{type: blade, rating: 10 A, at: 0 m{figures}}}"))
    assert one.verdict == verdict
    assert ("I²t" in {each.symbol for each in one.inputs}) == bool(figures)


@pytest.mark.parametrize(("late", "verdict"), [(0.15, "within"), (3, "departure")])
def test_the_curve_of_its_maker_takes_the_place_of_its_class(late: float, verdict: str) -> None:
    """2.5 mm2 stands 62.2 kA2s. 5 m there and back: 12.9 V / (4 + 74.1 mohm) = 165 A at most. Of a
    strip fuse no gate is known; its maker's 0.15 s stands in, or 3 s, which makes 165 x 165 x 3 = 82 kA2s."""
    device = f"{{type: bolt-in strip, rating: 30 A, curve: [[2, {late} s], [50, {late} s]], let_through: 1 A2s, at: 4.9 m}}"
    one = heat(small(area=2.5, length=5, devices=device), "return")
    assert one.verdict == verdict
    assert amounts(one, "s") == [late]


def test_without_a_device_the_owner_reads_how_long_it_takes() -> None:
    """2 m of 10 mm2 (class 2, 1.83 ohm/km): near end 12.9 V / 4 mohm = 3225 A; far end, warm, 11.9 V: see below."""
    one = heat(small())
    assert (one.verdict, one.item) == ("departure", "fuse-near-battery")
    warm = 2 * 2 * 1.83e-3 * 324.5 / 254.5  # there and back at 90 degC
    least = 11.9 / (12.9 / 3000 + warm + 4 * 0.0005)
    low, high = amounts(one, "A")
    assert low == pytest.approx(least, rel=2e-3)
    assert high == pytest.approx(3225, rel=2e-3)
    assert one.low == pytest.approx(STANDS / 3225**2, rel=5e-3)
    assert one.high == pytest.approx(STANDS / least**2, rel=5e-3)
    assert plain(one.says).endswith(
        "its insulation is past its limit in under two seconds, at the strongest in under a tenth of a second, and "
        "nothing would stop it."
    )


@pytest.mark.parametrize(
    ("times", "words"),
    [
        ((0.05, 0.09), "in under a tenth of a second"),
        ((0.1, 0.4), "in under half a second"),
        ((0.5, 0.99), "in under a second"),
        ((1.0, 1.2), "in under two seconds"),
        ((2.0, 4.9), "in under five seconds"),
        ((0.5, 4.9), "in under five seconds, at the strongest in under a second"),
        ((0.3, 9.0), "in under half a second at the strongest"),
        ((6.0, 9.0), "after more than five seconds"),
    ],
)
def test_times_in_plain_words(times: tuple[float, float], words: str) -> None:
    assert when(*times) == words


@pytest.mark.parametrize(("breaks", "said"), [("", True), ("dc: yes, breaks: [[32 V, 5 kA]], ", False)])
def test_what_bursts_ends_nothing(breaks: str, said: bool) -> None:
    """A blade of 1000 A (ISO 8820-3) before 95 mm2, which would stand 0.1 s of the 3.2 kA: only if it breaks them."""
    one = heat(small(area=95, length=1, devices=f"{{type: blade, rating: 10 A, {breaks}at: 0 m}}"))
    assert one.verdict == "within"
    note = "'feed.fuse' is good for 1000 A; past that it may burst and then ends nothing."
    assert (note in [plain(each) for each in one.notes]) == said


def test_the_gate_at_the_next_lower_multiple_counts() -> None:
    """20 m of 2.5 mm2 there and back, by hand: 12.9 V / (4 + 296.4 mohm) = 42.9 A at most; warm, with four joints and the
    battery low, 11.9 V / (4.3 + 377.9 + 2 mohm) = 31.0 A at least. A blade of 15 A is past twice its rating all along and
    may take 5 s; 2.5 mm2 of 90 degC stands (99.74 x 2.5)2 = 62 kA2s, 34 s of it. One of 20 A is not: gate not known."""
    there = "{{type: blade, rating: {} A, at: 19.9 m}}"
    known = heat(small(area=2.5, length=20, devices=there.format(15)), "return")
    assert known.verdict == "within"
    assert amounts(known, "s") == [5.0]
    assert amounts(known, "A") == pytest.approx([31.0, 42.9], rel=2e-3)
    larger = heat(small(area=2.5, length=20, devices=there.format(20)), "return")
    assert larger.verdict == "cannot be decided"
    assert larger.wants[0] == "the time-current curve of 'feed.fuse', from its maker"


def test_a_gate_that_comes_too_late_is_a_departure() -> None:
    """1 m of 1 mm2 (18.1 ohm/km; k2S2 = 9.95 kA2s) there and back: 12.9 V / (4 + 36.2 mohm) = 321 A at most, at least 11.9 V /
    (4.3 + 46.2 + 2 mohm) = 227 A. A blade of 100 A may take 5 s of it: 257 kA2s and more."""
    late = heat(small(area=1, length=1, devices="{type: blade, rating: 100 A, at: 0 m}"))
    assert late.verdict == "departure"
    assert late.item == "fuse-matches-conductor"
    assert amounts(late, "A")[0] == pytest.approx(227, rel=5e-3)
    assert amounts(late, "s") == [5.0]


def test_a_short_that_is_too_weak_for_its_device() -> None:
    """1 mm2, blade of 100 A. 5 m: at least 11.9 V / (4.3 + 230.8 + 2 mohm) = 50 A never open it, and 9.95 kA2s are gone in
    4.0 s. 12 m: 21 A, a mere load."""
    blade = "{type: blade, rating: 100 A, at: 0 m}"
    one = heat(small(area=1, length=5, devices=blade), "return")
    assert one.verdict == "departure"
    assert plain(one.says).endswith(
        "too little for 'feed.fuse' (100 A) to open; its insulation is past its limit in under five seconds."
    )
    mere = heat(small(area=1, length=12, devices=blade), "return")
    assert plain(mere.says).endswith("too little for 'feed.fuse' (100 A) to open.")
    assert any("a mere load" in plain(note) for note in mere.notes)


def test_under_a_tenth_of_a_second_only_the_let_through_could_tell() -> None:
    """A blade of 10 A before 1 m of 1 mm2: 300 A and more, 30 times its rating: 0.1 s at most by the gate. 9.95 kA2s stand
    300 A for 0.11 s, but not the 3.2 kA at the near end."""
    one = heat(small(area=1, length=1, devices="{type: blade, rating: 10 A, at: 0 m}"))
    assert one.verdict == "cannot be decided"
    assert "the let-through I²t of 'feed.fuse', from its maker" in one.wants
    big = heat(small(area=95, length=1, devices="{type: blade, rating: 10 A, at: 0 m}"))
    assert big.verdict == "within"  # 95 mm2 stands even 0.1 s of it


def test_a_class_without_gates_is_not_known() -> None:
    one = heat(small(devices="{type: bolt-in strip, rating: 60 A, at: 0 m}"))
    assert one.verdict == "cannot be decided"
    assert "the time-current curve of 'feed.fuse', from its maker" in one.wants
    assert any("Gate not known" in plain(note) for note in one.notes)
    none = heat(small(devices="{type: blade, rating: 10 A, at: 0 m}", bases="metric-small-craft"))
    assert none.verdict == "cannot be decided"  # this basis holds no gates


def test_a_gate_past_five_seconds_says_nothing_of_a_short() -> None:
    """Glass tubes open within 4 min at twice their rating (UL 248-14, second-hand); at twenty times nobody says how soon."""
    one = heat(small(area=1, length=5, devices="{type: glass, rating: 3 A, at: 0 m}"), "return")
    assert one.verdict == "cannot be decided"
    assert one.wants[0] == "the time-current curve of 'feed.fuse', from its maker"
    assert "how soon 'feed.fuse' opens is not known" in plain(one.says)


def test_a_breaker_takes_no_gates_of_fuses() -> None:
    one = heat(small(devices="{kind: breaker, type: thermal, rating: 10 A, at: 0 m}"))
    assert one.verdict == "cannot be decided"


def test_cranking_cables_are_exempt_and_still_show_their_figures() -> None:
    text = small().replace(
        "kind: lamp, current: 5 A", "kind: cranking motor, current: 200 A, duty: short-time"
    )
    one = heat(text)
    assert one.verdict == "within"
    assert one.exempt == "common practice"
    assert plain(one.says).endswith("Exempt by common practice; nothing would stop it.")
    assert amounts(one, "A")


def test_an_assumed_insulation_never_clears_or_fails_for_sure() -> None:
    text = small(area=1, length=1, devices="{type: blade, rating: 100 A, at: 0 m}")
    assert heat(text).verdict == "departure"
    unknown = heat(text.replace("insulation: 90 degC, ", ""))
    assert unknown.verdict in ("departure", "cannot be decided")
    assert any(a.default.name == "insulation" for a in unknown.assumptions)


# --- arcs, bodies, bonding, mid-points


def test_an_arc_counts_from_48_volts_on() -> None:
    """48 V from one bank of 47.6 V (empty) behind 48/3000 = 16 to 17.2 mohm: the arc takes 20 V of it."""
    for system, arc in ((48, 20.0), (24, 0.0)):
        one = next(
            e
            for e in fault_current(found(small(system=system)))
            if e.subject == "bank.pos" and "pole to pole" in e.rule
        )
        scale = system / 12
        assert one.low == pytest.approx((11.9 * scale - arc) / (12.9 * scale / 3000), rel=2e-3)
        assert any(a.default.name == "arc" for a in one.assumptions) == (system == 48)


def bonded(rating: int, area: float) -> Evidence:
    text = small(
        devices=f"{{type: blade, rating: {rating} A, at: 0 m}}",
        extra=f"""\
  bonds:
    - {{id: strap, from: tank, to: hull, area: {area:g} mm2, length: 3 m, insulation: 90 degC}}
""",
    ).replace("body: hull}]", "body: hull}, {id: tank, kind: body, body: other}]")
    return of(fault_bonding(found(text)), "strap")


@pytest.mark.parametrize(
    ("rating", "area", "verdict"),
    [
        (10, 10, "within"),
        (10, 1, "within"),  # 221 A for 0.1 s: 4.9 kA2s
        (30, 1, "departure"),  # 143 A is 4.8 times 30 A: up to 0.5 s, 10.3 kA2s and more
        (100, 4, "within"),  # 720 A is 7.2 times, 460 A 4.6 times: 0.5 s of it, 106 kA2s of the 159 kA2s
    ],
)
def test_bonding_stands_what_the_largest_device_lets_through(rating: int, area: float, verdict: str) -> None:
    """3 m of 1 mm2 bonding: 12.9 V / (4 + 0.08 + 54.3 mohm) = 221 A at most; warm, at least 11.9 V / (4.3 + 69.2 + 9.5 mohm)
    = 143 A. 1 mm2 of 90 degC stands (99.74 x 1)2 = 9.95 kA2s."""
    one = bonded(rating, area)
    assert (one.verdict, one.item) == (verdict, "bonding-sound"), plain(one.says)
    assert "the largest device that can feed it" in plain(one.says)
    if area == 1:
        assert amounts(one, "A")[:2] == pytest.approx([143.5, 221], rel=3e-3)


def test_a_cable_without_a_device_is_named_beside_the_bonding() -> None:
    text = small(
        extra="  bonds:\n    - {id: strap, from: tank, to: hull, area: 10 mm2, length: 3 m, insulation: 90 degC}\n"
    ).replace("body: hull}]", "body: hull}, {id: tank, kind: body, body: other}]")
    one = of(fault_bonding(found(text)), "strap")
    assert plain(one.says).endswith("nothing would stop it.")


def test_every_source_has_its_share_and_its_way() -> None:
    text = small(
        elements="  sources: [{id: charger, kind: mains charger, current: 30 A, volts: [13.5 V, 14.4 V], self_limited: yes, neg: bank.neg}]\n",
        extra=f"    - {{id: charge, from: charger.pos, to: bank.pos, area: 6 mm2, length: 1 m, {KNOWN}, use: charging}}\n",
    )
    one = next(e for e in fault_current(found(text)) if e.subject == "bank.pos" and "pole to pole" in e.rule)
    said = [plain(note) for note in one.notes]
    assert said[0].startswith("'bank' gives 3600 A, straight at its posts")
    assert said[1] == "'charger' gives 30 A, by way of 'charge'."
    assert one.high == pytest.approx(3630, rel=2e-3)


@pytest.mark.parametrize("system", [12, 48])
def test_a_live_negative_is_judged_as_a_live_positive(system: int) -> None:
    """The same boat turned about: positive earthed, its fuse in the negative."""
    text = small(system=system, devices="{type: blade, rating: 30 A, at: 0.1 m}")
    turned = (
        text.replace("negative-earthed", "positive-earthed")
        .replace("from: bank.pos, to: lamp.pos", "from: bank.neg, to: lamp.neg")
        .replace("from: lamp.neg, to: bank.neg", "from: lamp.pos, to: bank.pos")
        .replace("from: bank.neg, to: hull", "from: bank.pos, to: hull")
    )

    def figures(source: str) -> list[tuple[object, ...]]:
        network, bases = written(source)
        every = fault_evidence(grounds(network, AROUND), bases)
        return sorted(
            (
                e.analysis,
                e.subject,
                e.verdict,
                pytest.approx(e.low, rel=1e-6),
                pytest.approx(e.high, rel=1e-6),
            )
            for e in every
            if e.subject in ("feed", "return", "feed.fuse")
        )

    assert figures(turned) == figures(text)
    posts = [e for e in fault_current(found(turned)) if e.subject == "bank.neg" and "pole to pole" in e.rule]
    assert plain(posts[0].notes[0]).startswith("'bank' gives")


def test_the_order_of_the_file_changes_nothing() -> None:
    text = small(devices="{type: blade, rating: 30 A, at: 0 m}")
    lines = text.splitlines()
    first = lines.index("  conductors:") + 1
    turned = "\n".join([*lines[:first], *reversed(lines[first:])]) + "\n"

    def shown(source: str) -> list[tuple[object, ...]]:
        network, bases = written(source)
        every = fault_evidence(grounds(network, AROUND), bases)
        return sorted(
            (e.identity, round(e.low, 6), round(e.high, 6), e.verdict, plain(e.says)) for e in every
        )

    assert shown(text) == shown(turned)


def test_what_does_not_settle_is_said_with_its_place_and_no_number(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("lugbook.calc.nodal.BALANCE", -1.0)
    monkeypatch.setattr("lugbook.calc.nodal.SHARE", 0.0)
    one = next(iter(fault_current(found(small()))))
    assert one.verdict == "cannot be decided"
    assert (one.low, one.high) == (0.0, 0.0)
    assert "could be computed" in plain(one.says)
    assert one.wants


def test_a_boat_without_sources_has_nothing_to_say() -> None:
    network, bases = written("  system: 12 V\n  bases: [good-practice]\n  nodes: [{id: a}, {id: b}]\n")
    assert fault_evidence(grounds(network, AROUND), bases) == ()


def test_three_hundred_conductors_take_at_most_fifteen_times_as_long_as_thirty() -> None:
    """All analyses together. Measured: 0.08 s and 0.8 s; the report's PDF takes more than ten times that."""

    def spent(circuits: int) -> float:
        network, bases = written(large_boat(circuits))
        begin = time.process_time()
        evidence(network, bases, AROUND)
        return time.process_time() - begin

    with undisturbed():
        spent(7)
        small_boat, big_boat = min(spent(7) for _ in range(5)), min(spent(140) for _ in range(2))
    assert big_boat < 3
    assert big_boat < 15 * small_boat


def test_numpy_is_loaded_only_when_a_network_is_solved() -> None:
    code = "import sys, lugbook.assess.evidence.fault_evidence; assert 'numpy' not in sys.modules"
    subprocess.run([sys.executable, "-c", code], check=True)


def test_the_k_of_the_tables_is_the_formula() -> None:
    """IEC 60364-5-54 annex A, as reproduced in two public pages: 226 sqrt(ln((234.5 + tf)/(234.5 + ti)))."""
    made = k_of(90, 160)
    assert made is not None
    assert made / 1e6 == pytest.approx(226 * sqrt(log(394.5 / 324.5)), rel=2e-3)


APART = """\
  system: 12 V
  bases: [good-practice]
  earthing: {{kind: negative-earthed, at: hull}}
  nodes: [{{id: hull, kind: body, body: hull}}]
  batteries: [{{id: one, {battery}}}, {{id: two, {battery}}}]
  loads: [{{id: lamp, kind: lamp, current: 5 A}}]
  conductors:
    - {{id: plus, from: one.pos, to: two.pos, area: 35 mm2, length: 0.4 m, {known}{use}}}
    - {{id: minus, from: one.neg, to: two.neg, area: 35 mm2, length: 0.4 m, {known}{use}}}
    - {{id: feed, from: two.pos, to: lamp.pos, area: 10 mm2, length: 2 m, {known}}}
    - {{id: return, from: lamp.neg, to: one.neg, area: 10 mm2, length: 2 m, {known}}}
    - {{id: earth, from: one.neg, to: hull, area: 50 mm2, length: 0.2 m, {known}}}
"""


@pytest.mark.parametrize(("use", "verdict"), [("", "departure"), (", use: link", "within")])
def test_a_link_between_blocks_entered_apart_is_exempt_when_it_is_called_one(use: str, verdict: str) -> None:
    """Common practice, no source: the cables between the blocks of one bank carry no fuse."""
    every = evidence(*written(APART.format(battery=MAKER, known=KNOWN, use=use)), AROUND)
    judged = {
        one.verdict
        for one in every
        if one.subject == "plus" and one.analysis in ("coverage", "fault heating")
    }
    assert judged == {verdict}
    feed = {one.verdict for one in every if one.subject == "feed" and one.analysis == "fault heating"}
    assert feed == {"departure"}


def test_what_only_goes_round_between_batteries_feeds_no_short() -> None:
    """A lithium battery charges the lead-acid one beside it even while a weak short lasts far off: 13.6 V behind 3.2 mohm
    and the links keep the bars above 12.9 V at some 40 A. The fuse ends the short; what goes round ends nothing and feeds
    nothing. 15 A: more than twice its rating, so 5 s at most (ISO 8820-3)."""
    lithium = "chemistry: lifepo4, volts: 12.8 V, lithium: {switches: none, cell_short_circuit: 4 kA}"
    text = (
        APART.format(battery=MAKER, known=KNOWN, use=", use: link")
        .replace(f"{{id: one, {MAKER}}}", f"{{id: one, {lithium}}}")
        .replace(f"area: 10 mm2, length: 2 m, {KNOWN}", f"area: 2.5 mm2, length: 20 m, {KNOWN}")
        .replace(
            f"to: lamp.pos, area: 2.5 mm2, length: 20 m, {KNOWN}",
            f"to: lamp.pos, area: 2.5 mm2, length: 20 m, {KNOWN}, devices: [{{id: fuse, type: blade, rating: 15 A, at: 19.9 m}}]",
        )
    )
    one = heat(text, "return")
    assert one.verdict == "within"
    assert amounts(one, "s") == [5.0]
    assert "'fuse' ends it" in plain(one.says)


@pytest.mark.parametrize(("rating", "opens"), [(30, False), (29, True)])
def test_a_device_never_opens_at_its_rating_itself(rating: int, opens: bool) -> None:
    """Common practice and ISO 8820-3 (recalled): a fuse carries its rating for as long as it takes."""
    device = next(
        placed.device
        for one in written(small(devices=f"{{type: blade, rating: {rating} A, at: 0 m, curve: [[1, 3 s]]}}"))[0].conductors
        for placed in one.devices
    )  # fmt: skip
    assert (opening(found(small()), device, 30.0) < 10) == opens

"""Properties of the analyses, and their speed."""

from __future__ import annotations

import time

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from trial_boats import judged, pick

KNOWN = "insulation: 105 degC, ambient: 30 degC, bundle: 1"
SIZES = (1, 1.5, 2.5, 4, 6, 10, 16, 25, 35, 50, 70, 95, 120)
FEW = settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow], derandomize=True)


def feed(area: float, length: float, devices: str = "", second: str = "", known: str = KNOWN) -> str:
    return f"""\
  system: 12 V
  bases: [good-practice, metric-small-craft]
  earthing: {{kind: negative-earthed, at: hull}}
  nodes: [{{id: hull, kind: body, body: hull}}, {{id: far}}, {{id: mid}}]
  batteries: [{{id: bank, chemistry: agm, neg: hull}}]
  loads: [{{id: lamp, kind: lamp, current: 8 A, pos: far, neg: hull}}]
  conductors:
    - {{id: first, from: bank.pos, to: mid, area: {area:g} mm2, length: {length:.3f} m, {known}, devices: [{devices}]}}
    - {{id: second, from: mid, to: far, area: {area:g} mm2, length: {length:.3f} m, {known}, devices: [{second}]}}
"""


sizes, lengths = st.sampled_from(SIZES), st.floats(0.2, 30)


@FEW
@given(area=sizes, length=lengths, more=st.floats(0.001, 10))
def test_more_length_is_never_less_drop(area: float, length: float, more: float) -> None:
    short = pick(judged(feed(area, length)), analysis="voltage drop", basis="good-practice")
    longer = pick(judged(feed(area, length + more)), analysis="voltage drop", basis="good-practice")
    assert longer.low >= short.low
    assert longer.high >= short.high


@FEW
@given(small=sizes, large=sizes)
def test_a_bigger_conductor_never_has_less_ampacity(small: float, large: float) -> None:
    small, large = sorted((small, large))
    for basis in ("good-practice", "metric-small-craft"):
        less = pick(judged(feed(small, 1)), analysis="ampacity", subject="first", basis=basis)
        more = pick(judged(feed(large, 1)), analysis="ampacity", subject="first", basis=basis)
        assert less.limit is not None
        assert more.limit is not None
        assert more.limit.value >= less.limit.value


@FEW
@given(
    area=sizes,
    length=lengths,
    there=st.lists(st.tuples(st.integers(1, 400), st.floats(0, 1)), max_size=2),
    added=st.tuples(st.integers(1, 400), st.floats(0, 1)),
    in_second=st.booleans(),
)
def test_a_device_more_never_lengthens_what_is_unprotected(
    area: float, length: float, there: list[tuple[int, float]], added: tuple[int, float], in_second: bool
) -> None:
    def devices(found: list[tuple[int, float]]) -> str:
        return ", ".join(
            f"{{rating: {rating} A, at: {share * round(length, 3):.3f} m}}" for rating, share in found
        )

    before = judged(feed(area, length, devices(there)))
    after = judged(
        feed(
            area,
            length,
            devices(there if in_second else [*there, added]),
            devices([added] if in_second else []),
        )
    )
    bare = {
        one.identity: one for one in after if one.analysis == "coverage" and one.rule == "overcurrent, bank"
    }
    total_before = sum(
        s.end - s.start
        for one in before
        if one.rule == "overcurrent, bank" and one.basis == "good-practice"
        for s in one.stretches
    )
    total_after = sum(
        s.end - s.start for one in bare.values() if one.basis == "good-practice" for s in one.stretches
    )
    assert total_after <= total_before + 1e-9
    for one in before:
        if one.identity in bare:
            assert bare[one.identity].high <= one.high + 1e-9


@FEW
@given(order=st.permutations(range(6)), area=sizes)
def test_the_order_of_the_file_changes_nothing(order: list[int], area: float) -> None:
    lines = [
        f"    - {{id: w{n}, from: {a}, to: {b}, area: {area:g} mm2, length: {n + 1} m, {KNOWN}}}"
        for n, (a, b) in enumerate(
            [
                ("bank.pos", "mid"),
                ("mid", "far"),
                ("far", "end"),
                ("end", "mid"),
                ("other.pos", "end"),
                ("bank.pos", "end"),
            ]
        )
    ]
    head = """\
  system: 12 V
  bases: [good-practice]
  earthing: {kind: negative-earthed, at: hull}
  nodes: [{id: hull, kind: body, body: hull}, {id: far}, {id: mid}, {id: end}]
  batteries: [{id: bank, chemistry: agm, neg: hull}, {id: other, chemistry: agm, neg: hull}]
  loads: [{id: lamp, kind: lamp, current: 8 A, pos: far, neg: hull}]
  conductors:
"""

    def shown(numbers: list[int]) -> list[tuple[object, ...]]:
        found = judged(head + "\n".join(lines[n] for n in numbers) + "\n")
        return [
            (one.identity, round(one.low, 9), round(one.high, 9), one.verdict, one.item, one.state, one.says)
            for one in found
        ]

    assert shown(order) == shown(list(range(6)))


@FEW
@given(rating=st.integers(1, 300), area=sizes, length=st.floats(0.2, 5))
def test_an_assumed_value_never_clears_what_a_known_worst_value_fails(
    rating: int, area: float, length: float
) -> None:
    """What is within with the defaults is within with each end of them entered."""
    device = f"{{rating: {rating} A, at: 0 m}}"
    loose = pick(
        judged(feed(area, length, device, known="insulation: 105 degC")),
        analysis="coordination",
        rule="rating",
        basis="good-practice",
    )
    worst = pick(
        judged(feed(area, length, device, known="insulation: 105 degC, ambient: 40 degC, bundle: 3")),
        analysis="coordination",
        rule="rating",
        basis="good-practice",
    )
    best = pick(
        judged(feed(area, length, device, known="insulation: 105 degC, ambient: 20 degC, bundle: 1")),
        analysis="coordination",
        rule="rating",
        basis="good-practice",
    )
    if worst.verdict == best.verdict:
        assert loose.verdict == worst.verdict
    else:
        assert (worst.verdict, best.verdict, loose.verdict) == ("departure", "within", "cannot be decided")


def large_boat(circuits: int) -> str:
    """A boat with two banks, a link, eight switched panels, and so many circuits."""
    lines = [
        "  system: 12 V",
        "  bases: [good-practice, metric-small-craft]",
        "  earthing: {kind: negative-earthed, at: hull}",
    ]
    lines += [
        "  nodes:",
        "    - {id: hull, kind: body, body: hull}",
        "    - {id: neg}",
        *(f"    - {{id: p{n}}}" for n in range(8)),
    ]
    lines += [
        "  batteries:",
        *(f"    - {{id: {name}, chemistry: agm, short_circuit: 3 kA}}" for name in ("one", "two")),
    ]
    lines += [
        "  switches:",
        "    - {id: main, kind: off-1-both-2}",
        *(f"    - {{id: s{n}}}" for n in range(6)),
    ]
    lines += ["  conductors:"]
    rest = "insulation: 90 degC"
    lines += [
        f"    - {{id: {b}-pos, from: {b}.pos, to: main.{n}, area: 50 mm2, length: 1 m, {rest}, devices: [{{rating: 150 A, at: 0.1 m}}]}}"
        for n, b in ((1, "one"), (2, "two"))
    ]
    lines += [
        f"    - {{id: {b}-neg, from: {b}.neg, to: neg, area: 50 mm2, length: 1 m, {rest}}}"
        for b in ("one", "two")
    ]
    lines += [f"    - {{id: earth, from: neg, to: hull, area: 50 mm2, length: 1 m, {rest}}}"]
    for n in range(8):
        start = f"s{n}.in" if n < 6 else f"p{n}"
        lines.append(
            f"    - {{id: feed{n}, from: main.common, to: {start}, area: 10 mm2, length: 3 m, {rest}, devices: [{{rating: 60 A, at: 0.1 m}}]}}"
        )
        if n < 6:
            lines.append(
                f"    - {{id: on{n}, from: s{n}.out, to: p{n}, area: 10 mm2, length: 0.5 m, {rest}}}"
            )
    lines += ["  circuits:"]
    lines += [
        f"    - {{id: c{n}, from: p{n % 8}, to: neg, current: 2 A, area: 1.5 mm2, length: {3 + n % 7} m, {rest}, device: {{rating: 10 A}}}}"
        for n in range(circuits)
    ]
    return "\n".join(lines) + "\n"


def test_three_hundred_conductors_in_well_under_a_second() -> None:
    from trial_boats import AROUND, undisturbed, written

    from lugbook.assess.evidence.run import evidence

    network, bases = written(large_boat(140))
    assert len(network.conductors) >= 295
    evidence(network, bases, AROUND)
    with undisturbed():
        begin = time.process_time()
        evidence(network, bases, AROUND)
        assert time.process_time() - begin < 1.5


def test_a_short_time_load_is_judged_without_named_states() -> None:
    """A windlass of 90 A on 6 mm2 (60 A at 105 degC): it runs, whatever the file says of states."""
    text = feed(6, 2).replace("current: 8 A", "current: 90 A, duty: short-time")
    found = judged(text)
    assert pick(found, analysis="ampacity", subject="first", basis="good-practice").verdict == "departure"
    # 2 x 2 m of 6 mm2 class 2 plain, 3.08 ohm/km (IEC 60228), at its limit of 105 degC: x 1.334 x 90 A = 1.479 V.
    assert pick(found, analysis="voltage drop", basis="good-practice").low > 1.4


def test_more_switches_than_can_be_worked_through_are_told() -> None:
    rings = "".join(
        f"    - {{id: r{n}, from: s{n}.in, to: s{n}.out, area: 10 mm2, length: 1 m, {KNOWN}}}\n"
        for n in range(11)
    )
    chain = "".join(
        f"    - {{id: k{n}, from: s{n}.out, to: s{n + 1}.in, area: 10 mm2, length: 1 m, {KNOWN}}}\n"
        for n in range(10)
    )
    switches = "  switches: [" + ", ".join(f"{{id: s{n}}}" for n in range(11)) + "]\n"
    text = feed(10, 1).replace("  conductors:\n", switches + "  conductors:\n") + rings + chain
    text += f"    - {{id: start, from: mid, to: s0.in, area: 10 mm2, length: 1 m, {KNOWN}}}\n"
    found = judged(text)
    assert all(
        one.notes[-1] == ("Not every combination of switch positions was worked through.",)
        for one in found
        if one.analysis == "coverage"
    )


def test_a_short_time_load_comes_on_top_of_what_always_runs() -> None:
    """By hand: 8 A all the time and a windlass of 40 A: 48 A, though the file names no state."""
    text = feed(10, 1).replace(
        "pos: far, neg: hull}]",
        "pos: far, neg: hull}, {id: windlass, kind: motor, current: 40 A, duty: short-time, pos: far, neg: hull}]",
    )
    assert (
        abs(pick(judged(text), analysis="ampacity", subject="first", basis="good-practice").high - 48) < 1e-6
    )

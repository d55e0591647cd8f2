"""The nodal core from inside: laws of the elements, branches taken off, shares of a step, loads that settle.

Every figure is worked by hand beside its row; nothing here is symmetrical, so that a swapped end or sign shows.
"""

from __future__ import annotations

import warnings

import numpy as np
import pytest

from lugbook.calc import nodal
from lugbook.calc._nodal_elements import LEAK, Element, check, pieces_of
from lugbook.calc._nodal_matrix import Matrix, _trimmed
from lugbook.calc.nodal import Cell, Draw, Nodal, Power, Resistor, Short, Solution, Supply, Unsolved, Valve

NONE = float("inf")


@pytest.mark.parametrize(
    ("element", "knots", "slopes", "set_at"),
    [
        (Resistor("r", "a", "b", 4), (NONE, NONE), (0.25,) * 3, (0.0,) * 3),
        (Cell("c", "a", "b", 12, 0.5), (NONE, NONE), (2.0,) * 3, (-24.0,) * 3),
        (Draw("d", "a", "b", 7), (NONE, NONE), (0.0,) * 3, (7.0,) * 3),
        # A load of constant power begins at a quarter of what it takes at its floor, or at 1 V below that.
        (Power("w", "a", "b", 96, 6), (NONE, NONE), (0.0,) * 3, (4.0,) * 3),
        (Power("w", "a", "b", 12, 0.5), (NONE, NONE), (0.0,) * 3, (3.0,) * 3),
    ],
    ids=lambda one: getattr(one, "id", ""),
)
def test_straight_elements_have_one_law(
    element: Element, knots: tuple[float, ...], slopes: tuple[float, ...], set_at: tuple[float, ...]
) -> None:
    assert pieces_of(element) == (knots, slopes, set_at)


@pytest.mark.parametrize(
    ("element", "corners"),
    [
        # 14.4 V less 30 A on 20 mohm: full below 13.8 V, idle above 14.4 V.
        (Supply("s", "a", "b", 14.4, 30, 0.02), ((0, 13.8, -30.0), (1, 14.4, 0.0))),
        (Valve("d", "a", "b", 0.7, 0.25), ((0, 0.7, 0.7 * LEAK),)),
    ],
    ids=["supply", "valve"],
)
def test_the_pieces_of_a_law_meet(element: Element, corners: tuple[tuple[int, float, float], ...]) -> None:
    """By hand: both pieces give the same current at the voltage where they meet."""
    knots, slopes, set_at = pieces_of(element)
    for piece, volts, amperes in corners:
        assert knots[piece] == pytest.approx(volts)
        assert set_at[piece] + slopes[piece] * volts == pytest.approx(amperes, abs=1e-12)
        assert set_at[piece + 1] + slopes[piece + 1] * volts == pytest.approx(amperes, abs=1e-12)


def test_the_limits_of_what_an_element_may_state() -> None:
    check(Cell("c", "a", "b", 0, 0.5))
    check(Supply("s", "a", "b", 14, 0, 0.1))
    check(Resistor("r", "a", "b", 9.99e8))
    for wrong in (Resistor("r", "a", "b", 1e9), Power("w", "a", "b", -1, 6), Draw("d", "a", "b", -2)):
        with pytest.raises(ValueError, match="must be from 0 to 1e9"):
            check(wrong)


def test_branches_are_taken_off_from_their_tips() -> None:
    """By hand: 2 and 3 hang on 1, 5 hangs on 4; 4 hangs on a diode and stays; the load between 2 and 3 joins nothing."""
    elements: list[Element] = [
        Resistor("r01", "0", "1", 2), Resistor("r12", "1", "2", 3), Cell("c13", "1", "3", 12, 4),
        Valve("v14", "1", "4", 0.7, 5), Resistor("r45", "4", "5", 6), Draw("d23", "2", "3", 7),
    ]  # fmt: skip
    ends = [(int(e.a), int(e.b)) for e in elements]
    assert _trimmed(elements, ends, 6, {0}) == ([(2, 1, 1), (3, 1, 2), (5, 4, 4)], [0, 1, 4])


def test_a_chain_is_taken_off_whole_and_a_ring_stays() -> None:
    chain: list[Element] = [Resistor(f"r{n}", str(n), str(n + 1), 2 + n) for n in range(3)]
    ends = [(n, n + 1) for n in range(3)]
    assert _trimmed(chain, ends, 4, {0}) == ([(1, 0, 0), (2, 1, 1), (3, 2, 2)], [0])
    ring: list[Element] = [*chain, Resistor("back", "3", "1", 9)]
    assert _trimmed(ring, [*ends, (3, 1)], 4, {0}) == ([], [0, 1, 2, 3])


def test_the_inverse_holds_the_resistances_between_nodes() -> None:
    """By hand: 2 ohm, then 3 ohm beside 6 ohm: one ampere into node 2 lifts it by 2 + 2 V above node 0, node 1 by 2 V."""
    elements: list[Element] = [
        Resistor("a", "0", "1", 2),
        Resistor("b", "1", "2", 3),
        Resistor("c", "2", "1", 6),
    ]
    ends = [(0, 1), (1, 2), (2, 1)]
    slope = np.array([pieces_of(e)[1] for e in elements])
    matrix = Matrix(elements, ends, 3, slope)
    assert matrix.part == [0, 0, 0]
    inverse = matrix.inverse(np.zeros(3, dtype=np.int64))
    assert inverse[2, 2] - inverse[2, 0] == pytest.approx(4)
    assert inverse[1, 2] - inverse[1, 0] == pytest.approx(2)
    assert inverse[2, 1] - inverse[0, 1] == pytest.approx(2)


def share(elements: list[Element], start: dict[str, float], way: dict[str, float]) -> float:
    made = Nodal(elements)
    volts = np.array([start[name] for name in made._nodes])
    return made._share(volts, np.array([way[name] for name in made._nodes]))


SOURCE: list[Element] = [Cell("c", "p", "n", 12.5, 0.5), Valve("d", "p", "n", 3, 0.25)]


@pytest.mark.parametrize(
    ("more", "begins", "rises", "falls", "wanted"),
    [
        # At v volts 2 (v - 12.5) + 4 (v - 3) A leave p above 3 V: nothing is left over at v = 37 / 6.
        ([], 0.0, 12.5, 0.0, 37 / 6 / 12.5),
        ([], 0.0, 10.0, -2.5, 37 / 6 / 12.5),
        ([], 0.0, 5.0, -7.5, 37 / 6 / 12.5),
        ([], 0.0, 5.0, 0.0, 1.0),
        ([], 0.0, 6.18, 0.0, 37 / 6 / 6.18),
        ([], 4.0, 5.0, 0.0, (37 / 6 - 4) / 5),
        # A second diode above that changes nothing, wherever it begins.
        ([Valve("e", "p", "n", 10, 0.1)], 4.0, 5.0, 0.0, (37 / 6 - 4) / 5),
        ([Valve("e", "p", "n", 10, 0.1)], 0.0, 12.5, 0.0, 37 / 6 / 12.5),
        ([Valve("e", "p", "n", 6.17, 0.25)], 0.0, 12.5, 0.0, 37 / 6 / 12.5),
        # Two below that do: 2 (v - 12.5) + 4 (v - 3) + 0.5 (v - 1) + 10 (v - 4) at v = 77.5 / 16.5.
        ([Valve("e", "p", "n", 1, 2), Valve("f", "p", "n", 4, 0.1)], 0.0, 12.5, 0.0, 77.5 / 16.5 / 12.5),
    ],
)
def test_a_step_stops_where_nothing_is_left_over(
    more: list[Element], begins: float, rises: float, falls: float, wanted: float
) -> None:
    start, way = {"p": begins, "n": 0.0}, {"p": rises, "n": falls}
    assert share([*SOURCE, *more], start, way) == pytest.approx(wanted, rel=1e-5)


def test_a_diode_across_which_a_step_changes_nothing_gives_no_warning() -> None:
    still: list[Element] = [
        Valve("e", "q", "n", 0.75, 0.5),
        Valve("g", "q", "n", 3, 0.5),
        Resistor("r", "p", "q", 1e6),
    ]
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        found = share(SOURCE + still, {"p": 0, "n": 0, "q": 0.75}, {"p": 12.5, "n": 0, "q": 0})
    assert found == pytest.approx(37 / 6 / 12.5, rel=1e-4)


LOAD: list[Element] = [Cell("c", "p", "n", 6, 4 / 3), Power("w", "p", "n", 24, 8)]


def test_below_its_floor_a_load_of_constant_power_is_a_resistance() -> None:
    """By hand: 24 W at 8 V is 8/3 ohm; 6 V on 4 ohm in all drive 1.5 A, and 4 V stay for it."""
    found = Nodal(LOAD).solve()
    assert isinstance(found, Solution)
    assert found.currents["w"] == pytest.approx(1.5, rel=1e-8)
    assert found.volts["p"] - found.volts["n"] == pytest.approx(4, rel=1e-8)


def test_a_load_settles_when_its_change_is_within_the_limit(monkeypatch: pytest.MonkeyPatch) -> None:
    """By hand from 0.75 A: 1.875, 1.3125, 1.59375, 1.453125 A; the fourth change is 9.7 % of it, the third 17.6 %."""
    monkeypatch.setattr(nodal, "SETTLED", 0.15)
    monkeypatch.setattr(nodal, "MOST_ROUNDS", 4)
    found = Nodal(LOAD).solve()
    assert isinstance(found, Solution)
    assert found.currents["w"] == pytest.approx(1.453125)
    monkeypatch.setattr(nodal, "MOST_ROUNDS", 3)
    assert isinstance(Nodal(LOAD).solve(), Unsolved)


def test_a_load_that_takes_nothing_settles_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(nodal, "SETTLED", 0.0)
    found = Nodal([Cell("c", "p", "n", 12.5, 0.2), Power("w", "p", "n", 0, 6)]).solve()
    assert isinstance(found, Solution)
    assert found.currents["w"] == 0


def test_of_two_loads_that_do_not_settle_the_first_is_named() -> None:
    loads: list[Element] = [Power("one", "p", "n", 700, 3), Power("two", "p", "n", 700, 3)]
    found = Nodal([Cell("c", "p", "n", 12, 0.1), *loads]).solve()
    assert found == Unsolved("a load of constant power finds no voltage at which it settles", "one")


@pytest.mark.parametrize(
    ("arc", "amperes"), [(0.0, 120 / (92 / 3) / 0.05), (2.0, (160 / (92 / 3) - 2) / 0.05)]
)
def test_a_short_beside_a_load_of_constant_power(arc: float, amperes: float) -> None:
    """By hand: 12 V behind 0.1 ohm, 0.05 ohm to the short, and the load below its floor as 36 / 24 = 1.5 ohm."""
    elements: list[Element] = [
        Cell("c", "p", "n", 12, 0.1),
        Resistor("r", "p", "q", 0.05),
        Power("w", "p", "n", 24, 6),
    ]
    (found,) = Nodal(elements).shorts([("q", "n")], arc=arc)
    assert isinstance(found, Short)
    assert found.amperes == pytest.approx(amperes, rel=1e-6)
    assert found.currents["r"] == pytest.approx(amperes, rel=1e-6)
    # Free: (12 - 0.1 I) I = 24.
    assert found.free == pytest.approx((12 + (144 - 9.6) ** 0.5) / 2, rel=1e-6)


PAIR: list[Element] = [
    Cell("c", "p", "n", 12.5, 0.004), Resistor("r", "p", "q", 0.0021), Resistor("s", "q", "n", 0.75),
    Cell("d", "x", "y", 24, 0.01),
]  # fmt: skip


def test_many_shorts_at_once_each_with_its_own_figures() -> None:
    """By hand: 12.5 V behind 4 mohm, 2.1 mohm on the way; 24 V behind 10 mohm beside it."""
    pairs = [
        ("p", "n"),
        ("n", "p"),
        ("q", "n"),
        ("x", "y"),
        ("q", "x"),
        ("p", "nowhere"),
        ("nowhere", "n"),
        ("nowhere", "q"),
        ("q", "q"),
    ]
    found = Nodal(PAIR).shorts(pairs)
    idle = 12.5 / 0.7561
    wanted = [12.5 / 0.004, -12.5 / 0.004, 12.5 / (0.004 + 0.0021), 2400, 0, 0, 0, 0, 0]
    free = [12.5 - idle * 0.004, -(12.5 - idle * 0.004), idle * 0.75, 24, 0, 0, 0, 0, 0]
    for one, pair, amperes, before in zip(found, pairs, wanted, free, strict=True):
        assert isinstance(one, Short)
        assert (one.at, one.to) == pair
        assert one.amperes == pytest.approx(amperes, rel=1e-9, abs=1e-9)
        assert one.free == pytest.approx(before, rel=1e-9, abs=1e-9)
    assert found[2].currents["r"] == pytest.approx(12.5 / 0.0061, rel=1e-9)  # type: ignore[union-attr]
    assert found[2].currents["c"] == pytest.approx(-12.5 / 0.0061, rel=1e-9)  # type: ignore[union-attr]
    assert found[3].currents["r"] == pytest.approx(idle, rel=1e-9)  # type: ignore[union-attr]
    assert found[6].currents["s"] == pytest.approx(idle, rel=1e-9)  # type: ignore[union-attr]
    alone = Nodal(PAIR)
    for one, pair in zip(found, pairs, strict=True):
        assert isinstance(one, Short)
        single = alone._single(*pair, 0.0)
        assert isinstance(single, Short)
        assert (single.at, single.to) == pair
        assert single.amperes == pytest.approx(one.amperes, rel=1e-9, abs=1e-9)
        assert single.free == pytest.approx(one.free, rel=1e-9, abs=1e-9)
        assert dict(single.currents) == pytest.approx(dict(one.currents), rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("turned", [1, -1])
@pytest.mark.parametrize(("arc", "share"), [(12.0, 0.5), (24.0, 0.0), (24.5, 0.0), (23.5, 0.5)])
def test_an_arc_burns_against_the_voltage_whichever_way(turned: int, arc: float, share: float) -> None:
    """By hand: 24 V behind 20 mohm; an arc of A volts leaves 24 - A, and one of 24 V or more does not burn."""
    pair = ("p", "n") if turned > 0 else ("n", "p")
    made = Nodal([Cell("c", "p", "n", 24, 0.02)])
    many, alone = made.shorts([pair], arc=arc)[0], made._single(*pair, arc)
    wanted = turned * max(24 - arc, 0.0) / 0.02
    assert (share > 0) == (wanted != 0)
    for found in (many, alone):
        assert isinstance(found, Short)
        assert found.amperes == pytest.approx(wanted, abs=1e-6)
        assert found.free == pytest.approx(turned * 24)
        assert found.currents["c"] == pytest.approx(-abs(wanted), abs=1e-6)


def test_a_weak_arc_does_not_burn_at_less_than_it_takes() -> None:
    made = Nodal([Cell("c", "p", "n", 0.6, 0.02)])
    for found in (made.shorts([("p", "n")], arc=0.7)[0], made._single("p", "n", 0.7)):
        assert isinstance(found, Short)
        assert found.amperes == 0


def test_the_currents_of_a_short_are_a_table_by_element() -> None:
    (found,) = Nodal(PAIR).shorts([("x", "y")])
    assert isinstance(found, Short)
    assert list(found.currents) == ["c", "r", "s", "d"]
    assert len(found.currents) == 4
    assert "d" in found.currents
    assert "nothing" not in found.currents


def test_shorts_behind_diodes_and_limits_do_not_disturb_each_other() -> None:
    """By hand: the bank alone feeds p; behind the diode 0.7 V and 2 mohm are missing; the supply stops at 35 A."""
    elements: list[Element] = [
        Cell("bank", "p", "n", 12.7, 0.005), Valve("d", "p", "q", 0.7, 0.002), Resistor("r", "q", "n", 50),
        Supply("pv", "s", "m", 22, 35, 0.003), Resistor("t", "s", "m", 4),
    ]  # fmt: skip
    made = Nodal(elements)
    found = made.shorts([("p", "n"), ("s", "m"), ("q", "n"), ("m", "s")])
    assert [one.amperes for one in found if isinstance(one, Short)] == pytest.approx(
        [2540, 35, 12 / 0.007, -35], rel=1e-5
    )
    assert [one.free for one in found if isinstance(one, Short)] == pytest.approx(
        [12.7 - 0.2399 * 0.005, 22 * 4 / 4.003, 12 - 0.2399 * 0.007, -22 * 4 / 4.003], rel=1e-4
    )
    assert [abs(one.currents["pv"]) for one in found if isinstance(one, Short)] == pytest.approx(
        [22 / 4.003, 35, 22 / 4.003, 35], rel=1e-4
    )


def test_voltages_count_from_the_first_node_of_each_part() -> None:
    """By hand: c drives 12.5 / 0.7561 A; p and x are 0 V."""
    found = Nodal(PAIR).solve()
    assert isinstance(found, Solution)
    idle = 12.5 / 0.7561
    assert dict(found.volts) == pytest.approx(
        {"p": 0, "q": -idle * 0.0021, "n": -(12.5 - idle * 0.004), "x": 0, "y": -24}, abs=1e-9
    )
    assert dict(found.currents) == pytest.approx({"c": -idle, "r": idle, "s": idle, "d": 0}, abs=1e-6)


def test_a_network_that_does_not_balance_names_the_node_that_misses_most(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """By hand: both supplies pass their limits in the first guess, and what that leaves over comes together at n."""
    monkeypatch.setattr(nodal, "MOST_STEPS", 1)
    elements: list[Element] = [
        Supply("s", "p", "n", 14.4, 30, 0.02), Supply("t", "q", "n", 14, 20, 0.03), Resistor("load", "p", "n", 0.05),
        Resistor("link", "p", "q", 0.01),
    ]  # fmt: skip
    assert Nodal(elements).solve() == Unsolved("the currents at a node do not balance", "n")


def test_a_doubled_id_is_told() -> None:
    with pytest.raises(ValueError, match=r"^two elements share an id$"):
        Nodal([Resistor("r", "a", "b", 2), Resistor("r", "b", "c", 3)])

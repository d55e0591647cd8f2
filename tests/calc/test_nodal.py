"""The nodal core against worked circuits, by hand and from outside, and against its own rules."""

from __future__ import annotations

import random
import subprocess
import sys
from dataclasses import dataclass

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lugbook.calc.nodal import (
    Cell,
    Draw,
    Element,
    Nodal,
    Power,
    Resistor,
    Short,
    Solution,
    Supply,
    Unsolved,
    Valve,
)


def solved(*elements: Element) -> Solution:
    found = Nodal(elements).solve()
    assert isinstance(found, Solution), found
    return found


def short(elements: list[Element], at: str, to: str, arc: float = 0.0) -> Short:
    (found,) = Nodal(elements).shorts([(at, to)], arc=arc)
    assert isinstance(found, Short), found
    return found


@dataclass(frozen=True)
class Circuit:
    id: str
    elements: tuple[Element, ...]
    of: str
    amperes: float
    tolerance: float
    source: str


def loop(emf: float, inside: float, load: float) -> tuple[Element, ...]:
    return (Cell("cell", "p", "n", emf, inside), Resistor("load", "p", "n", load))


CIRCUITS = [
    Circuit("6 V on 2 ohm", loop(6, 1, 2), "load", 2, 1e-9, "read: a question page, 6 V, r = 1 ohm, 2 ohm: 2 A"),
    Circuit("1.5 V on 8 + 6 ohm", loop(1.5, 3, 14), "load", 0.088, 0.0005, "read: a tutor's answer: 0.088 A"),
    Circuit("100 V on 49 ohm", loop(100, 1, 49), "load", 2, 1e-9, "read: a problem page: 100 V, short-circuit current 100 A, 49 ohm: 2 A"),
    Circuit("16.9 V on 8.09 ohm", loop(16.9, 2.69, 8.09), "load", 1.56, 0.01, "read: a problem page: 16.9 V, 2.69 ohm inside, 8.09 ohm: 1.56 A"),
    Circuit("12 V on 10 ohm", loop(12, 0.1, 10), "load", 1.188, 0.0005, "recalled: an open physics textbook, terminal voltage: 12.0 V, 0.100 ohm, 10.0 ohm: 1.188 A"),
    Circuit("12 V on half an ohm", loop(12, 0.1, 0.5), "load", 20.0, 0.05, "recalled: the same: 0.500 ohm: 20.0 A"),
    Circuit("a weak battery", loop(12, 0.5, 0.5), "load", 12.0, 0.05, "recalled: the same, 0.500 ohm inside: 12.0 A"),
    Circuit(
        "two cells in series",
        (Cell("one", "p", "m", 1.5, 0.5), Cell("two", "m", "n", 1.5, 0.5), Resistor("load", "p", "n", 14)),
        "load", 0.2, 1e-9, "read: a school problem: two 1.5 V cells of 0.5 ohm, 14 ohm: 0.2 A",
    ),
    Circuit(
        "unlike batteries side by side",
        (Cell("a", "p", "n", 12.8, 0.004), Cell("b", "p", "n", 12.2, 0.012), Resistor("load", "p", "n", 0.5)),
        "load", 12.65 / 0.503, 1e-6, "by hand: Millman, 12.65 V behind 3 mohm, on 0.5 ohm",
    ),
    Circuit(
        "one charges the other",
        (Cell("a", "p", "n", 12.8, 0.004), Cell("b", "p", "n", 12.2, 0.012)),
        "b", 37.5, 1e-6, "by hand: 0.6 V / 16 mohm into the lower one",
    ),
    Circuit(
        "a balanced bridge carries nothing across",
        (
            Cell("e", "t", "b", 10, 0.001), Resistor("r1", "t", "l", 10), Resistor("r2", "l", "b", 20),
            Resistor("r3", "t", "r", 30), Resistor("r4", "r", "b", 60), Resistor("across", "l", "r", 5),
        ),
        "across", 0, 1e-9, "by hand: 10/20 = 30/60",
    ),
    Circuit(
        "a supply at its limit",
        (Supply("s", "p", "n", 14.4, 30, 0.001), Resistor("load", "p", "n", 0.1)),
        "load", 30, 0.01, "by hand: 14.4 V would drive 143 A; it stops at 30 A",
    ),
    Circuit(
        "a supply that holds its voltage",
        (Supply("s", "p", "n", 14.4, 30, 0.001), Resistor("load", "p", "n", 1.439)),
        "load", 10, 1e-9, "by hand: 14.4 / 1.44",
    ),
    Circuit(
        "a supply below the battery gives nothing",
        (Cell("c", "p", "n", 12.8, 0.01), Supply("s", "p", "n", 12.0, 30, 0.001), Resistor("load", "p", "n", 1.27)),
        "load", 10, 1e-3, "by hand: 12.8 / 1.28, all from the battery",
    ),
    Circuit(
        "a diode forward",
        (Cell("c", "p", "n", 12.0, 0.01), Valve("d", "p", "q", 0.7, 0.002), Resistor("load", "q", "n", 1.118)),
        "load", 10, 1e-6, "by hand: 11.3 / 1.13",
    ),
    Circuit(
        "a diode in the way",
        (Cell("c", "p", "n", 12.0, 0.01), Valve("d", "q", "p", 0.7, 0.002), Resistor("load", "q", "n", 1)),
        "load", 0, 2e-4, "by hand: nothing but its leak of 0.12 mA",
    ),
    Circuit(
        "constant power",
        (Cell("c", "p", "n", 12.0, 0.1), Power("w", "p", "n", 110, 6)),
        "w", 10, 1e-6, "by hand: (12 - 0.1 I) I = 110 at I = 10 A",
    ),
    Circuit(
        "constant current",
        (Cell("c", "p", "n", 12.0, 0.1), Draw("i", "p", "n", 7)),
        "c", -7, 1e-6, "by hand: the battery gives what is drawn",
    ),
]  # fmt: skip


@pytest.mark.parametrize("row", CIRCUITS, ids=lambda row: row.id)
def test_worked_circuits(row: Circuit) -> None:
    assert solved(*row.elements).currents[row.of] == pytest.approx(row.amperes, abs=row.tolerance)


BANK: list[Element] = [
    Cell("bank", "p", "n", 12.6, 0.004),
    Resistor("out", "p", "far", 0.0013),
    Resistor("back", "home", "n", 0.001),
    Supply("charger", "p", "n", 14.4, 60, 0.001),
]


@dataclass(frozen=True)
class Fault:
    id: str
    elements: list[Element]
    at: str
    to: str
    amperes: float
    source: str
    arc: float = 0.0


FAULTS = [
    Fault("12 V behind 5 mohm", [Cell("c", "p", "n", 12, 0.005)], "p", "n", 2400, "read: a public short-circuit page: 2400 A"),
    Fault("12 V behind 20 mohm", [Cell("c", "p", "n", 12, 0.02)], "p", "n", 600, "read: a public page: 600 A"),
    Fault("with its path", BANK[:3], "far", "home", 2000, "by hand: 12.6 / (4 + 1.3 + 1 mohm)"),
    Fault("with a charger at its limit", BANK, "p", "n", 3210, "by hand: 12.6 / 4 mohm + 60 A"),
    Fault("backwards", BANK[:3], "home", "far", -2000, "by hand: the same the other way"),
    Fault("a supply alone", [Supply("pv", "p", "n", 22, 6.2, 0.001), Resistor("r", "p", "n", 1e4)], "p", "n", 6.2, "by hand: its limit"),
    Fault("behind a diode", [Cell("c", "p", "n", 12.7, 0.005), Valve("d", "p", "q", 0.7, 0.001), Resistor("r", "q", "n", 100)], "q", "n", 2000, "by hand: 12 / 6 mohm"),
    Fault("a diode stops it", [Cell("c", "p", "n", 12.7, 0.005), Valve("d", "q", "p", 0.7, 0.001), Resistor("r", "q", "n", 100)], "q", "n", 0, "by hand: the diode stands the wrong way"),
    Fault("an arc of 20 V at 48 V", [Cell("c", "p", "n", 48, 0.02), Resistor("r", "p", "q", 0.05)], "q", "n", 400, "by hand: (48 - 20) / 0.07", arc=20),
    Fault("an arc that cannot burn", [Cell("c", "p", "n", 12, 0.02)], "p", "n", 0, "by hand: 20 V are more than 12", arc=20),
    Fault("nothing joins them", [Cell("c", "p", "n", 12, 0.02), Cell("d", "x", "y", 12, 0.02)], "p", "y", 0, "by hand: no loop"),
    Fault("a node onto itself", BANK, "p", "p", 0, "by hand: no voltage, no current"),
    Fault("a node that is not there", BANK, "p", "nowhere", 0, "by hand: nothing is there"),
    Fault("the other strings through a fuse", [Cell("one", "a", "n", 12.9, 0.006), Cell("two", "p", "n", 12.9, 0.006), Cell("three", "p", "n", 12.9, 0.006), Resistor("fuse", "a", "p", 1e-6)], "a", "n", 6450, "by hand: three times 12.9 / 6 mohm"),
]  # fmt: skip


@pytest.mark.parametrize("row", FAULTS, ids=lambda row: row.id)
def test_worked_shorts(row: Fault) -> None:
    found = short(row.elements, row.at, row.to, row.arc)
    assert found.amperes == pytest.approx(row.amperes, rel=5e-4, abs=2e-3)


def test_the_share_through_a_strings_fuse_is_the_sum_of_the_others() -> None:
    """By hand: two strings of 12.9 V behind 6 mohm each, 2150 A, flow back through the third's fuse."""
    strings: list[Element] = [Cell(f"c{n}", f"t{n}", "n", 12.9, 0.006) for n in range(3)]
    strings += [Resistor(f"f{n}", f"t{n}", "p", 1e-6) for n in range(3)]
    found = short(strings, "t0", "n")
    assert abs(found.currents["f0"]) == pytest.approx(4300, rel=1e-3)
    assert abs(found.currents["f1"]) == pytest.approx(2150, rel=1e-3)


def test_the_voltage_before_the_short_is_told() -> None:
    assert short(BANK, "p", "n").free == pytest.approx(12.6 + 60 * 0.004, rel=1e-4)


def test_a_network_without_elements_has_no_voltages() -> None:
    assert solved() == Solution({}, {})
    assert Nodal([]).shorts([]) == []


def test_what_does_not_settle_is_no_number() -> None:
    """A load of 1 kW behind 0.1 ohm at 12 V: at most 360 W come through, so there is no voltage at which it rests."""
    network = Nodal([Cell("c", "p", "n", 12, 0.1), Power("w", "p", "n", 1000, 3)])
    found = network.solve()
    assert isinstance(found, Unsolved)
    assert found.place == "w"
    assert "constant power" in found.reason


def test_a_step_that_does_not_balance_is_told_with_its_node(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("lugbook.calc.nodal.MOST_STEPS", 1)
    network = Nodal([Supply("s", "p", "n", 14.4, 30, 0.001), Resistor("load", "p", "n", 0.1)])
    found = network.solve()
    assert isinstance(found, Unsolved)
    assert found.place in ("p", "n")
    assert isinstance(network.shorts([("p", "n")])[0], Unsolved)


@pytest.mark.parametrize(
    "element",
    [
        Resistor("r", "a", "b", 0),
        Resistor("r", "a", "b", -1),
        Resistor("r", "a", "b", float("nan")),
        Cell("c", "a", "b", float("inf"), 1),
        Supply("s", "a", "b", 12, -1, 1),
        Power("p", "a", "b", 10, 0),
        Resistor("r", "a", "a", 1),
    ],
)
def test_bad_elements_are_refused(element: Element) -> None:
    with pytest.raises(ValueError, match=r"must be|both ends"):
        Nodal([element])


def test_a_doubled_id_is_refused() -> None:
    with pytest.raises(ValueError, match="share an id"):
        Nodal([Resistor("r", "a", "b", 1), Resistor("r", "b", "c", 1)])


def network(seed: int) -> list[Element]:
    """Rings, diodes and limits on a few nodes."""
    chance = random.Random(seed)
    nodes = [f"n{k}" for k in range(chance.randint(3, 12))]
    made: list[Element] = [
        Resistor(f"t{k}", nodes[chance.randrange(k)], nodes[k], 10 ** chance.uniform(-3.5, -0.5))
        for k in range(1, len(nodes))
    ]
    for k in range(chance.randint(1, 6)):
        a, b = chance.sample(nodes, 2)
        made.append(
            chance.choice(
                [
                    Resistor(f"x{k}", a, b, 0.01),
                    Valve(f"x{k}", a, b, 0.5, 0.002),
                    Supply(f"x{k}", a, b, 14, 40, 0.001),
                ]
            )
        )
    a, b = chance.sample(nodes, 2)
    return [*made, Cell("bank", a, b, 12.5, 0.005)]


@settings(max_examples=60, deadline=None, derandomize=True)
@given(seed=st.integers(0, 10**6))
def test_currents_balance_and_many_shorts_agree_with_one(seed: int) -> None:
    elements = network(seed)
    made = Nodal(elements)
    found = made.solve()
    assert isinstance(found, Solution)
    for node in found.volts:
        leaving = sum(found.currents[e.id] * ((e.a == node) - (e.b == node)) for e in elements)
        assert leaving == pytest.approx(0, abs=1e-3)
    nodes = list(found.volts)
    pairs = [(a, b) for a in nodes[:4] for b in nodes[:4] if a < b]
    for pair, many in zip(pairs, made.shorts(pairs), strict=True):
        alone = made._single(*pair, 0.0)
        assert isinstance(many, Short)
        assert isinstance(alone, Short)
        assert many.amperes == pytest.approx(alone.amperes, rel=1e-6, abs=1e-3)


@settings(max_examples=40, deadline=None, derandomize=True)
@given(seed=st.integers(0, 10**6), factor=st.floats(0.2, 0.95))
def test_a_shorter_cable_never_lowers_what_a_lone_battery_gives(seed: int, factor: float) -> None:
    """Rayleigh: what one battery gives into resistances never falls when one of them does, whatever is shorted."""
    elements = [e for e in network(seed) if isinstance(e, Resistor | Cell)]
    shorter = [Resistor(e.id, e.a, e.b, e.ohms * factor) if e.id == "t1" else e for e in elements]
    bank = elements[-1]
    for at in ("n0", "n1", "n2"):
        before, after = short(elements, at, bank.b), short(shorter, at, bank.b)
        assert -after.currents["bank"] >= -before.currents["bank"] - 1e-3


def test_numpy_is_loaded_late() -> None:
    code = "import sys, lugbook.calc.nodal; assert 'numpy' not in sys.modules"
    subprocess.run([sys.executable, "-c", code], check=True)

"""Five hundred random networks, solved here and by ngspice: voltages and fault currents within 0.1 %."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from spice import Trial, ngspice, trial

from lugbook.calc.nodal import Nodal, Short, Solution

pytestmark = pytest.mark.judge

NETWORKS, GROUPS = 500, 10
# A thousandth; below these values of a thousandth of the value itself counts no more.
SHARE, LEAST_VOLTS, LEAST_AMPERES = 1e-3, 0.1, 1.0


def test_ngspice_is_there() -> None:
    assert shutil.which("ngspice"), "run .ci/setup-judges"


@pytest.mark.parametrize("group", range(GROUPS))
def test_voltages_and_fault_currents_agree(group: int, tmp_path: Path) -> None:
    size = NETWORKS // GROUPS
    apart = [
        line
        for seed in range(group * size, (group + 1) * size)
        for line in _differences(seed, trial(seed), tmp_path)
    ]
    assert not apart


def test_the_networks_hold_what_boats_hold() -> None:
    """Rings, limits, diodes, converters, up to 40 nodes: enough of each."""
    every = [trial(seed) for seed in range(NETWORKS)]
    kinds = [{type(element).__name__ for element in one.elements} for one in every]
    for kind, least in (("Supply", 300), ("Valve", 300), ("Power", 150), ("Draw", 300), ("Cell", 500)):
        assert sum(kind in here for here in kinds) >= least, kind
    sizes = [len({node for e in one.elements for node in (e.a, e.b)}) for one in every]
    assert min(sizes) >= 4
    assert max(sizes) >= 40


def test_a_wrong_current_would_be_seen(tmp_path: Path) -> None:
    """The judge is no yes-man: a battery with two per cent more voltage than the netlist's is found out."""
    from dataclasses import replace

    from lugbook.calc.nodal import Cell

    one = trial(3)
    wrong = tuple(replace(e, volts=e.volts * 1.02) if isinstance(e, Cell) else e for e in one.elements)
    there = ngspice(one.elements, None, tmp_path)
    here = Nodal(wrong).solve()
    assert there is not None
    assert isinstance(here, Solution)
    assert _voltages(3, here, there)


def _differences(seed: int, one: Trial, folder: Path) -> list[str]:
    network = Nodal(one.elements)
    here = network.solve()
    there = ngspice(one.elements, None, folder)
    if not isinstance(here, Solution) or there is None:
        return [f"{seed}: {here} against {there is not None}"]
    found = _voltages(seed, here, there)
    for at, to, arc in one.shorts:
        (mine,) = network.shorts([(at, to)], arc=arc)
        if not isinstance(mine, Short):
            found.append(f"{seed}: {at} to {to}: {mine}")
            continue
        if arc and mine.free <= arc:
            continue  # it does not burn; a voltage source in its place would charge the network
        other = ngspice(one.elements, (at, to, arc), folder)
        if other is None or abs(mine.amperes - other["short"]) > SHARE * max(
            abs(other["short"]), LEAST_AMPERES
        ):
            found.append(f"{seed}: {at} to {to}: {mine.amperes} A against {other and other['short']} A")
    return found


def _voltages(seed: int, here: Solution, there: dict[str, float]) -> list[str]:
    found = []
    for node, volts in here.volts.items():
        ground = "back" if node in ("out", "back") else "n0"
        mine, other = volts - here.volts[ground], there[node] - there[ground]
        if abs(mine - other) > SHARE * max(abs(other), LEAST_VOLTS):
            found.append(f"{seed}: {node}: {mine} V against {other} V")
    return found

"""Currents of banks apart, gauges by rounded areas, the smallest conductor and its sheath, converters' nominal voltage."""

from __future__ import annotations

from datetime import date

import pytest
from test_attack import KNOWN, fuse, head, wire
from trial_boats import boat, judged, pick, written

from lugbook.assess.evidence.base import grounds
from lugbook.assess.evidence.design import design
from lugbook.assess.evidence.poles import banks, nominal
from lugbook.model.evidence import Circumstances

AROUND = Circumstances(date(2026, 6, 1))


def test_banks_apart_are_those_with_a_diode_or_contact_between() -> None:
    network, _ = boat("diode-splitter")
    found = banks(network, grounds(network, AROUND).poles)
    assert {frozenset(b.split(".")[0] for b in bank) for bank in found} == {
        frozenset({name}) for name in ("start", "service", "emergency")
    }


def test_blocks_joined_by_cables_alone_are_one_bank() -> None:
    network, _ = boat("three-batteries")
    poles = grounds(network, AROUND).poles
    assert all(len(bank) != 1 for bank in banks(network, poles) if len(network.batteries) == 3)


def test_no_charging_current_runs_backwards_through_a_diode() -> None:
    # The shore charger's 30 A reach each battery by its own output; none of it by way of the alternator's splitter.
    network, _ = boat("diode-splitter")
    found = design(grounds(network, AROUND))
    for flow in found.flows.values():
        for charge in flow.charges:
            for flows in (charge.together, *charge.alone):
                assert all(
                    amperes > -1e-2 for name, amperes in flows.items() if name in network.edges and hasattr(network.edges[name], "drop")
                )  # fmt: skip


@pytest.mark.parametrize(
    ("volts", "expected"),
    [((12, 13), 12), ((13.2, 14.4), 12), ((24, 28.8), 24), ((5, 5), 5), ((18, 20), 18)],
)
def test_the_nominal_voltage_of_an_output(volts: tuple[float, float], expected: float) -> None:
    assert nominal(volts) == expected


@pytest.mark.parametrize(
    ("size", "amperes"),
    # 33 CFR 183.425 table 5, 105 degC (read): AWG 2/0, 10 and 6; 13 mm2 is thinner than AWG 6 and so counts as AWG 8.
    [("67.4 mm2", 330), ("5.26 mm2", 60), ("13.3 mm2", 120), ("13 mm2", 80)],
)
def test_a_rounded_area_is_its_gauge(size: str, amperes: float) -> None:
    rest = f"    - {{id: f, from: main.pos, to: panel, area: {size}, length: 2 m, insulation: 105 degC, bundle: 1, ambient: 30 degC}}\n"
    found = pick(judged(head("us-33cfr183") + rest), subject="f", analysis="ampacity")
    assert found.limit is not None
    assert found.limit.value == pytest.approx(amperes)


@pytest.mark.parametrize(
    ("size", "lies", "verdict"),
    # 33 CFR 183.425 (e) (read): AWG 16 alone, AWG 18 in a sheath.
    [
        ("awg: 18", "enclosed: sheath", "within"),
        ("awg: 20", "enclosed: sheath", "departure"),
        ("awg: 18", "enclosed: conduit", "departure"),
        ("awg: 18", "", "cannot be decided"),
        ("awg: 20", "", "departure"),
    ],
)
def test_the_smallest_conductor_by_its_sheath(size: str, lies: str, verdict: str) -> None:
    known = KNOWN.replace("enclosed: none", lies).rstrip(", ")
    rest = f"    - {{id: f, from: main.pos, to: panel, {size}, length: 2 m, {known}}}\n"
    found = pick(
        judged(head("us-33cfr183") + rest), subject="f", analysis="ampacity", rule="smallest conductor"
    )
    assert found.verdict == verdict
    assert bool(found.wants) == (verdict == "cannot be decided")


def test_nothing_is_said_of_a_conductor_thick_enough() -> None:
    rest = wire("f", "main.pos", "panel", "awg: 16", "2 m")
    assert not [one for one in judged(head("us-33cfr183") + rest) if one.rule == "smallest conductor"]


def test_an_output_gives_its_loads_no_more_than_it_can() -> None:
    # 10 A are asked of an output that gives 6 A.
    more = """\
  converters:
    - id: dropper
      kind: dc-dc
      ports:
        - {name: in, direction: in, volts: [10 V, 16 V], current: 8 A}
        - {name: out, direction: out, volts: [12 V, 13 V], current: 6 A}
  loads:
    - {id: radio, kind: electronics, current: 5 A}
    - {id: chart, kind: electronics, current: 5 A}
"""
    rest = (
        wire("feed", "main.pos", "dropper.in", "area: 4 mm2", "1 m", f", devices: [{fuse('f', 15, 0.1)}]")
        + wire("back", "dropper.neg", "neg-bus", "area: 4 mm2", "1 m")
        + wire("out", "dropper.out", "panel", "area: 4 mm2", "1 m")
        + "".join(
            wire(f"{name}1", "panel", f"{name}.pos", "area: 4 mm2", "1 m")
            + wire(f"{name}2", f"{name}.neg", "neg-bus", "area: 4 mm2", "1 m")
            for name in ("radio", "chart")
        )
    )
    network, _ = written(head(more=more) + rest)
    found = design(grounds(network, AROUND))
    assert found.service["out"].amperes == pytest.approx(6)
    assert found.service["radio1"].amperes == pytest.approx(5)
    assert found.service["feed"].amperes == pytest.approx(8)

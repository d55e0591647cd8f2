"""The walk against an oracle that tries every path; the currents against Kirchhoff's laws."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from trial_boats import NAMES, boat, judged, written

from lugbook.assess.evidence.base import grounds
from lugbook.assess.evidence.currents import grid
from lugbook.assess.evidence.draws import battery_resistance
from lugbook.assess.evidence.poles import poles
from lugbook.model.evidence import Circumstances
from lugbook.model.network import Battery, Load

NODES = ("bank.pos", "n1", "n2", "n3")
AMPERES = {2.5: 35, 10: 90, 35: 210}  # the metric table of good practice at 105 degC
FEW = settings(max_examples=120, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True)

Cable = tuple[int, int, float, list[tuple[int, int]]]
cables = st.lists(
    st.tuples(
        st.integers(0, 3), st.integers(0, 3), st.sampled_from(sorted(AMPERES)),
        st.lists(st.tuples(st.sampled_from([20, 60, 150, 300]), st.integers(1, 9)), max_size=2, unique_by=lambda d: d[1]),
    ).filter(lambda cable: cable[0] != cable[1]),
    min_size=1, max_size=6,
    # Equal conductors side by side share; the oracle knows nothing of that.
    unique_by=lambda cable: frozenset(cable[:2]),
)  # fmt: skip


def text(found: list[Cable]) -> str:
    lines = [
        f"    - {{id: c{n}, from: {NODES[a]}, to: {NODES[b]}, area: {area:g} mm2, length: 1 m, insulation: 105 degC, ambient: 30 degC, bundle: 1, devices: ["
        + ", ".join(f"{{rating: {rating} A, at: {at / 10} m}}" for rating, at in devices)
        + "]}"
        for n, (a, b, area, devices) in enumerate(found)
    ]
    head = """\
  system: 12 V
  bases: [good-practice]
  earthing: {kind: negative-earthed, at: hull}
  nodes: [{id: hull, kind: body, body: hull}, {id: n1}, {id: n2}, {id: n3}]
  batteries: [{id: bank, chemistry: agm, neg: hull}]
  conductors:
"""
    return head + "\n".join(lines) + "\n"


def by_every_path(found: list[Cable]) -> dict[str, set[tuple[float, float]]]:
    """The pieces of each conductor that some path reaches past no device that protects this conductor."""
    graph: dict[object, list[tuple[object, float | None, int]]] = {}
    pieces: list[tuple[int, float, float, object, object]] = []

    def join(a: object, b: object, rating: float | None, piece: int) -> None:
        graph.setdefault(a, []).append((b, rating, piece))
        graph.setdefault(b, []).append((a, rating, piece))

    for n, (a, b, _, devices) in enumerate(found):
        here, at = NODES[a], 0.0
        for k, (rating, tenths) in enumerate(sorted(devices, key=lambda d: d[1])):
            pieces.append((n, at, tenths / 10, here, (n, k, "in")))
            join(here, (n, k, "in"), None, len(pieces) - 1)
            join((n, k, "in"), (n, k, "out"), rating, -1)
            here, at = (n, k, "out"), tenths / 10  # type: ignore[assignment]
        pieces.append((n, at, 1.0, here, NODES[b]))
        join(here, NODES[b], None, len(pieces) - 1)

    worst: dict[object, float] = {}

    def visit(node: object, smallest: float, path: frozenset[object]) -> None:
        worst[node] = max(worst.get(node, 0.0), smallest)
        for further, rating, _ in graph.get(node, []):
            if further not in path:
                visit(further, min(smallest, rating or 1e9), path | {further})

    visit("bank.pos", 1e9, frozenset({"bank.pos"}))
    bare: dict[str, set[tuple[float, float]]] = {}
    for n, start, end, a, b in pieces:
        if max(worst.get(a, 0.0), worst.get(b, 0.0)) > AMPERES[found[n][2]]:
            bare.setdefault(f"c{n}", set()).add((start, end))
    return bare


@FEW
@given(found=cables)
def test_the_walk_finds_what_trying_every_path_finds(found: list[Cable]) -> None:
    every = judged(text(found))
    walked = {
        one.subject: {(round(s.start, 6), round(s.end, 6)) for s in one.stretches}
        for one in every
        if one.analysis == "coverage" and one.stretches
    }
    assert walked == by_every_path(found)


@FEW
@given(found=cables)
def test_no_length_is_longer_than_all_conductors_or_shorter_than_half_its_stretch(found: list[Cable]) -> None:
    for one in judged(text(found)):
        if one.analysis == "coverage" and one.stretches:
            assert one.high <= len(found) + 1e-9
            assert one.high >= max(s.end - s.start for s in one.stretches) / 2 - 1e-9


@pytest.mark.parametrize("name", NAMES)
def test_currents_obey_kirchhoff(name: str) -> None:
    """At each node what comes goes; round each battery ring the drops add up to nothing."""
    network, _ = boat(name)
    for state in network.states:
        net = grid(network, state, charging=False)
        loads = [
            load
            for load in network.loads
            if isinstance(load, Load) and load.current is not None and network.present(load, state)
        ]
        draws = [(load.a, load.b, load.current.high) for load in loads if load.current is not None]
        flows = net.flows(draws)
        balance: dict[str, float] = {}
        for edge, amperes in flows.items():
            a, b = net.ends[edge]
            balance[a] = balance.get(a, 0.0) - amperes
            balance[b] = balance.get(b, 0.0) + amperes
        # A part that only a source feeds gets what that source gives.
        for a, b, amperes in net.given(draws):
            balance[a] = balance.get(a, 0.0) - amperes
            balance[b] = balance.get(b, 0.0) + amperes
        # Rings are solved with contacts of 1e-8 ohm, good to about a part in a million.
        assert all(abs(left) < 1e-3 for left in balance.values()), balance


def test_two_batteries_share_by_resistance() -> None:
    """4 mohm and 8 mohm on equal cables (IEC 60228 class 2 plain, 0.387 ohm/km x 1 m each): by hand 2/3 less the cables."""
    network, _ = written("""\
  system: 12 V
  earthing: {kind: negative-earthed, at: hull}
  nodes: [{id: hull, kind: body, body: hull}, {id: bus}]
  batteries: [{id: one, resistance: 4 mohm, neg: hull}, {id: two, resistance: 8 mohm, neg: hull}]
  loads: [{id: lamp, current: 90 A, pos: bus, neg: hull}]
  conductors:
    - {id: a, from: one.pos, to: bus, area: 50 mm2, length: 1 m, strands: class 2, tinned: no}
    - {id: b, from: two.pos, to: bus, area: 50 mm2, length: 1 m, strands: class 2, tinned: no}
""")
    flows = grid(network, network.states[0], charging=False).flows([("bus", "hull", 90.0)])
    assert flows["a"] == pytest.approx(90 * 8.387 / (4.387 + 8.387), rel=1e-6)
    assert flows["b"] == pytest.approx(90 * 4.387 / (4.387 + 8.387), rel=1e-6)
    assert [battery_resistance(edge) for edge in network.edges.values() if isinstance(edge, Battery)] == [
        0.004,
        0.008,
    ]


def test_the_poles_of_a_bank_with_a_tap() -> None:
    network, _ = boat("twenty-four-volt")
    found = poles(network)
    assert found.back >= {"bank.neg", "neg-bus", "engine"}
    assert not found.back & {"bank.1", "bank.pos", "panel-12", "panel-24"}
    assert found.between(network.edges["radio"], network.system) == pytest.approx(12)
    assert found.between(network.edges["nav-lights"], network.system) == pytest.approx(24)


def test_states_that_others_stand_for_are_left_out() -> None:
    network, _ = boat("four-position-switch")
    named = {state.id for state in grounds(network, Circumstances(date(2026, 6, 1))).states}
    assert {"at-anchor", "starting", "under-way", "main both"} <= named

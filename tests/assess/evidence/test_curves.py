"""Which devices get a time-current chart, and that it holds the figures of the evidence."""

from __future__ import annotations

import pytest
from trial_boats import AROUND, written

from lugbook.assess.evidence.curves import curves
from lugbook.assess.evidence.run import evidence
from lugbook.model.curve import Curve

KNOWN = "insulation: 90 degC, strands: class 2, tinned: no, ambient: 20 degC, bundle: 1"


def drawn(own: str = "type: blade, rating: 30 A", placed: str = "") -> tuple[Curve, ...]:
    """A battery of 3 kA, a fuse with terminals of its own 0.1 m from it, and two lamps behind it."""
    network, bases = written(f"""\
  system: 12 V
  bases: [good-practice]
  earthing: {{kind: negative-earthed, at: hull}}
  nodes: [{{id: hull, kind: body, body: hull}}]
  batteries: [{{id: bank, chemistry: agm, short_circuit: 3 kA}}]
  devices: [{{id: own, {own}}}]
  loads: [{{id: lamp, kind: lamp, current: 5 A}}, {{id: second, kind: lamp, current: 2 A}}]
  conductors:
    - {{id: first, from: bank.pos, to: own.in, area: 10 mm2, length: 0.1 m, {KNOWN}}}
    - {{id: feed, from: own.out, to: lamp.pos, area: 6 mm2, length: 2 m, {KNOWN}, devices: [{placed}]}}
    - {{id: thin, from: own.out, to: second.pos, area: 4 mm2, length: 2 m, {KNOWN}}}
    - {{id: return, from: lamp.neg, to: bank.neg, area: 10 mm2, length: 2 m, {KNOWN}}}
    - {{id: back, from: second.neg, to: bank.neg, area: 10 mm2, length: 2 m, {KNOWN}}}
    - {{id: earth, from: bank.neg, to: hull, area: 50 mm2, length: 0.2 m, {KNOWN}}}
""")
    return curves(network, bases, evidence(network, bases, AROUND))


def test_a_device_with_terminals_of_its_own_is_drawn_with_the_thinnest_cable_behind_it() -> None:
    """ISO 8820-3 (recalled): a blade breaks 1 kA; 12.9 V behind 4 mohm and 0.183 mohm are 3.08 kA. It could burst."""
    (one,) = drawn()
    assert (one.device, one.conductor, one.rating) == ("own", "thin", 30)
    assert one.breaks == 1000
    assert one.high == pytest.approx(12.9 / (0.004 + 0.000183), rel=5e-3)
    assert one.area == pytest.approx(4e-6)
    # BS 7671 (second-hand): k of 90 degC PVC 100, 99.74 in full.
    assert one.k == pytest.approx(99.74e6, rel=1e-3)
    assert one.slowest == ((2.0, 5.0), (3.5, 0.5), (6.0, 0.1))


def test_a_device_without_a_departure_is_not_drawn() -> None:
    assert (
        drawn("type: blade, rating: 30 A, volts: 32 V, dc: yes, breaks: [[32 V, 5 kA]], let_through: 1 kA2s")
        == ()
    )


def test_a_device_in_a_conductor_is_drawn_with_that() -> None:
    """The first one breaks enough; the blade behind it on 6 mm2 does not."""
    good = "type: blade, rating: 30 A, volts: 32 V, dc: yes, breaks: [[32 V, 5 kA]], let_through: 1 kA2s"
    (one,) = drawn(good, "{id: placed, type: blade, rating: 10 A, at: 0.1 m}")
    assert (one.device, one.conductor, one.area) == ("placed", "feed", pytest.approx(6e-6))

"""The devices that stand in a defect, with all that their time-current chart needs, from the evidence itself."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from lugbook.assess.evidence.breaking import class_figures
from lugbook.assess.evidence.devices import Standing, standing
from lugbook.model.basis import Basis
from lugbook.model.curve import Curve, Gate
from lugbook.model.evidence import Evidence, Input
from lugbook.model.network import Conductor, Network
from lugbook.model.quantity import Quantity

# The analyses whose departures concern a device: what a conductor lacks, what a device breaks, how soon it opens.
CONCERN = ("coverage", "breaking capacity", "fault heating")


def curves(network: Network, bases: Sequence[Basis], found: Iterable[Evidence]) -> tuple[Curve, ...]:
    """A curve for each device with a departure of its own or of its conductor, in the order of their ids."""
    every = tuple(found)
    subjects = {
        one.subject
        for one in every
        if one.analysis in CONCERN and one.verdict == "departure" and not one.exempt
    }
    heated = {one.subject: one for one in every if one.analysis == "fault heating"}
    broken = {one.subject: one for one in every if one.analysis == "breaking capacity"}
    made = []
    for one in standing(network):
        # With terminals of its own a device protects several conductors; the thinnest stands the least.
        wires = [wire for wire in one.protects if wire.id in heated]
        wire = min(wires, key=lambda each: (each.area * each.parallel, each.id), default=None)
        if wire is not None and subjects & {one.device.id, wire.id}:
            made.append(_curve(one, wire, bases, heated[wire.id], broken.get(one.device.id)))
    return tuple(sorted(made, key=lambda curve: curve.device))


def _curve(
    one: Standing, edge: Conductor, bases: Sequence[Basis], heated: Evidence, broken: Evidence | None
) -> Curve:
    figures = class_figures(bases, one.device)
    current, k = _input(heated, "I"), _input(heated, "k")
    clause, slowest = (f"{figures.clause} ({figures.known})", _gates(figures.gates)) if figures else ("", ())
    if one.device.curve:
        clause, slowest = "its maker's figures", one.device.curve
    capacity = _input(broken, "Icn") if broken else None
    volts = _input(broken, "U") if broken else None
    return Curve(
        one.device.id, edge.id, one.device.rating, clause, slowest, _gates(figures.gates_least) if figures else (),
        current.low if current else heated.low, current.high if current else heated.high,
        capacity.low if capacity else None, volts.high if volts else None,
        min(k.low, k.high) * 1e6 if k else None, edge.area * edge.parallel, edge.size,
    )  # fmt: skip


def _gates(times: Mapping[str, Quantity]) -> tuple[Gate, ...]:
    return tuple(sorted((float(multiple), time.value) for multiple, time in times.items()))


def _input(one: Evidence, symbol: str) -> Input | None:
    return next((each for each in one.inputs if each.symbol == symbol), None)

"""Whether each device can break the largest current that a short can drive through it, at the highest charging voltage.

A breaking capacity counts only as a pair of d.c. volts and amperes at that voltage or above. One for a.c. alone says
nothing. Switches and relays are never asked: they have no fault breaking. The class's own figure stands in where none
was entered; it may fail a device, never clear it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lugbook.assess.evidence.base import entered, exposure
from lugbook.assess.evidence.charging import feeds
from lugbook.assess.evidence.devices import Standing, standing
from lugbook.assess.evidence.faults import Faults, Figure, assumptions, source_inputs, wanted
from lugbook.assess.evidence.limits import judge, margin
from lugbook.assess.evidence.limits import practice as common
from lugbook.model.apparatus import LITHIUM
from lugbook.model.basis import Basis, DeviceClassFigures
from lugbook.model.evidence import Amount, Bound, Evidence, Input, Sentence, Verdict
from lugbook.model.network import Conductor, Device

FORMULA = "I through the device <= its d.c. breaking capacity at the highest charging voltage"
SOLAR = "solar-battery-fuse"
CLAUSE = "common practice: a device breaks the largest current that can flow through it"


@dataclass(frozen=True, slots=True)
class Capacity:
    """What a device breaks at a voltage [A]; None where that is not known. `own`: from the device itself."""

    amperes: float | None
    own: bool
    source: str


def class_figures(bases: Sequence[Basis], device: Device) -> DeviceClassFigures | None:
    """What the first basis that knows this class of device says of it."""
    if device.kind == "breaker" and device.type not in ("thermal", "magnetic"):
        return None
    for basis in bases:
        for figures in basis.limits.device_classes:
            if figures.device == device.type and (
                figures.largest is None or device.rating <= figures.largest.value * (1 + 1e-9)
            ):
                return figures
    return None


def capacity(device: Device, volts: float, bases: Sequence[Basis]) -> Capacity:
    """The breaking capacity at a voltage: of the pair with the next higher voltage, no interpolation."""
    if device.breaks and device.dc is not False:
        fits = [pair for pair in device.breaks if pair[0] * (1 + 1e-9) >= volts]
        if fits:
            least = min(fits)
            return Capacity(least[1], True, "as marked, d.c.")
        return Capacity(None, True, "none of its pairs reaches this voltage")
    if device.dc is False:
        return Capacity(None, False, "marked for a.c. alone")
    figures = class_figures(bases, device)
    pairs = () if figures is None else tuple((v.value, a.value) for v, a in figures.breaks)
    fits = [pair for pair in pairs if pair[0] * (1 + 1e-9) >= volts]
    if figures is None or not fits:
        return Capacity(None, False, "")
    return Capacity(min(fits)[1], False, f"{figures.clause} ({figures.known})")


def breaking(found: Faults) -> tuple[Evidence, ...]:
    """Evidence for each device that a short can drive current through."""
    made = []
    for one in standing(found.network):
        figure = found.devices.get(one.device.id)
        if figure is not None and ("most" in figure.held or figure.unknown):
            made.append(_evidence(found, one, figure))
    return tuple(made)


def _evidence(found: Faults, one: Standing, figure: Figure) -> Evidence:
    device, network = one.device, found.network
    # Nothing flows that is known, but a bank of unknown current feeds the device: judged from zero up.
    held = figure.held.get("most") or figure.held.get("sure")
    high = figure.amperes("most")
    low = min(figure.amperes("sure"), high)
    volts = highest_volts(found, figure)
    can = capacity(device, volts, found.bases)
    verdict, limit = _judged(low, high, can, figure)
    lithium = any(
        battery.bank in figure.unknown or (held is not None and battery.id in _feeding(found, figure))
        for battery in network.batteries
        if battery.chemistry in LITHIUM
    )
    item = "lithium-fuse" if lithium else _item(found, one)
    state = held.net.state if held else found.grounds.states[0]
    inputs: tuple[Input, ...] = (
        entered("In", f"rating of '{device.id}'", device.rating, "A"),
        Input("U", "highest voltage, with chargers on", volts, volts, "V", "computed", "the node's voltage before the short"),
        *(source_inputs(found, held) if held else ()),
    )  # fmt: skip
    if can.amperes is not None:
        inputs += (
            Input("Icn", "breaking capacity, d.c.", can.amperes, can.amperes, "A", "entered" if can.own else "table", can.source),
        )  # fmt: skip
    return Evidence(
        "breaking capacity", "breaking capacity", device.id, device.path, one.edge.id,
        item, "", low, high, "A", inputs, FORMULA,
        ("I = ", Amount(low, "A"), " to ", Amount(high, "A")), limit, (), verdict,
        _wants(found, figure, device, can, volts) if verdict == "cannot be decided" else (),
        None if limit is None else margin(low, high, limit), assumptions(found, figure), state.id, state.named,
        _says(device, figure, low, high, can, volts, verdict), _notes(figure, can),
        exposure=exposure(one.edge) if isinstance(one.edge, Conductor) else "usual",
    )  # fmt: skip


def _item(found: Faults, one: Standing) -> str:
    """The item that asks for the breaking capacity there: of a solar controller's lead it is an item of its own."""
    edge = one.edge
    solar = (
        isinstance(edge, Conductor) and edge.use == "charging" and SOLAR in feeds(found.network, edge).items
    )
    return SOLAR if solar else "fuse-breaking-capacity"


def _feeding(found: Faults, figure: Figure) -> set[str]:
    held = figure.held["most"]
    return {name for name in found.feeders if -held.short.currents.get(name, 0.0) > 0.05 * held.amperes}


def highest_volts(found: Faults, figure: Figure) -> float:
    """The voltage that the device has to break: before the short, in the case with chargers on."""
    volts = [abs(held.short.free) for case, held in figure.held.items() if case == "most"]
    return max(volts, default=found.network.system * 1.2)


def _judged(low: float, high: float, can: Capacity, figure: Figure) -> tuple[Verdict, Bound | None]:
    if can.amperes is None:
        return "cannot be decided", None
    limit = common(can.amperes, "A", CLAUSE)
    verdict = judge(low, high, limit)
    if verdict == "within" and (figure.unknown or not can.own):
        return "cannot be decided", limit
    return verdict, limit


def _wants(found: Faults, figure: Figure, device: Device, can: Capacity, volts: float) -> tuple[str, ...]:
    asked: tuple[str, ...] = ()
    if not can.own or can.amperes is None:
        asked = (f"the d.c. breaking capacity of '{device.id}' at {volts:.3g} V or more, as marked on it",)
    needs_more = can.amperes is not None and figure.amperes("most") > can.amperes
    return asked + (wanted(found, figure) if figure.unknown or needs_more or can.amperes is None else ())


def _says(
    device: Device, figure: Figure, low: float, high: float, can: Capacity, volts: float, verdict: Verdict
) -> Sentence:
    current: Sentence = (
        (Amount(low, "A"), " to ", Amount(high, "A")) if low < high * 0.995 else (Amount(high, "A"),)
    )
    start: Sentence = ("A short would drive ", *current, f" through '{device.id}' at ", Amount(volts, "V"))
    if figure.unknown:
        start = (
            "A short would drive at least ",
            Amount(low, "A"),
            f" through '{device.id}' at ",
            Amount(volts, "V"),
        )
    if can.amperes is None:
        reason = f" ({can.source})" if can.source else ""
        return (*start, f"; its d.c. breaking capacity is not known{reason}.")
    breaks: Sentence = ("; it breaks ", Amount(can.amperes, "A"))
    if not can.own:
        breaks = (
            "; its own breaking capacity was not read, and its class is good for ",
            Amount(can.amperes, "A"),
        )
    if verdict == "departure":
        return (*start, *breaks, ". It could burst and carry on as a flame instead of stopping the current.")
    return (*start, *breaks, ".")


def _notes(figure: Figure, can: Capacity) -> tuple[Sentence, ...]:
    notes: list[Sentence] = []
    if figure.unknown:
        banks = ", ".join(f"'{bank}'" for bank in sorted(figure.unknown))
        notes.append(
            (
                f"What {banks} would add is not known; a fuse is required all the same. A battery management system is "
                "neither a fuse nor a limit.",
            )
        )
    if can.own and can.amperes is not None:
        notes.append(("The capacity counts at the pair's voltage or below; nothing is read between pairs.",))
    return tuple(notes)

"""How long a short lasts at a conductor: which devices stand between it and the sources, and how soon they open.

The current of a short is followed upstream. Along one way the fastest device ends it; where ways join, the slowest of
them does. A way that comes to a source and back to the short without a device never ends. What a source that limits
itself gives is left out: it heats no cable that carries its limit, which coverage judges.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import inf

from lugbook.assess.evidence.breaking import class_figures
from lugbook.assess.evidence.faults import FED, Faults
from lugbook.calc.heating import clearing_time
from lugbook.calc.nodal import Short
from lugbook.model.network import Device

# A time that nobody knows, longer than any that is known and shorter than for ever.
NOT_KNOWN = 1e12
# Ways that carry less than this share of the short are left out.
SMALL = 0.01


@dataclass(frozen=True, slots=True)
class Ending:
    """When a short ends [s]: `inf` never, `NOT_KNOWN`, or 0 where no source feeds it that could heat a cable.

    `device` governs; `amperes` is its current.
    """

    seconds: float
    device: Device | None
    amperes: float


class Clearing:
    """Follows shorts upstream."""

    def __init__(self, found: Faults) -> None:
        self.found = found

    def ends(self, short: Short, node: str, without: str, scale: float) -> Ending:
        """When the current that comes to `node`, except through the element `without`, ends.

        `scale` is applied to all currents of the short: a weaker one in the same ways.
        """
        return self._at(node, without, short, scale, {}, abs(short.amperes) * SMALL)

    def _at(
        self,
        node: str,
        without: str,
        short: Short,
        scale: float,
        known: dict[str, Ending],
        least: float,
    ) -> Ending:
        if node == short.to:
            return Ending(inf, None, 0.0)
        if node in known:
            return known[node]
        known[node] = Ending(0.0, None, 0.0)  # what only goes round between batteries feeds no short
        worst = Ending(0.0, None, 0.0)
        # On a live negative pole the devices stand where the current flows back: it is followed the other way.
        turn = 1 if short.amperes >= 0 else -1
        for wire in self.found.wires.at(node, short.to):
            if wire.element == without or wire.element not in short.currents:
                continue
            amperes = short.currents[wire.element] * (-1 if wire.a == node else 1) * turn
            if amperes <= max(least, FED):
                continue
            upstream = wire.b if wire.a == node else wire.a
            ending = self._at(upstream, wire.element, short, scale, known, least)
            if wire.device is not None and ending.seconds > 0:
                own = Ending(opening(self.found, wire.device, amperes * scale), wire.device, amperes * scale)
                if own.seconds < ending.seconds or (ending.device is None and own.seconds <= ending.seconds):
                    ending = own
            if ending.seconds > worst.seconds:
                worst = ending
        known[node] = worst
        return worst


def opening(found: Faults, device: Device, amperes: float) -> float:
    """Longest time until a device opens [s]: never up to its rating, not known without a gate."""
    if amperes <= device.rating:
        return inf
    multiples = gates(found, device)
    if not multiples:
        return NOT_KNOWN
    seconds = clearing_time(current=min(amperes, 1e5), rating=device.rating, gates=multiples)
    return NOT_KNOWN if seconds is None else seconds


def gates(found: Faults, device: Device) -> Mapping[float, float | None]:
    """The longest opening times of a device from its maker, else of its class; empty where they are not known."""
    if device.curve:
        return dict(device.curve)
    figures = class_figures(found.bases, device)
    if figures is None:
        return {}
    return {float(multiple): time.value for multiple, time in figures.gates.items()}

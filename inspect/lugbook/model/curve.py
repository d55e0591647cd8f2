"""What is known of how fast a device opens, beside what the short drives and what the conductor stands."""

from __future__ import annotations

from dataclasses import dataclass

Gate = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Curve:
    """A device that stands in a defect, on one conductor.

    `slowest` and `fastest` are the gates of its class: multiple of the rating, longest and shortest opening time [s];
    `clause` is where they stand. `low` and `high` are the currents of a short [A]; `breaks` its breaking capacity [A]
    at `volts`, None where that is not known; `k` the adiabatic factor [A s^0.5/m2], None likewise; `area` in m2.
    """

    device: str
    conductor: str
    rating: float
    clause: str
    slowest: tuple[Gate, ...]
    fastest: tuple[Gate, ...]
    low: float
    high: float
    breaks: float | None
    volts: float | None
    k: float | None
    area: float
    size: str

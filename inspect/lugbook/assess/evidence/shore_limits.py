"""The limits for readings of the mains side, each with where it stands and how its figure is known."""

from __future__ import annotations

from dataclasses import dataclass

from lugbook.model.vocabulary import Known


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure with its source."""

    value: float
    clause: str
    known: Known


@dataclass(frozen=True, slots=True)
class Insulation:
    """The least insulation resistance [ohm] and the test voltage that it holds for [V d.c.]."""

    volts: float
    least: float
    clause: str
    known: Known


RCD = Figure(0.5, "IEC 61008-1, opening times and currents of residual current devices", "recalled")
# Shortest and longest opening time [s] by multiple of the rated residual current.
PROMPT: dict[float, tuple[float, float]] = {1: (0, 0.3), 2: (0, 0.15), 5: (0, 0.04)}
DELAYED: dict[float, tuple[float, float]] = {1: (0.13, 0.5), 2: (0.06, 0.2), 5: (0.05, 0.15)}
ADDITIONAL = Figure(0.03, "IEC 60364-4-41, additional protection by RCDs of 30 mA at most", "recalled")
CONTINUITY = Figure(
    1.0, "protective earth of a small craft: 1 ohm at most, common practice, no source", "recalled"
)
INSULATION = {
    "extra-low": Insulation(
        250, 0.5e6, "IEC 60364-6, insulation resistance of SELV and PELV circuits", "recalled"
    ),
    "mains": Insulation(500, 1e6, "IEC 60364-6, insulation resistance of circuits up to 500 V", "recalled"),
}

"""Scales of charts: values to places in the drawing, and the values that get a tick."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil, floor, log10

from lugbook.model.chart import ChartLine, ChartText, LineRole, Point

STEPS = (0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0)


@dataclass(frozen=True, slots=True)
class Scale:
    """From values `low` to `high` to places `start` to `end`; by logarithms if `logs`."""

    low: float
    high: float
    start: float
    end: float
    logs: bool = False

    def at(self, value: float) -> float:
        """Where a value lies, kept inside the drawing."""
        kept = min(max(value, self.low), self.high)
        if self.logs:
            share = log10(kept / self.low) / log10(self.high / self.low)
        else:
            share = (kept - self.low) / (self.high - self.low)
        return round(self.start + share * (self.end - self.start), 2)

    def ticks(self) -> Iterator[float]:
        """The whole powers of ten."""
        for power in range(round(log10(self.low)), round(log10(self.high)) + 1):
            yield 10.0**power

    def between(self) -> Iterator[float]:
        """Twice and five times each of them, inside the drawing."""
        for value in self.ticks():
            yield from (value * n for n in (2, 5) if value * n < self.high)


def decades(low: float, high: float) -> tuple[float, float]:
    """The whole powers of ten round two values."""
    return 10.0 ** floor(log10(low) + 1e-9), 10.0 ** ceil(log10(high) - 1e-9)


def even(low: float, high: float, most: int) -> tuple[float, float, float]:
    """Round limits for two values, and a step that gives at most so many steps."""
    step = next((one for one in STEPS if (high - low) / one <= most - 1), STEPS[-1])
    return floor(low / step) * step, ceil(high / step) * step, step


def line(role: LineRole, *points: Point) -> ChartLine:
    """A line."""
    return ChartLine(points=points, role=role)


def stacked(text: str, x: float, y: float, *, wide: int, most: int, apart: float) -> list[ChartText]:
    """A name that reads upwards to `y`, broken into lines round `x`."""
    rows = textwrap.wrap(text, wide)[:most] or [""]
    first = x - (len(rows) - 1) * apart / 2
    return [
        ChartText(x=round(first + n * apart, 2), y=y, text=row, anchor="end", role="name", upright=True)
        for n, row in enumerate(rows)
    ]

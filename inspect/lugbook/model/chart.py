"""A finished chart: every coordinate, number and word is settled. Lengths are units of the drawing."""

from __future__ import annotations

from typing import Literal

from lugbook.model.view_base import View

Point = tuple[float, float]
TextRole = Literal["tick", "axis", "name", "label"]
LineRole = Literal[
    "axis", "grid", "minor", "divider", "edge", "measured", "rating", "cable", "slowest", "fastest", "breaks"
]
AreaRole = Literal["predicted", "fault"]
Sample = Literal[
    "predicted", "reading", "chained", "fault", "rating", "cable", "slowest", "fastest", "breaks"
]


class ChartText(View):
    """One line of text, its anchor at `x` on the baseline `y`; `upright` ones read from the bottom to the top."""

    x: float
    """Anchor, from the left."""
    y: float
    """Baseline, from the top."""
    text: str
    """What it says."""
    anchor: Literal["start", "middle", "end"]
    """Which part of the text stands at x."""
    role: TextRole
    """What kind of text it is."""
    upright: bool = False
    """Whether it is turned a quarter to the left."""


class ChartLine(View):
    """A line through its points."""

    points: tuple[Point, ...]
    """Its corners."""
    role: LineRole
    """What it stands for."""


class ChartArea(View):
    """A closed area."""

    points: tuple[Point, ...]
    """Its corners."""
    role: AreaRole
    """What it stands for."""


class ChartMark(View):
    """A reading: a point, and a bar from the lowest to the highest that it may be."""

    x: float
    """Centre, from the left."""
    y: float
    """The value, from the top."""
    top: float
    """Upper end of the bar."""
    bottom: float
    """Lower end of the bar."""
    hollow: bool = False
    """Whether it was worked out from a drop that was read."""


class ChartKey(View):
    """A line of the key."""

    sample: Sample
    """What is explained."""
    text: str
    """The explanation."""


class ChartTable(View):
    """The same numbers as text."""

    caption: str
    """Caption of the table."""
    heads: tuple[str, ...]
    """Heads of its columns."""
    rows: tuple[tuple[str, ...], ...]
    """Its rows; the first cell names the row."""


class Chart(View):
    """A chart with its key, and with the table that says the same."""

    id: str
    """Name inside the page."""
    title: str
    """Its title."""
    description: str
    """What it shows, in words."""
    width: float
    """Width."""
    height: float
    """Height."""
    areas: tuple[ChartArea, ...]
    """Areas, the lowest first."""
    lines: tuple[ChartLine, ...]
    """Lines, which lie over the areas."""
    marks: tuple[ChartMark, ...]
    """Readings, which lie over all lines."""
    texts: tuple[ChartText, ...]
    """Its texts."""
    key: tuple[ChartKey, ...]
    """What its signs mean."""
    notes: tuple[str, ...]
    """Anything else to know."""
    table: ChartTable
    """The table."""

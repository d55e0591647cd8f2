"""The finished line diagram: every coordinate, number and word is settled. Lengths are units of the drawing."""

from __future__ import annotations

from typing import Literal

from lugbook.model.view_base import View

Point = tuple[float, float]
Symbol = Literal[
    "battery",
    "machine",
    "charger",
    "pv",
    "source",
    "converter",
    "inverter",
    "diode",
    "switch",
    "selector",
    "relay",
    "fuse",
    "breaker",
    "lamp",
    "motor",
    "resistor",
    "load",
    "chassis",
    "earth",
    "bonding",
]
Role = Literal["name", "detail", "terminal", "label", "head", "number", "chip"]
BoxKind = Literal["element", "panel", "bus"]
WireKind = Literal["conductor", "fine", "bond", "direct", "repeated"]
Anchor = Literal["start", "middle", "end"]


class DiagramText(View):
    """One line of text. `x`, `y`: its anchor on the baseline; the box is as wide as the text can be at most."""

    x: float
    """Anchor, from the left."""
    y: float
    """Baseline, from the top."""
    text: str
    """What it says."""
    anchor: Anchor
    """Which part of the text stands at x."""
    role: Role
    """What kind of text it is."""
    left: float
    """Left edge of its box."""
    top: float
    """Upper edge of its box."""
    right: float
    """Right edge of its box."""
    bottom: float
    """Lower edge of its box."""


class DiagramSymbol(View):
    """A symbol with its centre at `x`, `y`."""

    symbol: Symbol
    """Which symbol."""
    x: float
    """Centre, from the left."""
    y: float
    """Centre, from the top."""


class DiagramMark(View):
    """A numbered mark: a filled circle for a defect, a small plate for a conductor's number."""

    x: float
    """Centre, from the left."""
    y: float
    """The centre."""
    left: float
    """Left edge."""
    top: float
    """Upper edge."""
    width: float
    """Width."""
    height: float
    """Height."""
    radius: float
    """Radius of its corners."""
    text: DiagramText
    """The number."""


class DiagramBox(View):
    """An element. `bars` join the terminals that are one; a bus is a bar alone. `unprotected` marks a bank's links."""

    id: str
    """Id of the element."""
    kind: BoxKind
    """Element, panel or bus."""
    x: float
    """Left edge."""
    y: float
    """Upper edge."""
    width: float
    """Width."""
    height: float
    """Height."""
    symbol: DiagramSymbol | None
    """Its symbol."""
    texts: tuple[DiagramText, ...]
    """Its texts."""
    bars: tuple[tuple[Point, Point], ...]
    """Lines that join terminals that are one."""
    leads: tuple[tuple[Point, Point], ...]
    """Short lines from the edge to a bar."""
    dots: tuple[Point, ...]
    """Where several conductors meet."""
    unprotected: tuple[Point, ...]
    """Where a bank's links lie bare."""
    repeated: bool
    """Whether it stands on another drawing of the same side too."""
    marks: tuple[DiagramMark, ...]
    """Numbers of defects at it."""


class DiagramWire(View):
    """A conductor, or where terminals are bolted together. `unprotected` are the lengths that no device protects."""

    id: str
    """Id of the conductor."""
    kind: WireKind
    """How it is drawn."""
    points: tuple[Point, ...]
    """Its corners, from end a to end b."""
    unprotected: tuple[tuple[Point, ...], ...]
    """The lengths that no device protects, each with its corners."""
    devices: tuple[DiagramSymbol, ...]
    """Fuses and breakers on it."""
    texts: tuple[DiagramText, ...]
    """Its texts."""
    plate: DiagramMark | None
    """Its number in the table."""
    marks: tuple[DiagramMark, ...]
    """Numbers of defects at it."""


class DiagramSheet(View):
    """One drawing. Its texts are `type_points` large where the drawing is `print_width` wide, as on A4."""

    title: str
    """Its title."""
    of: int
    """How many drawings show this side of the installation."""
    description: str
    """What it shows, in words."""
    width: float
    """Width."""
    height: float
    """Height."""
    type_points: float
    """Size of its type in print, in points."""
    heads: tuple[DiagramText, ...]
    """Heads of the columns."""
    boxes: tuple[DiagramBox, ...]
    """Its elements."""
    wires: tuple[DiagramWire, ...]
    """Its conductors."""


class DiagramRow(View):
    """A conductor in words. An empty text means that there is nothing to say."""

    number: int
    """Number on the drawing."""
    id: str
    """Id of the conductor."""
    name: str
    """Its name."""
    start: str
    """Where it begins."""
    end: str
    """Where it ends."""
    size: str
    """Its size."""
    length: str
    """Its length."""
    devices: str
    """Fuses and breakers on it."""
    unprotected: str
    """The lengths that no device protects."""
    defects: tuple[int, ...]
    """Numbers of its defects."""
    drawn: bool
    """Whether it is on a drawing."""


class DiagramKey(View):
    """A line of the key."""

    sample: Literal["unprotected", "device", "plate", "defect", "join", "bond", "direct", "repeated"]
    """What is explained."""
    text: str
    """The explanation."""


class DiagramView(View):
    """The line diagram with what says the same in words."""

    sheets: tuple[DiagramSheet, ...]
    """The drawings."""
    summary: tuple[str, ...]
    """The drawing in sentences."""
    key: tuple[DiagramKey, ...]
    """The key."""
    heads: tuple[str, ...]
    """The heads of the table's columns."""
    caption: str
    """Caption of the table."""
    rows: tuple[DiagramRow, ...]
    """The table."""

"""The finished line diagram: every coordinate, number and word is settled. Lengths are units of the drawing."""

from __future__ import annotations

from typing import Literal

from lugbook.model.view import View

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
    y: float
    text: str
    anchor: Anchor
    role: Role
    left: float
    top: float
    right: float
    bottom: float


class DiagramSymbol(View):
    """A symbol with its centre at `x`, `y`."""

    symbol: Symbol
    x: float
    y: float


class DiagramMark(View):
    """A numbered mark: a filled circle for a defect, a small plate for a conductor's number."""

    x: float
    y: float
    """The centre."""
    left: float
    top: float
    width: float
    height: float
    radius: float
    text: DiagramText


class DiagramBox(View):
    """An element. `bars` join the terminals that are one; a bus is a bar alone. `unprotected` marks a bank's links."""

    id: str
    kind: BoxKind
    x: float
    y: float
    width: float
    height: float
    symbol: DiagramSymbol | None
    texts: tuple[DiagramText, ...]
    bars: tuple[tuple[Point, Point], ...]
    leads: tuple[tuple[Point, Point], ...]
    dots: tuple[Point, ...]
    unprotected: tuple[Point, ...]
    repeated: bool
    """Whether it stands on another drawing of the same side too."""
    marks: tuple[DiagramMark, ...]


class DiagramWire(View):
    """A conductor, or where terminals are bolted together. `unprotected` are the lengths that no device protects."""

    id: str
    kind: WireKind
    points: tuple[Point, ...]
    unprotected: tuple[tuple[Point, ...], ...]
    devices: tuple[DiagramSymbol, ...]
    texts: tuple[DiagramText, ...]
    plate: DiagramMark | None
    marks: tuple[DiagramMark, ...]


class DiagramSheet(View):
    """One drawing. Its texts are `type_points` large where the drawing is `print_width` wide, as on A4."""

    title: str
    of: int
    """How many drawings show this side of the installation."""
    description: str
    width: float
    height: float
    type_points: float
    heads: tuple[DiagramText, ...]
    boxes: tuple[DiagramBox, ...]
    wires: tuple[DiagramWire, ...]


class DiagramRow(View):
    """A conductor in words. An empty text means that there is nothing to say."""

    number: int
    id: str
    name: str
    start: str
    end: str
    size: str
    length: str
    devices: str
    unprotected: str
    defects: tuple[int, ...]
    drawn: bool


class DiagramKey(View):
    """A line of the key."""

    sample: Literal["unprotected", "device", "plate", "defect", "join", "bond", "direct", "repeated"]
    text: str


class DiagramView(View):
    """The line diagram with what says the same in words."""

    sheets: tuple[DiagramSheet, ...]
    summary: tuple[str, ...]
    """The drawing in sentences."""
    key: tuple[DiagramKey, ...]
    heads: tuple[str, ...]
    """The heads of the table's columns."""
    caption: str
    rows: tuple[DiagramRow, ...]

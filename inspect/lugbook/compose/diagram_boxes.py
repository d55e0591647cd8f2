"""Cells -> boxes: frame, symbol, name, terminals, and the bars that join what is one terminal."""

from __future__ import annotations

from lugbook.compose.diagram_cells import COLUMNS, DETAIL, LINE, MARK, NAME, SYMBOL_ROOM, Cell, needs_letters
from lugbook.compose.diagram_parts import Wiring
from lugbook.compose.diagram_type import ABOVE, BELOW, width
from lugbook.model.diagram import (
    Anchor,
    BoxKind,
    DiagramBox,
    DiagramMark,
    DiagramSymbol,
    DiagramText,
    Point,
    Role,
)

Bar = tuple[Point, Point]


def text(line: str, x: float, y: float, anchor: Anchor, role: Role, size: float) -> DiagramText:
    """A line of text with the box that it takes up at most."""
    wide = width(line, size)
    left = x - {"start": 0.0, "middle": wide / 2, "end": wide}[anchor]
    return DiagramText(
        x=round(x, 2),
        y=round(y, 2),
        text=line,
        anchor=anchor,
        role=role,
        left=round(left, 2),
        top=round(y - ABOVE * size, 2),
        right=round(left + wide, 2),
        bottom=round(y + BELOW * size, 2),
    )


def text_mark(line: str, x: float, y: float, size: float, wide: float, high: float) -> DiagramMark:
    """A number in the middle of its mark."""
    role: Role = "number" if wide == high else "chip"
    inside = text(line, x, y + 0.355 * size, "middle", role, size)
    return DiagramMark(
        x=round(x, 2),
        y=round(y, 2),
        left=round(x - wide / 2, 2),
        top=round(y - high / 2, 2),
        width=round(wide, 2),
        height=high,
        radius=round(min(wide, high) / 2, 2),
        text=inside,
    )


def box(
    cell: Cell, x: float, top: float, wiring: Wiring, defects: tuple[int, ...], *, bare: bool
) -> DiagramBox:
    """The box of a cell whose column stands at `x`, with the sheet's cells beginning at `top`.

    `bare`: a bank with links that no device protects is marked along its edge.
    """
    part = cell.part
    assert part is not None
    y, wide = top + cell.top, COLUMNS[cell.column]
    tail = 24 if part.shape == "bus" and part.symbol else 0
    foot = cell.foot - tail
    bars, dots, labels = _terminals(cell, x, y, wiring)
    leads: list[Bar] = []
    symbol: DiagramSymbol | None = None
    if part.shape == "beside":
        middle = y + (cell.height - foot) / 2
        if part.symbol:
            symbol = DiagramSymbol(symbol=part.symbol, x=x + 20, y=middle)
        lines = len(cell.names) + len(cell.details)
        texts = _column(cell, x + SYMBOL_ROOM + 4, middle - lines * LINE / 2 + 9.5, "start")
    else:
        texts = _column(cell, x + wide / 2, y + 12, "middle")
        centre = y + cell.head + (cell.height - cell.head - cell.foot) / 2
        if part.shape == "bus":
            bars, dots, leads = _bus(cell, x, y)
            labels = []
            if part.symbol:
                symbol = DiagramSymbol(symbol=part.symbol, x=x + wide / 2, y=y + cell.height - foot - 10)
                leads.append((bars[0][1], (x + wide / 2, symbol.y - 9)))
        elif part.symbol:
            symbol = DiagramSymbol(symbol=part.symbol, x=x + wide / 2, y=centre)
    kind: BoxKind = "element" if part.shape != "bus" else "panel" if part.framed else "bus"
    return DiagramBox(
        id=cell.id,
        kind=kind,
        x=round(x, 2),
        y=y,
        width=wide,
        height=cell.height,
        symbol=symbol,
        texts=(*texts, *labels),
        bars=tuple(bars),
        leads=tuple(leads),
        dots=tuple(dots),
        unprotected=((x, y + 6), (x, y + cell.height - 6)) if bare else (),
        repeated=False,
        marks=_marks(defects, x, y + cell.height - foot, wide, centred=part.shape == "bus"),
    )


def _column(cell: Cell, x: float, y: float, anchor: Anchor) -> list[DiagramText]:
    lines = [(line, "name", NAME) for line in cell.names] + [
        (line, "detail", DETAIL) for line in cell.details
    ]
    return [
        text(line, x, y + n * LINE, anchor, "name" if role == "name" else "detail", size)
        for n, (line, role, size) in enumerate(lines)
    ]


def _terminals(
    cell: Cell, x: float, y: float, wiring: Wiring
) -> tuple[list[Bar], list[Point], list[DiagramText]]:
    """Bars between the slots of one terminal, and the terminals' letters."""
    bars: list[Bar] = []
    dots: list[Point] = []
    labels = []
    lettered = needs_letters(cell, wiring)
    for side, right in ((cell.left, False), (cell.right, True)):
        edge = x + COLUMNS[cell.column] if right else x
        inner = edge - 5 if right else edge + 5
        for node in dict.fromkeys(slot.node for slot in side):
            heights = [y + slot.y for slot in side if slot.node == node]
            if len(heights) > 1:
                bars.append(((edge, heights[0]), (edge, heights[-1])))
                dots += [(edge, height) for height in heights]
            letter = wiring.terminal(node)
            if letter and lettered:
                middle = (heights[0] + heights[-1]) / 2 + 3.5
                labels.append(text(letter, inner, middle, "end" if right else "start", "terminal", DETAIL))
    return bars, dots, labels


def _bus(cell: Cell, x: float, y: float) -> tuple[list[Bar], list[Point], list[Bar]]:
    """A bar in the middle, with a lead from it to every wire."""
    middle, heights = x + COLUMNS[1] / 2, [y + slot.y for slot in cell.slots]
    low = min(heights, default=y + cell.head + 16) - 9
    high = max(heights, default=y + cell.head + 16) + 9
    leads = [((x + COLUMNS[1] if slot.right else x, y + slot.y), (middle, y + slot.y)) for slot in cell.slots]
    return [((middle, low), (middle, high))], [], leads


def _marks(
    defects: tuple[int, ...], x: float, y: float, wide: float, *, centred: bool
) -> tuple[DiagramMark, ...]:
    """Defect numbers in rows at the foot of a box: from its left, or about the middle of a bus."""
    per_row = int((wide - 4) // MARK)
    first = x + (wide - (min(len(defects), per_row) - 1) * MARK) / 2 if centred else x + 11
    return tuple(
        text_mark(str(number), first + (n % per_row) * MARK, y + 10 + (n // per_row) * 24, DETAIL, 15, 15)
        for n, number in enumerate(defects)
    )

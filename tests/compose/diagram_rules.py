"""What must hold of every drawing, as a list of faults."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, pairwise

from lugbook.model.diagram import DiagramMark, DiagramSheet, DiagramText, DiagramWire, Point

Rect = tuple[float, float, float, float]
THIN, BROAD, DEVICE = 0.75, 3.2, (9.0, 5.0)


def of_text(text: DiagramText) -> Rect:
    return text.left, text.top, text.right, text.bottom


def of_mark(mark: DiagramMark) -> Rect:
    w, h = mark.width / 2, mark.height / 2
    return mark.x - w, mark.y - h, mark.x + w, mark.y + h


def overlap(a: Rect, b: Rect, slack: float = 0.01) -> bool:
    return a[0] < b[2] - slack and b[0] < a[2] - slack and a[1] < b[3] - slack and b[1] < a[3] - slack


def around(points: tuple[Point, ...], half: float) -> Iterator[Rect]:
    """The rectangles of a wire's pieces."""
    for (x, y), (u, v) in pairwise(points):
        if x == u:
            yield x - half, min(y, v), x + half, max(y, v)
        else:
            yield min(x, u), y - half, max(x, u), y + half


def strokes(wire: DiagramWire) -> list[Rect]:
    return [*around(wire.points, THIN), *(r for part in wire.unprotected for r in around(part, BROAD))]


def faults(sheet: DiagramSheet) -> list[str]:
    """Everything that is wrong with a sheet."""
    return [*labels(sheet), *boxes(sheet), *wires(sheet), *paper(sheet)]


def labels(sheet: DiagramSheet) -> Iterator[str]:
    """No text or mark lies on another, on a box that it does not belong to, or on a wire."""
    texts = [("head", head.text, of_text(head)) for head in sheet.heads]
    on_wire: list[tuple[str, str, Rect]] = []
    for wire in sheet.wires:
        texts += [(wire.id, text.text, of_text(text)) for text in wire.texts]
        on_wire += [(wire.id, f"mark {mark.text.text}", of_mark(mark)) for mark in wire.marks]
        on_wire += [(wire.id, "plate", of_mark(wire.plate))] if wire.plate else []
        w, h = DEVICE
        on_wire += [(wire.id, "device", (d.x - w, d.y - h, d.x + w, d.y + h)) for d in wire.devices]
    inside = [
        (box.id, what, rect)
        for box in sheet.boxes
        for what, rect in (
            *((t.text, of_text(t)) for t in box.texts),
            *((f"mark {m.text.text}", of_mark(m)) for m in box.marks),
        )
    ]
    for (a, what, rect), (b, other, second) in combinations([*texts, *on_wire, *inside], 2):
        if overlap(rect, second):
            yield f"'{what}' of {a} lies on '{other}' of {b}"
    for box in sheet.boxes:
        frame = (box.x, box.y, box.x + box.width, box.y + box.height)
        for name, what, rect in (*texts, *on_wire):
            if overlap(rect, frame):
                yield f"'{what}' of {name} lies on the box {box.id}"
        for name, what, rect in inside:
            if name == box.id and not (
                rect[0] >= frame[0] and rect[2] <= frame[2] and rect[1] >= frame[1] and rect[3] <= frame[3]
            ):
                yield f"'{what}' leaves its box {box.id}"
    for wire in sheet.wires:
        for stroke in strokes(wire):
            for name, what, rect in texts:
                if overlap(rect, stroke):
                    yield f"'{what}' of {name} lies on the wire {wire.id}"
            for name, what, rect in on_wire:
                if name != wire.id and overlap(rect, stroke):
                    yield f"'{what}' of {name} lies on the wire {wire.id}"
        for text in (*(mark.text for mark in wire.marks), *((wire.plate.text,) if wire.plate else ())):
            if not any(
                mark.x - mark.width / 2 <= text.left
                for mark in (*wire.marks, *((wire.plate,) if wire.plate else ()))
            ):
                yield f"{text.text} is wider than its mark"


def boxes(sheet: DiagramSheet) -> Iterator[str]:
    """No box lies on another, and no wire runs through one; symbols keep clear of names."""
    frames = [(box.id, (box.x, box.y, box.x + box.width, box.y + box.height)) for box in sheet.boxes]
    for (a, frame), (b, other) in combinations(frames, 2):
        if overlap(frame, other):
            yield f"the boxes {a} and {b} lie on each other"
    for wire in sheet.wires:
        for stroke in strokes(wire):
            for name, frame in frames:
                if overlap(stroke, frame):
                    yield f"the wire {wire.id} runs through {name}"
    for box in sheet.boxes:
        if box.symbol is None:
            continue
        x, y = box.symbol.x, box.symbol.y
        size = 10.0 if box.symbol.symbol in ("chassis", "earth", "bonding") else 12.0
        for what in (*map(of_text, box.texts), *map(of_mark, box.marks)):
            if overlap((x - 14, y - size, x + 14, y + size), what):
                yield f"the symbol of {box.id} lies on its texts"


def wires(sheet: DiagramSheet) -> Iterator[str]:
    """Two wires cross squarely or not at all: none lies on another, none ends or turns on another."""
    for a, b in combinations(sheet.wires, 2):
        for first in around(a.points, 0):
            for second in around(b.points, 0):
                if not touch(first, second):
                    continue
                if (first[0] == first[2]) == (second[0] == second[2]):
                    yield f"{a.id} and {b.id} lie on each other"
                elif not crossing(first, second):
                    yield f"{a.id} and {b.id} seem to be joined"
    for wire in sheet.wires:
        for (x, y), (u, v) in pairwise(wire.points):
            if (x == u) == (y == v):
                yield f"{wire.id} has a slanting or an empty piece"


def touch(a: Rect, b: Rect) -> bool:
    return a[0] <= b[2] and b[0] <= a[2] and a[1] <= b[3] and b[1] <= a[3]


def crossing(a: Rect, b: Rect) -> bool:
    """Whether a level and a plumb piece cross away from their ends."""
    level, plumb = (a, b) if a[1] == a[3] else (b, a)
    return level[0] < plumb[0] < level[2] and plumb[1] < level[1] < plumb[3]


def paper(sheet: DiagramSheet) -> Iterator[str]:
    """All is on the paper, which is no taller than a page, and the type is not too small."""
    rects = [of_text(t) for box in sheet.boxes for t in box.texts] + [
        of_text(t) for w in sheet.wires for t in w.texts
    ]
    rects += [(b.x, b.y, b.x + b.width, b.y + b.height) for b in sheet.boxes]
    rects += [rect for wire in sheet.wires for rect in strokes(wire)]
    if any(r[0] < 0 or r[1] < 0 or r[2] > sheet.width or r[3] > sheet.height for r in rects):
        yield "something leaves the paper"
    if sheet.type_points < 5.5:
        yield f"type of {sheet.type_points} points"
    if sheet.height / sheet.width > 232 / 176 + 0.001:
        yield f"taller than a page: {sheet.width} by {sheet.height}"

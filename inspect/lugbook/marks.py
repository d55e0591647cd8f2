"""Marks drawn over a picture: arrow, ring, box, dotted path, number, label.

Every mark is a magenta core in a white halo in a dark edge. White against the dark edge has a contrast ratio
(WCAG 2.2) of 17, so whatever the picture's colour, one of the two stands out against it by at least 4.
All measures are in millimetres on a picture printed 85 mm along its longer side.
"""

from __future__ import annotations

import math
import textwrap
from collections import Counter
from dataclasses import dataclass, field
from io import BytesIO
from itertools import pairwise
from pathlib import Path

from PIL import Image, ImageDraw, ImageFont

from lugbook.model.findings import Mark

Spot = tuple[float, float]
Rect = tuple[float, float, float, float]
Colour = tuple[int, int, int, int]

CORE: Colour = (181, 0, 110, 255)
HALO: Colour = (255, 255, 255, 255)
EDGE: Colour = (24, 18, 30, 255)
PRINTED = 85.0
LINE, HALO_WIDTH, EDGE_WIDTH = 0.75, 0.4, 0.2
LAYERS = ((HALO_WIDTH + EDGE_WIDTH, EDGE), (HALO_WIDTH, HALO), (0.0, CORE))
HEAD_LENGTH, HEAD_WIDTH, ARROW_LEAST = 4.2, 3.8, 7.0
DOT, DOT_STEP, DOTS_LIMIT = 1.3, 3.0, 400
SLANT = math.sqrt(0.5)
EM, PADDING, GAP, WRAP = 3.9, 0.9, 0.8, 20
WRITING_ORDER = {"number": 0, "label": 1}
"""Those whose place is given come first; the labels of other marks look for room among them."""
CELL = 1.5
"""Labels look for free room on a grid of this pitch."""
KEEP_CLEAR = 100
"""How much dearer it is to cover what a mark points at, or other writing, than a line."""
STEP_COST = 3
"""What each group of four places further off costs, in cells of covered line."""
FINE_LIMIT = 3_000_000
"""Pixels up to which marks are drawn at three times the size and reduced; on larger pictures at twice."""


@dataclass(frozen=True, slots=True)
class Stroke:
    """A line through points with round ends, a dot if there is one point, a circle, or a filled polygon."""

    points: tuple[Spot, ...]
    width: float = 0.0
    filled: bool = False
    radius: float = 0.0
    """Of a circle round the first point; the points are then only where labels keep off."""


@dataclass(slots=True)
class Sheet:
    """A clear sheet over the picture: drawn on large, laid on small. Lengths are pixels of the sheet."""

    width: int
    height: int
    font: bytes | Path
    busy: Counter[tuple[int, int]] = field(default_factory=Counter)
    """How dear each cell of the grid is to cover with a label."""
    image: Image.Image = field(init=False)
    draw: ImageDraw.ImageDraw = field(init=False)
    mm: float = field(init=False)

    def __post_init__(self) -> None:
        self.image = Image.new("RGBA", (self.width, self.height))
        self.draw = ImageDraw.Draw(self.image)
        self.mm = max(self.width, self.height) / PRINTED

    def spot(self, point: Spot | None) -> Spot:
        """A relative point on the sheet."""
        x, y = point if point is not None else (0.5, 0.5)
        return float(x) * (self.width - 1), float(y) * (self.height - 1)

    def cells(self, rect: Rect) -> list[tuple[int, int]]:
        """The cells of the grid that a rectangle touches."""
        left, top, right, bottom = (int(side // (CELL * self.mm)) for side in rect)
        return [(x, y) for x in range(left, right + 1) for y in range(top, bottom + 1)]

    def keep(self, rect: Rect, weight: int) -> None:
        """Ask later labels to stay away from here."""
        for cell in self.cells(rect):
            self.busy[cell] += weight


def draw_marks(image: Image.Image, marks: tuple[Mark, ...], font: bytes | Path) -> Image.Image:
    """A copy of an RGB picture with the marks on it: later lines over earlier ones, writing over lines."""
    scale = 3 if image.width * image.height <= FINE_LIMIT else 2
    sheet = Sheet(image.width * scale, image.height * scale, font)
    for mark in marks:
        _paint(sheet, _strokes(sheet, mark))
    for mark in sorted(marks, key=lambda mark: WRITING_ORDER.get(mark.mark, 2)):
        if mark.text:
            _write(sheet, mark, mark.text)
    small = sheet.image.reduce(scale)
    marked = image.copy()
    marked.paste(small.convert("RGB"), mask=small.getchannel("A"))
    return marked


def _strokes(sheet: Sheet, mark: Mark) -> list[Stroke]:
    """The lines of a mark; what it points at is kept clear of labels."""
    at, to, line = sheet.spot(mark.at), sheet.spot(mark.to), LINE * sheet.mm
    if mark.mark == "arrow":
        sheet.keep(_around(to, 2 * sheet.mm), KEEP_CLEAR)
        return _arrow(sheet, at, to)
    if mark.mark == "ring":
        sheet.keep(_around(at, 2 * sheet.mm), KEEP_CLEAR)
        radius = _radius(sheet, mark)
        return [Stroke(_circle(at, radius), line, radius=radius)]
    if mark.mark == "box":
        corners = (at, (to[0], at[1]), to, (at[0], to[1]), at)
        sheet.keep(_around(((at[0] + to[0]) / 2, (at[1] + to[1]) / 2), 2 * sheet.mm), KEEP_CLEAR)
        return [Stroke(corners, line)]
    if mark.mark == "path":
        corners_of_path = [sheet.spot(point) for point in mark.points]
        return [Stroke((spot,), DOT * sheet.mm) for spot in _dots(sheet, corners_of_path)]
    return []


def _radius(sheet: Sheet, mark: Mark) -> float:
    """Half of the ring's size, but never so small that its line fills it."""
    return max(float(mark.size or 0) * min(sheet.width, sheet.height) / 2, 1.6 * sheet.mm)


def _circle(centre: Spot, radius: float) -> tuple[Spot, ...]:
    """The centre, and points around it."""
    turns = [math.tau * step / 120 for step in range(121)]
    return centre, *(
        (centre[0] + radius * math.cos(turn), centre[1] + radius * math.sin(turn)) for turn in turns
    )


def _arrow(sheet: Sheet, tail: Spot, tip: Spot) -> list[Stroke]:
    """A shaft, and a head whose point lies on the tip; one too short to see is lengthened backwards."""
    length = math.dist(tail, tip)
    dx, dy = ((tip[0] - tail[0]) / length, (tip[1] - tail[1]) / length) if length else (SLANT, SLANT)
    length = max(length, ARROW_LEAST * sheet.mm)
    head, half = HEAD_LENGTH * sheet.mm, HEAD_WIDTH * sheet.mm / 2

    def back(distance: float, aside: float = 0.0) -> Spot:
        return tip[0] - dx * distance - dy * aside, tip[1] - dy * distance + dx * aside

    shaft = Stroke((back(length), back(head * 0.8)), LINE * sheet.mm)
    return [shaft, Stroke((tip, back(head, half), back(head * 0.8), back(head, -half), tip), filled=True)]


def _dots(sheet: Sheet, corners: list[Spot]) -> list[Spot]:
    """Dots at even steps along a line, both ends included; a very long line gets wider steps."""
    lengths = [math.dist(a, b) for a, b in pairwise(corners)]
    total = sum(lengths)
    count = max(1, min(DOTS_LIMIT, round(total / (DOT_STEP * sheet.mm))))
    dots, leg, before = [corners[0]], 0, 0.0
    for step in range(1, count + 1):
        way = total * step / count
        while leg < len(lengths) - 1 and before + lengths[leg] < way:
            before += lengths[leg]
            leg += 1
        share = min(1.0, (way - before) / lengths[leg]) if lengths[leg] else 0.0
        (ax, ay), (bx, by) = corners[leg], corners[leg + 1]
        dots.append((ax + (bx - ax) * share, ay + (by - ay) * share))
    return dots


def _paint(sheet: Sheet, strokes: list[Stroke]) -> None:
    """The whole mark in dark, then white, then magenta, each narrower, so that its parts run together."""
    for grow, colour in LAYERS:
        for stroke in strokes:
            _paint_one(sheet, stroke, stroke.width + 2 * grow * sheet.mm, colour)
    for stroke in strokes:
        for spot in _along(stroke.points[1:] if stroke.radius else stroke.points, CELL * sheet.mm):
            sheet.keep(_around(spot, 0), 1 if len(stroke.points) > 1 else 4)


def _paint_one(sheet: Sheet, stroke: Stroke, width: float, colour: Colour) -> None:
    if stroke.radius:
        outer = _around(stroke.points[0], stroke.radius + width / 2)
        sheet.draw.ellipse(outer, outline=colour, width=max(1, round(width)))
        return
    if stroke.filled:
        sheet.draw.polygon(stroke.points, fill=colour)
    if len(stroke.points) > 1 and width > 0:
        sheet.draw.line(stroke.points, fill=colour, width=max(1, round(width)))
    for spot in stroke.points if width > 0 else ():
        sheet.draw.ellipse(_around(spot, width / 2), fill=colour)


def _along(points: tuple[Spot, ...], pitch: float) -> list[Spot]:
    """The points and enough between them to leave no cell out."""
    spots = list(points[:1])
    for (ax, ay), (bx, by) in pairwise(points):
        steps = max(1, math.ceil(math.dist((ax, ay), (bx, by)) / pitch))
        spots += [(ax + (bx - ax) * i / steps, ay + (by - ay) * i / steps) for i in range(1, steps + 1)]
    return spots


def _centred(spot: Spot, width: float, height: float) -> Rect:
    return spot[0] - width / 2, spot[1] - height / 2, spot[0] + width / 2, spot[1] + height / 2


def _around(spot: Spot, reach: float) -> Rect:
    return _centred(spot, 2 * reach, 2 * reach)


def _grown(rect: Rect, by: float) -> Rect:
    return rect[0] - by, rect[1] - by, rect[2] + by, rect[3] + by


def _write(sheet: Sheet, mark: Mark, text: str) -> None:
    """A number in a disc or a label in a box: white on magenta, wholly inside the picture."""
    lines = textwrap.wrap(text, WRAP) or [text]
    font, width, height = _fitted(sheet, lines)
    cap = -font.getbbox("H", anchor="ls")[1]
    if mark.mark == "number":
        width = max(width, height)
    centre = _free(sheet, _candidates(sheet, mark, width, height), width, height)
    rect = _centred(centre, width, height)
    for grow, colour in LAYERS:
        wider = _grown(rect, grow * sheet.mm)
        radius = (height / 2 if mark.mark == "number" else PADDING * sheet.mm) + grow * sheet.mm
        sheet.draw.rounded_rectangle(wider, radius, fill=colour)
    pitch = font.size * 1.2
    baseline = centre[1] + (cap - pitch * (len(lines) - 1)) / 2
    for number, line in enumerate(lines):
        sheet.draw.text((centre[0], baseline + pitch * number), line, font=font, fill=HALO, anchor="ms")
    sheet.keep(rect, KEEP_CLEAR)


def _fitted(sheet: Sheet, lines: list[str]) -> tuple[ImageFont.FreeTypeFont, float, float]:
    """The font and the size of the box round the lines, smaller than usual only in a small picture."""
    em, padding = EM * sheet.mm, 2 * PADDING * sheet.mm
    room = 2 * (HALO_WIDTH + EDGE_WIDTH) * sheet.mm
    font = _font(sheet.font, em)
    wide = max(font.getlength(line) for line in lines) + padding
    high = em * (0.75 + 1.2 * (len(lines) - 1)) + padding
    shrink = max(0.05, min(1.0, (sheet.width - room) / wide, (sheet.height - room) / high))
    return (_font(sheet.font, em * shrink) if shrink < 1 else font), wide * shrink, high * shrink


def _font(font: bytes | Path, size: float) -> ImageFont.FreeTypeFont:
    source = BytesIO(font) if isinstance(font, bytes) else str(font)
    # The basic engine lays text out alike on every machine.
    return ImageFont.truetype(source, max(1, round(size)), layout_engine=ImageFont.Layout.BASIC)


def _candidates(sheet: Sheet, mark: Mark, width: float, height: float) -> list[Spot]:
    """Centres where the writing of a mark could stand, best first."""
    at = sheet.spot(mark.at)
    if mark.mark == "number":
        return [at]
    if mark.mark == "label":  # where it was asked for, or close by if something stands there
        down, aside = height + 2 * GAP * sheet.mm, width / 2 + 2 * GAP * sheet.mm
        return [at] + [(at[0] + dx, at[1] + dy) for dx in (0.0, -aside, aside) for dy in (down, -down)]
    left, top, right, bottom = _extent(sheet, mark)
    x, y = (left + right) / 2, (top + bottom) / 2
    spots: list[Spot] = []
    for gap in (GAP * sheet.mm, 5 * GAP * sheet.mm):
        aside, above = gap + width / 2, gap + height / 2
        spots += [(right + aside, y), (left - aside, y), (x, top - above), (x, bottom + above)]
        spots += [(a, b) for b in (top - above, bottom + above) for a in (right + aside, left - aside)]
    if mark.mark == "arrow":  # behind the tail, as far from the tip as can be
        tip = sheet.spot(mark.to)
        spots = sorted(spots[:8], key=lambda spot: -round(math.dist(spot, tip))) + spots[8:]
    return spots


def _extent(sheet: Sheet, mark: Mark) -> Rect:
    """The rectangle that a label stands beside: the ring, the box, an arrow's tail, a path's beginning."""
    at, to = sheet.spot(mark.at), sheet.spot(mark.to)
    outer = (LINE / 2 + HALO_WIDTH + EDGE_WIDTH) * sheet.mm
    if mark.mark == "ring":
        return _around(at, _radius(sheet, mark) + outer)
    if mark.mark == "box":
        (left, right), (top, bottom) = sorted((at[0], to[0])), sorted((at[1], to[1]))
        return left - outer, top - outer, right + outer, bottom + outer
    return _around(at if mark.mark == "arrow" else sheet.spot(mark.points[0]), outer + (DOT / 2) * sheet.mm)


def _free(sheet: Sheet, spots: list[Spot], width: float, height: float) -> Spot:
    """The first of the cheapest places, each moved into the picture; those further off are dearer."""
    rim = (HALO_WIDTH + EDGE_WIDTH) * sheet.mm

    def inside(value: float, half: float, whole: float) -> float:
        return min(max(value, half + rim), whole - half - rim) if 2 * (half + rim) < whole else whole / 2

    def cost(number: int) -> int:
        cells = sheet.cells(_centred(moved[number], width, height))
        return sum(sheet.busy[cell] for cell in cells) + number // 4 * STEP_COST

    moved = [(inside(x, width / 2, sheet.width), inside(y, height / 2, sheet.height)) for x, y in spots]
    return moved[min(range(len(moved)), key=cost)]

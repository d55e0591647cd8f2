"""Chart -> inline SVG. Everything is settled in the view; here are only shapes and colours.

As in `render/diagram.py`, colours are presentation attributes that the screen's style sheet overrides by class. What a
line or area stands for shows in its strokes too: dashes, hatching, filled and hollow points.
"""

from __future__ import annotations

from collections.abc import Iterable

from markupsafe import Markup, escape

from lugbook.model.chart import Chart, ChartArea, ChartKey, ChartLine, ChartMark, ChartText, Point
from lugbook.render.diagram import number

INK, SOFT, SEA, CAUTION, PAPER, HAIR, TINT = (
    "#17232e", "#4a5763", "#123c5c", "#97115f", "#ffffff", "#b9a878", "#dbe5ec",
)  # fmt: skip
# role -> class, colour, width, dashes
STROKES = {
    "axis": ("ch-line", INK, "1", ""),
    "grid": ("ch-hair", HAIR, "0.7", ""),
    "minor": ("ch-hair", HAIR, "0.3", ""),
    "divider": ("ch-soft-line", SOFT, "0.9", "2 2"),
    "edge": ("ch-soft-line", SOFT, "0.9", ""),
    "measured": ("ch-line", INK, "1.1", ""),
    "rating": ("ch-soft-line", SOFT, "1.4", "7 3"),
    "cable": ("ch-bare", CAUTION, "2.4", "9 3 2 3"),
    "slowest": ("ch-line", INK, "2", ""),
    "fastest": ("ch-line", INK, "1.6", "4 3"),
    "breaks": ("ch-sea-line", SEA, "2.2", "1.5 3"),
}
# role -> class, size, weight, colour
TYPE = {
    "tick": ("ch-ink", "10.5", "400", INK),
    "axis": ("ch-soft", "10.5", "600", SOFT),
    "name": ("ch-ink", "10.5", "400", INK),
    "label": ("ch-ink", "10.5", "600", INK),
}
GRID = ("grid", "minor")
HATCH = 7.0


def chart_svg(chart: Chart) -> Markup:
    """A chart as an inline SVG."""
    size = f"0 0 {number(chart.width)} {number(chart.height)}"
    parts = [
        f'<svg class="chart-sheet" viewBox="{size}" width="{number(chart.width)}" height="{number(chart.height)}" '
        'role="img" font-family="Lugbook Label">',
        f"<title>{escape(chart.description)}</title>",  # its caption says the rest
        *(_line(one) for one in chart.lines if one.role in GRID),
        *(_area(area) for area in chart.areas),
        *(_line(one) for one in chart.lines if one.role not in GRID),
        *(_mark(mark) for mark in chart.marks),
        *(_text(text) for text in chart.texts),
        "</svg>",
    ]
    return Markup("\n".join(parts))


def chart_key_svg(key: ChartKey) -> Markup:
    """The sample that stands before a line of the key; the words beside it say what it is."""
    box = ((2.0, 2.0), (42.0, 2.0), (42.0, 14.0), (2.0, 14.0))
    if key.sample in ("predicted", "fault"):
        inside = _area(ChartArea.model_validate({"points": box, "role": key.sample}))
    elif key.sample in ("reading", "chained"):
        inside = _mark(ChartMark(x=22, y=8, top=1.5, bottom=14.5, hollow=key.sample == "chained"))
    else:
        inside = _line(ChartLine.model_validate({"points": ((2.0, 8.0), (42.0, 8.0)), "role": key.sample}))
    return Markup(
        '<svg class="diagram-key" viewBox="0 0 44 16" width="44" height="16" aria-hidden="true" '
        f'font-family="Lugbook Label">{inside}</svg>'
    )


def _points(points: Iterable[Point]) -> str:
    return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points)


def _line(one: ChartLine) -> str:
    name, colour, width, dash = STROKES[one.role]
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<path class="{name}" d="{_points(one.points)}" fill="none" stroke="{colour}" stroke-width="{width}" '
        f'stroke-linejoin="round"{dashes}/>'
    )


def _area(area: ChartArea) -> str:
    """The band of what is expected is flat; that of a fault is hatched too."""
    d = _points(area.points) + "Z"
    flat = f'<path class="ch-tint" d="{d}" fill="{TINT}" stroke="{SOFT}" stroke-width="0.8"/>'
    if area.role == "predicted":
        return flat
    xs, ys = [x for x, _ in area.points], [y for _, y in area.points]
    hatch = "".join(_hatches(min(xs), max(xs), min(ys), max(ys)))
    return f'{flat}<path class="ch-hatch" d="{hatch}" fill="none" stroke="{SOFT}" stroke-width="0.5"/>'


def _hatches(left: float, right: float, top: float, bottom: float) -> Iterable[str]:
    """Lines at 45 degrees inside an upright rectangle."""
    at = left - (bottom - top) + HATCH
    while at < right:
        start, end = max(at, left), min(at + bottom - top, right)
        yield f"M{number(start)} {number(bottom - (start - at))}L{number(end)} {number(bottom - (end - at))}"
        at += HATCH


def _mark(mark: ChartMark) -> str:
    """A bar with caps, and a filled circle or a hollow diamond at the value."""
    x, y = mark.x, mark.y
    bar = (
        f"M{number(x)} {number(mark.top)}V{number(mark.bottom)}"
        f"M{number(x - 3)} {number(mark.top)}H{number(x + 3)}M{number(x - 3)} {number(mark.bottom)}H{number(x + 3)}"
    )
    whiskers = f'<path class="ch-line" d="{bar}" fill="none" stroke="{INK}" stroke-width="1.1"/>'
    if mark.hollow:
        shape = _points(((x, y - 4.6), (x + 4.6, y), (x, y + 4.6), (x - 4.6, y))) + "Z"
        return (
            whiskers
            + f'<path class="ch-paper ch-line" d="{shape}" fill="{PAPER}" stroke="{INK}" stroke-width="1.3"/>'
        )
    return whiskers + f'<circle class="ch-fill" cx="{number(x)}" cy="{number(y)}" r="3.6" fill="{INK}"/>'


def _text(text: ChartText) -> str:
    name, size, weight, colour = TYPE[text.role]
    anchor = "" if text.anchor == "start" else f' text-anchor="{text.anchor}"'
    turn = f' transform="rotate(-90 {number(text.x)} {number(text.y)})"' if text.upright else ""
    return (
        f'<text class="{name}" x="{number(text.x)}" y="{number(text.y)}" font-size="{size}" font-weight="{weight}" '
        f'fill="{colour}"{anchor}{turn}>{escape(text.text)}</text>'
    )

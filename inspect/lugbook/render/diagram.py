"""DiagramSheet -> inline SVG. Everything is settled in the view; here are only shapes and colours.

Colours are presentation attributes, which the screen's style sheet overrides by class (`diagram.css`); the PDF has
no style sheet inside an inline SVG. No ids: several drawings can stand in one page.
"""

from __future__ import annotations

from collections.abc import Iterable

from markupsafe import Markup, escape

from lugbook.model.diagram import (
    DiagramBox,
    DiagramKey,
    DiagramMark,
    DiagramSheet,
    DiagramSymbol,
    DiagramText,
    DiagramWire,
    Point,
)
from lugbook.render.diagram_symbols import SYMBOLS

INK, SOFT, SEA, CAUTION, PAPER, HAIR = "#17232e", "#4a5763", "#123c5c", "#97115f", "#ffffff", "#b9a878"
# role -> class, size, weight, colour
TYPE = {
    "name": ("dg-ink", "10.5", "600", INK),
    "detail": ("dg-soft", "10", "400", SOFT),
    "terminal": ("dg-soft", "10", "600", SOFT),
    "label": ("dg-ink", "10", "400", INK),
    "head": ("dg-sea", "11", "700", SEA),
    "number": ("dg-on", "10", "700", PAPER),
    "chip": ("dg-ink", "9", "600", INK),
}
STROKES = {"conductor": "1.5", "fine": "0.9", "bond": "1.5", "direct": "1.5"}
DASHES = {"bond": "7 3", "direct": "1.5 2.5"}


def diagram_svg(sheet: DiagramSheet) -> Markup:
    """One sheet as an inline SVG."""
    size = f"0 0 {number(sheet.width)} {number(sheet.height)}"
    parts = [
        f'<svg class="diagram-sheet" viewBox="{size}" width="{number(sheet.width)}" height="{number(sheet.height)}" '
        'role="img" font-family="Lugbook Label">',
        f"<title>{escape(sheet.title)}</title><desc>{escape(sheet.description)}</desc>",
        *(_text(head) for head in sheet.heads),
        *(_box(box) for box in sheet.boxes),
        *(_way(wire) for wire in sheet.wires),
        *(_heavy(points) for wire in sheet.wires for points in wire.unprotected),
        *(_ends(box) for box in sheet.boxes),
        *(_on_wire(wire) for wire in sheet.wires),
        "</svg>",
    ]
    return Markup("\n".join(parts))


def key_svg(key: DiagramKey) -> Markup:
    """The sample that stands before a line of the key; the words beside it say what it is."""
    inside = {
        "unprotected": _heavy(((2.0, 8.0), (42.0, 8.0))),
        "device": _line("M2 8H42", "1.5") + _symbol(DiagramSymbol(symbol="fuse", x=22, y=8)),
        "plate": _line("M2 8H42", "1.5") + _plate(13, 3, 18, 10) + _sample("chip", "7", "22", "11.2"),
        "defect": _circle(22, 8, 7.5) + _sample("number", "3", "22", "11.6"),
        "join": _line("M22 1V15", "3.4") + _line("M22 3H42M22 13H42", "1.5"),
        "bond": _line("M2 8H42", "1.5", DASHES["bond"]),
        "repeated": '<path class="dg-box" d="M3 2H41V14H3Z" fill="none" stroke="#4a5763" stroke-dasharray="4 3"/>',
        "direct": _line("M2 8H42", "1.5", DASHES["direct"]),
    }[key.sample]
    return Markup(
        '<svg class="diagram-key" viewBox="0 0 44 16" width="44" height="16" aria-hidden="true" '
        f'font-family="Lugbook Label">{inside}</svg>'
    )


def number(value: float) -> str:
    """A coordinate without needless figures."""
    return f"{value:.2f}".rstrip("0").rstrip(".")


def _path(points: Iterable[Point]) -> str:
    return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points)


def _line(d: str, width: str, dash: str = "") -> str:
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    return f'<path class="dg-line" d="{d}" fill="none" stroke="{INK}" stroke-width="{width}"{dashes}/>'


def _way(wire: DiagramWire) -> str:
    return _line(_path(wire.points), STROKES[wire.kind], DASHES.get(wire.kind, ""))


def _heavy(points: Iterable[Point]) -> str:
    """Broad and broken: seen without colour too."""
    d = _path(points)
    return (
        f'<path class="dg-bare" d="{d}" fill="none" stroke="{CAUTION}" stroke-width="6.4"/>'
        f'<path class="dg-core" d="{d}" fill="none" stroke="{PAPER}" stroke-width="2.4" stroke-dasharray="5 3.5"/>'
    )


def _box(box: DiagramBox) -> str:
    frame = ""
    if box.kind != "bus" or box.repeated:
        broken = ' stroke-dasharray="4 3"' if box.repeated else ""
        frame = (
            f'<rect class="dg-box" x="{number(box.x)}" y="{number(box.y)}" width="{number(box.width)}" '
            f'height="{number(box.height)}" rx="2" fill="{PAPER}" stroke="{SOFT}" stroke-width="0.9"{broken}/>'
        )
    leads = "".join(_line(_path(lead), "1.5") for lead in box.leads)
    symbol = _symbol(box.symbol) if box.symbol else ""
    return frame + leads + symbol + "".join(_text(text) for text in box.texts)


def _ends(box: DiagramBox) -> str:
    """Bars and dots, which lie over the wires, and defect numbers."""
    bare = _heavy(box.unprotected) if box.unprotected else ""
    bars = "".join(_line(_path(bar), "4" if box.leads else "3") for bar in box.bars)
    dots = "".join(
        f'<circle class="dg-fill" cx="{number(x)}" cy="{number(y)}" r="2.6" fill="{INK}"/>'
        for x, y in box.dots
    )
    return bare + bars + dots + "".join(_defect(mark) for mark in box.marks)


def _on_wire(wire: DiagramWire) -> str:
    devices = "".join(_symbol(symbol) for symbol in wire.devices)
    plate = ""
    if wire.plate is not None:
        mark = wire.plate
        plate = _plate(mark.left, mark.top, mark.width, mark.height) + _text(mark.text)
    texts = "".join(_text(text) for text in wire.texts)
    return devices + plate + texts + "".join(_defect(mark) for mark in wire.marks)


def _symbol(symbol: DiagramSymbol) -> str:
    """The paths of a symbol, moved to its place."""
    paths = []
    for kind, d in SYMBOLS[symbol.symbol]:
        fill, stroke, name = {
            "l": ("none", INK, "dg-line"),
            "f": (INK, INK, "dg-fill dg-line"),
            "p": (PAPER, INK, "dg-paper dg-line"),
            "b": (PAPER, "none", "dg-paper"),
        }[kind]
        paths.append(
            f'<path class="{name}" d="{d}" fill="{fill}" stroke="{stroke}" stroke-width="1.2" stroke-linejoin="round"/>'
        )
    return f'<g transform="translate({number(symbol.x)} {number(symbol.y)})">{"".join(paths)}</g>'


def _plate(left: float, top: float, width: float, height: float) -> str:
    return (
        f'<rect class="dg-paper dg-line" x="{number(left)}" y="{number(top)}" width="{number(width)}" '
        f'height="{number(height)}" fill="{PAPER}" stroke="{INK}" stroke-width="0.9"/>'
    )


def _circle(x: float, y: float, radius: float) -> str:
    return f'<circle class="dg-mark" cx="{number(x)}" cy="{number(y)}" r="{number(radius)}" fill="{SEA}"/>'


def _defect(mark: DiagramMark) -> str:
    return _circle(mark.x, mark.y, mark.radius) + _text(mark.text)


def _text(text: DiagramText) -> str:
    name, size, weight, colour = TYPE[text.role]
    anchor = "" if text.anchor == "start" else f' text-anchor="{text.anchor}"'
    return (
        f'<text class="{name}" x="{number(text.x)}" y="{number(text.y)}" font-size="{size}" font-weight="{weight}" '
        f'fill="{colour}"{anchor}>{escape(text.text)}</text>'
    )


def _sample(role: str, words: str, x: str, y: str) -> str:
    name, size, weight, colour = TYPE[role]
    return (
        f'<text class="{name}" x="{x}" y="{y}" font-size="{size}" font-weight="{weight}" fill="{colour}" '
        f'text-anchor="middle">{words}</text>'
    )

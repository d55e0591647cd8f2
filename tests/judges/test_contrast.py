"""Contrast of every text colour on every background that the style sheets use (WCAG 2.2, 1.4.3 and 1.4.11).

This needs no outside program, so it runs with the other tests.
"""

from itertools import product
from pathlib import Path

import pytest
import tinycss2

TEMPLATES = Path(__file__).parents[2] / "templates"
TEXT = 4.5  # WCAG 2.2, 1.4.3, for text of any size; lines and marks need 3 (1.4.11), so they are covered too

# Any of these texts may stand on any of these backgrounds.
TEXTS = ["ink", "soft", "sea", "caution"]
BACKGROUNDS = ["paper", "card", "tint", "caution-tint"]
# Text colours that are written out, with the one background that each stands on.
LITERAL = [
    ("light", "#fff", "caution"),  # the tag 'make safe now'
    ("dark", "#1d0a15", "caution"),
    ("print", "#fff", "caution"),
    ("print", "#4a5763", "paper"),  # running heads
    ("print", "#97115f", "paper"),
]
SCHEMES = {
    "light": ("report.css", "screen.css"),
    "dark": ("report.css", "screen.css"),
    "print": ("report.css", "print.css"),
}


def luminance(colour: str) -> float:
    """Relative luminance of `#rgb` or `#rrggbb`: WCAG 2.2, 'relative luminance'."""
    digits = colour.removeprefix("#")
    if len(digits) == 3:
        digits = "".join(d * 2 for d in digits)
    channels = [int(digits[i : i + 2], 16) / 255 for i in (0, 2, 4)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio: WCAG 2.2, 'contrast ratio'."""
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize(
    ("one", "other", "expected", "tolerance", "source"),
    [
        ("#000000", "#ffffff", 21.0, 0.0001, "WCAG 2.2: ratios range from 1 to 21"),
        ("#0000ff", "#ffffff", 8.59, 0.005, "livebook.manning.com, contrast-ratio metric"),
        ("#0000ff", "#ff0000", 2.15, 0.005, "livebook.manning.com, contrast-ratio metric"),
        ("#767676", "#ffffff", 4.54, 0.005, "published for hsl(0 0% 46%), the darkest grey that reaches 4.5"),
        ("#595959", "#ffffff", 7.00, 0.006, "published for hsl(0 0% 35%), the darkest grey that reaches 7"),
        ("#777", "#fff", 4.48, 0.005, "computed by hand from the definition; just misses 4.5"),
    ],
)
def test_published_ratios(one: str, other: str, expected: float, tolerance: float, source: str) -> None:
    assert contrast(one, other) == pytest.approx(expected, abs=tolerance), source
    assert contrast(other, one) == contrast(one, other)


def rules(name: str) -> list[tuple[str, str, dict[str, str]]]:
    """The style rules of a sheet as (media query, selector, declarations)."""

    def walk(nodes: list[object], media: str) -> list[tuple[str, str, dict[str, str]]]:
        found: list[tuple[str, str, dict[str, str]]] = []
        for node in nodes:
            if node.type not in {"qualified-rule", "at-rule"} or node.content is None:
                continue
            head = tinycss2.serialize(node.prelude).strip()
            if node.type == "at-rule" and node.lower_at_keyword == "media":
                found += walk(tinycss2.parse_rule_list(node.content, skip_whitespace=True), head)
                continue
            parts = tinycss2.parse_blocks_contents(node.content, skip_whitespace=True)
            declared = {
                d.lower_name: tinycss2.serialize(d.value).strip() for d in parts if d.type == "declaration"
            }
            found.append((media, head, declared))
            margins = [d for d in parts if d.type == "at-rule"]  # the margin boxes of @page
            found += walk(margins, media)
        return found

    sheet = (TEMPLATES / name).read_text(encoding="utf-8")
    return walk(tinycss2.parse_stylesheet(sheet, skip_comments=True, skip_whitespace=True), "")


def palette(scheme: str) -> dict[str, str]:
    """The custom properties that hold in a scheme."""
    colours: dict[str, str] = {}
    for name in SCHEMES[scheme]:
        for media, selector, declared in rules(name):
            if selector == ":root" and (not media or (scheme in media and "prefers-color-scheme" in media)):
                colours |= {k.removeprefix("--"): v for k, v in declared.items() if k.startswith("--")}
    return colours


@pytest.mark.parametrize("scheme", SCHEMES)
def test_every_text_is_readable_on_every_background(scheme: str) -> None:
    colours = palette(scheme)
    pairs = [(colours[t], colours[b], f"{t} on {b}") for t, b in product(TEXTS, BACKGROUNDS)]
    pairs += [(text, colours[b], f"{text} on {b}") for s, text, b in LITERAL if s == scheme]
    ratios = {what: round(contrast(one, other), 2) for one, other, what in pairs}
    weak = {what: ratio for what, ratio in ratios.items() if ratio < TEXT}
    assert not weak


def test_the_dark_scheme_is_dark() -> None:
    assert luminance(palette("dark")["paper"]) < 0.05 < 0.8 < luminance(palette("light")["paper"])


def test_no_colour_is_used_that_the_tables_above_do_not_know() -> None:
    texts: set[str] = set()
    backgrounds: set[str] = set()
    for name in ("report.css", "screen.css", "print.css"):
        for _, _, declared in rules(name):
            texts.add(declared.get("color", ""))
            backgrounds |= {declared.get("background", ""), declared.get("background-color", "")}
    plain = {b for b in backgrounds if "gradient" not in b}  # the scale bar bears no text
    known = {f"var(--{t})" for t in TEXTS} | {text for _, text, _ in LITERAL}
    assert texts - {"", "inherit"} <= known
    assert plain - {"", "none", "#fff"} <= {f"var(--{b})" for b in [*BACKGROUNDS, "caution"]}

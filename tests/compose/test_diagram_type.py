"""The widths of the label face, compared with the font files, and the breaking of lines."""

from __future__ import annotations

from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

from lugbook.compose.diagram_type import ABOVE, ADVANCES, BELOW, shorten, width, wrap

FONTS = Path(__file__).parents[2] / "templates" / "fonts"


def test_no_text_is_wider_than_reckoned() -> None:
    """SOURCE: the advances in the fonts' own hmtx tables."""
    fonts = [TTFont(FONTS / f"label-{face}.woff2") for face in ("regular", "semibold", "bold")]
    assert len("".join(ADVANCES.values())) > 300
    for hundredths, characters in ADVANCES.items():
        for character in characters:
            real = [f["hmtx"][f.getBestCmap()[ord(character)]][0] / f["head"].unitsPerEm * 100 for f in fonts]
            assert hundredths - 1 < max(real) <= hundredths + 1e-9, character


@pytest.mark.parametrize("face", ["regular", "semibold", "bold"])
def test_no_figure_is_taller_than_reckoned(face: str) -> None:
    """SOURCE: the outlines' bounds in the font's own glyf table."""
    font = TTFont(FONTS / f"label-{face}.woff2")
    em, names = font["head"].unitsPerEm, font.getBestCmap()
    for character in "0123456789mAVWhft²×?.,GΩ+−":
        glyph = font["glyf"][names[ord(character)]]
        assert glyph.yMax / em <= ABOVE, character
        assert -glyph.yMin / em <= BELOW, character


def test_widths_add_up() -> None:
    assert width("", 10) == 0
    assert width("aa", 10) == pytest.approx(2 * width("a", 10))
    assert width("字", 10) == 12  # not in the font: taken as more than an em


def test_lines() -> None:
    assert wrap("Battery switch", 200, 10, 2) == ("Battery switch",)
    assert wrap("Battery switch", 50, 10, 2) == ("Battery", "switch")
    assert wrap("", 50, 10, 2) == ()
    for room in (20, 45, 70, 120):
        for most in (1, 2, 3):
            lines = wrap("Charger from the extraordinarily-long-named engine battery", room, 10, most)
            assert len(lines) <= most
            assert all(width(line, 10) <= room for line in lines)
    assert shorten("Negative bus", 40, 10).endswith("…")
    assert shorten("Negative bus", 400, 10) == "Negative bus"

"""The charts: places recomputed from published figures, texts inside the drawing, and signs that differ without colour."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations
from typing import get_args
from xml.etree import ElementTree

import pytest

from lugbook.compose.chart_scale import Scale, decades, even
from lugbook.compose.chart_time import time_chart
from lugbook.compose.common import Phrases
from lugbook.model.chart import Chart, Sample
from lugbook.model.curve import Curve
from lugbook.render.chart import STROKES, chart_key_svg, chart_svg
from lugbook.words.catalogue import load_words

# A blade fuse of 15 A on 4 mm2, 90 degC.
CURVE = Curve(
    "fuse", "lead", 15.0, "a standard", ((2.0, 5.0), (3.5, 0.5), (6.0, 0.1)), ((2.0, 0.15), (3.5, 0.04), (6.0, 0.02)),
    350.0, 7570.0, 1000.0, 14.4, 99.74e6, 4e-6, "4 mm2",
)  # fmt: skip
UNKNOWN = Curve("fuse", "lead", 50.0, "", (), (), 480.0, 8000.0, None, None, None, 1e-5, "10 mm2")


def chart(curve: Curve = CURVE) -> Chart:
    return time_chart(curve, 1, lambda name: name.capitalize(), Phrases(load_words()))


def amperes(made: Chart, x: float) -> float:
    """The current at a place, from two ticks of the scale itself."""
    at = {text.text: text.x for text in made.texts if text.role == "tick"}
    share = (x - at["100 A"]) / (at["1 kA"] - at["100 A"])
    return float(100 * 10**share)


def seconds(made: Chart, y: float) -> float:
    """The time at a place, likewise."""
    at = {text.text: text.y - 3.5 for text in made.texts if text.role == "tick"}
    share = (y - at["1 s"]) / (at["10 s"] - at["1 s"])
    return float(10**share)


def corners(made: Chart, role: str) -> list[tuple[float, float]]:
    (one,) = [line for line in made.lines if line.role == role]
    return [(amperes(made, x), seconds(made, y)) for x, y in one.points]


def test_the_gates_stand_where_the_standard_has_them() -> None:
    # SOURCE: ISO 8820-3, blade fuses (recalled): at 200 % 0.15 to 5 s, at 350 % up to 0.5 s, at 600 % up to 0.1 s.
    made = chart()
    slowest = corners(made, "slowest")
    for multiple, most in ((2, 5), (3.5, 0.5), (6, 0.1)):
        assert any(
            a == pytest.approx(15 * multiple, rel=0.01) and t == pytest.approx(most, rel=0.02)
            for a, t in slowest
        )
    assert any(
        a == pytest.approx(30, rel=0.01) and t == pytest.approx(0.15, rel=0.02)
        for a, t in corners(made, "fastest")
    )


def test_the_cable_follows_the_adiabatic_law() -> None:
    # SOURCE: IEC 60364-5-54, annex A (recalled): k = 226 sqrt(ln(1 + (tf - ti) / (234.5 + ti))) for copper, here from
    # 90 to 160 degC; I2t = k2S2.
    k = 226 * math.sqrt(math.log(1 + (160 - 90) / (234.5 + 90)))
    ends = corners(chart(), "cable")
    assert len(ends) == 2
    for current, time in ends:
        assert current**2 * time == pytest.approx((k * 4) ** 2, rel=0.03)
    assert ends[0][1] == pytest.approx(5, rel=0.02), "no heat escapes: up to 5 s"


def test_band_and_breaking_capacity_stand_at_their_currents() -> None:
    made = chart()
    (band,) = made.areas
    assert sorted({round(amperes(made, x)) for x, _ in band.points}) == pytest.approx([350, 7570], rel=0.01)
    assert {round(a) for a, _ in corners(made, "breaks")} == {1000}


def test_the_rating_stands_at_its_current_and_is_named() -> None:
    made = chart()
    assert {round(a) for a, _ in corners(made, "rating")} == {15}
    (key,) = [one.text for one in made.key if one.sample == "rating"]
    assert key.startswith("Rating, 15.0\u00a0A")


def test_no_time_is_promised_past_what_the_device_breaks() -> None:
    """A device that may burst ends nothing: its curve stops at 1 kA, though the short may reach 7.57 kA."""
    assert max(a for a, _ in corners(chart(), "slowest")) == pytest.approx(1000, rel=0.01)
    rows = {row[0]: row[1:] for row in chart().table.rows}
    assert rows["Largest current of a short: 7.57\u00a0kA"][0] == "it may burst"
    assert rows["Breaking capacity: 1.00\u00a0kA"][0] == "100\u00a0ms"
    # 10 kA are enough, and without a figure nothing says that it bursts: the curve goes on to the edge.
    for breaks, most in ((10_000.0, 10_000), (None, 10_000)):
        made = chart(replace(CURVE, breaks=breaks))
        assert max(a for a, _ in corners(made, "slowest")) == pytest.approx(most, rel=0.01)
        assert "it may burst" not in str(made.table)
    # A gate past the breaking capacity is never drawn: 6 times 15 A are 90 A.
    weak = corners(chart(replace(CURVE, breaks=80.0)), "slowest")
    assert max(a for a, _ in weak) == pytest.approx(80, rel=0.01)
    assert min(t for _, t in weak) == pytest.approx(0.5, rel=0.02)
    assert "slowest" not in {one.role for one in chart(replace(CURVE, breaks=25.0)).lines}


def test_between_the_decades_lie_two_and_five() -> None:
    made = chart()
    across = {
        round(amperes(made, one.points[0][0]))
        for one in made.lines
        if one.role == "minor" and one.points[0][0] == one.points[1][0]
    }
    assert across == {20, 50, 200, 500, 2000, 5000}


def test_the_table_says_the_same() -> None:
    rows = {row[0]: row[1:] for row in chart().table.rows}
    assert rows["2 times its rating: 30.0\u00a0A"][:2] == ("5.00\u00a0s", "150\u00a0ms")
    # (99.74 * 4 / 1000)^2 = 0.159 s
    assert rows["Breaking capacity: 1.00\u00a0kA"] == ("100\u00a0ms", "not known", "159\u00a0ms")
    assert rows["2 times its rating: 30.0\u00a0A"][2] == "more than 5.00\u00a0s"


def test_what_is_not_known_is_said_and_not_drawn() -> None:
    made = chart(UNKNOWN)
    assert not {"slowest", "fastest", "breaks", "cable"} & {one.role for one in made.lines}
    assert "not known" in made.description
    assert {key.sample for key in made.key} == {"fault", "rating"}


@pytest.mark.parametrize("curve", [CURVE, UNKNOWN])
def test_everything_lies_inside_and_the_drawing_speaks(curve: Curve) -> None:
    made = chart(curve)
    for x, y in [p for one in (*made.lines, *made.areas) for p in one.points]:
        assert 0 <= x <= made.width
        assert 0 <= y <= made.height
    for text in made.texts:
        wide = len(text.text) * 5.8
        left = text.x - {"start": 0, "middle": wide / 2, "end": wide}[text.anchor]
        assert left >= 0, text.text
        assert left + wide <= made.width + 1, text.text
    root = ElementTree.fromstring(str(chart_svg(made)))
    assert root[0].tag == "title"
    assert root[0].text == made.description
    assert root.get("font-family") == "Lugbook Label"
    assert not [one for one in root.iter() if one.get("id")]


def test_signs_differ_without_colour() -> None:
    told = {
        name: (STROKES[name][2], STROKES[name][3])
        for name in ("rating", "cable", "slowest", "fastest", "breaks")
    }
    for one, other in combinations(told, 2):
        assert told[one][1] != told[other][1], (one, other)
    svgs = [str(chart_key_svg(key)) for key in _keys()]
    assert len(set(svgs)) == len(svgs) == len(get_args(Sample))


def _keys() -> list:  # type: ignore[type-arg]
    from lugbook.model.chart import ChartKey

    return [ChartKey(sample=sample, text="") for sample in get_args(Sample)]


def test_scales() -> None:
    assert decades(15, 7646) == (10, 10_000)
    assert decades(100, 1000) == (100, 1000)
    low, high, step = even(13.62, 14.53, 6)
    assert (low, high, step) == (pytest.approx(13.6), pytest.approx(14.6), 0.2)
    scale = Scale(10, 1000, 0, 100, logs=True)
    assert (scale.at(10), scale.at(100), scale.at(1000), scale.at(1e9)) == (0, 50, 100, 100)

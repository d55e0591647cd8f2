"""Marks are seen on any picture, point where they should, and stay inside it."""

from __future__ import annotations

import random
from pathlib import Path
from time import process_time

import numpy as np
import pytest
from PIL import Image, ImageChops

from lugbook import marks as module
from lugbook.data import data_file
from lugbook.marks import CORE, EDGE, HALO, PRINTED, draw_marks
from lugbook.model.findings import Mark

FONT = data_file("templates", "fonts/label-bold.woff2")
SIZE = (1100, 825)
MILLIMETRE = SIZE[0] / PRINTED


def made(kind: str, **keys: object) -> Mark:
    """A mark as the loader makes it, with numbers written as text."""

    def written(value: object) -> object:
        if isinstance(value, (tuple, list)):
            return [written(part) for part in value]
        return str(value)

    return Mark.model_validate({"mark": kind, **{key: written(value) for key, value in keys.items()}})


EACH = {
    "arrow": made("arrow", at=(0.2, 0.2), to=(0.5, 0.5)),
    "ring": made("ring", at=(0.5, 0.5), size=0.4),
    "box": made("box", at=(0.3, 0.3), to=(0.7, 0.7)),
    "path": made("path", points=[(0.2, 0.8), (0.5, 0.4), (0.8, 0.8)]),
    "number": made("number", at=(0.5, 0.5), text="12"),
    "label": made("label", at=(0.5, 0.5), text="Heat mark"),
}
PLAIN = {
    "white": (255, 255, 255),
    "black": (0, 0, 0),
    "grey": (128, 128, 128),
    "magenta": CORE[:3],
    "halo's worst": (123, 123, 123),
}


def noisy(size: tuple[int, int] = SIZE, seed: int = 1) -> Image.Image:
    small = size[0] // 4, size[1] // 4
    noise = Image.frombytes("RGB", small, random.Random(seed).randbytes(small[0] * small[1] * 3))
    return noise.resize(size, Image.Resampling.BICUBIC)


def luminance(colour: tuple[int, ...]) -> float:
    """SOURCE: WCAG 2.2, definition of relative luminance (recalled)."""
    parts = [value / 255 for value in colour[:3]]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


PARTS = np.arange(256) / 255
LINEAR = np.where(PARTS <= 0.04045, PARTS / 12.92, ((PARTS + 0.055) / 1.055) ** 2.4)
WEIGHTS = np.array([0.2126, 0.7152, 0.0722])


def bright(pixels: np.ndarray) -> np.ndarray:
    """The same for a whole picture: what each of the 256 values weighs is worked out once."""
    return LINEAR[pixels] @ WEIGHTS


def contrast(one: tuple[int, ...], other: tuple[int, ...]) -> float:
    """SOURCE: WCAG 2.2, definition of contrast ratio (recalled)."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def changed(before: Image.Image, after: Image.Image) -> tuple[int, int, int, int]:
    box = ImageChops.difference(before, after).getbbox()
    assert box is not None
    return box


@pytest.mark.parametrize(
    ("one", "other", "expected", "tolerance", "source"),
    [
        ((0, 0, 0), (255, 255, 255), 21.0, 0.001, "WCAG 2.2: contrast ratios range from 1 to 21 (recalled)"),
        ((119, 119, 119), (255, 255, 255), 4.48, 0.01, "by hand: 0.4667 -> 0.1845; 1.05 / 0.2345"),
    ],
)
def test_the_measure_of_contrast(
    one: tuple[int, ...], other: tuple[int, ...], expected: float, tolerance: float, source: str
) -> None:
    assert source
    assert contrast(one, other) == pytest.approx(expected, abs=tolerance)


def test_halo_or_edge_stands_out_against_every_grey_and_many_colours() -> None:
    """WCAG 2.2 criterion 1.4.11 asks 3 to 1 of a graphic against its neighbour (recalled)."""
    steps = range(0, 256, 15)
    colours = [(r, g, b) for r in steps for g in steps for b in steps] + [(v, v, v) for v in range(256)]
    assert min(max(contrast(HALO, colour), contrast(EDGE, colour)) for colour in colours) >= 4
    assert contrast(CORE, HALO) >= 4.5
    assert contrast(HALO, EDGE) >= 15


@pytest.mark.parametrize("kind", EACH)
@pytest.mark.parametrize("ground", [*PLAIN, "noise"])
def test_each_mark_shows_core_halo_and_edge_on_any_ground(kind: str, ground: str) -> None:
    """As drawn, and blended by reduction to the width of a phone: the outline still reaches 3 to 1."""
    picture = noisy() if ground == "noise" else Image.new("RGB", SIZE, PLAIN[ground])
    marked = draw_marks(picture, (EACH[kind],), FONT)
    for width in (SIZE[0], 400):
        small = (width, width * SIZE[1] // SIZE[0])
        one, other = (image.resize(small, Image.Resampling.LANCZOS) for image in (picture, marked))
        box = changed(one, other)  # what is the same in both cannot count, and is most of the picture
        before, after = (np.asarray(image.crop(box)) for image in (one, other))
        light, dark = np.maximum(bright(before), bright(after)), np.minimum(bright(before), bright(after))
        enough = 12 * width / PRINTED  # the pixels of a line 12 mm long and one pixel wide
        assert np.count_nonzero((light + 0.05) / (dark + 0.05) >= 3) > enough
        assert np.count_nonzero(np.abs(after.astype(int) - CORE[:3]).max(axis=-1) < 40) > enough / 2


@pytest.mark.parametrize("ground", PLAIN)
def test_a_line_is_bounded_by_two_strong_steps(ground: str) -> None:
    """Along a cut through the ring: ground, edge, white, magenta, white, edge, ground."""
    picture = Image.new("RGB", SIZE, PLAIN[ground])
    marked = draw_marks(picture, (EACH["ring"],), FONT)
    radius = 0.4 * SIZE[1] / 2
    centre = (SIZE[0] - 1) / 2, (SIZE[1] - 1) / 2

    def at(millimetres: float) -> tuple[int, ...]:
        value = marked.getpixel((round(centre[0] + radius + millimetres * MILLIMETRE), round(centre[1])))
        assert isinstance(value, tuple)
        return value

    core, inner, outer = at(0), at(-0.575), at(0.575)
    assert contrast(core, CORE) < 1.1
    assert contrast(core, inner) >= 4.5
    assert contrast(core, outer) >= 4.5
    rim_in, rim_out = at(-0.87), at(0.87)
    assert contrast(inner, rim_in) >= 3
    assert contrast(outer, rim_out) >= 3
    assert at(-1.3) == at(1.3) == PLAIN[ground]


@pytest.mark.parametrize("tail", [(0.1, 0.1), (0.9, 0.1), (0.5, 0.95), (0.9, 0.52), (0.5, 0.4999)])
def test_an_arrow_ends_at_its_tip(tail: tuple[float, float]) -> None:
    picture = Image.new("RGB", SIZE, "white")
    marked = draw_marks(picture, (made("arrow", at=tail, to=(0.5, 0.5)),), FONT)
    tip = SIZE[0] / 2, SIZE[1] / 2
    near = min(
        (x - tip[0]) ** 2 + (y - tip[1]) ** 2
        for x in range(SIZE[0])
        for y in range(SIZE[1])
        if abs(x - tip[0]) < 30 and abs(y - tip[1]) < 30 and contrast(pixel(marked, x, y), CORE) < 1.2
    )
    assert near**0.5 < 0.35 * MILLIMETRE


def pixel(image: Image.Image, x: int, y: int) -> tuple[int, ...]:
    value = image.getpixel((x, y))
    assert isinstance(value, tuple)
    return value


@pytest.mark.parametrize("corner", [(0, 0), (1, 0), (0, 1), (1, 1), (0.5, 0.02)])
@pytest.mark.parametrize("size", [SIZE, (619, 825), (2000, 400)])
@pytest.mark.parametrize("kind", ["number", "label"])
def test_writing_stays_inside_whole(kind: str, corner: tuple[float, float], size: tuple[int, int]) -> None:
    """The same rectangle of writing appears at the corner as in the middle."""
    picture = Image.new("RGB", size, "white")
    text = "7" if kind == "number" else "Battery terminal boot missing, port side"
    sizes = []
    for at in ((0.5, 0.5), corner):
        left, top, right, bottom = changed(
            picture, draw_marks(picture, (made(kind, at=at, text=text),), FONT)
        )
        sizes.append((right - left, bottom - top))
    assert abs(sizes[0][0] - sizes[1][0]) <= 2
    assert abs(sizes[0][1] - sizes[1][1]) <= 2


@pytest.mark.parametrize("at", [(0.5, 0.5), (0.05, 0.05), (0.98, 0.5), (0.5, 0.98), (0.9, 0.9)])
@pytest.mark.parametrize("size", [0.05, 0.3, 0.9])
def test_a_label_leaves_the_ring_open(at: tuple[float, float], size: float) -> None:
    picture = Image.new("RGB", SIZE, (90, 120, 90))
    marked = draw_marks(picture, (made("ring", at=at, size=size, text="Oversize hole"),), FONT)
    x, y = round(at[0] * (SIZE[0] - 1)), round(at[1] * (SIZE[1] - 1))
    assert pixel(marked, x, y) == (90, 120, 90)


def test_labels_do_not_cover_each_other_nor_what_is_pointed_at() -> None:
    """Drawn together, every disc and label has as much lettering as when drawn alone."""
    marks = (
        made("ring", at=(0.5, 0.5), size=0.2, text="One"),
        made("ring", at=(0.7, 0.5), size=0.2, text="Two"),
        made("arrow", at=(0.3, 0.4), to=(0.42, 0.5), text="Three"),
        made("number", at=(0.5, 0.3), text="4"),
        made("label", at=(0.5, 0.3), text="Five"),
    )
    picture = Image.new("RGB", SIZE, (90, 120, 90))

    def magenta(image: Image.Image) -> int:
        return int(np.count_nonzero((np.asarray(image) == CORE[:3]).all(axis=-1)))

    alone = sum(magenta(draw_marks(picture, (mark,), FONT)) for mark in marks)
    assert magenta(draw_marks(picture, marks, FONT)) == pytest.approx(alone, rel=0.03)


def test_figures_are_about_three_millimetres_tall_in_print() -> None:
    picture = Image.new("RGB", SIZE, "black")
    marked = draw_marks(picture, (made("number", at=(0.5, 0.5), text="8"),), FONT)
    column = [pixel(marked, x, y) for x in range(530, 570) for y in range(SIZE[1])]
    rows = [
        y
        for y in range(SIZE[1])
        if abs(y - SIZE[1] / 2) < 2.1 * MILLIMETRE
        and any(contrast(pixel(marked, x, y), HALO) < 1.5 for x in range(538, 562))
    ]
    assert column
    assert 2.5 < (max(rows) - min(rows) + 1) / MILLIMETRE < 3.3


@pytest.mark.parametrize("size", [(1, 1), (2, 3), (40, 30), (1, 400), (400, 1), (30, 4000)])
def test_odd_pictures_are_no_obstacle(size: tuple[int, int]) -> None:
    marks = (
        *EACH.values(),
        made("ring", at=(0, 1), size=1, text="W" * 40),
        made("label", at=(1, 1), text="W" * 40),
    )
    assert draw_marks(Image.new("RGB", size), marks, FONT).size == size


def test_degenerate_marks_are_still_seen() -> None:
    picture = Image.new("RGB", SIZE, "white")
    for mark in (
        made("arrow", at=(0.5, 0.5), to=(0.5, 0.5)),
        made("ring", at=(0.5, 0.5), size=0.0001),
        made("box", at=(0.5, 0.5), to=(0.5, 0.5)),
        made("path", points=[(0.5, 0.5), (0.5, 0.5)]),
    ):
        left, top, right, bottom = changed(picture, draw_marks(picture, (mark,), FONT))
        assert right - left > MILLIMETRE
        assert bottom - top > MILLIMETRE


def test_very_many_marks_take_a_bounded_time() -> None:
    dice = random.Random(5)
    long_path = made("path", points=[(round(dice.random(), 3), round(dice.random(), 3)) for _ in range(2000)])
    rings = tuple(
        made("ring", at=(round(dice.random(), 3), round(dice.random(), 3)), size=0.1, text=f"ring {n}")
        for n in range(100)
    )
    begin = process_time()
    draw_marks(Image.new("RGB", SIZE), (long_path, *rings), FONT)
    assert process_time() - begin < 5


def test_the_picture_given_is_left_alone_and_the_bytes_are_the_same_each_time() -> None:
    picture = noisy()
    before = picture.tobytes()
    once, twice = (draw_marks(picture, tuple(EACH.values()), FONT) for _ in range(2))
    assert picture.tobytes() == before
    assert once.tobytes() == twice.tobytes() != before


def test_the_font_may_come_as_bytes() -> None:
    picture = Image.new("RGB", SIZE)
    marks = (EACH["label"],)
    assert (
        draw_marks(picture, marks, FONT.read_bytes()).tobytes() == draw_marks(picture, marks, FONT).tobytes()
    )


def test_the_bundled_font_is_the_label_face() -> None:
    assert module._font(Path(FONT), 40).getname() == ("Lugbook Label", "Bold")

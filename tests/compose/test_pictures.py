"""Rows of pictures: equally high, never wider than the row."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from lugbook.compose.pictures import FULL_ROW, GAP, MAX_IN_ROW, in_rows, widths
from lugbook.model.findings import Photo

aspects = st.lists(st.floats(0.3, 3.0), min_size=1, max_size=12)


def shaped(ratios: list[float]) -> list[tuple[Photo, float]]:
    return [(Photo(file=f"p{n}.jpg", caption="c", alt="a"), ratio) for n, ratio in enumerate(ratios)]


@given(aspects)
def test_every_picture_stands_once_and_in_order(ratios: list[float]) -> None:
    rows = in_rows(shaped(ratios), FULL_ROW)
    assert [photo.file for row in rows for photo, _ in row] == [f"p{n}.jpg" for n in range(len(ratios))]
    assert all(1 <= len(row) <= MAX_IN_ROW for row in rows)


@given(st.lists(st.floats(0.3, 3.0), min_size=1, max_size=5))
def test_pictures_of_a_row_are_equally_high_and_fit(ratios: list[float]) -> None:
    shares = widths(ratios, FULL_ROW)
    heights = [share / ratio for share, ratio in zip(shares, ratios, strict=True)]
    assert max(heights) - min(heights) < 1e-6
    assert sum(shares) + GAP * (len(shares) - 1) <= 100 + 1e-6


def test_two_landscape_pictures_share_a_row_and_the_third_does_not() -> None:
    rows = in_rows(shaped([4 / 3, 4 / 3, 4 / 3]), FULL_ROW)
    assert [len(row) for row in rows] == [2, 1]

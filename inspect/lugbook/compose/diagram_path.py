"""Lengths along a wire: from metres of the conductor to points of the drawing."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from lugbook.model.diagram import Point


def tidy(points: Sequence[Point]) -> tuple[Point, ...]:
    """The corners of a way alone: no point twice, none on a straight line."""
    found: list[Point] = []
    for point in points:
        if found and found[-1] == point:
            continue
        if len(found) > 1 and (
            found[-2][0] == found[-1][0] == point[0] or found[-2][1] == found[-1][1] == point[1]
        ):
            found.pop()
        found.append(point)
    return tuple(found)


def long(points: Sequence[Point]) -> float:
    """Length of a way of level and plumb pieces."""
    return sum(abs(x - u) + abs(y - v) for (x, y), (u, v) in itertools.pairwise(points))


def piece(points: Sequence[Point], start: float, end: float) -> tuple[Point, ...]:
    """The part of a way from one length along it to another."""
    found: list[Point] = []
    passed = 0.0
    for (x, y), (u, v) in itertools.pairwise(points):
        step = abs(x - u) + abs(y - v)
        low, high = max(start - passed, 0.0), min(end - passed, step)
        if step and low <= high:
            for along in (low, high):
                found.append((round(x + (u - x) * along / step, 2), round(y + (v - y) * along / step, 2)))
        passed += step
    return tidy(found)


def drawn_at(metres: float, known: Sequence[tuple[float, float]], *, last: bool) -> float:
    """Where a place of the conductor is on its way in the drawing.

    `known` pairs metres with lengths along the way, in order: the ends and the devices. Between them it is in
    proportion. Where a device stands at the very end, `last` chooses the further of the two.
    """
    exact = [along for at, along in known if abs(at - metres) < 1e-9]
    if exact:
        return exact[-1] if last else exact[0]
    for (at, along), (next_at, next_along) in itertools.pairwise(known):
        if at < metres < next_at:
            return along + (next_along - along) * (metres - at) / (next_at - at)
    return known[-1][1] if metres > known[-1][0] else known[0][1]

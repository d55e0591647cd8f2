"""Tracks: where in its channel each wire turns up or down, so that no two lie on each other and few cross."""

from __future__ import annotations

from dataclasses import dataclass

from lugbook.compose.diagram_cells import GRID, Grid, Segment, gap
from lugbook.compose.diagram_order import Columns
from lugbook.compose.diagram_place import height_of

APART = 10  # the least distance between two wires that share a track
CLASH = 1000  # what lying on each other costs, in crossings
TRIES = 80
PASSES = 12


@dataclass(frozen=True, slots=True)
class Bend:
    """A wire that turns in a channel: heights at its left and its right side, and all that it spans."""

    segment: Segment
    left: frozenset[int]
    right: frozenset[int]
    low: int
    high: int


def bends(grid: Grid, channel: int) -> list[Bend]:
    """The wires of a channel that are not straight."""
    found = []
    for segment in grid.segments:
        ends = [(slot, height_of(slot, grid)) for slot in (segment.first, segment.last)]
        low, high = min(y for _, y in ends), max(y for _, y in ends)
        if segment.channel == channel and (low != high or segment.first.right == segment.last.right):
            left = frozenset(y for slot, y in ends if slot.right)
            right = frozenset(y for slot, y in ends if not slot.right)
            found.append(Bend(segment, left, right, low, high))
    return sorted(found, key=lambda bend: (bend.low, bend.high, bend.segment.run.id))


def assign(grid: Grid, columns: Columns) -> tuple[dict[int, int], tuple[int, int]]:
    """The track of each bent segment, by identity, and how many tracks each channel has.

    Where two wires would have to lie on each other whatever the tracks, a cell moves a little, and in the end the
    whole middle column by half a step, after which no two wires can meet at one height.
    """
    for attempt in range(TRIES + 1):
        tracks: dict[int, int] = {}
        counts = [0, 0]
        clash: tuple[Bend, Bend] | None = None
        for channel in (0, 1):
            row, clash = _in_order(bends(grid, channel))
            if clash is not None:
                break
            for bend, track in _compact(row):
                tracks[id(bend.segment)] = track
                counts[channel] = max(counts[channel], track + 1)
        if clash is None:
            return tracks, (counts[0], counts[1])
        if attempt < TRIES - 1:
            _push(grid, columns, clash[1])
        else:
            for name in columns[1]:
                grid.cells[name].top += GRID // 2
    raise AssertionError("wires of shifted columns cannot meet")


def _cost(first: Bend, then: Bend) -> int:
    """Crossings of two wires if the first turns to the left of the other."""
    crossings = sum(then.low < y < then.high for y in first.right)
    crossings += sum(first.low < y < first.high for y in then.left)
    return crossings + CLASH * len(first.right & then.left)


def _in_order(found: list[Bend]) -> tuple[list[Bend], tuple[Bend, Bend] | None]:
    """The wires from left to right; the pair that lies on each other, if that cannot be helped."""
    row: list[Bend] = []
    for bend in found:
        row.insert(_best(row, bend), bend)
    for _ in range(PASSES):
        before = list(row)
        for bend in found:
            row.remove(bend)
            row.insert(_best(row, bend), bend)
        if row == before:
            break
    for n, first in enumerate(row):
        for then in row[n + 1 :]:
            if first.right & then.left:
                return row, (then, first)
    return row, None


def _best(row: list[Bend], bend: Bend) -> int:
    """The leftmost of the best places for a wire among others that are in order."""
    cost = sum(_cost(bend, other) for other in row)
    best, kept = cost, 0
    for n, other in enumerate(row, start=1):
        cost += _cost(other, bend) - _cost(bend, other)
        if cost < best:
            best, kept = cost, n
    return kept


def _compact(row: list[Bend]) -> list[tuple[Bend, int]]:
    """Keep the order of those that pass each other, and let others share a track."""
    placed: list[tuple[Bend, int]] = []
    for bend in row:
        near = [
            track
            for other, track in placed
            if other.low - APART < bend.high and bend.low - APART < other.high
        ]
        placed.append((bend, max(near, default=-1) + 1))
    return placed


def _push(grid: Grid, columns: Columns, bend: Bend) -> None:
    """Move a cell on the right of the channel down by one step, and what it would run into."""
    slot = bend.segment.last if not bend.segment.last.right else bend.segment.first
    column = columns[grid.cells[slot.cell].column]
    step = GRID
    for n in range(column.index(slot.cell), len(column)):
        cell = grid.cells[column[n]]
        cell.top += step
        if n + 1 < len(column):
            below = grid.cells[column[n + 1]]
            if cell.top + cell.height + gap(cell, below) <= below.top:
                break

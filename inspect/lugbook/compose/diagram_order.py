"""The order of the cells in each column, with few crossings and short ways: barycentre sweeps, then small moves."""

from __future__ import annotations

from statistics import fmean

from lugbook.compose.diagram_cells import GAP, Grid

Columns = tuple[list[str], list[str], list[str]]
SWEEPS = 8
MOVES = 6  # how far a cell is tried from where it stands
PASSES = 8
CROSSING = 60.0  # what a crossing costs, in units of length


def order(grid: Grid) -> Columns:
    """The best of a few starts; the same for every order of the file."""
    names = sorted(grid.cells)
    found = []
    for start in (names, names[::-1]):
        columns: Columns = ([], [], [])
        for name in start:
            columns[grid.cells[name].column].append(name)
        _sweep(grid, columns)
        found.append((_improve(grid, columns), columns))
    return min(found)[1]


def _sweep(grid: Grid, columns: Columns) -> None:
    near: dict[str, list[str]] = {name: [] for name in grid.cells}
    for segment in grid.segments:
        a, b = segment.first.cell, segment.last.cell
        if a != b:
            near[a].append(b)
            near[b].append(a)
    for sweep in range(SWEEPS):
        for column in (columns[1], columns[2 * (sweep % 2)]):
            share = {
                name: (place + 0.5) / len(cells) for cells in columns for place, name in enumerate(cells)
            }
            weight = {
                name: fmean(share[other] for other in near[name]) if near[name] else share[name]
                for name in column
            }
            column.sort(key=lambda name: (round(weight[name], 9), name))


def _improve(grid: Grid, columns: Columns) -> float:
    """Move single cells as long as that makes the drawing better; the cost that is left."""
    best = _cost(grid, columns)
    for _ in range(PASSES):
        before = best
        for column in columns:
            for name in list(column):
                best = _best_place(grid, columns, column, name, best)
        if best >= before:
            break
    return best


def _best_place(grid: Grid, columns: Columns, column: list[str], name: str, best: float) -> float:
    here = column.index(name)
    kept = here
    column.pop(here)
    for place in range(max(0, here - MOVES), min(len(column), here + MOVES) + 1):
        if place == here:
            continue
        column.insert(place, name)
        cost = _cost(grid, columns)
        if cost < best - 1e-6:
            best, kept = cost, place
        column.pop(place)
    column.insert(kept, name)
    return best


def _cost(grid: Grid, columns: Columns) -> float:
    centre: dict[str, float] = {}
    for column in columns:
        heights = [grid.cells[name].height for name in column]
        y = -(sum(heights) + GAP * len(heights)) / 2
        for name, height in zip(column, heights, strict=True):
            centre[name] = y + height / 2
            y += height + GAP
    spans: tuple[list[tuple[float, float]], list[tuple[float, float]]] = ([], [])
    cost = 0.0
    for segment in grid.segments:
        a, b = centre[segment.first.cell], centre[segment.last.cell]
        cost += abs(a - b)
        if segment.first.right != segment.last.right:
            spans[segment.channel].append((a, b))
    for channel in spans:
        channel.sort()
        for n, (_, b) in enumerate(channel):
            cost += CROSSING * sum(other < b for _, other in channel[n + 1 :])
    return cost

"""Tops of cells and the order of their slots: as many wires straight as can be, nothing on top of another."""

from __future__ import annotations

from statistics import fmean, median_low

from lugbook.compose.diagram_cells import GAP, GRID, LANE, PITCH, Cell, Grid, Slot, gap
from lugbook.compose.diagram_order import Columns

ROUNDS = 6


def place(grid: Grid, columns: Columns) -> None:
    """Settle `top` of every cell and `y` of every slot, all on the grid."""
    for column in columns:
        y = -sum(grid.cells[name].height + GAP for name in column) // (2 * GRID) * GRID
        for name in column:
            cell = grid.cells[name]
            cell.top = y
            _set_slots(cell)
            y += cell.height + GAP
    others = _others(grid)
    for round_ in range(ROUNDS):
        for column in (
            (columns[1], columns[2], columns[0]) if round_ % 2 else (columns[0], columns[2], columns[1])
        ):
            for name in column:
                _arrange(grid.cells[name], grid, others)
            _settle(column, grid, others)
    for cell in grid.cells.values():
        _arrange(cell, grid, others)
    least = min((cell.top for cell in grid.cells.values()), default=0)
    for cell in grid.cells.values():
        cell.top -= least


def height_of(slot: Slot, grid: Grid) -> int:
    """Where a slot stands in the drawing."""
    return grid.cells[slot.cell].top + slot.y


def _others(grid: Grid) -> dict[int, Slot]:
    found: dict[int, Slot] = {}
    for segment in grid.segments:
        found[id(segment.first)] = segment.last
        found[id(segment.last)] = segment.first
    return found


def _set_slots(cell: Cell) -> None:
    room = cell.height - cell.head - cell.foot
    for side in (cell.left, cell.right):
        first = cell.head + (room - len(side) * PITCH) // 2 + PITCH // 2
        for n, slot in enumerate(side):
            slot.y = first // GRID * GRID + n * PITCH


def _arrange(cell: Cell, grid: Grid, others: dict[int, Slot]) -> None:
    """Order the slots of each side by where they lead, those of one terminal together."""
    for side in (cell.left, cell.right):
        to = {id(slot): height_of(others[id(slot)], grid) for slot in side}
        groups = {
            slot.node: fmean(to[id(other)] for other in side if other.node == slot.node) for slot in side
        }
        side.sort(key=lambda slot: (groups[slot.node], slot.node, to[id(slot)], slot.run, slot.end))
    _set_slots(cell)


def _settle(column: list[str], grid: Grid, others: dict[int, Slot]) -> None:
    """Shift the cells of a column, in their order, as near as they can come to what they are wired to.

    Each wire wishes its cell to a place; cells that would overlap move as one block, to the median of their wishes.
    """
    blocks: list[tuple[list[int], list[str]]] = []
    sums: dict[str, int] = {}
    total, above = 0, None
    for name in column:
        cell = grid.cells[name]
        total += gap(above, cell) if above is not None else 0
        sums[name] = total
        wishes = []
        for slot in cell.slots:
            other = others[id(slot)]
            if other.cell == name:
                continue
            wish = height_of(other, grid) - slot.y - total
            straight = other.right != slot.right
            wishes += [wish] * (
                3 if name.startswith(LANE) or other.cell.startswith(LANE) else 2 if straight else 1
            )
        blocks.append((wishes or [cell.top - total], [name]))
        while len(blocks) > 1 and median_low(blocks[-2][0]) > median_low(blocks[-1][0]):
            wanted, names = blocks.pop()
            blocks[-1] = (blocks[-1][0] + wanted, blocks[-1][1] + names)
        total += cell.height
        above = cell
    for wanted, names in blocks:
        for name in names:
            grid.cells[name].top = median_low(wanted) + sums[name]

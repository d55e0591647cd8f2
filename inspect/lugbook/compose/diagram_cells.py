"""Parts and runs -> cells in three columns, with slots for the ends of wires. Still without places."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from lugbook.compose.diagram_parts import POLES, Part, Plan, Run, Wiring
from lugbook.compose.diagram_type import width, wrap

GRID = 8
PITCH = 32
GAP, NARROW_GAP = 16, 8  # between boxes; between loads
COLUMNS = (132.0, 136.0, 130.0)
NAME, DETAIL = 10.5, 10.0
LINE = 12.0
SYMBOL_ROOM = 34.0
MARK = 16.5
LANE = "lane:"


@dataclass(slots=True)
class Slot:
    """One end of a wire at a cell. `node` keeps the ends at one terminal together; `y` counts from the cell's top."""

    run: str
    end: str
    node: str
    cell: str
    right: bool
    y: int = 0


@dataclass(slots=True)
class Cell:
    """A box or a lane in its column, `top` and `height` on the grid."""

    id: str
    column: int
    part: Part | None
    names: tuple[str, ...] = ()
    details: tuple[str, ...] = ()
    head: int = 0
    foot: int = 0
    height: int = 0
    top: int = 0
    left: list[Slot] = field(default_factory=list)
    right: list[Slot] = field(default_factory=list)

    @property
    def slots(self) -> list[Slot]:
        """All slots."""
        return [*self.left, *self.right]


@dataclass(frozen=True, slots=True)
class Segment:
    """What lies in one channel: a wire between two slots of the columns on either side of it."""

    run: Run
    channel: int
    first: Slot
    last: Slot


@dataclass(slots=True)
class Grid:
    """All cells and what joins them."""

    cells: dict[str, Cell]
    segments: list[Segment]


def build(plan: Plan, wiring: Wiring, marks: Mapping[str, int], notes: Mapping[str, str]) -> Grid:
    """Make the cells. `marks` tells how many defect numbers a part bears, `notes` what else it has to say."""
    cells = {name: Cell(name, part.column, part) for name, part in plan.parts.items()}
    segments: list[Segment] = []
    loops: list[Run] = []
    crossing = [0, 0]
    for run in plan.runs:
        a, b = cells[run.part_a], cells[run.part_b]
        if a.column == b.column == 1:
            loops.append(run)
            continue
        ends = (("a", run.a, a), ("b", run.b, b))
        if a.column > b.column:
            ends = (ends[1], ends[0])
        (first_end, first_node, first), (last_end, last_node, last) = ends
        if first.column == last.column:
            right = first.column == 0
            pair = (
                _slot(run, first_end, first_node, first, right),
                _slot(run, last_end, last_node, last, right),
            )
            segments.append(Segment(run, 0 if right else 1, *pair))
            crossing[0 if right else 1] += 1
        elif last.column - first.column == 1:
            pair = (
                _slot(run, first_end, first_node, first, True),
                _slot(run, last_end, last_node, last, False),
            )
            segments.append(Segment(run, first.column, *pair))
            crossing[first.column] += 1
        else:
            lane = cells[f"{LANE}{run.id}"] = Cell(f"{LANE}{run.id}", 1, None, height=PITCH)
            enter, leave = _slot(run, "", run.id, lane, False), _slot(run, "", run.id, lane, True)
            segments.append(Segment(run, 0, _slot(run, first_end, first_node, first, True), enter))
            segments.append(Segment(run, 1, leave, _slot(run, last_end, last_node, last, False)))
    for run in loops:
        segments.append(_loop(run, cells, crossing))
    for cell in cells.values():
        if cell.part is not None:
            details = (*cell.part.details, notes.get(cell.id, ""))
            _measure(cell, cell.part, details, wiring, marks.get(cell.id, 0))
    return Grid(cells, segments)


def gap(upper: Cell, lower: Cell) -> int:
    """The least distance between two neighbours of a column; lanes may lie side by side."""
    if upper.part is None or lower.part is None:
        return 0
    return NARROW_GAP if upper.column == 2 else GAP


def _slot(run: Run, end: str, node: str, cell: Cell, right: bool) -> Slot:
    slot = Slot(run.id, end, node, cell.id, right)
    (cell.right if right else cell.left).append(slot)
    return slot


def _loop(run: Run, cells: dict[str, Cell], crossing: list[int]) -> Segment:
    """A wire within the middle column goes round the side where its terminals have wires already."""
    a, b = cells[run.part_a], cells[run.part_b]
    rights = sum(slot.node in (run.a, run.b) for slot in (*a.right, *b.right))
    lefts = sum(slot.node in (run.a, run.b) for slot in (*a.left, *b.left))
    right = rights > lefts if rights != lefts else crossing[1] <= crossing[0]
    crossing[int(right)] += 1
    first, last = _slot(run, "a", run.a, a, right), _slot(run, "b", run.b, b, right)
    return Segment(run, int(right), first, last)


def _measure(cell: Cell, part: Part, details: tuple[str, ...], wiring: Wiring, marks: int) -> None:
    """Break the texts into lines and settle the height."""
    room = COLUMNS[part.column] - 8
    rows = max(len(cell.left), len(cell.right), 1) * PITCH
    per_row = int((room + 4) // MARK)
    cell.foot = -(-marks // per_row) * 24 if marks else 0
    if part.shape == "beside":
        labels = [wiring.terminal(slot.node) for slot in cell.slots] if needs_letters(cell, wiring) else []
        edge = max((width(label, DETAIL) + 6 for label in labels), default=0.0)
        cell.names = wrap(part.name, room - SYMBOL_ROOM - edge + 4, NAME, 3)
        cell.details = wrap_all(details, room - SYMBOL_ROOM - edge + 4)
        lines = len(cell.names) + len(cell.details)
        cell.height = _on_grid(max(rows, lines * LINE + 8, 32)) + cell.foot
        return
    cell.names = wrap(part.name, room, NAME, 2)
    cell.details = wrap_all(details, room)
    cell.head = _on_grid((len(cell.names) + len(cell.details)) * LINE + 2)
    tail = 24 if part.shape == "bus" and part.symbol else 0
    cell.height = cell.head + rows + tail + cell.foot
    cell.foot += tail


def wrap_all(lines: tuple[str, ...], room: float) -> tuple[str, ...]:
    """Details, each on at most two lines of its own."""
    return tuple(part for line in lines for part in wrap(line, room, DETAIL, 2))


def needs_letters(cell: Cell, wiring: Wiring) -> bool:
    """Whether the terminals need their letters. The poles of what has one pole on the drawing need none."""
    letters = {wiring.terminal(slot.node) for slot in cell.slots}
    return len(letters) > 1 or not letters <= {*POLES.values(), ""}


def _on_grid(height: float) -> int:
    return int(-(-height // (2 * GRID)) * 2 * GRID)

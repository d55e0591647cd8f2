"""One plan -> one sheet, or several where one would be taller than a page."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil

from lugbook.compose import diagram_order, diagram_place, diagram_tracks
from lugbook.compose.diagram_boxes import box, text
from lugbook.compose.diagram_cells import COLUMNS, DETAIL, LANE, Grid, Segment, build
from lugbook.compose.diagram_draw import Frame, Pen, frame
from lugbook.compose.diagram_parts import Plan, Wiring
from lugbook.compose.diagram_place import height_of
from lugbook.compose.diagram_stubs import Stub, Stubs
from lugbook.model.diagram import DiagramBox, DiagramText, DiagramWire
from lugbook.model.evidence import Stretch

# The drawing is printed as wide as the text of an A4 page [mm], and no higher than this.
PRINT_WIDTH, PRINT_HEIGHT = 176.0, 232.0
# Units: at the least width, type of 10 units is printed at 6.6 points; at the greatest, at 5.5.
LEAST, MOST = 760.0, 900.0
POINTS_PER_MM = 72 / 25.4
HEAD = 30


@dataclass(frozen=True, slots=True)
class Drawn:
    """A sheet without its words."""

    width: float
    height: float
    heads: tuple[DiagramText, ...]
    boxes: tuple[DiagramBox, ...]
    wires: tuple[DiagramWire, ...]

    @property
    def type_points(self) -> float:
        """Size of the smallest names and labels where the drawing is printed as wide as the text."""
        return round(DETAIL * PRINT_WIDTH * POINTS_PER_MM / self.width, 2)


@dataclass(frozen=True, slots=True)
class Drawer:
    """What every sheet needs."""

    wiring: Wiring
    stubs: Stubs
    stretches: Mapping[str, Sequence[Stretch]]
    at_parts: Mapping[str, tuple[int, ...]]
    heads: tuple[str, str, str]
    notes: Mapping[str, str]

    def sheets(self, plan: Plan) -> list[Drawn]:
        """The sheets of a plan. What is too much for one page is cut from top to bottom."""
        grid, tracks, counts = self._laid_out(plan)
        stubs = {id(s): self.stubs.of(s, seg.run) for seg in grid.segments for s in (seg.first, seg.last)}
        height = HEAD + 8 + max((cell.top + cell.height for cell in grid.cells.values()), default=0)
        least = min(max(LEAST, height * PRINT_WIDTH / PRINT_HEIGHT), MOST)
        shared = frame(grid, stubs, counts, least)
        fits = shared.width <= MOST + 0.01 and height <= shared.width * PRINT_HEIGHT / PRINT_WIDTH + 0.01
        if fits or len(plan.runs) < 2:
            return [self._drawn(grid, shared, tracks, stubs, height)]
        count = min(max(2, ceil(height / (MOST * PRINT_HEIGHT / PRINT_WIDTH))), len(plan.runs))
        return [drawn for part in _cut(plan, grid, count) for drawn in self.sheets(part)]

    def _laid_out(self, plan: Plan) -> tuple[Grid, dict[int, int], tuple[int, int]]:
        grid = build(
            plan, self.wiring, {name: len(marks) for name, marks in self.at_parts.items()}, self.notes
        )
        columns = diagram_order.order(grid)
        diagram_place.place(grid, columns)
        tracks, counts = diagram_tracks.assign(grid, columns)
        return grid, tracks, counts

    def _drawn(
        self, grid: Grid, shared: Frame, tracks: Mapping[int, int], stubs: Mapping[int, Stub], height: float
    ) -> Drawn:
        pen = Pen(grid, shared, tracks, stubs, HEAD, self.stretches)
        by_run: dict[str, list[Segment]] = {}
        for segment in grid.segments:
            by_run.setdefault(segment.run.id, []).append(segment)
        wires = tuple(pen.wire(group[0].run, group) for _, group in sorted(by_run.items()))
        boxes = tuple(
            box(
                cell,
                shared.columns[cell.column],
                HEAD,
                self.wiring,
                self.at_parts.get(cell.id, ()),
                bare=cell.id in self.notes,
            )
            for _, cell in sorted(grid.cells.items())
            if not cell.id.startswith(LANE)
        )
        heads = tuple(
            text(line, shared.columns[n] + COLUMNS[n] / 2, 12, "middle", "head", 11)
            for n, line in enumerate(self.heads)
            if any(cell.column == n and cell.part for cell in grid.cells.values())
        )
        return Drawn(round(shared.width, 2), height, heads, boxes, wires)


def _cut(plan: Plan, grid: Grid, count: int) -> list[Plan]:
    """Equal shares of the wires from top to bottom, each with the boxes at their ends; boxes may be in several."""
    middle: dict[str, list[int]] = {}
    for segment in grid.segments:
        middle.setdefault(segment.run.id, []).extend(
            height_of(s, grid) for s in (segment.first, segment.last)
        )
    runs = sorted(plan.runs, key=lambda run: (sum(middle[run.id]) / len(middle[run.id]), run.id))
    wired = {name for run in runs for name in (run.part_a, run.part_b)}
    made = []
    for n in range(count):
        share = runs[len(runs) * n // count : len(runs) * (n + 1) // count]
        used = {name for run in share for name in (run.part_a, run.part_b)}
        used |= set(plan.parts) - wired if n == 0 else set()
        parts = {name: part for name, part in plan.parts.items() if name in used}
        made.append(Plan(parts, tuple(sorted(share, key=lambda run: run.id))))
    return made


def repeated(sheets: Sequence[Drawn]) -> list[Drawn]:
    """The sheets, with the boxes marked that stand on several of them."""
    count = Counter(box.id for sheet in sheets for box in sheet.boxes)
    return [
        replace(
            sheet,
            boxes=tuple(box.model_copy(update={"repeated": count[box.id] > 1}) for box in sheet.boxes),
        )
        for sheet in sheets
    ]

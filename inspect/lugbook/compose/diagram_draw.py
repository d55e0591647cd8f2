"""Cells, tracks and stubs -> boxes and wires with all their coordinates."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from lugbook.compose.diagram_boxes import text, text_mark
from lugbook.compose.diagram_cells import COLUMNS, DETAIL, Grid, Segment, Slot
from lugbook.compose.diagram_parts import Run
from lugbook.compose.diagram_path import drawn_at, long, piece, tidy
from lugbook.compose.diagram_place import height_of
from lugbook.compose.diagram_stubs import PLATE, Item, Stub, devices_at, zones
from lugbook.compose.diagram_type import width
from lugbook.model.diagram import DiagramMark, DiagramSymbol, DiagramText, DiagramWire, Point, WireKind
from lugbook.model.evidence import Stretch
from lugbook.model.network import Conductor

MARGIN = 5.0
TRACK, TRACK_MOST = 8.0, 16.0
FINE = ("sense", "control")


@dataclass(frozen=True, slots=True)
class Frame:
    """Where the columns stand, and where the tracks of each channel lie."""

    width: float
    columns: tuple[float, float, float]
    tracks: tuple[tuple[float, float], tuple[float, float]]  # of each channel: place of the first, distance

    def side(self, column: int, *, right: bool) -> float:
        """The edge of a column."""
        return self.columns[column] + (COLUMNS[column] if right else 0.0)


def frame(grid: Grid, stubs: Mapping[int, Stub], counts: tuple[int, int], least: float) -> Frame:
    """Share out the width: at least `least`, more if the wires need it."""
    rooms = [zones(stubs, grid.segments, channel) for channel in (0, 1)]
    needs = [left + right + TRACK * (count + 1) for (left, right), count in zip(rooms, counts, strict=True)]
    total = max(least, sum(needs) + sum(COLUMNS) + 2 * MARGIN)
    spare = (total - sum(needs) - sum(COLUMNS) - 2 * MARGIN) / 2
    x = MARGIN
    columns, tracks = [x], []
    for channel in (0, 1):
        x += COLUMNS[channel]
        left, right = rooms[channel]
        wide = needs[channel] + spare
        step = min((wide - left - right) / (counts[channel] + 1), TRACK_MOST)
        first = x + left + (wide - left - right - step * (counts[channel] - 1)) / 2
        tracks.append((first, step))
        x += wide
        columns.append(x)
    return Frame(total, (columns[0], columns[1], columns[2]), (tracks[0], tracks[1]))


@dataclass(frozen=True, slots=True)
class Pen:
    """What is needed to draw the wires of one sheet. `top` is where the first cell stands."""

    grid: Grid
    frame: Frame
    tracks: Mapping[int, int]
    stubs: Mapping[int, Stub]
    top: float
    stretches: Mapping[str, Sequence[Stretch]]

    def port(self, slot: Slot) -> Point:
        """Where a wire's end meets its box."""
        column = self.grid.cells[slot.cell].column
        return round(self.frame.side(column, right=slot.right), 2), self.top + height_of(slot, self.grid)

    def way(self, segments: Sequence[Segment]) -> tuple[Point, ...]:
        """All points of a wire, from its end a to its end b."""
        points: list[Point] = []
        for segment in sorted(segments, key=lambda s: s.channel):
            start, end = self.port(segment.first), self.port(segment.last)
            points.append(start)
            track = self.tracks.get(id(segment))
            if track is not None:
                first, step = self.frame.tracks[segment.channel]
                x = round(first + step * track, 2)
                points += [(x, start[1]), (x, end[1])]
            points.append(end)
        return tidy(points)

    def wire(self, run: Run, segments: Sequence[Segment]) -> DiagramWire:
        """One wire with all that stands on it."""
        points = self.way(segments)
        ends = {s.end: s for segment in segments for s in (segment.first, segment.last)}
        if points[0] != self.port(ends["a"]):
            points = points[::-1]
        edge, devices, texts = run.edge, [], []
        marks: list[DiagramMark] = []
        plate: DiagramMark | None = None
        along: dict[int, float] = {}
        for end in ("a", "b"):
            x, y = self.port(ends[end])
            sense = 1 if ends[end].right else -1
            for item in self.stubs[id(ends[end])].items:
                here = x + sense * item.at
                texts += _labels(item, here, y)
                if item.device is not None:
                    along[id(item.device)] = item.at if end == "a" else long(points) - item.at
                    devices.append(DiagramSymbol(symbol=item.device.device.kind, x=round(here, 2), y=y))
                if item.kind == "label" and item.number:
                    plate = text_mark(
                        str(item.number), here, y, PLATE, width(str(item.number), PLATE) + 6, 10
                    )
                if item.kind == "mark":
                    marks.append(text_mark(item.texts[0], here, y, DETAIL, 15, 15))
        heavy: tuple[tuple[Point, ...], ...] = ()
        if isinstance(edge, Conductor):
            heavy = self._heavy(edge, points, along)
        return DiagramWire(
            id=run.id,
            kind=_kind(run),
            points=points,
            unprotected=heavy,
            devices=tuple(devices),
            texts=tuple(texts),
            plate=plate,
            marks=tuple(marks),
        )

    def _heavy(
        self, edge: Conductor, points: tuple[Point, ...], along: Mapping[int, float]
    ) -> tuple[tuple[Point, ...], ...]:
        devices = [*devices_at(edge, "a"), *devices_at(edge, "b")]
        known = [(0.0, 0.0), *((device.at, along[id(device)]) for device in devices)]
        known.append((edge.length.max_case, long(points)))
        found = []
        for stretch in sorted(self.stretches.get(edge.id, ()), key=lambda s: (s.start, s.end)):
            if stretch.end > stretch.start:
                low = drawn_at(stretch.start, known, last=False)
                found.append(piece(points, low, drawn_at(stretch.end, known, last=True)))
        return tuple(found)


def _labels(item: Item, x: float, y: float) -> list[DiagramText]:
    """Size above the wire and length below; a device's rating above."""
    if item.kind == "mark":
        return []
    heights = (y - 7.5, y + 14)
    return [
        text(line, x, height, "middle", "label", DETAIL)
        for line, height in zip(item.texts, heights, strict=False)
    ]


def _kind(run: Run) -> WireKind:
    if not isinstance(run.edge, Conductor):
        return "direct"
    return "bond" if run.edge.use == "bond" else "fine" if run.edge.use in FINE else "conductor"

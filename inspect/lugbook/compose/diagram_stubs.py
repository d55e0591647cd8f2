"""What stands on the straight end of a wire beside its port: devices, label, number plate and defect numbers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from lugbook.compose.diagram_cells import DETAIL, MARK, Segment, Slot
from lugbook.compose.diagram_parts import Run
from lugbook.compose.diagram_texts import Texts
from lugbook.compose.diagram_type import width
from lugbook.model.network import Conductor, Placed

LEAD = 5.0
LENGTH_BEFORE = 9.0  # what is left before a device that does not stand at the very end
SYMBOL_WIDTH = 18.0
PLATE = 9.0  # size of the type on number plates


@dataclass(frozen=True, slots=True)
class Item:
    """One thing on a stub, `at` its middle, counted from the port, `wide` with the space around it."""

    kind: str
    at: float
    wide: float
    texts: tuple[str, ...] = ()
    device: Placed | None = None
    number: int = 0


@dataclass(frozen=True, slots=True)
class Stub:
    """All items of a wire's end, from the port outwards, and how long the end must be for them."""

    items: tuple[Item, ...]
    length: float


class Stubs:
    """Settles for every wire what stands at which of its ends."""

    def __init__(
        self, texts: Texts, numbers: Mapping[str, int], defects: Mapping[str, Sequence[int]]
    ) -> None:
        self.texts = texts
        self.numbers = numbers
        self.defects = defects

    def of(self, slot: Slot, run: Run) -> Stub:
        """The stub at a slot; a lane has none."""
        if not slot.end:
            return Stub((), 0.0)
        items: list[Item] = []
        at = LEAD
        for kind, wide, texts, device, number in self._contents(slot.end, run):
            items.append(Item(kind, at + wide / 2, wide, texts, device, number))
            at += wide
        return Stub(tuple(items), at + 2)

    def _contents(self, end: str, run: Run) -> list[tuple[str, float, tuple[str, ...], Placed | None, int]]:
        found: list[tuple[str, float, tuple[str, ...], Placed | None, int]] = []
        edge = run.edge
        if isinstance(edge, Conductor):
            placed = devices_at(edge, end)
            ordered = placed if end == "a" else placed[::-1]
            if ordered and 0 < ordered[0].at < edge.length.max_case:
                found.append(("gap", LENGTH_BEFORE, (), None, 0))
            for device in ordered:
                rating = self.texts.amperes(device.device.rating)
                wide = max(SYMBOL_WIDTH, width(rating, DETAIL)) + 4
                found.append(("device", wide, (rating,), device, 0))
        if end != "b" or edge is None:
            return found
        lines = (self.texts.size(edge), self.texts.length(edge)) if isinstance(edge, Conductor) else ()
        number = self.numbers.get(run.id, 0)
        plate = width(str(number), PLATE) + 6 if number else 0.0
        wide = max(plate, *(width(line, DETAIL) for line in lines), 0.0) + 6
        found.append(("label", wide, lines, None, number))
        found += [("mark", MARK, (str(n),), None, n) for n in self.defects.get(run.id, ())]
        return found


def devices_at(conductor: Conductor, end: str) -> list[Placed]:
    """The devices that are drawn at an end: those that stand in its half, in their order from end a."""
    length = conductor.length.max_case
    first = [device for device in conductor.devices if device.at <= length / 2]
    return first if end == "a" else list(conductor.devices[len(first) :])


def zones(stubs: Mapping[int, Stub], segments: Sequence[Segment], channel: int) -> tuple[float, float]:
    """How much room the stubs need at the left and at the right of a channel."""
    slots = [s for segment in segments if segment.channel == channel for s in (segment.first, segment.last)]
    left = max((stubs[id(slot)].length for slot in slots if slot.right), default=0.0)
    right = max((stubs[id(slot)].length for slot in slots if not slot.right), default=0.0)
    return left, right

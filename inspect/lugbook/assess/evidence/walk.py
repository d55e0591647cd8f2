"""The walk from each source of power along every conductor that it can feed, up to the first device that protects it.

A device protects a conductor if its rating is at most what the basis allows for that conductor. So the walk asks two
things in each state: what is the largest device that has to be passed at best on the way to a node (the widest path),
and, for conductors that it does not protect, how far along unprotected copper the point lies from where that begins:
the source itself, or the place where a smaller conductor leaves one that is protected.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import inf
from typing import Literal, NamedTuple

from lugbook.assess.evidence.plan import Plan, Step
from lugbook.model.evidence import Stretch
from lugbook.model.network import Device

SAME = 1 + 1e-9


@dataclass(frozen=True, slots=True)
class Exposed:
    """What a source leaves unprotected of a conductor.

    `length` runs from the `origin` to the farthest unprotected point; the origin is the source, or the reduction of
    section where this conductor begins. `through` are the unprotected conductors on the way, this one last. `passed`
    is the smallest device on the way, too large for this conductor. `guard` protects the rest of it, if anything does.
    """

    conductor: str
    origin: Literal["source", "reduction"]
    length: float
    own: float
    stretches: tuple[Stretch, ...]
    through: tuple[str, ...]
    passed: Device | None
    guard: Device | None


def walk(
    plan: Plan, nodes: Iterable[str], closed: frozenset[str], allowed: Mapping[str, float]
) -> dict[str, Exposed | Device | None]:
    """By conductor that the source feeds: what is exposed of it, else the device that protects it.

    None where nothing needs to protect it. `allowed` is the largest rating that protects each conductor.
    """
    start = [plan.index[node] for node in nodes]
    widest = _widest(plan, start, closed)
    fed = {
        name: pieces for name, pieces in plan.of.items() if any(plan.pieces[n].a in widest for n in pieces)
    }
    bare: dict[float, set[str]] = {}
    sound: set[int] = set()
    found: dict[str, Exposed | Device | None] = {}
    for name, pieces in fed.items():
        most = allowed[name] * SAME
        for number in pieces:
            piece = plan.pieces[number]
            if piece.end <= piece.start:
                continue  # a device at the very end leaves nothing before it
            if max(_rating(widest, piece.a), _rating(widest, piece.b)) > most:
                bare.setdefault(allowed[name], set()).add(name)
            else:
                sound.add(number)
        found[name] = _guard(widest, plan, pieces)
    for most, names in bare.items():
        begin = _origins(plan, start, closed, most, sound, "")
        reached = _distances(plan, begin, closed, most, widest)
        for name in names:
            own = reached
            if len(begin) > len(start):
                # What lies past this conductor alone is no origin of it.
                beginnings = _origins(plan, start, closed, most, sound, name)
                own = reached if beginnings == begin else _distances(plan, beginnings, closed, most, widest)
            found[name] = _exposed(plan, name, widest, own, most)
    return found


Widest = dict[int, tuple[float, Device | None]]


def _rating(widest: Widest, node: int) -> float:
    return widest[node][0] if node in widest else -1.0


def _widest(plan: Plan, start: list[int], closed: frozenset[str]) -> Widest:
    """The rating of the smallest device on the way to each node, on the way where that is largest."""
    widest: Widest = {}
    queue: list[tuple[float, int, int]] = [(-inf, n, node) for n, node in enumerate(start)]
    devices: dict[int, Device | None] = dict.fromkeys(range(len(start)))
    count = len(queue)
    while queue:
        negative, ticket, node = heapq.heappop(queue)
        if node in widest:
            continue
        device = devices.pop(ticket)
        widest[node] = (-negative, device)
        for step in plan.steps[node]:
            if step.to in widest or (step.contact and step.contact not in closed):
                continue
            rating, passed = -negative, device
            if step.device is not None and step.device.rating < rating:
                rating, passed = step.device.rating, step.device
            devices[count] = passed
            heapq.heappush(queue, (-rating, count, step.to))
            count += 1
    return widest


class Reach(NamedTuple):
    """How far a node lies from where the unprotected copper begins, and by which piece one comes to it."""

    distance: float
    reduction: bool
    piece: int
    before: int


def _origins(
    plan: Plan, start: list[int], closed: frozenset[str], most: float, sound: set[int], without: str
) -> list[tuple[float, bool, int]]:
    """Where unprotected copper can begin: the source, and both ends of each protected piece that one comes to."""
    seen = set(start)
    stack = list(start)
    begin = [(0.0, False, node) for node in start]
    while stack:
        node = stack.pop()
        for step in plan.steps[node]:
            if not _open(step, closed, most) or (
                step.piece >= 0 and plan.pieces[step.piece].conductor == without
            ):
                continue
            if step.piece in sound:
                begin += [(0.0, True, node), (0.0, True, step.to)]
            if step.to not in seen:
                seen.add(step.to)
                stack.append(step.to)
    return begin


def _open(step: Step, closed: frozenset[str], most: float) -> bool:
    """Whether a fault current can take this step past the devices that protect up to `most`."""
    if step.contact and step.contact not in closed:
        return False
    return step.device is None or step.device.rating > most * SAME


def _distances(
    plan: Plan,
    begin: list[tuple[float, bool, int]],
    closed: frozenset[str],
    most: float,
    widest: Widest,
) -> dict[int, Reach]:
    """Shortest distances over copper that no device up to `most` cuts off.

    Never back over a device, from what it protects to the side that feeds it.
    """
    reached: dict[int, Reach] = {}
    queue = [(distance, reduction, n, node, -1, -1) for n, (distance, reduction, node) in enumerate(begin)]
    heapq.heapify(queue)
    count = len(queue)
    while queue:
        distance, reduction, _, node, piece, before = heapq.heappop(queue)
        if node in reached:
            continue
        reached[node] = Reach(distance, reduction, piece, before)
        for step in plan.steps[node]:
            if step.to in reached or not _open(step, closed, most):
                continue
            if _rating(widest, step.to) > _rating(widest, node):
                continue
            heapq.heappush(queue, (distance + step.length, reduction, count, step.to, step.piece, node))
            count += 1
    return reached


def _guard(widest: Widest, plan: Plan, pieces: list[int]) -> Device | None:
    """The device that protects a conductor of which nothing is bare: the largest that any of its copper lies behind."""
    reached = [
        widest[node]
        for piece in (plan.pieces[n] for n in pieces)
        for node in (piece.a, piece.b)
        if piece.end > piece.start and node in widest
    ]
    return max(reached, key=lambda entry: entry[0], default=(0.0, None))[1]


def _exposed(
    plan: Plan,
    name: str,
    widest: Widest,
    reached: dict[int, Reach],
    most: float,
) -> Exposed:
    stretches, length, own, far = [], -1.0, 0.0, -1
    guard: Device | None = None
    passed: Device | None = None
    for number in plan.of[name]:
        piece = plan.pieces[number]
        if (
            piece.end <= piece.start
            or piece.a not in reached
            or max(_rating(widest, piece.a), _rating(widest, piece.b)) <= most * SAME
        ):
            continue
        size = piece.end - piece.start
        stretches.append(Stretch(name, piece.start, piece.end))
        own += size
        span = (reached[piece.a].distance + reached[piece.b].distance + size) / 2
        if span > length:
            length, passed = span, widest[piece.a][1]
            guard = _ends_at(plan, name, number, most) or guard
            far = min((piece.a, piece.b), key=lambda node: (reached[node].distance, node == piece.b))
    through, node = [name], far
    while node != -1:
        step = reached[node]
        if step.piece != -1 and plan.pieces[step.piece].conductor not in through:
            through.append(plan.pieces[step.piece].conductor)
        node = step.before
    origin: Literal["source", "reduction"] = "reduction" if reached[far].reduction else "source"
    return Exposed(name, origin, length, own, tuple(stretches), tuple(reversed(through)), passed, guard)


def _ends_at(plan: Plan, name: str, number: int, most: float) -> Device | None:
    """The device at an end of a bare piece that protects copper of the same conductor past it."""
    beside = [n for n in plan.of[name] if abs(n - number) == 1 and plan.pieces[n].end > plan.pieces[n].start]
    ends = {plan.pieces[number].a, plan.pieces[number].b}
    for piece in (plan.pieces[n] for n in beside):
        for node in (piece.a, piece.b):
            for step in plan.steps[node]:
                if step.to in ends and step.device is not None and step.device.rating <= most * SAME:
                    return step.device
    return None

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

from lugbook.assess.evidence.draws import ports
from lugbook.assess.evidence.poles import Islands, Poles
from lugbook.model.evidence import Stretch
from lugbook.model.network import Conductor, Contact, Device, Diode, Inline, Join, Network, Port, Source

SourceOf = Literal["battery", "alternator", "charger", "other source"]
KINDS: dict[str, SourceOf] = {
    "alternator": "alternator",
    "generator": "alternator",
    "mains charger": "charger",
    "dc-dc": "charger",
    "pv-controller": "charger",
    "inverter-charger": "charger",
}
SAME = 1 + 1e-9


@dataclass(frozen=True, slots=True)
class Origin:
    """A source of power at the nodes of its live pole. `most` is what it gives if it limits itself.

    `limited` is None where that is not known; a battery is never limited. `element` is the battery bank, source or
    converter, `subject` the id that the file's entry has.
    """

    element: str
    kind: SourceOf
    nodes: tuple[str, ...]
    most: float | None
    limited: bool | None


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


class Step(NamedTuple):
    """One way on from a node: a piece of conductor (`piece` of the plan) or something without length."""

    to: int
    length: float
    piece: int
    device: Device | None
    contact: str


class Piece(NamedTuple):
    """A piece of a conductor between its ends and devices."""

    conductor: str
    a: int
    b: int
    start: float
    end: float


class Plan:
    """The live pole as a graph in numbers, once for all walks.

    A charging source is followed up to the next battery's posts only (`to_posts`): past them the battery is the source.
    """

    def __init__(self, network: Network, poles: Poles, *, to_posts: bool = False) -> None:
        self.index: dict[str, int] = {node: n for n, node in enumerate(network.nodes)}
        self.steps: list[list[Step]] = [[] for _ in self.index]
        self.pieces: list[Piece] = []
        self.of: dict[str, list[int]] = {}
        self.posts = {node for battery in network.batteries for node in (battery.a, battery.b) if to_posts}
        for edge in network.edges.values():
            if isinstance(edge, Conductor):
                if poles.live(edge):
                    self._conductor(edge)
            elif isinstance(edge, Join | Inline | Contact | Diode):
                device = edge.device if isinstance(edge, Inline) else None
                contact = edge.id if isinstance(edge, Contact) else ""
                both = not isinstance(edge, Diode)
                self._step(self._end(edge.a), self._end(edge.b), 0.0, -1, device, contact, both=both)

    def _end(self, node: str) -> int:
        """The node's number; a post where the walk ends has one for each edge, so that nothing leads on."""
        return self._node() if node in self.posts else self.index[node]

    def _step(
        self, a: int, b: int, length: float, piece: int, device: Device | None = None, contact: str = "", *, both: bool = True
    ) -> None:  # fmt: skip
        self.steps[a].append(Step(b, length, piece, device, contact))
        if both:
            self.steps[b].append(Step(a, length, piece, device, contact))

    def _node(self) -> int:
        self.steps.append([])
        return len(self.steps) - 1

    def _conductor(self, edge: Conductor) -> None:
        here, at = self._end(edge.a), 0.0
        whole = edge.length.high
        for placed in edge.devices:
            before, after = self._node(), self._node()
            self._piece(edge, here, before, at, placed.at)
            self._step(before, after, 0.0, -1, placed.device)
            here, at = after, placed.at
        self._piece(edge, here, self._end(edge.b), at, whole)

    def _piece(self, edge: Conductor, a: int, b: int, start: float, end: float) -> None:
        number = len(self.pieces)
        self.pieces.append(Piece(edge.id, a, b, start, end))
        self.of.setdefault(edge.id, []).append(number)
        # The cables inside a bank are part of the source: distances count from its posts.
        self._step(a, b, 0.0 if edge.use == "link" else end - start, number)


def origins(network: Network, poles: Poles) -> tuple[Origin, ...]:
    """The sources of power on the live pole, batteries first; the blocks of a bank count together."""
    inside = Islands(network.nodes)
    for edge in network.of(Conductor, Join):
        if (isinstance(edge, Conductor) and edge.use == "link") or (
            isinstance(edge, Join) and edge.resistance.assumed == "link"
        ):
            inside.join(edge.a, edge.b)
    posts: dict[tuple[str, str], set[str]] = {}
    for battery in network.batteries:
        for node in (battery.a, battery.b):
            if node not in poles.back:
                posts.setdefault((battery.bank, inside.find(node)), set()).add(node)
    found = [
        Origin(bank, "battery", tuple(sorted(nodes)), None, False)
        for (bank, _), nodes in sorted(posts.items())
    ]
    for source in network.sources:
        nodes = _live(source, poles)
        if nodes:
            kind = KINDS.get(source.kind, "other source")
            found.append(Origin(source.id, kind, nodes, source.current, source.self_limited))
    for port in ports(network):
        converter = network.converters[port.owner]
        gives = port.direction in ("out", "both") if converter.kind != "inverter" else False
        fed_by_own_source = any(source.a == port.a for source in network.sources)
        if (gives and not fed_by_own_source) or (port.direction == "in" and converter.back_feed is True):
            nodes = _live(port, poles)
            if nodes:
                kind = KINDS.get(converter.kind, "other source")
                found.append(
                    Origin(converter.id, kind, nodes, port.current, None if port.current is None else True)
                )
    return tuple(found)


def _live(edge: Source | Port, poles: Poles) -> tuple[str, ...]:
    return tuple(node for node in (edge.a, edge.b) if node not in poles.back)[:1]


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
        reached = _distances(plan, begin, closed, most)
        for name in names:
            own = reached
            if len(begin) > len(start):
                # What lies past this conductor alone is no origin of it.
                beginnings = _origins(plan, start, closed, most, sound, name)
                own = reached if beginnings == begin else _distances(plan, beginnings, closed, most)
            found[name] = _exposed(plan, name, widest, own, most, found[name])
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
    plan: Plan, begin: list[tuple[float, bool, int]], closed: frozenset[str], most: float
) -> dict[int, Reach]:
    """Shortest distances over copper that no device up to `most` cuts off."""
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
            heapq.heappush(queue, (distance + step.length, reduction, count, step.to, step.piece, node))
            count += 1
    return reached


def _guard(widest: Widest, plan: Plan, pieces: list[int]) -> Device | None:
    """The device on the way to the conductor's best protected piece."""
    reached = [widest[plan.pieces[n].a] for n in pieces if plan.pieces[n].a in widest]
    reached += [widest[plan.pieces[n].b] for n in pieces if plan.pieces[n].b in widest]
    return min(reached, key=lambda entry: entry[0])[1]


def _exposed(
    plan: Plan,
    name: str,
    widest: Widest,
    reached: dict[int, Reach],
    most: float,
    guard: Exposed | Device | None,
) -> Exposed:
    stretches, length, own, far = [], -1.0, 0.0, -1
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
            far = min((piece.a, piece.b), key=lambda node: (reached[node].distance, node == piece.b))
    through, node = [name], far
    while node != -1:
        step = reached[node]
        if step.piece != -1 and plan.pieces[step.piece].conductor not in through:
            through.append(plan.pieces[step.piece].conductor)
        node = step.before
    protects = guard if isinstance(guard, Device) and guard.rating <= most * SAME else None
    origin: Literal["source", "reduction"] = "reduction" if reached[far].reduction else "source"
    return Exposed(name, origin, length, own, tuple(stretches), tuple(reversed(through)), passed, protects)


def beyond(network: Network, conductor: Conductor, node: str) -> set[str]:
    """Nodes that lie past a conductor seen from its end `node`, with every switch closed."""
    start = network.other(conductor, node)
    seen, stack = {start}, [start]
    while stack:
        here = stack.pop()
        for edge in network.at(here):
            if edge.id == conductor.id or not isinstance(edge, Conductor | Join | Inline | Contact | Diode):
                continue
            if isinstance(edge, Diode) and edge.b == here:
                continue
            further = network.other(edge, here)
            if further not in seen:
                seen.add(further)
                stack.append(further)
    return seen


def banks_at(network: Network, nodes: set[str]) -> set[str]:
    """The banks with a post among these nodes."""
    return {battery.bank for battery in network.batteries if {battery.a, battery.b} & nodes}

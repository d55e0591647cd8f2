"""Between which nodes a short is tried: pole to pole where each node lies, live to body, mid-point to either pole.

Nobody enters where the return pole runs beside a live node. It is taken from what the node feeds: a circuit's return
lies beside its feed, so one goes from the node to the nearest element across the poles, and as far back on the other
side; a fuse within reach of a battery is tried to the battery's other post as well. Where
that falls between two nodes, the one nearer to the battery counts for the largest current and the farther
one for the least.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from lugbook.assess.evidence.circuit import Layout
from lugbook.assess.evidence.poles import NEAR, Poles
from lugbook.model.network import Battery, Conductor, Contact, Edge, Inline, Join, Load, Network, Port, Source

PairKind = Literal["pole to pole", "live to body", "mid-point to positive", "across a block"]
ACROSS = (Load, Source, Port, Battery)
SAME = 1 + 1e-9
# A device that stands this near to a battery's post [m] can be shorted to the battery's other post; common practice,
# no source.
REACH = 0.5


@dataclass(frozen=True, slots=True)
class Pair:
    """A short to be tried: from a node to another; `near` for the largest current, `far` for the least."""

    at: str
    near: str
    far: str
    kind: PairKind


@dataclass(frozen=True, slots=True)
class Way:
    """One way on from a node: to where, how long [m], through which edge."""

    to: str
    length: float
    edge: str


def ways(network: Network, cut: Layout) -> dict[str, list[Way]]:
    """All that conducts, with every contact closed; devices in conductors have nodes of their own."""
    found: dict[str, list[Way]] = {}

    def add(a: str, b: str, length: float, edge: str) -> None:
        found.setdefault(a, []).append(Way(b, length, edge))
        found.setdefault(b, []).append(Way(a, length, edge))

    for edge in network.edges.values():
        if isinstance(edge, Conductor):
            for section in cut.sections[edge.id]:
                add(section.a, section.b, section.end - section.start, edge.id)
            for placed in edge.devices:
                add(*cut.device_nodes[placed.device.id], 0.0, edge.id)
        elif isinstance(edge, Join | Inline | Contact):
            add(edge.a, edge.b, 0.0, edge.id)
    return found


def pairs(network: Network, poles: Poles, cut: Layout) -> tuple[Pair, ...]:
    """Every short to be tried."""
    joined = ways(network, cut)
    back = poles.back
    live = _reach({e.a for e in _across(network)} | {e.b for e in _across(network)}, joined, back, live=True)
    posts, nearest = _nearest(network, joined, back)
    devices = {node for nodes in cut.device_nodes.values() for node in nodes}
    home = _home(network, joined, back)
    top, level = _tops(network, poles)
    found: list[Pair] = []
    bodies = [n for n, node in network.nodes.items() if node.kind == "body"]
    for node in sorted(live):
        if node in nearest:
            length, other = nearest[node]
            near, far = _beside(other, length, home)
            found.append(Pair(node, near, far, "pole to pole"))
            # A device within reach of a battery lies beside that battery's other post.
            if node in devices and node in posts and posts[node][0] <= min(length, REACH):
                found.append(Pair(node, posts[node][1], far, "pole to pole"))
        owner = network.nodes.get(node)
        if owner is None or owner.kind != "terminal" or node in {b.a for b in network.batteries}:
            found += [Pair(node, body, body, "live to body") for body in bodies if body in back]
        upper = top.get(poles.group.get(node, ""))
        if upper is not None and node in level and level[upper] - level[node] > NEAR * network.system:
            found.append(Pair(upper, node, node, "mid-point to positive"))
    found += [Pair(b.a, b.b, b.b, "across a block") for b in network.batteries if b.b not in back]
    return tuple(dict.fromkeys(found))


def _across(network: Network) -> list[Edge]:
    """Elements across the poles; a relay's control circuit has thin leads of its own and tells of no other return."""
    return [
        edge
        for edge in network.edges.values()
        if isinstance(edge, ACROSS) and not (isinstance(edge, Load) and edge.kind == "coil")
    ]


def _reach(
    start: Iterable[str], joined: Mapping[str, list[Way]], back: frozenset[str], *, live: bool
) -> set[str]:
    """The nodes of one pole that can be come to, devices' own nodes among them."""
    seen = {node for node in start if (node not in back) == live}
    stack = list(seen)
    while stack:
        for way in joined.get(stack.pop(), ()):
            if way.to not in seen and (way.to not in back) == live:
                seen.add(way.to)
                stack.append(way.to)
    return seen


def _nearest(
    network: Network, joined: Mapping[str, list[Way]], back: frozenset[str]
) -> tuple[dict[str, tuple[float, str]], dict[str, tuple[float, str]]]:
    """For each live node the nearest battery, and the nearest element across the poles that tells where it lies.

    Both with how far off it is, and its terminal on the return pole.
    """
    posts: list[tuple[float, str, str]] = []
    others: list[tuple[float, str, str]] = []
    for edge in _across(network):
        for mine, other in ((edge.a, edge.b), (edge.b, edge.a)):
            if mine not in back and other in back:
                (posts if isinstance(edge, Battery) else others).append((0.0, mine, other))
    # What a node feeds tells more of its place than the battery that feeds it; but a post lies at its battery.
    near = {node: (length, other) for node, length, other in _spread(list(posts), joined, back, live=True)}
    found = near | {node: (length, other) for node, length, other in _spread(others, joined, back, live=True)}
    return near, found | {mine: (0.0, other) for _, mine, other in posts}


def _home(
    network: Network, joined: Mapping[str, list[Way]], back: frozenset[str]
) -> dict[str, tuple[float, str]]:
    """For each return node the next one towards the nearest source, and how far off that is."""
    sources = [edge for edge in _across(network) if not isinstance(edge, Load)]
    stiff = [edge for edge in sources if isinstance(edge, Battery)] or sources
    queue = [(0.0, node, "") for edge in stiff for node in (edge.a, edge.b) if node in back]
    found: dict[str, tuple[float, str]] = {}
    done: dict[str, float] = {}
    heapq.heapify(queue)
    while queue:
        length, node, before = heapq.heappop(queue)
        if node in done:
            continue
        done[node] = length
        if before:
            found[node] = (length - done[before], before)
        for way in joined.get(node, ()):
            if way.to in back and way.to not in done:
                heapq.heappush(queue, (length + way.length, way.to, node))
    return found


def _spread(
    queue: list[tuple[float, str, str]],
    joined: Mapping[str, list[Way]],
    back: frozenset[str],
    *,
    live: bool,
) -> list[tuple[str, float, str]]:
    heapq.heapify(queue)
    done: set[str] = set()
    found = []
    while queue:
        length, node, label = heapq.heappop(queue)
        if node in done:
            continue
        done.add(node)
        found.append((node, length, label))
        for way in joined.get(node, ()):
            if (way.to not in back) == live and way.to not in done:
                heapq.heappush(queue, (length + way.length, way.to, label))
    return found


def _beside(other: str, length: float, home: Mapping[str, tuple[float, str]]) -> tuple[str, str]:
    """The return nodes before and after the point that lies as far back as the node lies from the element."""
    gone, here = 0.0, other
    while here in home:
        step, onward = home[here]
        if gone + step > length * SAME + 1e-9:
            return (here, here) if gone * SAME >= length else (onward, here)
        gone, here = gone + step, onward
    return here, here


def _tops(network: Network, poles: Poles) -> tuple[dict[str, str], dict[str, float]]:
    """The node with the highest nominal voltage in each group of batteries, and all levels."""
    top: dict[str, str] = {}
    for battery in network.batteries:
        group, level = poles.group.get(battery.a, ""), poles.level.get(battery.a)
        if level is not None and (group not in top or level > poles.level[top[group]]):
            top[group] = battery.a
    return top, dict(poles.level)

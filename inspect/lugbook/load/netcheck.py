"""What only the whole network tells: shorted sources, polarities that conflict, things not connected."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator

from lugbook.load.tree import Document
from lugbook.model.islands import Islands
from lugbook.model.network import (
    Battery,
    Conductor,
    Contact,
    Edge,
    Inline,
    Join,
    Load,
    Network,
    Port,
    Source,
    State,
)

# What conducts without taking up voltage; a source across nothing else is shorted.
PLAIN = (Conductor, Join, Inline, Contact)
# Elements whose terminals must all be connected to something.
CONNECTED = (Battery, Source, Port, Load)
# Nominal voltages of one place by two ways may differ this much (12 V and 12.8 V blocks in a 48 V bank).
SPREAD = 0.1


def check(network: Network, document: Document) -> None:
    """Report what the network as a whole has wrong."""
    done: set[str] = set()
    states = list(_by_state(network))
    for state, islands in states:
        _shorts(network, state, islands, document, done)
    if not done:
        levels = [_levels(network, state, islands, document, done) for state, islands in states]
        if not done:  # batteries that contradict each other make the rest the wrong way round too
            for (state, islands), found in zip(states, levels, strict=True):
                _polarity(network, state, islands, found, document, done)
    _loose(network, document)


def _by_state(network: Network) -> Iterator[tuple[State, Islands]]:
    """Named states first, so that messages speak of them where they can; equal ones once."""
    plain = [edge for edge in network.of(*PLAIN) if not isinstance(edge, Contact)]
    contacts = list(network.of(Contact))
    whole = _joined(Islands(network.nodes), plain)
    seen: set[tuple[frozenset[str], frozenset[str]]] = set()
    for state in (*network.states, *network.reachable):
        key = (state.closed, state.removed)
        if key in seen:
            continue
        seen.add(key)
        if state.removed:
            islands = _joined(
                Islands(network.nodes), [edge for edge in plain if edge.id not in state.removed]
            )
        else:
            islands = whole.copy()
        yield state, _joined(islands, [contact for contact in contacts if contact.id in state.closed])


def _joined(islands: Islands, edges: Iterable[Edge]) -> Islands:
    for edge in edges:
        islands.join(edge.a, edge.b)
    return islands


def _shorts(network: Network, state: State, islands: Islands, document: Document, done: set[str]) -> None:
    """One problem a closed path, at the first of the sources that it shorts."""
    shorted: dict[str, list[Edge]] = {}
    for edge in network.of(Battery, Source):
        if (
            edge.id not in done
            and edge.id not in state.removed
            and islands.find(edge.a) == islands.find(edge.b)
        ):
            shorted.setdefault(islands.find(edge.a), []).append(edge)
    for edges in shorted.values():
        done |= {edge.id for edge in edges}
        first = min(
            edges, key=lambda edge: (isinstance(edge, Source), len(_path(network, state, edge)), edge.id)
        )
        way = ", ".join(f"'{step}'" for step in _path(network, state, first))
        others = "".join(f", and so is '{edge.id}'" for edge in edges if edge is not first)
        message = f"'{first.id}' is shorted in the state '{state.id}' by a path without a load: {way}{others}"
        hint = "one of these goes to the wrong terminal; or forbid the combination under 'interlocks'"
        document.report(first.path, "P615", message, hint)


def _path(network: Network, state: State, edge: Edge) -> list[str]:
    """The edges of a shortest plain path from end a to end b."""
    came: dict[str, tuple[str, str]] = {edge.a: ("", "")}
    queue = deque([edge.a])
    while queue:
        node = queue.popleft()
        for step in network.at(node):
            if isinstance(step, PLAIN) and network.present(step, state):
                further = network.other(step, node)
                if further not in came:
                    came[further] = (node, step.id)
                    queue.append(further)
    steps, node = [], edge.b
    while came[node][1]:
        node, step_id = came[node]
        steps.append(step_id)
    return steps[::-1]


Levels = tuple[dict[str, float], dict[str, str]]


def _levels(network: Network, state: State, islands: Islands, document: Document, done: set[str]) -> Levels:
    """Nominal voltages of the islands from battery to battery, and which islands belong together."""
    links: dict[str, list[tuple[str, float, Battery]]] = {}
    for battery in network.batteries:
        if battery.id not in state.removed:
            a, b = islands.find(battery.a), islands.find(battery.b)
            links.setdefault(a, []).append((b, -battery.volts, battery))
            links.setdefault(b, []).append((a, battery.volts, battery))
    level: dict[str, float] = {}
    group: dict[str, str] = {}
    for start in sorted(links):
        if start in level:
            continue
        level[start], group[start] = 0.0, start
        queue = deque([start])
        while queue:
            node = queue.popleft()
            for further, volts, battery in links[node]:
                there = level[node] + volts
                if further not in level:
                    level[further], group[further] = there, start
                    queue.append(further)
                elif _contradicts(level[further], there, battery.volts) and not done & {battery.id}:
                    between = abs(level[further] - there)
                    _conflict(battery, between, links, state, document, done)
    return level, group


def _contradicts(one: float, other: float, volts: float) -> bool:
    return abs(one - other) > SPREAD * max(abs(one), abs(other), volts)


def _conflict(
    battery: Battery,
    between: float,
    links: dict[str, list[tuple[str, float, Battery]]],
    state: State,
    document: Document,
    done: set[str],
) -> None:
    """One problem for a set of batteries that contradict each other."""
    members = sorted({other.id for entries in links.values() for _, _, other in entries})
    done |= set(members)
    others = ", ".join(f"'{name}'" for name in members if name != battery.id)
    message = f"'{battery.id}' ({battery.volts:g} V) is joined against {others} in the state '{state.id}': {between:g} V between them"
    document.report(
        battery.path, "P616", message, "one of them is the wrong way round, or of another voltage"
    )


def _polarity(
    network: Network, state: State, islands: Islands, levels: Levels, document: Document, done: set[str]
) -> None:
    """Report loads, sources and converters that would stand the wrong way round, or at nothing."""
    level, group = levels
    for edge in network.of(Load, Source, Port):
        a, b = islands.find(edge.a), islands.find(edge.b)
        if edge.id in done or a == b or edge.id in state.removed or group.get(a, a) != group.get(b, b):
            continue
        seen = level[a] - level[b]
        if seen < 0.5:
            done.add(edge.id)
            message = f"'{edge.id}' would stand at {seen:g} V in the state '{state.id}'"
            hint = "compare plus and minus of it and of the batteries that feed it"
            document.report(edge.path, "P616", message, hint)


def _loose(network: Network, document: Document) -> None:
    """Warn of elements with a free terminal, and of parts that no source feeds."""
    islands = Islands(network.nodes)
    for edge in network.edges.values():
        islands.join(edge.a, edge.b)
    fed = {islands.find(edge.a) for edge in network.of(Battery, Source)}
    warned: set[tuple[str | int, ...]] = set()
    for node in network.nodes.values():
        if node.id.endswith(".core"):  # inside a charger with several outputs
            continue
        others = [edge for edge in network.at(node.id) if _element(edge) != node.owner or not node.owner]
        needed = [edge for edge in network.at(node.id) if isinstance(edge, CONNECTED)]
        alone = not others and (needed or not node.owner)
        if (alone or islands.find(node.id) not in fed) and node.path not in warned:
            warned.add(node.path)
            what = (
                f"nothing is connected to '{node.id}'"
                if alone
                else f"no battery or source is connected to '{node.id}'"
            )
            document.report(
                node.path, "P617", what, "add the conductor, or delete the element", severity="warning"
            )


def _element(edge: Edge) -> str:
    """The element that an edge belongs to."""
    if isinstance(edge, Battery):
        return edge.bank
    return getattr(edge, "owner", "") or edge.id

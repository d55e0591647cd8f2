"""The voltage along the charging path: what the entered cables let one expect, and what was read.

One lead stays at the source's minus while the other goes along the plus side to the battery; then the plus lead stays
there while the other goes along the minus side. So each stop is a voltage that a meter can show, from the source's
posts to the battery's. The expected voltage starts at the one read at the source and loses I R in each section.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence

from lugbook.assess.diagnosis.bench import Bench
from lugbook.assess.evidence.capacity import at_20
from lugbook.calc.conductor import at_temperature
from lugbook.model.diagnosis import Along, Drop, Measured, Moment, Seen, Stop
from lugbook.model.network import Battery, Conductor, Contact, Diode, Edge, Inline, Join, Load, Source, State

# A good bolted joint, or a closed contact, has at most so much [ohm] (trade knowledge, no source).
JOINT = 0.0005
# Half the width of a bar, in standard uncertainties.
WIDE = 2.0
WAYS = (Conductor, Join, Contact, Inline, Diode)


def along(bench: Bench, used: Sequence[Measured]) -> Along | None:
    """The line of the moment with the most readings on it; None where no moment has source, battery and current."""
    found = [_line(bench, moment, used) for moment in dict.fromkeys(one.moment for one in used)]
    lines = [one for one in found if one is not None]
    return max(lines, key=lambda one: len(one.seen) + len(one.drops), default=None)


def _line(bench: Bench, moment: Moment, used: Sequence[Measured]) -> Along | None:
    network = bench.network
    state = next(one for one in network.states if one.id == moment.state)
    here = [one for one in used if one.moment == moment]
    posts = {(one.point.a, one.point.b): one for one in here if one.point.b}
    source = next((s for s in network.sources if s.id in state.sources and (s.a, s.b) in posts), None)
    read = [b for b in network.batteries if (b.a, b.b) in posts and b.id not in state.removed]
    battery = min(read, key=lambda b: posts[b.a, b.b].value / b.volts, default=None)
    if source is None or battery is None or source.b == battery.a:
        return None
    plus = _way(bench, state, source.a, battery.a)
    minus = _way(bench, state, source.b, battery.b)
    if plus is None or minus is None or not plus:
        return None
    lugs = {name for one in here for name in (one.point.a, one.point.b)}
    stops = [Stop(source.a, source.b, "", 0.0, 0.0)]
    flow = _flow(bench, state, source, [*plus, *minus], here)
    if flow is None:
        return None
    for edge, start in plus:
        stops += _stops(bench, edge, start, stops[-1].plus, stops[-1].minus, flow[edge.id], lugs, plus=True)
    for edge, start in minus:
        stops += _stops(bench, edge, start, stops[-1].plus, stops[-1].minus, flow[edge.id], lugs, plus=False)
    anchor = posts[source.a, source.b]
    return _drawn(moment, source, battery, anchor, stops, here)


def _way(bench: Bench, state: State, start: str, end: str) -> list[tuple[Edge, str]] | None:
    """The shortest way by number of edges, each with the node that it is entered at; None if there is none."""
    network = bench.network
    came: dict[str, tuple[Edge, str]] = {}
    queue, known = deque([start]), {start}
    while queue:
        node = queue.popleft()
        for edge in network.at(node):
            onward = network.other(edge, node)
            if not isinstance(edge, WAYS) or onward in known or not network.present(edge, state):
                continue
            if getattr(edge, "use", "") == "bond" or (isinstance(edge, Diode) and edge.a != node):
                continue
            known.add(onward)
            came[onward] = (edge, node)
            queue.append(onward)
    way: list[tuple[Edge, str]] = []
    here = end
    while here != start:
        if here not in came:
            return None
        way.append(came[here])
        here = came[here][1]
    return way[::-1]


def _flow(
    bench: Bench, state: State, source: Source, way: list[tuple[Edge, str]], here: Sequence[Measured]
) -> dict[str, tuple[float, float]] | None:
    """Least and most current of each section [A]: as read there, else between what was read less all loads, and that."""
    read = {one.point.a: one for one in here if not one.point.b}
    names = {edge.id for edge, _ in way} | {source.id}
    given = [one for name, one in read.items() if name in names]
    if not given:
        return None
    top = max(given, key=lambda one: abs(one.value))
    loads = sum(
        (load.current.high if load.current else (load.power or 0.0) / bench.network.system)
        for load in bench.network.of(Load)
        if isinstance(load, Load) and bench.network.present(load, state) and load.duty == "continuous"
    )
    most = abs(top.value) + WIDE * top.u
    least = max(abs(top.value) - WIDE * top.u - loads, 0.0)
    flows = {}
    for edge, _ in way:
        one = read.get(edge.id)
        bounds = (abs(one.value) - WIDE * one.u, abs(one.value) + WIDE * one.u) if one else (least, most)
        flows[edge.id] = (max(bounds[0], 0.0), bounds[1])
    return flows


def _stops(
    bench: Bench, edge: Edge, start: str, plus_node: str, minus_node: str, flow: tuple[float, float], lugs: set[str],
    *, plus: bool,
) -> list[Stop]:  # fmt: skip
    """The stops that a section adds: its end, and its lugs where a reading names them."""
    end = bench.network.other(edge, start)
    parts: list[tuple[str, str, float, float]] = []
    if isinstance(edge, Conductor):
        ends = ("from", "to") if edge.a == start else ("to", "from")
        first, last = (f"{edge.id}.{name}" for name in ends)
        cable = _cable(edge)
        joints = JOINT * len(edge.devices)
        if first in lugs:
            parts.append((first, first, 0.0, JOINT))
        if last in lugs:
            parts.append((last, edge.id, cable[0], cable[1] + joints + (0.0 if first in lugs else JOINT)))
            parts.append((end, last, 0.0, JOINT))
        else:
            parts.append((end, edge.id, cable[0], cable[1] + joints + (1 if first in lugs else 2) * JOINT))
    elif isinstance(edge, Join):
        parts.append((end, edge.id, edge.resistance.low, edge.resistance.high + JOINT))
    else:
        parts.append((end, edge.id, 0.0, JOINT))
    drop = (edge.drop.low, edge.drop.high) if isinstance(edge, Diode) else (0.0, 0.0)
    return [
        Stop(node if plus else plus_node, minus_node if plus else node, name, flow[0] * low + drop[0], flow[1] * high + drop[1])
        for node, name, low, high in parts
    ]  # fmt: skip


def _cable(one: Conductor) -> tuple[float, float]:
    """A conductor's resistance [ohm]: at the coolest around it, and as hot as its insulation is rated."""
    cold = at_20(one)
    return (
        at_temperature(resistance=cold.low, temperature=one.ambient.low),
        at_temperature(resistance=cold.high, temperature=one.insulation.high),
    )


def _drawn(
    moment: Moment, source: Source, battery: Battery, anchor: Measured, stops: list[Stop], here: Sequence[Measured]
) -> Along:  # fmt: skip
    """The expected voltages summed up, and each reading at its stop."""
    low = high = anchor.value
    band = []
    for stop in stops:
        low, high = low - stop.most, high - stop.least
        band.append((low, high))
    at = {(stop.plus, stop.minus): n for n, stop in enumerate(stops)}
    seen = [
        Seen(at[one.point.a, one.point.b], one.value, WIDE * one.u, one.id)
        for one in here
        if (one.point.a, one.point.b) in at
    ]
    drops = [drop for one in here if (drop := _drop(stops, one)) is not None]
    seen += _chained(seen, drops)
    return Along(moment, source.id, battery.bank, tuple(stops), tuple(band), tuple(seen), tuple(drops))


def _chained(seen: list[Seen], drops: list[Drop]) -> list[Seen]:
    """What drops say of further stops, from a stop whose voltage was read."""
    known = {one.stop: one.value for one in seen}
    made: list[Seen] = []
    for _ in drops:
        for drop in drops:
            for here, there, sign in ((drop.start, drop.end, -1.0), (drop.end, drop.start, 1.0)):
                if here in known and there not in known:
                    known[there] = known[here] + sign * drop.value
                    made.append(Seen(there, known[there], drop.half, drop.reading, chained=True))
    return made


def _drop(stops: list[Stop], one: Measured) -> Drop | None:
    """A reading from one stop of a side to another stop of the same side, as it falls along the way."""
    if not one.point.b:
        return None
    for side in ("plus", "minus"):
        first: dict[str, int] = {}
        last: dict[str, int] = {}
        for n, stop in enumerate(stops):
            first.setdefault(getattr(stop, side), n)
            last[getattr(stop, side)] = n
        a, b = one.point.a, one.point.b
        if a not in first or b not in first or a == b:
            continue
        # A lead stays at its node until it moves on: a section begins at the last stop there.
        (start, _), (_, end) = sorted(((last[a], first[a]), (last[b], first[b])), key=lambda pair: pair[1])
        sign = 1.0 if (first[a] < first[b]) == (side == "plus") else -1.0
        low = sum(stop.least for stop in stops[start + 1 : end + 1])
        high = sum(stop.most for stop in stops[start + 1 : end + 1])
        return Drop(start, end, sign * one.value, WIDE * one.u, low, high, one.id)
    return None

"""The installation in a state, with hypotheses put in, as elements for the solver.

Beside the patch stand the unknowns of a healthy boat: how much charge each battery takes, the voltage and the limit of
the sources at that speed, the resistance of the cables within their tolerance, the loads. Each is a standard normal
variable; `KINDS` says by how much one standard deviation moves it. Trade knowledge, no source, unless noted.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache

from lugbook.assess.diagnosis.narrow import feeds
from lugbook.assess.evidence.capacity import at_20
from lugbook.assess.evidence.circuit import Layout, Section
from lugbook.assess.evidence.fault_sources import inner
from lugbook.calc.conductor import at_temperature
from lugbook.calc.nodal import Cell, Element, Resistor, Supply, Valve
from lugbook.model.apparatus import LITHIUM
from lugbook.model.diagnosis import Change
from lugbook.model.network import (
    Battery,
    Conductor,
    Contact,
    Diode,
    Inline,
    Join,
    Load,
    Network,
    Port,
    Source,
    State,
)  # fmt: skip

NOTHING, STIFF = 1e-5, 2e-3
# A good bolted joint [ohm], and what ties a separate part to the rest: a meter's own resistance.
JOINT, METER = 0.00015, 1e7
# How a lead-acid battery takes charge: its apparent resistance for 100 Ah at 12 V [ohm], hungry, half full, full.
TAKES = (0.025, 0.09, 0.35)
TAKES_LITHIUM = (0.008, 0.02, 0.2)
AMPERE_HOURS_100 = 360_000.0
Draw = Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Bench:
    """A network prepared for diagnosis: `path` are the conductors that carry charge, given inner nodes at their ends.

    `untouched` keeps the pieces of conductors that a patch leaves alone.
    """

    network: Network
    cut: Layout
    path: frozenset[str]
    untouched: dict[tuple[str, float], list[Element]] = field(default_factory=dict)
    _ohms: dict[str, float] = field(default_factory=dict)

    def ohms(self, one: Conductor) -> float:
        """A conductor's resistance, midway between what its data allow."""
        if one.id not in self._ohms:
            cold, temperature = at_20(one), (one.ambient.low + one.ambient.high) / 2
            middle = math.sqrt(cold.low * cold.high)
            self._ohms[one.id] = at_temperature(resistance=middle, temperature=temperature)
        return self._ohms[one.id]


def unknowns(network: Network, state: State) -> tuple[str, ...]:
    """The healthy boat's unknowns in a state."""
    banks = dict.fromkeys(b.bank for b in network.batteries if b.id not in state.removed)
    names = ["wire", "load", *(f"emf:{bank}" for bank in banks)]
    if any(load.kind == "coil" for load in network.loads):
        names.append("coil")
    if state.sources:
        names += ["volts", "limit", *(f"takes:{bank}" for bank in banks)]
    else:
        names.append("inner")
    return tuple(names)


def elements(
    bench: Bench,
    state: State,
    opened: frozenset[str],
    changes: tuple[tuple[Change, float], ...],
    draw: Draw,
    regime: int,
    only: frozenset[str] | None = None,
) -> list[Element]:
    """The circuit of one draw of the unknowns under a patch; `only` the elements of these edges."""
    network, made = bench.network, list[Element]()
    wire = math.exp(0.08 * draw.get("wire", 0.0))
    edges = network.edges if only is None else {name: network.edges[name] for name in only}
    for name, edge in edges.items():
        if not network.present(edge, state) or name in opened:
            continue
        if isinstance(edge, Conductor):
            made += _conductor(bench, edge, opened, changes, wire)
        elif isinstance(edge, Join | Contact):
            made.append(Resistor(name, edge.a, edge.b, NOTHING + _sum(changes, "ohms", name)))
        elif isinstance(edge, Inline):
            if edge.device.id not in opened:
                made.append(Resistor(edge.id, edge.a, edge.b, NOTHING))
        elif isinstance(edge, Diode):
            made.append(Valve(name, edge.a, edge.b, (edge.drop.low + edge.drop.high) / 2, STIFF))
        elif isinstance(edge, Battery):
            made += _battery(edge, changes, draw, regime, charging=bool(state.sources))
        elif isinstance(edge, Source):
            made.append(_source(edge, changes, draw))
        elif (
            isinstance(edge, Port)
            and edge.direction == "out"
            and edge.volts
            and edge.current
            and state.sources
            and feeds(network, network.converters[edge.owner], state)
        ):
            made.append(Supply(name, edge.a, edge.b, edge.volts[1], edge.current, STIFF))
        elif isinstance(edge, Load) and edge.duty == "continuous" and edge.kind != "cranking motor":
            made.append(Resistor(name, edge.a, edge.b, _load(edge, network.system, draw)))
    made += [
        Resistor(f"drain:{c.target}", *_posts(network, c.target), network.system / value)
        for c, value in changes if c.what == "drain" and not state.sources and only is None
    ]  # fmt: skip
    return made


def touched(network: Network, name: str) -> frozenset[str]:
    """The edges whose elements an unknown moves."""
    what, _, bank = name.partition(":")
    if what == "wire":
        return frozenset(one.id for one in network.conductors)
    if what in ("load", "coil"):
        return frozenset(one.id for one in network.loads if (one.kind == "coil") == (what == "coil"))
    if what in ("volts", "limit"):
        return frozenset(one.id for one in network.sources)
    return frozenset(one.id for one in network.batteries if bank in ("", one.bank))


def _sum(changes: tuple[tuple[Change, float], ...], what: str, target: str) -> float:
    return sum(value for c, value in changes if c.what == what and c.target == target)


def _times(changes: tuple[tuple[Change, float], ...], what: str, target: str) -> float:
    return math.prod(value for c, value in changes if c.what == what and c.target == target)


def _conductor(
    bench: Bench,
    one: Conductor,
    opened: frozenset[str],
    changes: tuple[tuple[Change, float], ...],
    wire: float,
) -> list[Element]:
    hit = any(c.target in (one.id, f"{one.id}.from", f"{one.id}.to") for c, _ in changes)
    if hit or any(p.device.id in opened for p in one.devices):
        return _pieces(bench, one, opened, changes, wire)
    key = (one.id, wire)
    if key not in bench.untouched:
        bench.untouched[key] = _pieces(bench, one, opened, (), wire)
    return bench.untouched[key]


def _pieces(
    bench: Bench,
    one: Conductor,
    opened: frozenset[str],
    changes: tuple[tuple[Change, float], ...],
    wire: float,
) -> list[Element]:
    ohms = bench.ohms(one) * wire * _times(changes, "factor", one.id)
    sections = bench.cut.sections[one.id]
    made: list[Element] = []
    for n, section in enumerate(sections):
        a, b = section.a, section.b
        if one.id in bench.path:  # the lugs stand between the studs and the conductor
            if n == 0:
                a = f"{one.id}.from"
                made.append(Resistor(f"{a}!", section.a, a, JOINT + _sum(changes, "ohms", a)))
            if n == len(sections) - 1:
                b = f"{one.id}.to"
                made.append(Resistor(f"{b}!", b, section.b, JOINT + _sum(changes, "ohms", b)))
        share = (section.end - section.start) / one.length.high if one.length.high else 1.0
        made.append(Resistor(section.id, a, b, max(ohms * share, NOTHING)))
    return made + [
        Resistor(p.device.id, *bench.cut.device_nodes[p.device.id], NOTHING) for p in one.devices if p.device.id not in opened
    ]  # fmt: skip


def first_section(bench: Bench, conductor: str) -> Section:
    """The section that stands for a conductor's current."""
    return bench.cut.sections[conductor][0]


def _battery(
    one: Battery, changes: tuple[tuple[Change, float], ...], draw: Draw, regime: int, *, charging: bool
) -> list[Element]:
    """A battery: what it gives, it gives through its internal resistance; what it takes, as its charge lets it."""
    scale = one.volts / 12
    lithium = one.chemistry in LITHIUM
    centre, spread = (13.25, 0.1) if lithium else (12.55, 0.2)
    emf = scale * (centre + spread * draw.get(f"emf:{one.bank}", 0.0))
    for target in {one.id, one.bank}:
        emf += _sum(changes, "emf", target)
    worse = _times(changes, "inner", one.id) * (
        _times(changes, "inner", one.bank) if one.bank != one.id else 1.0
    )
    ohms = _inner_ohms(one) * worse * math.exp(0.4 * draw.get("inner", 0.0))
    core = f"{one.id}*"
    made: list[Element] = [
        Cell(one.id, core, one.b, max(emf, 0.0), NOTHING),
        Valve(f"{one.id}>", core, one.a, 0.0, ohms),
    ]
    takes = ohms
    if charging:
        size = (one.capacity or AMPERE_HOURS_100) / AMPERE_HOURS_100
        steps = TAKES_LITHIUM if lithium else TAKES
        takes = steps[regime] * scale / size * worse * math.exp(0.55 * draw.get(f"takes:{one.bank}", 0.0))
    made.append(Valve(f"{one.id}<", one.a, core, 0.0, takes))
    return made


@lru_cache(maxsize=256)
def _inner_ohms(one: Battery) -> float:
    found = inner(one, ()).ohms
    return 0.003 if found is None else math.sqrt(max(found.low, 1e-4) * max(found.high, 1e-4))


def held(one: Source, changes: tuple[tuple[Change, float], ...]) -> tuple[float, float]:
    """The voltage that a source holds, and its standard deviation: what lies far above it did not come from it."""
    set_to = [value for c, value in changes if c.what == "volts" and c.target == one.id]
    if set_to:
        return set_to[0], 0.1
    middle, half = (one.volts.low + one.volts.high) / 2, (one.volts.high - one.volts.low) / 2
    # A source that senses elsewhere holds its voltage there: at its own terminal it may be higher.
    return middle, max(half / 1.5, 0.1) + (0.2 if one.sense not in ("", one.a) else 0.0)


def _source(one: Source, changes: tuple[tuple[Change, float], ...], draw: Draw) -> Supply:
    volts, sigma = held(one, changes)
    if not any(c.what == "volts" and c.target == one.id for c, _ in changes):
        volts += sigma * draw.get("volts", 0.0)
    limit = one.current * 0.75 * math.exp(0.18 * draw.get("limit", 0.0)) * _times(changes, "limit", one.id)
    return Supply(one.id, one.a, one.b, max(volts, 0.0), max(limit, 0.0), STIFF)


def _load(one: Load, system: float, draw: Draw) -> float:
    amperes = (
        one.power / system if one.power else (one.current.high + one.current.low) / 2 if one.current else 1.0
    )
    # A coil's current is known better than what else happens to be switched on.
    spread = 0.2 * draw.get("coil", 0.0) if one.kind == "coil" else 0.4 * draw.get("load", 0.0)
    return system / max(amperes, 1e-3) / math.exp(spread)


def _posts(network: Network, bank: str) -> tuple[str, str]:
    block = next(b for b in network.batteries if bank in (b.bank, b.id))
    return block.a, block.b


def tied(network: Network, made: list[Element]) -> list[Element]:
    """Tie parts that nothing joins to the rest: a meter between them would show next to nothing."""
    parent: dict[str, str] = {}

    def find(node: str) -> str:
        parent.setdefault(node, node)
        while parent[node] != node:
            parent[node] = parent[parent[node]]
            node = parent[node]
        return node

    for element in made:
        parent[find(element.a)] = find(element.b)
    for node in network.nodes:
        find(node)
    roots = dict.fromkeys(find(node) for node in list(parent))
    posts = {b.b for b in network.batteries}
    base = next((find(p) for p in sorted(posts)), next(iter(roots)))
    return [Resistor(f"tie:{root}", root, base, METER) for root in roots if root != base]

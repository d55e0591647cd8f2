"""Prospective fault currents: of every short to be tried, through every device and every conductor, over all states.

Each figure comes in three cases (see `circuit`): the most and what is sure of it, which breaking capacity is judged
by, and the least, which clearing is judged by. Each keeps the state that governs it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from lugbook.assess.evidence.base import Grounds, entered
from lugbook.assess.evidence.circuit import (
    CASES,
    Circuit,
    FaultCase,
    Layout,
    Section,
    circuit,
    layout,
    live_end,
    place,
)
from lugbook.assess.evidence.fault_pairs import Pair, pairs
from lugbook.assess.evidence.fault_path import Wires, feeders, paths, shares, told
from lugbook.assess.evidence.fault_sources import Inner, inner
from lugbook.calc.nodal import Short, Unsolved
from lugbook.model.basis import Basis
from lugbook.model.defaults import DEFAULTS, Assumption
from lugbook.model.evidence import Amount, Evidence, Input, Sentence
from lugbook.model.network import Battery, Conductor, Network

# Below this a branch counts as not fed [A].
FED = 1.0
# Nominal voltage from which a short may burn with an arc in it [V].
ARC_FROM = 48.0
FORMULA = "I = (Ua - Ub) / R between the nodes, from the node equations with the short in place"
RULES = {
    "pole to pole": "pole to pole",
    "live to body": "live to body",
    "mid-point to positive": "to the positive",
    "across a block": "across a block",
}


@dataclass(frozen=True, slots=True)
class Held:
    """The current that governs [A], the short that it belongs to and the circuit that it was found in."""

    amperes: float
    short: Short
    net: Circuit


@dataclass(slots=True)
class Figure:
    """One short, one device or one end of a conductor over all states: the worst of each case.

    `unknown` are the banks that add a current nobody knows to the most.
    """

    held: dict[FaultCase, Held] = field(default_factory=dict)
    unknown: set[str] = field(default_factory=set)
    unsolved: Unsolved | None = None
    unsolved_in: str = ""

    def take(self, case: FaultCase, amperes: float, short: Short, net: Circuit) -> None:
        """Keep the worst: the largest of the most and the sure, the smallest of the least."""
        before = self.held.get(case)
        if amperes <= FED:
            return
        if before is None or (
            amperes < before.amperes * (1 - 1e-9)
            if case == "least"
            else amperes > before.amperes * (1 + 1e-9)
        ):
            self.held[case] = Held(amperes, short, net)

    def amperes(self, case: FaultCase) -> float:
        """The current of a case; zero where nothing flows."""
        return self.held[case].amperes if case in self.held else 0.0


@dataclass(frozen=True, slots=True)
class Faults:
    """All figures. `ends` by section and node of the short, `bonds` by bonding conductor and live node."""

    grounds: Grounds
    bases: tuple[Basis, ...]
    cut: Layout
    pairs: Mapping[Pair, Figure]
    devices: Mapping[str, Figure]
    ends: Mapping[tuple[str, str], Figure]
    bonds: Mapping[tuple[str, str], Figure]
    inside: Mapping[str, Inner]
    feeders: tuple[str, ...]
    wires: Wires
    about: Mapping[str, tuple[Assumption, ...]]

    @property
    def network(self) -> Network:
        """The network."""
        return self.grounds.network


def main_section(cut: Layout, one: Conductor) -> Section:
    """The longest piece of a conductor between its devices."""
    return max(cut.sections[one.id], key=lambda section: section.end - section.start)


def faults(found: Grounds, bases: Sequence[Basis]) -> Faults:
    """Work through all states, cases and shorts."""
    network, cut = found.network, layout(found.network)
    tried = pairs(network, found.poles, cut)
    by_pair = {pair: Figure() for pair in tried}
    devices = {device: Figure() for device in cut.device_nodes}
    at: dict[str, list[str]] = {}
    for device, nodes in cut.device_nodes.items():
        for node in nodes:
            if (device, node) not in cut.dead:
                at.setdefault(node, []).append(device)
    ends: dict[tuple[str, str], Figure] = {}
    touching: dict[str, list[tuple[str, Figure]]] = {}
    for one in network.conductors:
        section = main_section(cut, one)
        for node in (section.a, section.b):
            if (section.id, node) in cut.dead:
                continue
            figure = ends[section.id, node] = Figure()
            touching.setdefault(node, []).append((section.id, figure))
    straps = [main_section(cut, one).id for one in network.conductors if one.use == "bond"]
    bonds: dict[tuple[str, str], Figure] = {}
    done: set[object] = set()
    for state in found.states:
        for case in CASES:
            sources = frozenset() if case == "least" else state.sources
            key = (case, state.closed, state.removed, sources)
            if key in done:
                continue
            done.add(key)
            net = circuit(network, found.poles, bases, state, case, cut)
            asked = [(pair.at, pair.far if case == "least" else pair.near) for pair in tried]
            dark = {
                net.part[live_end(b, found.poles)]
                for b in network.batteries
                if b.bank in net.unknown and b.id in net.present
            }
            arc = DEFAULTS["arc"].min_case if case == "least" and arcs(network) else 0.0
            for pair, short in zip(tried, net.nodal.shorts(asked, arc=arc), strict=True):
                figure = by_pair[pair]
                if isinstance(short, Unsolved):
                    figure.unsolved, figure.unsolved_in = short, state.id
                    continue
                figure.take(case, abs(short.amperes), short, net)
                touched = [figure]
                for node in (short.at, short.to):
                    for device in at.get(node, ()):
                        devices[device].take(
                            case, abs(short.currents[device]) if device in short.currents else 0.0, short, net
                        )
                        touched.append(devices[device])
                    for section_id, figure in touching.get(node, ()):
                        if section_id in short.currents:
                            figure.take(case, abs(short.currents[section_id]), short, net)
                            touched.append(figure)
                if pair.kind == "live to body":
                    for strap in straps:
                        if strap in short.currents:
                            figure = bonds.setdefault((strap, pair.at), Figure())
                            figure.take(case, abs(short.currents[strap]), short, net)
                if dark and case == "most":
                    part = net.part.get(pair.at, "")
                    banks = {
                        b.bank
                        for b in network.batteries
                        if b.bank in net.unknown and net.part[live_end(b, found.poles)] == part
                    }
                    for figure in touched:
                        figure.unknown |= banks
    inside = {battery.id: inner(battery, bases) for battery in network.batteries}
    names = feeders(network)
    # How a source's outputs share its current changes nothing here: together they give no more than all of it.
    about = {
        name: tuple(one for one in network.assumed(name) if one.default.name != "whole-output")
        for name in names
    }
    wires = Wires(network, cut)
    return Faults(found, tuple(bases), cut, by_pair, devices, ends, bonds, inside, names, wires, about)


def arcs(network: Network) -> bool:
    """Whether an arc has to be reckoned with: from 48 V on it takes too little of the voltage to go out by itself."""
    return network.system >= ARC_FROM * (1 - 1e-9)


def wanted(found: Faults, figure: Figure) -> tuple[str, ...]:
    """The data that would narrow a figure down: of the sources that feed it, and of banks that nobody knows."""
    names = {name for held in figure.held.values() for name, _ in shares(found.feeders, held.short)}
    asked = [
        found.inside[b.id].wants for b in found.network.batteries if b.id in names or b.bank in figure.unknown
    ]
    return tuple(dict.fromkeys(want for want in asked if want))


def source_inputs(found: Faults, held: Held) -> tuple[Input, ...]:
    """Each source's share of a fault current, and what it was computed from."""
    made: list[Input] = []
    for name in paths(found.network, found.wires, found.feeders, held.short):
        amperes = -held.short.currents[name]
        edge = found.network.edges[name]
        if isinstance(edge, Battery):
            inside = found.inside[name]
            origin = (
                "computed" if inside.trust in ("short circuit", "resistance", "bare cells") else "assumed"
            )
            told = inside.source if inside.ohms is None else ""  # else it stands with the resistance
            made.append(Input("Is", f"share of '{name}'", amperes, amperes, "A", "computed", told))
            if inside.ohms is not None:
                made.append(
                    Input("Ri", f"internal resistance of '{name}'", inside.ohms.low, inside.ohms.high, "ohm", origin, inside.source)  # type: ignore[arg-type]
                )  # fmt: skip
            made.append(
                Input("E", f"open-circuit voltage of '{name}'", inside.emf.low, inside.emf.high, "V", "assumed")
            )  # fmt: skip
        else:
            made.append(
                Input("Is", f"share of '{name}'", amperes, amperes, "A", "computed", "its greatest current")
            )
    return tuple(made)


def assumptions(found: Faults, figure: Figure) -> tuple[Assumption, ...]:
    """What was assumed about the batteries that feed a fault."""
    names = {name for held in figure.held.values() for name, _ in shares(found.feeders, held.short)}
    made = [a for name in sorted(names) for a in found.about[name]]
    for battery in found.network.batteries:
        if battery.id in names and found.inside[battery.id].trust == "assumed":
            made.append(Assumption(DEFAULTS["lead-resistance"], battery.id, battery.path))
    if arcs(found.network):
        made.append(Assumption(DEFAULTS["arc"], "", ()))
    return tuple(dict.fromkeys(made))


def fault_current(found: Faults) -> tuple[Evidence, ...]:
    """Evidence for every short at a node of its own, a battery's post or a mid-point: figures, without a limit."""
    network = found.network
    posts = {node for battery in network.batteries for node in (battery.a, battery.b)}
    made = []
    for pair, figure in found.pairs.items():
        node = network.nodes.get(pair.at)
        if node is None or (node.kind == "terminal" and pair.at not in posts):
            continue
        if figure.unsolved is not None:
            made.append(_undecided(found, pair, figure))
        elif "most" in figure.held:
            made.append(_figure(found, pair, figure))
    return tuple(made)


def _figure(found: Faults, pair: Pair, figure: Figure) -> Evidence:
    network = found.network
    held = figure.held["most"]
    low = figure.amperes("least") or min(figure.amperes("sure") or held.amperes, held.amperes)
    low = min(low, held.amperes)
    decided = not figure.unknown
    says: Sentence = (
        f"A short from '{held.short.at}' to '{held.short.to}' would draw ",
        Amount(low, "A"),
        " to ",
        Amount(held.amperes, "A"),
        ".",
    )
    ways = paths(network, found.wires, found.feeders, held.short)
    notes = tuple(told(name, -held.short.currents[name], way) for name, way in ways.items())
    if figure.unknown:
        banks = ", ".join(f"'{bank}'" for bank in sorted(figure.unknown))
        notes += (
            (
                f"What {banks} would add is not known: the figure holds without it. A fuse is required all the same; "
                "a battery management system is neither a fuse nor a limit.",
            ),
        )
    node = network.nodes[pair.at]
    return Evidence(
        "fault current", f"{RULES[pair.kind]}, {pair.near}", pair.at, node.path, pair.at,
        "fuse-breaking-capacity", "", low, held.amperes, "A",
        (entered("U", "voltage before the short", abs(held.short.free), "V"), *source_inputs(found, held)),
        FORMULA, ("I = ", Amount(held.amperes, "A")), None, (), "within" if decided else "cannot be decided",
        () if decided else wanted(found, figure), None, assumptions(found, figure), held.net.state.id,
        held.net.state.named, says, notes,
        brief=(f"'{held.short.to}' ", Amount(low, "A"), " to ", Amount(held.amperes, "A")),
    )  # fmt: skip


def _undecided(found: Faults, pair: Pair, figure: Figure) -> Evidence:
    """No number where the network did not settle: the place instead."""
    assert figure.unsolved is not None
    node = found.network.nodes[pair.at]
    state = next(state for state in found.grounds.states if state.id == figure.unsolved_in)
    return Evidence(
        "fault current", f"{RULES[pair.kind]}, {pair.near}", pair.at, node.path, pair.at, "fuse-breaking-capacity",
        "", 0.0, 0.0, "A", (Input("n", "steps tried", 1, 1, "count", "computed"),), FORMULA, (), None, (),
        "cannot be decided", (f"the data of what lies {place(figure.unsolved.place)}",), None, (), state.id, state.named,
        (f"No fault current at '{pair.at}' could be computed: {figure.unsolved.reason}, {place(figure.unsolved.place)}.",),
    )  # fmt: skip

"""Network -> what is drawn: parts (boxes) and runs (wires) of one pole, without any place yet."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from lugbook.compose.diagram_texts import Texts
from lugbook.model.diagram import Symbol
from lugbook.model.network import (
    Battery,
    Conductor,
    Contact,
    Device,
    Diode,
    Edge,
    Inline,
    Join,
    Load,
    Network,
    Source,
)

Side = Literal["live", "return"]
Shape = Literal["beside", "headed", "bus"]
SOURCES: dict[str, Symbol] = {
    "alternator": "machine",
    "generator": "machine",
    "mains charger": "charger",
    "pv": "pv",
}
LOADS: dict[str, Symbol] = {
    "lamp": "lamp", "motor": "motor", "cranking motor": "motor", "heater": "resistor",
}  # fmt: skip
BODIES: dict[str, Symbol] = {"shore earth": "earth", "bonding bus": "bonding"}
POLES = {"pos": "+", "neg": "−"}


@dataclass(frozen=True, slots=True)
class Part:
    """A box: `column` 0 to 2, its symbol, its name and a few details."""

    id: str
    column: int
    shape: Shape
    symbol: Symbol | None
    name: str
    details: tuple[str, ...] = ()
    framed: bool = True


@dataclass(frozen=True, slots=True)
class Run:
    """A wire between two terminals. `edge` is None where an element sits on a terminal directly."""

    id: str
    a: str
    b: str
    part_a: str
    part_b: str
    edge: Conductor | Join | None


@dataclass(frozen=True, slots=True)
class Plan:
    """One drawing's parts and runs, in the order of their ids."""

    parts: dict[str, Part]
    runs: tuple[Run, ...]


class Wiring:
    """Which part each terminal and edge belongs to, and the runs between parts."""

    def __init__(self, network: Network, texts: Texts) -> None:
        self.network = network
        self.parts = {part.id: part for part in _parts(network, texts)}
        self.runs = tuple(sorted(self._all_runs(), key=lambda run: run.id))

    def home(self, node: str) -> str:
        """The part that a terminal belongs to."""
        return self.network.nodes[node].owner or node

    def part_of(self, edge: Edge) -> str:
        """The part that an element's edge is drawn inside of."""
        if isinstance(edge, Battery):
            return edge.bank
        if isinstance(edge, Inline) and self.home(edge.a) == self.home(edge.b):
            return self.home(edge.a)
        return str(getattr(edge, "owner", "")) or edge.id

    def inside(self, edge: Conductor | Join) -> bool:
        """Whether a cable is a link inside a bank, which is drawn as one box."""
        home = self.home(edge.a)
        banks = {battery.bank for battery in self.network.batteries}
        return home in banks and home == self.home(edge.b) and edge.id.startswith(f"{home}.")

    def _all_runs(self) -> Iterator[Run]:
        seated: set[tuple[str, str]] = set()
        for edge in self.network.edges.values():
            if isinstance(edge, Conductor | Join):
                if not self.inside(edge):
                    yield Run(edge.id, edge.a, edge.b, self.home(edge.a), self.home(edge.b), edge)
                continue
            part = self.part_of(edge)
            for node in (edge.a, edge.b):
                if self.home(node) != part and (part, node) not in seated:
                    seated.add((part, node))
                    yield Run(f"{part}@{node}", f"{part}@{node}", node, part, self.home(node), None)

    def plan(self, side: Side, back: frozenset[str]) -> Plan:
        """What is drawn of a pole. Returns of circuits and unused bodies are left out."""
        low = back | {name for name, node in self.network.nodes.items() if node.kind == "body"}
        runs = []
        for run in self.runs:
            of_return = run.b in low and (run.a in low or run.edge is None)
            of_return |= isinstance(run.edge, Conductor) and run.edge.use == "bond"
            if of_return == (side == "return") and not self.circuit_return(run, low):
                runs.append(run)
        used = {part for run in runs for part in (run.part_a, run.part_b)}
        if side == "live":
            used |= {self.part_of(e) for e in self.network.edges.values() if self._element_of(e, low)}
            used |= {n.id for n in self.network.nodes.values() if not n.owner and n.id not in low}
        return Plan({name: part for name, part in self.parts.items() if name in used}, tuple(runs))

    def circuit_return(self, run: Run, low: frozenset[str]) -> bool:
        """Whether a run is the return that belongs to a circuit's shorthand."""
        return (
            isinstance(run.edge, Conductor) and "circuits" in run.edge.path and run.a in low and run.b in low
        )

    @staticmethod
    def _element_of(edge: Edge, low: frozenset[str]) -> bool:
        return not isinstance(edge, Conductor | Join) and not (edge.a in low and edge.b in low)

    def terminal(self, node: str) -> str:
        """What is written at a terminal: nothing at nodes of their own and at the only pole of a load."""
        if "@" in node:
            return ""
        part, _, name = node.partition(".")
        if part not in self.parts or not name:
            return ""
        return " ".join(POLES.get(word, word) for word in name.split("-"))


def _string_device(network: Network, bank: str) -> Device | None:
    """The fuse or breaker that each string of a bank has of its own."""
    inside = (e for e in network.of(Inline) if isinstance(e, Inline) and network.nodes[e.a].owner == bank)
    return next((edge.device for edge in inside), None)


def _parts(network: Network, texts: Texts) -> Iterator[Part]:
    banks: dict[str, list[Battery]] = {}
    owners: dict[str, Diode] = {}
    for edge in network.edges.values():
        if isinstance(edge, Battery):
            banks.setdefault(edge.bank, []).append(edge)
        elif isinstance(edge, Source):
            yield Part(edge.id, 0, "beside", SOURCES.get(edge.kind, "source"), edge.title, texts.source(edge))
        elif isinstance(edge, Load) and edge.kind != "coil":
            yield Part(edge.id, 2, "beside", LOADS.get(edge.kind, "load"), edge.title, texts.load(edge))
        elif isinstance(edge, Diode) and edge.owner not in network.edges:
            owners[edge.owner] = edge
        elif isinstance(edge, Diode) and edge.owner == edge.id:
            owners[edge.id] = edge
        elif isinstance(edge, Inline) and network.nodes[edge.a].owner == edge.id:
            symbol: Symbol = edge.device.kind
            yield Part(edge.id, 1, "headed", symbol, edge.title, (texts.amperes(edge.device.rating),))
    for bank, blocks in banks.items():
        name = blocks[0].title
        if len(blocks) > 1:
            name = name.rpartition(", ")[0]
        yield Part(bank, 0, "beside", "battery", name, texts.battery(blocks, _string_device(network, bank)))
    for owner, diode in owners.items():
        yield Part(owner, 1, "headed", "diode", diode.title)
    for converter in network.converters.values():
        turned: Symbol = "inverter" if converter.kind in ("inverter", "inverter-charger") else "converter"
        yield Part(converter.id, 1, "headed", turned, converter.title)
    for switch in network.switches.values():
        contacts = [e for e in network.of(Contact) if isinstance(e, Contact) and e.owner == switch.id]
        shape: Symbol = "relay" if switch.relay else "switch" if len(contacts) < 2 else "selector"
        yield Part(switch.id, 1, "headed", shape, switch.title)
    for node in network.nodes.values():
        if not node.owner:
            body = BODIES.get(node.body or "", "chassis") if node.kind == "body" else None
            yield Part(node.id, 1, "bus", body, node.title, framed=node.kind == "panel")

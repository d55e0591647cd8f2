"""The expanded installation: nodes, edges and states that the analyses, the solver and the diagram walk.

All quantities are SI floats; temperatures are degC, areas m2, charge in coulomb. Every element keeps the path to its
entry in the file. An edge runs from node `a` to node `b`; of batteries, sources, ports and loads `a` is the
positive terminal; of diodes `a` is the anode.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal

from lugbook.model.apparatus import (
    BmsSide,
    Chemistry,
    ConverterKind,
    CrankingStandard,
    Direction,
    Duty,
    FieldControl,
    LoadKind,
    Need,
    RelayKind,
    SourceKind,
)
from lugbook.model.defaults import Assumption, Pair
from lugbook.model.installation import BodyKind, EarthingKind, NodeKind
from lugbook.model.problem import Path
from lugbook.model.wiring import ConductorUse, Crimp, DeviceClass, DeviceKind, Enclosure, Metal, Space

NetworkNodeKind = NodeKind | Literal["terminal"]
InnerUse = Literal["bond"]


@dataclass(frozen=True, slots=True)
class Node:
    """A terminal. `owner` is the element that it belongs to, empty for nodes entered as such.

    `stud` is a size, `post`, `clamp` or `unknown`; None where it was not described.
    """

    id: str
    kind: NetworkNodeKind
    title: str
    path: Path
    owner: str = ""
    body: BodyKind | None = None
    stud: str | None = None


@dataclass(frozen=True, slots=True)
class Device:
    """A fuse or breaker. `breaks` are pairs of d.c. volts and amperes; `dc` is None where not known.

    `let_through` is its maker's largest I2t [A2 s], `curve` its longest opening times: multiple of the rating and [s].

    `line_at_a`: the line side of a polarised breaker looks towards end a.
    """

    id: str
    title: str
    kind: DeviceKind
    type: DeviceClass
    rating: float
    volts: float | None
    dc: bool | None
    breaks: tuple[tuple[float, float], ...]
    polarised: bool
    line_at_a: bool
    continuous: float | None
    path: Path
    let_through: float | None = None
    curve: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Placed:
    """A device in a conductor, `at` metres from end a along it."""

    device: Device
    at: float


@dataclass(frozen=True, slots=True)
class End:
    """How a conductor's end is made off. `barrel` is an area [m2], `hole` a diameter [m], torques in Nm."""

    barrel: float | None
    hole: float | None
    hole_for: str | None
    crimp: Crimp | None
    metal: Metal | None
    torque: float | None
    torque_range: tuple[float, float] | None
    path: Path


@dataclass(frozen=True, slots=True)
class Conductor:
    """A conductor; `size` is as written (10 mm2, AWG 6), `area` that of one of the `parallel` ones.

    `standard` is the nominal metric size [mm2] where it was entered so, None for a gauge. `devices` come in the
    order from a to b. `use` is 'bond' for bonding and earthing conductors, 'link' for cables inside a bank. `momentary`
    is the temperature that the insulation stands in a short [degC].
    """

    id: str
    a: str
    b: str
    title: str
    size: str
    area: float
    standard: float | None
    awg: str | None
    length: Pair
    insulation: Pair
    momentary: Pair
    stranding: Pair
    tinned: Pair
    ambient: Pair
    bundle: Pair
    enclosed: Enclosure | None
    space: Space | None
    use: ConductorUse | InnerUse
    parallel: int
    devices: tuple[Placed, ...]
    end_a: End | None
    end_b: End | None
    path: Path


@dataclass(frozen=True, slots=True)
class Join:
    """Two terminals without resistance between them. `resistance` is a pair where it stands for a link not described."""

    id: str
    a: str
    b: str
    title: str
    resistance: Pair
    path: Path


@dataclass(frozen=True, slots=True)
class Inline:
    """A device between two terminals of its own."""

    id: str
    a: str
    b: str
    title: str
    device: Device
    path: Path


@dataclass(frozen=True, slots=True)
class Contact:
    """A contact of a switch or relay (`owner`): an edge in the states that close it."""

    id: str
    a: str
    b: str
    title: str
    owner: str
    path: Path


@dataclass(frozen=True, slots=True)
class Battery:
    """One block. `bank` is the entry it came from. Data not entered are None; see `model.defaults`.

    `volts` is nominal; `capacity` in coulomb for `capacity_at` seconds; `cca` in amperes by `cca_standard`.
    `vent` is the free area [m2] of each opening of the space that it stands in.
    """

    id: str
    a: str
    b: str
    title: str
    bank: str
    string: int
    chemistry: Chemistry
    volts: float
    emf: Pair | None
    capacity: float | None
    capacity_at: float | None
    cca: float | None
    cca_standard: CrankingStandard
    resistance: float | None
    short_circuit: float | None
    cell_short_circuit: float | None
    bms: BmsSide | None
    bms_limit: float | None
    charge_disconnect: bool | None
    low_temperature: bool | None
    starts: bool
    year: int | None
    path: Path
    enclosed: bool | None = None
    vent: float | None = None
    bank_title: str = ""


@dataclass(frozen=True, slots=True)
class Source:
    """An alternator, charger or the like. `self_limited` is None where not known. `sense` is the node that it holds."""

    id: str
    a: str
    b: str
    title: str
    kind: SourceKind
    current: float
    self_limited: bool | None
    volts: Pair
    field: FieldControl | None
    sense: str
    path: Path


@dataclass(frozen=True, slots=True)
class Port:
    """One side of a converter (`owner`)."""

    id: str
    a: str
    b: str
    title: str
    owner: str
    name: str
    direction: Direction
    volts: tuple[float, float] | None
    current: float | None
    power: float | None
    path: Path


@dataclass(frozen=True, slots=True)
class Diode:
    """Current from a to b only. `owner` is the splitter or source that it belongs to."""

    id: str
    a: str
    b: str
    title: str
    owner: str
    drop: Pair
    current: float | None
    path: Path


@dataclass(frozen=True, slots=True)
class Load:
    """Something that draws current: `current` [A] or `power` [W], the other is None.

    `owner` is the relay for a coil, else the load itself.
    """

    id: str
    a: str
    b: str
    title: str
    owner: str
    kind: LoadKind | Literal["coil"]
    current: Pair | None
    power: float | None
    duty: Duty
    stall: float | None
    max_fuse: float | None
    needed: Need
    critical: bool
    constant_power: bool | None
    path: Path


Edge = Conductor | Join | Inline | Contact | Battery | Source | Port | Diode | Load


@dataclass(frozen=True, slots=True)
class Converter:
    """What holds the ports of a converter together."""

    id: str
    title: str
    kind: ConverterKind
    ports: tuple[str, ...]
    isolated: bool
    back_feed: bool | None
    efficiency: Pair
    idle: float | None
    path: Path
    constant_power: bool | None = None


@dataclass(frozen=True, slots=True)
class Switch:
    """A switch or relay. `positions` maps each position to the contacts (edge ids) that it closes."""

    id: str
    title: str
    relay: RelayKind | None
    positions: Mapping[str, tuple[str, ...]]
    usual: str
    make_before_break: bool | None
    current: float | None
    short_time: float | None
    cut_in: float | None
    cut_out: float | None
    delay: float | None
    senses: tuple[str, ...]
    path: Path


@dataclass(frozen=True, slots=True)
class State:
    """A state resolved: which contacts are closed, which sources and loads are on, which edges are gone.

    `named` states come from the file; the others are reachable combinations of positions with all sources on.
    """

    id: str
    title: str
    named: bool
    positions: Mapping[str, str]
    closed: frozenset[str]
    sources: frozenset[str]
    loads: frozenset[str]
    removed: frozenset[str]
    path: Path


@dataclass(frozen=True, slots=True)
class Network:
    """The whole installation. Elements come in the order of their ids, so that the file's order changes nothing."""

    system: float
    earthing: EarthingKind
    earthed_at: str | None
    nodes: Mapping[str, Node]
    edges: Mapping[str, Edge]
    converters: Mapping[str, Converter]
    switches: Mapping[str, Switch]
    states: tuple[State, ...]
    reachable: tuple[State, ...]
    complete: bool
    assumptions: tuple[Assumption, ...]
    aliases: Mapping[str, str]
    touching: Mapping[str, tuple[str, ...]] = field(default_factory=lambda: MappingProxyType({}))
    # Asked for thousands of times: sorted out once.
    _conductors: tuple[Conductor, ...] = field(init=False, repr=False, compare=False)
    _batteries: tuple[Battery, ...] = field(init=False, repr=False, compare=False)
    _about: Mapping[str, tuple[tuple[int, Assumption], ...]] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        about: dict[str, list[tuple[int, Assumption]]] = {}
        for place, one in enumerate(self.assumptions):
            about.setdefault(one.subject, []).append((place, one))
        object.__setattr__(self, "_about", {name: tuple(those) for name, those in about.items()})
        edges = self.edges.values()
        object.__setattr__(self, "_conductors", tuple(e for e in edges if isinstance(e, Conductor)))
        object.__setattr__(self, "_batteries", tuple(e for e in edges if isinstance(e, Battery)))

    def at(self, node: str) -> tuple[Edge, ...]:
        """The edges that touch a node, by id."""
        return tuple(self.edges[edge] for edge in self.touching.get(node, ()))

    def other(self, edge: Edge, node: str) -> str:
        """The node at the other end of an edge."""
        return edge.b if edge.a == node else edge.a

    def present(self, edge: Edge, state: State) -> bool:
        """Whether an edge exists in a state: contacts closed, sources on, nothing removed."""
        if edge.id in state.removed:
            return False
        if isinstance(edge, Contact):
            return edge.id in state.closed
        if isinstance(edge, Source):
            return edge.id in state.sources
        if isinstance(edge, Load):
            return edge.owner in state.loads or edge.kind == "coil"
        return True

    def of(self, *kinds: type) -> Iterator[Edge]:
        """The edges of these kinds, by id."""
        return (edge for edge in self.edges.values() if isinstance(edge, kinds))

    @property
    def conductors(self) -> tuple[Conductor, ...]:
        """All conductors, by id."""
        return self._conductors

    @property
    def batteries(self) -> tuple[Battery, ...]:
        """All battery blocks, by id."""
        return self._batteries

    @property
    def sources(self) -> tuple[Source, ...]:
        """All sources, by id."""
        return tuple(edge for edge in self.edges.values() if isinstance(edge, Source))

    @property
    def loads(self) -> tuple[Load, ...]:
        """All loads, by id."""
        return tuple(edge for edge in self.edges.values() if isinstance(edge, Load))

    def assumed(self, *subjects: str) -> tuple[Assumption, ...]:
        """What was assumed about elements, in the order of the assumptions."""
        found = sorted(
            (each for name in dict.fromkeys(subjects) for each in self._about.get(name, ())),
            key=lambda each: each[0],
        )
        return tuple(one for _, one in found)

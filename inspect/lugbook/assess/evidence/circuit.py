"""The installation in one state as a network to be solved for faults, in one of three cases.

`most`: all that is not known as it drives the largest current, batteries full and chargers on, conductors cool, joints
without resistance. `sure`: the same day, but what is not known as it drives the least, so that this much flows in any
case. `least`: batteries low, no charger on, conductors at the limit of their insulation, joints as poor as assumed.
Loads are left out: beside a short they draw nothing worth a figure.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from lugbook.assess.evidence.capacity import at_20
from lugbook.assess.evidence.draws import ports
from lugbook.assess.evidence.fault_layout import Layout, Section, layout, place
from lugbook.assess.evidence.fault_sources import Inner, inner
from lugbook.assess.evidence.poles import Poles
from lugbook.calc.conductor import at_temperature
from lugbook.calc.nodal import Cell, Element, Nodal, Resistor, Supply, Valve
from lugbook.model.basis import Basis
from lugbook.model.defaults import DEFAULTS
from lugbook.model.islands import Islands
from lugbook.model.network import (
    Battery,
    Conductor,
    Contact,
    Diode,
    Inline,
    Join,
    Network,
    Port,
    Source,
    State,
)

FaultCase = Literal["most", "sure", "least"]
CASES: tuple[FaultCase, ...] = ("most", "sure", "least")
# Devices, contacts and joins [ohm]: far below any cable.
NOTHING = 1e-6
# What a source or diode has inside [ohm]: it holds its voltage up to its limit, and then its current.
STIFF = 1e-3
# Bolted joints of a conductor: one at each end.
ENDS = 2


@dataclass(frozen=True, slots=True)
class Circuit:
    """One state in one case. `unknown` are the banks whose current nobody knows: they are left out of the sums.

    `part` names the part of the live pole that a node lies in.
    """

    state: State
    case: FaultCase
    nodal: Nodal
    present: frozenset[str]
    unknown: frozenset[str]
    part: Mapping[str, str]


def circuit(
    network: Network, poles: Poles, bases: Sequence[Basis], state: State, case: FaultCase, cut: Layout
) -> Circuit:
    """Build the circuit of a state."""
    present = frozenset(name for name, edge in network.edges.items() if network.present(edge, state))
    parts = _live_parts(network, poles, present, cut)
    giving = {port.id for port in ports(network) if _gives(network, poles, port, present, parts)}
    charging = {} if case == "least" else _charging(network, poles, present, giving, parts)
    elements: list[Element] = []
    unknown: set[str] = set()
    for name in sorted(present):
        edge = network.edges[name]
        if isinstance(edge, Conductor):
            elements += conductor_elements(edge, case, cut)
        elif isinstance(edge, Join):
            pair = edge.resistance
            ohms = pair.max_case if case == "most" else pair.min_case
            elements.append(Resistor(name, edge.a, edge.b, max(ohms, NOTHING)))
        elif isinstance(edge, Inline):
            elements.append(Resistor(edge.device.id, edge.a, edge.b, NOTHING))
        elif isinstance(edge, Contact):
            elements.append(Resistor(name, edge.a, edge.b, NOTHING))
        elif isinstance(edge, Diode):
            drop = edge.drop.max_case if case == "most" else edge.drop.min_case
            elements.append(Valve(name, edge.a, edge.b, drop, STIFF))
        elif isinstance(edge, Battery):
            found = inner(edge, bases)
            if not found.known:
                unknown.add(edge.bank)
            if found.ohms is not None:
                share = charging.get(parts[live_end(edge, poles)], 0.0)
                elements.append(_cell(edge, found, case, share))
        elif isinstance(edge, Source) and case != "least":
            elements.append(
                Supply(name, edge.a, edge.b, edge.volts.high if case == "most" else edge.volts.low, edge.current, STIFF)
            )  # fmt: skip
        elif isinstance(edge, Port) and case != "least" and name in giving:
            elements.append(_port(edge))
    return Circuit(
        state,
        case,
        Nodal(elements),
        present,
        frozenset(unknown),
        parts,
    )


def _live_parts(network: Network, poles: Poles, present: frozenset[str], cut: Layout) -> dict[str, str]:
    """The live pole's separate parts: who could feed a short at a node at all."""
    islands = Islands(network.nodes)
    for name in present:
        edge = network.edges[name]
        conducts = isinstance(edge, Conductor | Join | Inline | Contact | Diode | Battery)
        if conducts and edge.a not in poles.back and edge.b not in poles.back:
            islands.join(edge.a, edge.b)
    parts = {node: islands.find(node) for node in network.nodes}
    for one in network.conductors:
        for section in cut.sections[one.id] if one.id in present else ():
            parts |= {node: parts[one.a] for node in (section.a, section.b) if node not in parts}
    return parts


def conductor_elements(one: Conductor, case: FaultCase, cut: Layout) -> list[Element]:
    """A conductor's sections by their length, and its devices."""
    cold = at_20(one)
    temperature = one.insulation.high if case == "least" else one.ambient.low
    ohms = at_temperature(resistance=cold.low if case == "most" else cold.high, temperature=temperature)
    if case == "least":
        ohms += ENDS * DEFAULTS["contact"].min_case
    whole = one.length.high
    made: list[Element] = [
        Resistor(s.id, s.a, s.b, max(ohms * (s.end - s.start) / whole, NOTHING)) for s in cut.sections[one.id]
    ]
    return made + [
        Resistor(placed.device.id, *cut.device_nodes[placed.device.id], NOTHING) for placed in one.devices
    ]


def _cell(battery: Battery, found: Inner, case: FaultCase, charging: float) -> Cell:
    assert found.ohms is not None
    ohms = found.ohms.max_case if case == "most" else found.ohms.min_case
    volts = found.emf.low if case == "least" else max(found.emf.high, charging * battery.volts)
    return Cell(battery.id, battery.a, battery.b, volts, ohms)


def _charging(
    network: Network, poles: Poles, present: frozenset[str], giving: set[str], parts: Mapping[str, str]
) -> dict[str, float]:
    """Highest charging voltage over the nominal voltage of the batteries there, by part of the network."""
    found: dict[str, float] = {}
    for edge in network.edges.values():
        volts = 0.0
        if isinstance(edge, Source) and edge.kind != "pv" and edge.id in present:
            volts = edge.volts.high
        elif (
            isinstance(edge, Port)
            and edge.id in giving
            and edge.direction == "out"
            and edge.volts is not None
        ):
            volts = edge.volts[1]
        if volts and isinstance(edge, Source | Port):
            part = parts[live_end(edge, poles)]
            nominal = abs(poles.level.get(edge.a, 0.0) - poles.level.get(edge.b, 0.0))
            if not nominal or poles.group.get(edge.a) != poles.group.get(edge.b):
                nominal = network.system
            found[part] = max(found.get(part, 0.0), volts / nominal)
    return found


def live_end(edge: Battery | Source | Port, poles: Poles) -> str:
    """The end of a source that lies on the live pole."""
    return edge.a if edge.a not in poles.back else edge.b


def _gives(
    network: Network, poles: Poles, port: Port, present: frozenset[str], parts: Mapping[str, str]
) -> bool:
    """Whether a converter can feed a fault through a port: its limit is known, and another side has a source.

    Inverters and equalisers give nothing worth a figure; the charger half of an inverter/charger is a source.
    """
    converter = network.converters[port.owner]
    both = port.direction == "both" and converter.kind in ("dc-dc", "other")
    gives = port.direction == "out" or both or (port.direction == "in" and converter.back_feed is True)
    if not gives or port.current is None or port.volts is None:
        return False
    if any(source.a == port.a and source.id in present for source in network.sources):
        return False
    others = {
        parts[live_end(one, poles)] for one in ports(network) if one.owner == port.owner and one.id != port.id
    }
    feeding: list[Battery | Source] = [*network.batteries, *network.sources]
    feeding = [edge for edge in feeding if edge.id in present]
    if converter.kind == "pv-controller":
        feeding = [edge for edge in feeding if isinstance(edge, Source)]
    return any(parts[live_end(edge, poles)] in others for edge in feeding)


def _port(port: Port) -> Supply:
    assert port.volts is not None
    assert port.current is not None
    return Supply(port.id, port.a, port.b, port.volts[1], port.current, STIFF)


# The layout belongs to the circuit: both are imported from here.
__all__ = [
    "CASES",
    "NOTHING",
    "STIFF",
    "Circuit",
    "FaultCase",
    "Layout",
    "Section",
    "circuit",
    "conductor_elements",
    "layout",
    "live_end",
    "place",
]

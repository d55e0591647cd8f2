"""Design currents: the largest that each conductor and device carries in service, and in which state."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from lugbook.assess.evidence.base import Grounds
from lugbook.assess.evidence.currents import Draw, Grid, grid
from lugbook.assess.evidence.draws import Drawn, load_current, port_current, ports
from lugbook.assess.evidence.outputs import assumptions, parted, pushes, together
from lugbook.assess.evidence.poles import banks
from lugbook.assess.evidence.states import written
from lugbook.model.defaults import Assumption
from lugbook.model.network import Conductor, Diode, Load, Network, Port, State

# A smaller current [A] is rounding.
ROUNDING = 1e-3


@dataclass(frozen=True, slots=True)
class Peak:
    """A current [A] and the state in which it flows. `sure`: the file itself says that it flows."""

    amperes: float
    state: State
    sure: bool


@dataclass(slots=True)
class Design:
    """By edge: current in service, the part of it that is continuous, and current while an engine is cranked.

    `likely` and `steady` are those of the states that the file names, without what it does not speak of. `rests` are the
    assumptions about loads and converters that the currents rest on; `shared` those about sources with several outputs.
    """

    service: dict[str, Peak] = field(default_factory=dict)
    likely: dict[str, Peak] = field(default_factory=dict)
    continuous: dict[str, Peak] = field(default_factory=dict)
    steady: dict[str, Peak] = field(default_factory=dict)
    cranking: dict[str, Peak] = field(default_factory=dict)
    flows: dict[str, Flow] = field(default_factory=dict)
    shares: dict[tuple[str, str], Mapping[str, float]] = field(default_factory=dict)
    rests: dict[str, dict[str, Assumption]] = field(default_factory=dict)
    shared: Mapping[str, tuple[Assumption, ...]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Flow:
    """The currents of one state, from end a to end b: of its loads, of its sources, of each cranking motor."""

    state: State
    net: Grid
    pushed: Grid
    loads: Mapping[str, float]
    sources: Mapping[str, float]
    cranking: Mapping[str, float]
    charges: tuple[Charge, ...]


@dataclass(frozen=True, slots=True)
class Charge:
    """One bank takes all that the sources give: the currents of all of them, and of each alone."""

    together: Mapping[str, float]
    alone: tuple[Mapping[str, float], ...]


def design(found: Grounds) -> Design:
    """Work through the states. Those not in the file have all continuous loads on, as nothing says otherwise.

    That each load runs alone at times, and each source gives all it can, is sure in any case.
    """
    made = Design(shared=assumptions(found.network))
    for state in found.states:
        flow = _flow(found, state)
        made.flows[state.id] = flow
        sure = written(state)
        for given in (flow.sources, *(charge.together for charge in flow.charges)):
            for name in {*flow.loads, *given}:
                loads, sources = flow.loads.get(name, 0.0), given.get(name, 0.0)
                amperes = max(abs(loads), abs(sources), abs(loads + sources))
                _raise(made.service, name, amperes, state, sure)
                if sure:
                    _raise(made.likely, name, amperes, state, sure)
        _alone(found, made, flow)
        _rest(found, made, flow)
        # Nothing says how long an inverter runs at full power.
        for inverters in (False, True):
            steady = _loads(found, state, flow.net, short=False, inverters=inverters)
            for name, amperes in steady.items():
                _raise(made.continuous, name, abs(amperes), state, sure and not inverters)
                if sure and not inverters:
                    _raise(made.steady, name, abs(amperes), state, sure)
        for name, amperes in flow.cranking.items():
            _raise(made.cranking, name, abs(amperes), state, sure)
    return made


def _alone(found: Grounds, made: Design, flow: Flow) -> None:
    """Each load and each source by itself; a short-time load also on top of what runs all the time."""
    state, sure = flow.state, written(flow.state)
    for load in found.network.loads:
        if load.kind == "cranking motor" or not found.network.present(load, state):
            continue
        amperes = load_current(found.network, found.poles, load).amperes
        for name, share in shares(made, flow, load).items():
            _raise(made.likely, name, abs(share) * amperes, state, sure=True)
            _raise(made.service, name, abs(share) * amperes, state, sure)
            if load.duty == "short-time" and not sure:
                together = abs(flow.loads.get(name, 0.0) + share * amperes)
                _raise(made.service, name, together, state, sure)
    alone = [
        flow.pushed.flows(way)
        for source in found.network.sources
        if found.network.present(source, state)
        for way in pushes(found.network, source)
    ]
    for flows in (*alone, *(each for charge in flow.charges for each in charge.alone)):
        for name, amperes in flows.items():
            _raise(made.likely, name, abs(amperes), state, sure=True)
            _raise(made.service, name, abs(amperes), state, sure)


def _rest(found: Grounds, made: Design, flow: Flow) -> None:
    """Note at each edge, and at the load, what was assumed about the currents that flow through it."""
    network, poles = found.network, found.poles
    for load in network.loads:
        drawn = load_current(network, poles, load)
        if drawn.rests and network.present(load, flow.state):
            _note(made, {load.id: 1.0, **shares(made, flow, load)}, drawn)
    for port in ports(network):
        taken = port_current(network, poles, port) if takes(network, port) else None
        if taken is not None and taken.rests:
            _note(made, flow.net.flows([(port.a, port.b, 1.0)]), taken)


def _note(made: Design, through: Mapping[str, float], drawn: Drawn) -> None:
    for name in (name for name, amperes in through.items() if abs(amperes) > ROUNDING):
        for one in drawn.rests:
            made.rests.setdefault(name, {})[f"{one.default.name} {one.subject}"] = one


def shares(made: Design, flow: Flow, load: Load) -> Mapping[str, float]:
    """What each edge carries of one ampere drawn by a load alone; worked out once."""
    key = (flow.state.id, load.id)
    if key not in made.shares:
        made.shares[key] = flow.net.flows([(load.a, load.b, 1.0)])
    return made.shares[key]


def _raise(into: dict[str, Peak], name: str, amperes: float, state: State, sure: bool) -> None:
    if name not in into or amperes > into[name].amperes * (1 + 1e-9):
        into[name] = Peak(amperes, state, sure)


def _flow(found: Grounds, state: State) -> Flow:
    still = grid(found.network, state, charging=False)
    pushed = grid(found.network, state, charging=True, without=parted(found.network))
    first, *others = _given(found.network, state)
    # A source alone cranks nothing.
    cranks: list[Draw] = [
        (load.a, load.b, load_current(found.network, found.poles, load).amperes)
        for load in found.network.loads
        if load.kind == "cranking motor"
        and found.network.present(load, state)
        and not still.fed(load.a, load.b)
    ]
    return Flow(
        state,
        still,
        pushed,
        _loads(found, state, still, short=written(state)),
        pushed.flows(first),
        still.flows(cranks),
        (*(Charge(pushed.flows(way), ()) for way in others), *_charges(found, state)),
    )


def _charges(found: Grounds, state: State) -> tuple[Charge, ...]:
    """Each of several banks as the only one that takes current: which takes how much is a matter of its charge.

    The others are full; that the resistances of cables and batteries share the current would be an assumption.
    """
    network = found.network
    each = banks(network, found.poles)
    if len(each) < 2:
        return ()
    every = frozenset().union(*each)
    given = _given(network, state)
    sources = [
        way for source in network.sources if network.present(source, state) for way in pushes(network, source)
    ]
    apart = parted(network)
    charges = []
    for bank in each:
        without = (every - bank) | apart
        net = grid(network, state, charging=True, without=without)
        for n, way in enumerate(given):
            alone = sources if n == 0 else []
            charges.append(
                Charge(
                    _one_way(network, state, net, without, way),
                    tuple(_one_way(network, state, net, without, each) for each in alone),
                )
            )
    return tuple(charges)


def _one_way(
    network: Network, state: State, net: Grid, without: frozenset[str], draws: Iterable[Draw]
) -> Mapping[str, float]:
    """Currents without those that would run backwards through a diode: such a diode is taken out, the worst first."""
    while True:
        flows = net.flows(draws)
        back = {diode.id: flows.get(diode.id, 0.0) for diode in network.of(Diode)}
        worst = min(back, key=lambda name: back[name], default="")
        if not worst or back[worst] >= -ROUNDING:
            return flows
        without |= {worst}
        net = grid(network, state, charging=True, without=without)


def _loads(
    found: Grounds, state: State, net: Grid, *, short: bool, inverters: bool = True
) -> dict[str, float]:
    """Currents of the loads that are on, cranking apart; short-time ones only if the state says so."""
    network, poles = found.network, found.poles
    draws: list[Draw] = [
        (load.a, load.b, load_current(network, poles, load).amperes)
        for load in network.loads
        if load.kind != "cranking motor"
        and (short or load.duty == "continuous")
        and network.present(load, state)
    ]
    for port in ports(network):
        if takes(network, port) and (
            inverters or not network.converters[port.owner].kind.startswith("inverter")
        ):
            drawn = port_current(network, poles, port)
            if drawn is not None:
                draws.append((port.a, port.b, drawn.amperes))
    return net.flows(draws)


def takes(network: Network, port: Port) -> bool:
    """Whether a port draws from batteries as a load does: inputs, and inverters; not the solar side of a controller."""
    kind = network.converters[port.owner].kind
    return kind != "pv-controller" and (
        port.direction == "in" or (port.direction == "both" and kind.startswith("inverter"))
    )


def _given(network: Network, state: State) -> tuple[tuple[Draw, ...], ...]:
    """What sources and converters push into the network when they give all they can, in each way of sharing it out.

    An equaliser takes from the side with the highest voltage and gives to the others; the other way round the currents
    are the same.
    """
    draws: list[Draw] = []
    for converter in network.converters.values():
        sides = [port for port in ports(network) if port.owner == converter.id and port.current is not None]
        top = max(sides, key=lambda port: (port.volts or (0.0, 0.0))[1], default=None)
        for port in sides:
            amperes = port.current or 0.0
            if port.direction == "out" or (
                port.direction == "both"
                and converter.kind not in ("equaliser", "inverter", "inverter-charger")
            ):
                draws.append((port.a, port.b, -amperes))
            elif converter.kind == "equaliser":
                draws.append((port.a, port.b, amperes if port is top else -amperes))
    return tuple((*way, *draws) for way in together(network, state))


def cranking_size(network: Network, load: Load) -> float:
    """Area of the smallest conductor meant for a cranking motor, else of the largest at its terminals [m2]."""
    meant = [one.area * one.parallel for one in network.conductors if one.use == "cranking"]
    at = [
        edge.area * edge.parallel
        for node in (load.a, load.b)
        for edge in network.at(node)
        if isinstance(edge, Conductor)
    ]
    return min(meant, default=max(at, default=0.0))

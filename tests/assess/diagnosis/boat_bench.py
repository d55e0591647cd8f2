"""A boat simulated with a fault put in, apart from the program's own solver and its own idea of a boat.

Its cables follow from copper's resistivity, each with a tolerance of its own; its joints, batteries, alternator and loads
are drawn at random. `Kirchhoff` tries every combination of what each limited element does and takes the one that is
consistent; ngspice can be asked instead (see tests/judges).
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from itertools import product

import numpy as np

from lugbook.model.findings import Reading
from lugbook.model.network import Battery, Conductor, Contact, Inline, Join, Load, Network, Source, State

# SOURCE: IEC 60028, annealed copper: 0.017241 ohm mm2/m at 20 degC, 0.00393 per kelvin.
COPPER, PER_KELVIN = 0.017241, 0.00393


@dataclass
class World:
    """Resistances (name, a, b, ohm); batteries (name, a, b, emf, ohm giving, ohm taking); sources (.., volts, limit, ohm)."""

    resistances: list[tuple[str, str, str, float]] = field(default_factory=list)
    batteries: list[tuple[str, str, str, float, float, float]] = field(default_factory=list)
    sources: list[tuple[str, str, str, float, float, float]] = field(default_factory=list)


@dataclass(frozen=True)
class Fault:
    """What is wrong: elements that do not conduct, and figures by (what, where)."""

    opened: frozenset[str] = frozenset()
    figures: tuple[tuple[str, str, float], ...] = ()

    def of(self, what: str, where: str, usual: float) -> float:
        """The figure of a thing, or the usual one."""
        return next((value for w, place, value in self.figures if (w, place) == (what, where)), usual)


@dataclass(frozen=True)
class Shown:
    """Node voltages and currents by element, from a to b."""

    volts: dict[str, float]
    currents: dict[str, float]


@dataclass(frozen=True)
class Boat:
    """What is drawn once for a boat and holds in all its states."""

    seed: int
    emf: dict[str, float]
    takes: dict[str, float]
    gives: dict[str, float]
    volts: dict[str, float]
    limit: dict[str, float]
    tolerance: dict[str, float]
    joints: dict[str, float]
    loads: dict[str, float]
    warmth: float


def drawn(network: Network, seed: int) -> Boat:
    """A healthy boat of this kind."""
    chance = random.Random(seed)
    banks = sorted({b.bank for b in network.batteries})
    return Boat(
        seed,
        {bank: chance.uniform(12.2, 12.9) for bank in banks},
        {bank: math.exp(chance.uniform(math.log(0.02), math.log(0.35))) for bank in banks},
        {bank: chance.uniform(0.003, 0.008) for bank in banks},
        {s.id: chance.uniform(s.volts.low, s.volts.high) for s in network.sources},
        {s.id: s.current * chance.uniform(0.55, 0.95) for s in network.sources},
        {c.id: chance.uniform(0.95, 1.08) for c in network.conductors},
        {
            f"{c.id}.{end}": chance.uniform(0.00003, 0.0004)
            for c in network.conductors
            for end in ("from", "to")
        },
        {load.id: chance.uniform(0.7, 1.3) for load in network.loads},
        chance.uniform(10, 50),
    )


def world(network: Network, state: State, boat: Boat, fault: Fault) -> World:
    """The boat in a state, with the fault put in."""
    made = World()
    add = made.resistances.append
    for name, edge in network.edges.items():
        if not network.present(edge, state) or name in fault.opened:
            continue
        if isinstance(edge, Conductor):
            for part in conductor(edge, boat, fault):
                add(part)
        elif isinstance(edge, Join | Contact):
            add((name, edge.a, edge.b, 0.00005))
        elif isinstance(edge, Inline) and edge.device.id not in fault.opened:
            add((name, edge.a, edge.b, 0.0005))
        elif isinstance(edge, Load) and edge.duty == "continuous" and edge.kind != "cranking motor":
            amperes = edge.power / 12.5 if edge.power else edge.current.high if edge.current else 1.0
            add((name, edge.a, edge.b, 12.5 / amperes / boat.loads[name]))
        elif isinstance(edge, Battery):
            made.batteries.append(battery(edge, boat, fault))
        elif isinstance(edge, Source):
            volts = fault.of("volts", name, boat.volts[name])
            limit = boat.limit[name] * fault.of("limit", name, 1.0)
            made.sources.append((name, edge.a, edge.b, volts, limit, 0.004))
    for what, bank, ohms in fault.figures:
        if what == "drain":
            block = next(b for b in network.batteries if b.bank == bank)
            add((f"drain-{bank}", block.a, block.b, ohms))
    return made


def conductor(one: Conductor, boat: Boat, fault: Fault) -> Iterator[tuple[str, str, str, float]]:
    """Lug, conductor cut at its fuses, lug."""
    area = one.area * 1e6 * one.parallel
    cold = COPPER * one.length.high / area * boat.tolerance[one.id] * fault.of("factor", one.id, 1.0)
    ohms = cold * (1 + PER_KELVIN * (boat.warmth - 20))
    yield (
        f"{one.id}.lug-a",
        one.a,
        f"{one.id}.from",
        fault.of("ohms", f"{one.id}.from", boat.joints[f"{one.id}.from"]),
    )
    here = f"{one.id}.from"
    for n, placed in enumerate(one.devices):
        yield f"{one.id}.{n}", here, f"{one.id}.f{n}", max(ohms * 0.1, 1e-6)
        here = f"{one.id}.p{n}"
        if placed.device.id not in fault.opened:
            yield placed.device.id, f"{one.id}.f{n}", here, 0.0004
    yield one.id, here, f"{one.id}.to", max(ohms * (1 - 0.1 * len(one.devices)), 1e-6)
    yield (
        f"{one.id}.lug-b",
        f"{one.id}.to",
        one.b,
        fault.of("ohms", f"{one.id}.to", boat.joints[f"{one.id}.to"]),
    )


def battery(one: Battery, boat: Boat, fault: Fault) -> tuple[str, str, str, float, float, float]:
    """EMF, resistance while it gives, resistance while it takes."""
    size = (one.capacity or 360_000) / 360_000
    worse = fault.of("inner", one.id, fault.of("inner", one.bank, 1.0))
    emf = boat.emf[one.bank] + fault.of("emf", one.id, 0.0)
    return one.id, one.a, one.b, emf, boat.gives[one.bank] / size * worse, boat.takes[one.bank] / size * worse


def kirchhoff(made: World) -> Shown:
    """Solve by trying what every battery (gives, takes) and every source (holds its voltage, its limit, idle) does."""
    nodes = sorted(
        {n for part in (made.resistances, made.batteries, made.sources) for one in part for n in one[1:3]}
    )  # type: ignore[attr-defined]
    place = {name: n for n, name in enumerate(nodes)}
    options = [("gives", "takes")] * len(made.batteries) + [("holds", "limit", "idle")] * len(made.sources)
    base = np.eye(len(nodes)) * 1e-8  # a meter's own resistance to somewhere
    for _, a, b, ohms in made.resistances:
        stamp(base, place[a], place[b], 1 / ohms)
    for choice in product(*options):
        matrix, pushed = base.copy(), np.zeros(len(nodes))
        for (_, a, b, emf, gives, takes), does in zip(made.batteries, choice, strict=False):
            g = 1 / (gives if does == "gives" else takes)
            stamp(matrix, place[a], place[b], g)
            pushed[place[a]] += g * emf
            pushed[place[b]] -= g * emf
        for (_, a, b, volts, limit, ohms), does in zip(
            made.sources, choice[len(made.batteries) :], strict=True
        ):
            if does == "holds":
                stamp(matrix, place[a], place[b], 1 / ohms)
            amperes = volts / ohms if does == "holds" else limit if does == "limit" else 0.0
            pushed[place[a]] += amperes
            pushed[place[b]] -= amperes
        found = np.linalg.solve(matrix, pushed)
        shown = currents(made, {name: float(found[n]) for name, n in place.items()})
        if consistent(made, choice, shown):
            return shown
    raise AssertionError("no combination is consistent")


def stamp(matrix: np.ndarray, a: int, b: int, g: float) -> None:
    matrix[a, a] += g
    matrix[b, b] += g
    matrix[a, b] -= g
    matrix[b, a] -= g


def consistent(made: World, choice: tuple[str, ...], shown: Shown) -> bool:
    for (_, a, b, emf, _, _), does in zip(made.batteries, choice, strict=False):
        if (shown.volts[a] - shown.volts[b] > emf) != (does == "takes"):
            return False
    for (_, a, b, volts, limit, ohms), does in zip(made.sources, choice[len(made.batteries) :], strict=True):
        wanted = (volts - shown.volts[a] + shown.volts[b]) / ohms
        if does != ("idle" if wanted < 0 else "limit" if wanted > limit else "holds"):
            return False
    return True


def currents(made: World, volts: dict[str, float]) -> Shown:
    """Currents from the voltages: through resistances a to b, into batteries, out of sources."""
    found = {name: (volts[a] - volts[b]) / ohms for name, a, b, ohms in made.resistances}
    for name, a, b, emf, gives, takes in made.batteries:
        over = volts[a] - volts[b] - emf
        found[name] = over / (takes if over > 0 else gives)
    for name, a, b, top, limit, ohms in made.sources:
        found[name] = min(max((top - volts[a] + volts[b]) / ohms, 0.0), limit)
    return Shown(volts, found)


@dataclass(frozen=True)
class Meter:
    """A volt meter and a clamp of common accuracy, their errors anywhere within the limits; `lead` is the share shown."""

    chance: random.Random
    zero: float
    lead: float = 1.0

    def volts(self, true: float) -> str:
        seen = true * self.lead * (1 + self.chance.uniform(-0.005, 0.005))
        if abs(seen) < 0.3:  # the millivolt range
            return f"{seen * 1e3 + self.chance.uniform(-0.2, 0.2):.1f} mV"
        return f"{seen + self.chance.uniform(-0.02, 0.02):.2f} V"

    def amperes(self, true: float) -> str:
        return f"{true * (1 + self.chance.uniform(-0.02, 0.02)) + self.zero + self.chance.uniform(-0.3, 0.3):.1f} A"


def reading(
    n: int, state: str, shown: Shown, meter: Meter, where: tuple[str, ...], after: str | None
) -> Reading:
    """A reading as it would stand in a findings file."""
    entry: dict[str, object] = {
        "id": f"r{n}",
        "place": " to ".join(where),
        "state_id": state,
        "instrument": "meter",
    }
    if after:
        entry["after"] = after
    if len(where) == 2:
        value = shown.volts.get(where[0], 0.0) - shown.volts.get(where[1], 0.0)
        entry |= {"quantity": "voltage", "value": meter.volts(value), "at": list(where)}
    else:
        entry |= {
            "quantity": "current",
            "value": meter.amperes(shown.currents.get(where[0], 0.0)),
            "in": where[0],
            "instrument": "clamp",
        }
    return Reading.model_validate(entry)


Solver = Callable[[World], Shown]

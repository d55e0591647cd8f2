"""Faults of drawn size put into three boats, read by a meter as an electrician would read them."""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from dataclasses import dataclass, replace

from boat_bench import Boat, Fault, Meter, Shown, Solver, drawn, reading, world

from lugbook.model.findings import Reading
from lugbook.model.network import Network

Chance = random.Random


@dataclass(frozen=True)
class Trial:
    """A kind of fault: on which boat, what it changes, and the ids that count as naming it."""

    name: str
    boat: str
    draw: Callable[[Chance], tuple[Fault, tuple[str, ...]]]
    early: bool = False
    lead: bool = False
    full: bool = False


@dataclass(frozen=True)
class Protocol:
    """What is read in which state: pole to pole, drops along the path with a current, currents; and at rest."""

    charging: str
    posts: tuple[tuple[str, str], ...]
    drops: tuple[tuple[str, str], ...]
    flows: tuple[str, ...]
    rest: str
    at_rest: tuple[tuple[str, ...], ...]
    lugs: tuple[str, ...]


PROTOCOLS = {
    "emergency-link": Protocol(
        "charging",
        (("alternator.pos", "engine"), ("start.pos", "start.neg"), ("service.pos", "service.neg"), ("combiner.a", "start.neg")),
        (
            ("alternator.pos", "starter.pos"), ("starter.pos", "start-switch.out"), ("start-switch.in", "start.pos"),
            ("start-switch.in", "combiner.a"), ("combiner.a", "combiner.b"), ("combiner.b", "service-switch.in"),
            ("service-switch.in", "service.pos"), ("service.neg", "neg-bus"), ("start.neg", "neg-bus"), ("neg-bus", "engine"),
            ("combiner.coil-neg", "neg-bus"),
        ),
        ("charge-pos", "combine-b", "start", "service"),
        "sailing",
        (("start.pos", "start.neg"), ("service.pos", "service.neg"), ("start",), ("service",)),
        ("charge-pos", "combine-a", "combine-b", "service-pos", "starter-pos", "start-pos"),
    ),
    "split-negative": Protocol(
        "under-way",
        (("alternator.pos", "engine"), ("start.pos", "start.neg"), ("domestic.pos-1", "domestic.neg-1"), ("splitter.coil-pos", "engine-bus")),
        (
            ("alternator.pos", "start-isolator.out"), ("start-isolator.out", "splitter.a"), ("splitter.a", "splitter.b"),
            ("splitter.b", "domestic.pos-1"), ("start-isolator.in", "start.pos"), ("start.neg", "domestic-bus"),
            ("splitter.coil-neg", "engine-bus"),
        ),
        ("charge-pos", "split-b", "start"),
        "moored",
        (("start.pos", "start.neg"), ("domestic.pos-1", "domestic.neg-1")),
        ("charge-pos", "split-a", "split-b"),
    ),
    "three-batteries": Protocol(
        "on-charge",
        (("charger.pos", "charger.neg"), ("service.pos-1", "service.neg-1"), ("service.pos-3", "service.neg-3")),
        (("charger.pos", "service.pos-1"), ("service.neg-1", "neg-bus"), ("neg-bus", "charger.neg")),
        ("charge-pos", "service.block-1", "service.block-2", "service.block-3"),
        "evening",
        (("service.pos-1", "service.neg-1"), ("service.block-1",), ("service.block-2",), ("service.block-3",)),
        ("charge-pos", "charge-neg"),
    ),
}  # fmt: skip


def between(chance: Chance, low: float, high: float) -> float:
    return math.exp(chance.uniform(math.log(low), math.log(high)))


def opened(*elements: str, names: tuple[str, ...]) -> Callable[[Chance], tuple[Fault, tuple[str, ...]]]:
    return lambda _: (Fault(frozenset(elements)), names)


def one(
    what: str, where: tuple[str, ...], low: float, high: float, name: str
) -> Callable[[Chance], tuple[Fault, tuple[str, ...]]]:
    def draw(chance: Chance) -> tuple[Fault, tuple[str, ...]]:
        place = chance.choice(where)
        value = -between(chance, -low, -high) if low < 0 else between(chance, low, high)
        return Fault(figures=((what, place, value),)), (name.format(place),)

    return draw


def _fuse(chance: Chance) -> tuple[Fault, tuple[str, ...]]:
    fuse = chance.choice(("combine-a.fuse", "combine-b.fuse", "service-fuse"))
    return Fault(frozenset({fuse})), (f"fuse-blown:{fuse}",)


def _earth(chance: Chance) -> tuple[Fault, tuple[str, ...]]:
    """Lost in every other draw, else loose: some hundred ohms."""
    names, contact = ("no-reference-earth:combiner",), "combiner:a-b"
    if chance.random() < 0.5:
        return Fault(frozenset({contact, "combine-earth"})), names
    loose = between(chance, 5e3, 1e5)
    return Fault(frozenset({contact}), (("factor", "combine-earth", loose),)), names


def _two(chance: Chance) -> tuple[Fault, tuple[str, ...]]:
    """A joint in the charging path, and a drain at rest."""
    place = chance.choice(("combine-a.from", "combine-b.to", "charge-pos.to"))
    fault = Fault(
        figures=(("ohms", place, between(chance, 0.03, 0.15)), ("drain", "start", between(chance, 3, 10)))
    )
    names = (f"joint:{place}", "drain:start")
    return fault, (" + ".join(names), " + ".join(names[::-1]))


JOINTS = (
    "charge-pos.from",
    "charge-pos.to",
    "combine-a.from",
    "combine-a.to",
    "combine-b.from",
    "combine-b.to",
)
TRIALS = (
    Trial("contact open", "emergency-link", opened("combiner:a-b", names=("contact-open:combiner",))),
    Trial("no control feed", "split-negative", opened("splitter:a-b", "split-feed", names=("no-control-feed:splitter",))),
    Trial("no reference earth", "emergency-link", _earth),
    Trial("threshold", "emergency-link", lambda chance: (
        Fault(frozenset({"combiner:a-b"}), (("volts", "alternator", chance.uniform(12.95, 13.25)),)), ("threshold:combiner:alternator",))),
    Trial("delay", "emergency-link", opened("combiner:a-b", names=("delay:combiner",)), early=True),
    Trial("fuse blown", "emergency-link", _fuse),
    Trial("joint before", "emergency-link", one("ohms", JOINTS[:4], 0.02, 0.2, "joint:{}")),
    Trial("joint after", "emergency-link", one("ohms", JOINTS[4:], 0.02, 0.2, "joint:{}")),
    Trial("undersized", "split-negative", one("factor", ("split-b", "charge-pos"), 2.5, 6, "undersized:{}")),
    Trial("no output", "emergency-link", opened("alternator", names=("no-output:alternator",))),
    Trial("slipping", "emergency-link", one("limit", ("alternator",), 0.08, 0.3, "slipping:{}")),
    Trial("stuck high", "emergency-link", one("volts", ("alternator",), 15.4, 18, "stuck-high:{}"), full=True),
    Trial("sulphated", "emergency-link", one("inner", ("service",), 12, 40, "sulphated:{}")),
    Trial("shorted cell", "emergency-link", one("emf", ("service", "start"), -2.3, -1.8, "shorted-cell:{}")),
    Trial("mismatch", "three-batteries", one("inner", ("service.block-2", "service.block-3"), 6, 30, "mismatch:{}")),
    Trial("drain", "emergency-link", one("drain", ("start",), 3, 10, "drain:{}")),
    Trial("meter lead", "emergency-link", lambda _: (Fault(), ("meter-lead:meter",)), lead=True),
    Trial("two", "emergency-link", _two),
)  # fmt: skip


@dataclass(frozen=True)
class Case:
    """Readings, the ids that name the fault, and whether the currents are missing."""

    readings: tuple[Reading, ...]
    names: tuple[str, ...]
    blind: bool


def case(trial: Trial, network: Network, seed: int, solver: Solver) -> Case:
    """One draw. In every fifth the electrician had no clamp: the currents are missing."""
    chance = Chance(f"{trial.name} {seed}")
    plan = PROTOCOLS[trial.boat]
    boat = drawn(network, chance.randrange(10**9))
    if trial.full:  # at its limit a source never comes to the voltage that it would hold
        boat = replace(boat, takes={bank: chance.uniform(0.3, 0.8) for bank in boat.takes})
    fault, names = trial.draw(chance)
    meter = Meter(chance, chance.uniform(-0.4, 0.4), chance.uniform(0.4, 0.9) if trial.lead else 1.0)
    blind = seed % 5 == 4
    made: list[Reading] = []
    after = "40 s" if trial.early else "10 min"

    def take(state: str, shown: Shown, where: tuple[str, ...], late: str | None) -> None:
        if not (blind and len(where) == 1):
            made.append(reading(len(made), state, shown, meter, where, late))

    charging = _shown(network, plan.charging, boat, fault, solver)
    for where in (
        *plan.posts,
        *plan.drops,
        *((flow,) for flow in plan.flows),
        *_lugs(network, plan, charging),
    ):
        take(plan.charging, charging, where, after)
    rest = _shown(network, plan.rest, boat, fault, solver)
    for where in plan.at_rest:
        take(plan.rest, rest, where, None)
    if trial.early:  # and again when the delay is over
        healthy = _shown(network, plan.charging, boat, Fault(), solver)
        for where in (*plan.posts, ("combiner.a", "combiner.b"), *((flow,) for flow in plan.flows)):
            take(plan.charging, healthy, where, "12 min")
    return Case(tuple(made), names, blind)


def _shown(network: Network, state: str, boat: Boat, fault: Fault, solver: Solver) -> Shown:
    return solver(world(network, next(s for s in network.states if s.id == state), boat, fault))


def _lugs(network: Network, plan: Protocol, shown: Shown) -> tuple[tuple[str, str], ...]:
    """Stud to lug at both ends of the conductor along which most is lost."""
    edges = {name: network.edges[name] for name in plan.lugs}
    worst = max(edges, key=lambda name: abs(shown.volts[edges[name].a] - shown.volts[edges[name].b]))
    return (edges[worst].a, f"{worst}.from"), (f"{worst}.to", edges[worst].b)

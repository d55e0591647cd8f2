"""Overcurrent coverage: how much of each conductor no device protects against a solid short, from each source.

A fuse or breaker clears neither a loose joint nor a series arc, so nothing here says that a conductor is protected
against those.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

from lugbook.assess.evidence.base import Under, assumed, entered, exposure, size_inputs, wanted
from lugbook.assess.evidence.charging import ITEMS, feeds
from lugbook.assess.evidence.draws import ports
from lugbook.assess.evidence.limits import SAME, bound, margin
from lugbook.assess.evidence.walk import Exposed, Origin, Plan, banks_at, beyond, origins, walk
from lugbook.model.basis import Distance
from lugbook.model.evidence import Amount, Evidence, Input, Sentence, Verdict
from lugbook.model.network import Conductor, Contact, Device, Load, Port, State

FORMULA = "L from the source, or from the reduction of section, to the first device with In <= Iz"
LOAD_DUMP: Sentence = (
    "A device in an alternator's output must never open while it charges: the surge can destroy the alternator and what is connected.",
)
NOTHING: Sentence = ("Nothing would stop a short here.",)


@dataclass(frozen=True, slots=True)
class Worst:
    """The worst of all states, in the worse and the better case of what was assumed."""

    low: Exposed
    high: Exposed | None
    state: State


def coverage(under: Under) -> tuple[Evidence, ...]:
    """Evidence for each conductor of the live pole and each source that leaves some of it unprotected."""
    if not under.basis.limits.overcurrent:
        return ()
    network, poles = under.network, under.grounds.poles
    plan, charging = Plan(network, poles), Plan(network, poles, to_posts=True)
    found: list[Evidence] = []
    guarded: dict[str, Device | None] = {}
    bare: set[str] = set()
    for origin in origins(network, poles):
        worst, protected = _worst(under, plan if origin.kind == "battery" else charging, origin)
        guarded |= {name: device or guarded.get(name) for name, device in protected.items()}
        for name, worse in worst.items():
            one = network.edges[name]
            assert isinstance(one, Conductor)
            bare.add(name)
            found.append(_evidence(under, one, origin, worse))
    for one in network.conductors:
        if one.id in guarded and one.id not in bare and poles.live(one):
            found.append(_protected(under, one, guarded[one.id]))
    return tuple(found)


def _worst(under: Under, plan: Plan, origin: Origin) -> tuple[dict[str, Worst], dict[str, Device | None]]:
    """The worst state for each conductor, and what protects the others."""
    contacts = {edge.id for edge in under.network.of(Contact)}
    limits = _limits(under, origin)
    within_reach = _contacts(plan, origin, frozenset(contacts))
    worst: dict[str, Worst] = {}
    protected: dict[str, Device | None] = {}
    done: set[frozenset[str]] = set()
    for state in under.grounds.states:
        closed = state.closed & within_reach
        if closed in done:
            continue
        done.add(closed)
        low = walk(plan, origin.nodes, closed, limits[0])
        high = low if limits[0] == limits[1] else walk(plan, origin.nodes, closed, limits[1])
        for name, result in low.items():
            if not isinstance(result, Exposed):
                protected[name] = result or protected.get(name)
                continue
            better = high.get(name)
            good = better if isinstance(better, Exposed) else None
            before = worst.get(name)
            if before is None or (_rank(good), result.length) > (_rank(before.high), before.low.length):
                worst[name] = Worst(result, good, state)
    return worst, protected


def _rank(exposed: Exposed | None) -> float:
    return -1.0 if exposed is None else exposed.length


def _limits(under: Under, origin: Origin) -> tuple[dict[str, float], dict[str, float]]:
    """The largest rating that protects each conductor, in both cases.

    A source that limits itself needs no device for a conductor that carries all it can give, unless the basis has a
    rule for it without that exemption.
    """
    low, high = {}, {}
    bound_anyway = any(
        rule.source == origin.kind and "self-limited" not in rule.exempt
        for rule in under.basis.limits.overcurrent
    )
    spared = origin.limited is not False and origin.most is not None and not bound_anyway
    for name, entry in under.allowed.items():
        most = origin.most or 0.0
        # A source that may give more concerns its own output cable, not all that hangs on the boat's mains.
        one = under.network.edges[name]
        output = one.a in origin.nodes or one.b in origin.nodes or getattr(one, "use", "") == "charging"
        sure = spared and (origin.limited is True or not output)
        low[name] = inf if sure and entry.ampacity[0] * (1 + SAME) >= most else entry.low
        high[name] = inf if spared and entry.ampacity[1] * (1 + SAME) >= most else entry.high
    if origin.most is None and origin.kind != "battery":
        high = dict.fromkeys(high, inf)
    return low, high


def _contacts(plan: Plan, origin: Origin, every: frozenset[str]) -> frozenset[str]:
    """The contacts that the source can reach at all."""
    stack = [plan.index[node] for node in origin.nodes]
    seen, found = set(stack), set()
    while stack:
        for step in plan.steps[stack.pop()]:
            if step.contact:
                found.add(step.contact)
            if step.to not in seen:
                seen.add(step.to)
                stack.append(step.to)
    return frozenset(found) & every


def rules(under: Under, kind: str) -> tuple[Distance, ...]:
    """The distances of a basis that count for a kind of origin, the plain ones first."""
    every = under.basis.limits.overcurrent
    own = tuple(rule for rule in every if rule.source == kind)
    general = tuple(rule for rule in every if rule.source == "any")
    chosen = own + general if kind in ("battery", "reduction") else own or general
    return tuple(sorted(chosen, key=lambda rule: (rule.condition != "always", rule.distance.value)))


def _meets(under: Under, exposed: Exposed, rule: Distance) -> Verdict:
    """Whether an unprotected length keeps one of the basis's distances."""
    if exposed.length > rule.distance.value * (1 + SAME):
        return "departure"
    if rule.condition == "always":
        return "within"
    if rule.condition == "nearest impractical":
        return "cannot be decided"
    ways = {getattr(under.network.edges[name], "enclosed", None) for name in exposed.through}
    if "none" in ways:
        return "departure"
    return "cannot be decided" if None in ways else "within"


def _judge(under: Under, exposed: Exposed | None, ways: tuple[Distance, ...]) -> tuple[Verdict, Distance]:
    """The verdict, and the distance that decides it."""
    if exposed is None:
        return "within", ways[0]
    results = [(_meets(under, exposed, rule), rule) for rule in ways]
    order: tuple[Verdict, ...] = ("within", "cannot be decided", "departure")
    for wanted_verdict in order:
        for verdict, rule in results:
            if verdict == wanted_verdict:
                return verdict, rule
    return "departure", ways[0]


def _evidence(under: Under, one: Conductor, origin: Origin, worst: Worst) -> Evidence:
    network = under.network
    low, high = worst.low, worst.high
    kind = "reduction" if low.origin == "reduction" else origin.kind
    ways = rules(under, kind) or rules(under, "battery")
    exempt = _exempt(under, one, origin)
    first, rule = _judge(under, low, ways)
    second, _ = _judge(under, high, ways)
    verdict: Verdict = "within" if exempt else first if first == second else "cannot be decided"
    opens: list[str] = []
    if verdict == "cannot be decided":
        if first != second:
            opens += wanted(under.allowed[one.id].assumed)
            opens += wanted(("self-limited",)) if origin.limited is None else ()
        if first == "cannot be decided":
            opens += (
                wanted(("enclosed",))
                if rule.condition == "enclosed throughout"
                else ("whether a nearer place is impractical",)
            )
    limit = bound(under.basis, rule, rule.distance.value, "m", under.grounds.around)
    length = (min(low.length, high.length) if high else 0.0, low.length)
    names = (*under.allowed[one.id].assumed, "enclosed", "self-limited")
    return Evidence(
        analysis="coverage",
        rule=f"overcurrent, {origin.element}",
        subject=one.id,
        path=one.path,
        at=one.id,
        item=_item(under, one, origin, low),
        basis=under.basis.id,
        low=length[0],
        high=length[1],
        unit="m",
        inputs=(*size_inputs(one), *_inputs(under, one, low)),
        formula=FORMULA,
        numbers=("L = ", Amount(low.length, "m"), " (", *_between(low.through), ")"),
        limit=limit,
        alternatives=(),
        verdict=verdict,
        wants=tuple(dict.fromkeys(opens)),
        margin=None if exempt else margin(*length, limit),
        assumptions=assumed(network, (one.id, origin.element), names),
        state=worst.state.id,
        state_named=worst.state.named,
        says=_says(one, origin, low, exempt, sure=verdict != "cannot be decided"),
        notes=_notes(under, one, low, exempt),
        exempt=exempt,
        stretches=low.stretches,
        exposure=exposure(one),
    )


def _between(names: tuple[str, ...]) -> Sentence:
    return (" + ".join(f"'{name}'" for name in names),)


def _inputs(under: Under, one: Conductor, exposed: Exposed) -> tuple[Input, ...]:
    entry = under.allowed[one.id]
    rule = entry.rule.clause if entry.rule else "rating at most what the conductor carries"
    found = [
        Input(
            "Iz", "largest rating that protects this conductor", entry.low, entry.high, "A", "computed", rule
        )
    ]
    for device in (exposed.passed, exposed.guard):
        if device is not None:
            found.append(entered("In", f"rating of '{device.id}'", device.rating, "A"))
    found.append(
        Input("Lc", "unprotected length of this conductor itself", exposed.own, exposed.own, "m", "computed")
    )
    return tuple(found)


def _says(one: Conductor, origin: Origin, exposed: Exposed, exempt: str, *, sure: bool) -> Sentence:
    if exempt:
        return (
            f"'{one.id}' is exempt by {exempt}; nothing would stop it. Length ",
            Amount(exposed.own, "m"),
            ".",
        )
    start: Sentence = (
        (f" from the place where it leaves a larger conductor, fed by '{origin.element}',",)
        if exposed.origin == "reduction"
        else (f" along the conductors from '{origin.element}'",)
    )
    if exposed.guard is None:
        end: Sentence = (" to its end, and no device protects it against a solid short.",)
    else:
        end = (f" up to '{exposed.guard.id}', the first device that protects it against a solid short.",)
    start_of = "" if sure else "In the worse case of what is not known, "
    return (f"{start_of}'{one.id}' is unprotected for ", Amount(exposed.length, "m"), *start, *end)


def _notes(under: Under, one: Conductor, exposed: Exposed, exempt: str) -> tuple[Sentence, ...]:
    notes: list[Sentence] = []
    if exempt or exposed.guard is None:
        notes.append(NOTHING)
    if exposed.passed is not None:
        notes.append(
            (
                f"'{exposed.passed.id}' (",
                Amount(exposed.passed.rating, "A"),
                ") stands before it, too large for this conductor.",
            )
        )
    if exposed.guard is not None and exposed.guard.dc is False:
        notes.append((f"'{exposed.guard.id}' is not marked for direct current.",))
    if exposed.guard is not None and not exposed.guard.breaks:
        notes.append((f"The breaking capacity of '{exposed.guard.id}' is not known.",))
    if one.use == "charging" and any(
        source.kind == "alternator" for source in feeds(under.network, one).sources
    ):
        notes.append(LOAD_DUMP)
    return tuple(notes)


def _protected(under: Under, one: Conductor, device: Device | None) -> Evidence:
    """The evidence for a conductor that nothing leaves unprotected."""
    entry = under.allowed[one.id]
    by: Sentence = (
        (
            f"'{one.id}' is protected against a solid short by '{device.id}' (",
            Amount(device.rating, "A"),
            ").",
        )
        if device
        else (f"'{one.id}' carries all that its sources can give, so that it needs no device.",)
    )
    rule = entry.rule.clause if entry.rule else "rating at most what the conductor carries"
    state = under.grounds.states[0]
    inputs: tuple[Input, ...] = (
        *size_inputs(one),
        Input(
            "Iz", "largest rating that protects this conductor", entry.low, entry.high, "A", "computed", rule
        ),
    )
    if device is not None:
        inputs += (entered("In", f"rating of '{device.id}'", device.rating, "A"),)
    return Evidence(
        "coverage", "overcurrent", one.id, one.path, one.id, "fuse-near-battery", under.basis.id, 0.0, 0.0, "m",
        inputs, FORMULA, ("L = ", Amount(0.0, "m")), None, (), "within", (), None,
        assumed(under.network, (one.id,), entry.assumed), state.id, state.named, by,
        notes=((f"The breaking capacity of '{device.id}' is not known.",),) if device and not device.breaks else (),
        exposure=exposure(one),
    )  # fmt: skip


def _exempt(under: Under, one: Conductor, origin: Origin) -> str:
    """The clause that exempts a conductor: cables inside a bank, and those to nothing but a cranking motor."""
    if one.use == "link":
        return "common practice for cables inside a bank"
    every = under.basis.limits.overcurrent
    clause = next((rule.clause for rule in every if "cranking" in rule.exempt), "")
    return clause if clause and sole_cranking(under, one, origin.nodes) else ""


def sole_cranking(under: Under, one: Conductor, source: tuple[str, ...]) -> bool:
    """Whether, in every state, a cranking motor is the sole load past a conductor, and no other bank lies there."""
    network = under.network
    for end in (one.a, one.b):
        past = beyond(network, one, end)
        if past & set(source):
            continue
        loads = [load for load in network.loads if {load.a, load.b} & past]
        takers = [p for p in ports(network) if p.direction != "out" and p.a in past]
        if loads and not takers and not banks_at(network, past):
            return all(load.kind == "cranking motor" for load in loads)
    return False


def _item(under: Under, one: Conductor, origin: Origin, exposed: Exposed) -> str:
    """The checklist item that the evidence speaks to."""
    network = under.network
    if one.use == "link":
        return "battery-bank-takeoff"
    if sole_cranking(under, one, origin.nodes):
        return "cranking-cable"
    far = feeds(network, one)
    if one.use in ("sense", "control") or (
        exposed.origin == "reduction" and not (one.use == "charging" and far.items)
    ):
        return "fuse-taps"
    if origin.kind != "battery" and exposed.origin == "source":
        return next((item for item in far.items), ITEMS.get(origin.kind, "fuse-near-battery"))
    if one.use == "charging" and far.items:
        return far.items[0]
    between = _between_banks(under, one, origin)
    if between and (one.use == "charging" or exposed.through[0] != one.id):
        return "fuse-link-both-ends"
    if any(
        isinstance(edge, Port) and network.converters[edge.owner].kind.startswith("inverter")
        for node in (one.a, one.b)
        for edge in network.at(node)
    ):
        return "inverter-dc-protection"
    motors = [edge for node in (one.a, one.b) for edge in network.at(node) if isinstance(edge, Load)]
    if any(load.duty == "short-time" and load.kind == "motor" for load in motors):
        return "heavy-motor-protection"
    return "fuse-near-battery"


def _between_banks(under: Under, one: Conductor, origin: Origin) -> bool:
    """Whether another bank than the origin's lies past a conductor, or in a ring with it."""
    past = [beyond(under.network, one, end) for end in (one.a, one.b)]
    ring = all(side & set(origin.nodes) for side in past)
    return any(
        banks_at(under.network, side) - {origin.element} and (ring or not side & set(origin.nodes))
        for side in past
    )

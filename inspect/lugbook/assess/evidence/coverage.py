"""Overcurrent coverage: how much of each conductor no device protects against a solid short, from each source.

A fuse or breaker clears neither a loose joint nor a series arc, so nothing here says that a conductor is protected
against those.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

from lugbook.assess.evidence.base import Under, assumed, entered, exposure, size_inputs, wanted
from lugbook.assess.evidence.coverage_items import item_of
from lugbook.assess.evidence.coverage_rules import exemption, judged, rules
from lugbook.assess.evidence.coverage_says import FORMULA, between, inputs_of, notes_of, says_of
from lugbook.assess.evidence.limits import SAME, bound, margin
from lugbook.assess.evidence.origins import Origin, origins
from lugbook.assess.evidence.outputs import assumptions as shared_of
from lugbook.assess.evidence.outputs import given
from lugbook.assess.evidence.plan import Plan
from lugbook.assess.evidence.walk import Exposed, walk
from lugbook.model.evidence import Amount, Evidence, Input, Sentence, Verdict
from lugbook.model.network import Conductor, Contact, Device, State

__all__ = ["coverage", "rules"]


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
    charging = Plan(network, poles, to_posts=True)
    found: list[Evidence] = []
    guarded: dict[str, Device | None] = {}
    bare: set[str] = set()
    for origin in origins(network, poles):
        # Past the posts of another bank, that bank is the source.
        own = Plan(network, poles, to_posts=True, own=origin.nodes)
        worst, protected = _worst(under, own if origin.kind == "battery" else charging, origin)
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
    source = next((one for one in under.network.sources if one.id == origin.element), None)
    each = given(under.network, source) if source else {}
    for name, entry in under.allowed.items():
        most = each.get(name, origin.most or 0.0)
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


def _evidence(under: Under, one: Conductor, origin: Origin, worst: Worst) -> Evidence:
    network = under.network
    low, high = worst.low, worst.high
    kind = "reduction" if low.origin == "reduction" else origin.kind
    ways = rules(under, kind) or rules(under, "battery")
    exempt = exemption(under, one, origin)
    first, rule = judged(under, low, ways)
    second, _ = judged(under, high, ways)
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
    shared = shared_of(network).get(one.id, ()) if origin.kind != "battery" else ()
    return Evidence(
        analysis="coverage",
        rule=f"overcurrent, {origin.element}",
        subject=one.id,
        path=one.path,
        at=one.id,
        item=item_of(under, one, origin, low),
        basis=under.basis.id,
        low=length[0],
        high=length[1],
        unit="m",
        inputs=(*size_inputs(one), *inputs_of(under, one, low)),
        formula=FORMULA,
        numbers=("L = ", Amount(low.length, "m"), " (", *between(low.through), ")"),
        limit=limit,
        alternatives=(),
        verdict=verdict,
        wants=tuple(dict.fromkeys(opens)),
        margin=None if exempt else margin(*length, limit),
        assumptions=(*assumed(network, (one.id, origin.element), names), *shared),
        state=worst.state.id,
        state_named=worst.state.named,
        says=says_of(one, origin, low, exempt, sure=verdict != "cannot be decided"),
        notes=notes_of(under, one, low, exempt),
        exempt=exempt,
        stretches=low.stretches,
        exposure=exposure(one),
    )


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

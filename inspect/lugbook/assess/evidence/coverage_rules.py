"""Which of a basis's distances count, whether a length keeps them, and what exempts a conductor."""

from __future__ import annotations

from lugbook.assess.evidence.base import Under
from lugbook.assess.evidence.draws import ports
from lugbook.assess.evidence.limits import SAME
from lugbook.assess.evidence.origins import Origin, banks_at, beyond
from lugbook.assess.evidence.walk import Exposed
from lugbook.model.basis import Distance
from lugbook.model.evidence import Verdict
from lugbook.model.network import Conductor


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


def judged(under: Under, exposed: Exposed | None, ways: tuple[Distance, ...]) -> tuple[Verdict, Distance]:
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


def exemption(under: Under, one: Conductor, origin: Origin) -> str:
    """The clause that exempts a conductor: cables inside a bank, and those to nothing but a cranking motor."""
    if one.use == "link":
        return "common practice for cables inside a bank"
    every = under.basis.limits.overcurrent
    clause = next((rule.clause for rule in every if "cranking" in rule.exempt), "")
    return clause if clause and sole_cranking(under, one, origin.nodes) else ""


def sole_cranking(under: Under, one: Conductor, source: tuple[str, ...]) -> bool:
    """Whether, in every state, a cranking motor is the sole load past a conductor, and no other bank lies there.

    Conductors side by side between the same two nodes count as one.
    """
    network = under.network
    ends = {one.a, one.b}
    beside = frozenset(other.id for other in network.conductors if {other.a, other.b} == ends)
    for end in (one.a, one.b):
        past = beyond(network, one, end, beside)
        if past & set(source):
            continue
        loads = [load for load in network.loads if {load.a, load.b} & past]
        takers = [p for p in ports(network) if p.direction != "out" and p.a in past]
        if loads and not takers and not banks_at(network, past):
            return all(load.kind == "cranking motor" for load in loads)
    return False

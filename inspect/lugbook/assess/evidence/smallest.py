"""The smallest conductor that a basis allows, alone and in a sheath."""

from __future__ import annotations

from lugbook.assess.evidence.base import Under, assumed, exposure, size_inputs, wanted
from lugbook.assess.evidence.capacity import ROUNDED
from lugbook.assess.evidence.limits import bound, judge, margin
from lugbook.calc.conductor import awg_area
from lugbook.model.basis import Basis
from lugbook.model.evidence import Amount, Evidence, Sentence, Verdict
from lugbook.model.network import Conductor, Load

EXEMPT = "whether it belongs to equipment that the clause leaves out"
LENGTH = "the length of the conductor"


def smallest(under: Under) -> tuple[Evidence, ...]:
    """Evidence for every conductor below the size that may be laid alone; of thicker ones nothing is said.

    Bonding conductors and links inside a bank have rules of their own, and the inside of a panel is equipment.
    """
    rule = under.basis.limits.smallest_conductor
    if rule is None:
        return ()
    alone, _ = areas(under.basis)
    free = rule.longer_than.value if rule.longer_than is not None else 0.0
    return tuple(
        _evidence(under, one)
        for one in under.network.conductors
        if one.area < alone * (1 - ROUNDED)
        and one.length.high > free
        and one.use not in ("bond", "link")
        and not (one.enclosed == "panel" and "inside equipment" in rule.exempt)
    )


def areas(basis: Basis) -> tuple[float, float]:
    """The smallest area alone and in a sheath [m2]; 0 where the basis has none."""
    rule = basis.limits.smallest_conductor
    if rule is None:
        return 0.0, 0.0
    alone, sheathed = (
        area.value if area is not None else awg_area(gauge=gauge) if gauge is not None else 0.0
        for area, gauge in ((rule.alone, rule.alone_awg), (rule.sheathed, rule.sheathed_awg))
    )
    return alone, sheathed or alone


def _evidence(under: Under, one: Conductor) -> Evidence:
    rule = under.basis.limits.smallest_conductor
    assert rule is not None
    alone, sheathed = areas(under.basis)
    fits = one.area >= sheathed * (1 - ROUNDED)
    least = sheathed if one.enclosed == "sheath" or (one.enclosed is None and not fits) else alone
    limit = bound(under.basis, rule, least, "m2", under.grounds.around, "at least")
    verdict: Verdict = "within" if fits and least == sheathed else judge(one.area, one.area, limit)
    wants: tuple[str, ...] = ()
    if verdict == "departure":
        if one.enclosed is None and fits:
            wants += wanted(("enclosed",))
        if rule.longer_than is not None and one.length.low <= rule.longer_than.value:
            wants += (LENGTH,)
        if _may_be_exempt(under, one):
            wants += (EXEMPT,)
    return Evidence(
        analysis="ampacity",
        rule="smallest conductor",
        subject=one.id,
        path=one.path,
        at=one.id,
        item="conductor-size",
        basis=under.basis.id,
        low=one.area,
        high=one.area,
        unit="m2",
        inputs=size_inputs(one),
        formula="S >= Smin",
        numbers=(Amount(one.area, "m2"), " against ", Amount(least, "m2")),
        limit=limit,
        alternatives=(),
        verdict="cannot be decided" if wants else verdict,
        wants=wants,
        margin=margin(one.area, one.area, limit),
        assumptions=assumed(under.network, (one.id,), ("enclosed",)),
        state=under.grounds.states[0].id,
        state_named=under.grounds.states[0].named,
        says=_says(under, one),
        exposure=exposure(one),
    )


def _may_be_exempt(under: Under, one: Conductor) -> bool:
    """Whether it leads to electronics, or only carries a signal, where the clause leaves out such conductors."""
    rule = under.basis.limits.smallest_conductor
    assert rule is not None
    electronics = any(
        isinstance(edge, Load) and edge.kind == "electronics"
        for node in (one.a, one.b)
        for edge in under.network.at(node)
    )
    return (electronics and "small electronics" in rule.exempt) or (
        one.use in ("sense", "control") and bool({"communication", "inside equipment"} & set(rule.exempt))
    )


def _says(under: Under, one: Conductor) -> Sentence:
    alone, sheathed = areas(under.basis)
    lies = {None: "whether it lies in a sheath is not stated", "sheath": "it lies in a sheath"}
    return (
        f"'{one.id}' ({one.size}) is thinner than ", Amount(alone, "m2"), ", the least for a conductor by itself; in a sheath ",
        Amount(sheathed, "m2"), f" are enough. {lies.get(one.enclosed, 'It does not lie in a sheath').capitalize()}.",
    )  # fmt: skip

"""From a basis to the limit that counts here, labelled for this boat; and whether a basis applies at all."""

from __future__ import annotations

from lugbook.model.basis import Basis, Fuel, Limit
from lugbook.model.evidence import SAME, Bound, Circumstances, Relation, Verdict
from lugbook.model.vocabulary import Known

__all__ = ["SAME", "applies", "bound", "judge", "margin", "practice"]


def applies(
    basis: Basis, *, system: float, fuel: Fuel | None, outboard: bool | None, length: float | None
) -> bool:
    """Whether a basis binds a boat like this one. What is not known about the boat counts against it.

    `system` is the nominal voltage [V], `length` that of the hull [m].
    """
    rule = basis.applies
    return (
        "d.c." in rule.supply
        and (rule.below_volts is None or system < rule.below_volts.value)
        and (not rule.fuels or fuel in rule.fuels)
        and (rule.outboards or outboard is False)
        and (rule.longest is None or (length is not None and length <= rule.longest.value))
    )


def bound(
    basis: Basis, limit: Limit, value: float, unit: str, around: Circumstances, relation: Relation = "at most"
) -> Bound:
    """A limit of a basis with its label."""
    label = basis.label(built=around.built, on=around.on, bound=basis.id in around.bound, limit=limit)
    return Bound(value, unit, relation, basis.id, limit.clause, label, limit.known, limit.note or "")


def practice(
    value: float, unit: str, clause: str, relation: Relation = "at most", known: Known = "recalled"
) -> Bound:
    """A limit that no basis holds."""
    return Bound(value, unit, relation, "", clause, "good practice", known)


def judge(low: float, high: float, limit: Bound) -> Verdict:
    """A result that spans from low to high against a limit: within only if all of it is."""
    if limit.relation == "at most":
        good, bad = high <= limit.value * (1 + SAME), low > limit.value * (1 + SAME)
    else:
        good, bad = low >= limit.value * (1 - SAME), high < limit.value * (1 - SAME)
    return "within" if good else "departure" if bad else "cannot be decided"


def margin(low: float, high: float, limit: Bound) -> float | None:
    """The share of the limit that is left at the worse end of the result; None where the limit is zero."""
    if limit.value == 0:
        return None
    worse = high if limit.relation == "at most" else low
    left = limit.value - worse if limit.relation == "at most" else worse - limit.value
    return left / limit.value

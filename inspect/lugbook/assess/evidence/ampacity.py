"""Ampacity: the design current of each conductor against what it carries where it lies."""

from __future__ import annotations

from lugbook.assess.evidence.base import (
    Under,
    assumed,
    case_inputs,
    case_numbers,
    exposure,
    size_inputs,
    wanted,
)
from lugbook.assess.evidence.capacity import Carrying, Case
from lugbook.assess.evidence.design import Design, Peak, cranking_size
from lugbook.assess.evidence.limits import bound, judge, margin
from lugbook.model.evidence import Alternative, Amount, Bound, Evidence, Input, Sentence, Verdict
from lugbook.model.network import Conductor

FORMULA = "I / n <= It × min(Fa, Fp) × Fb"
TOGETHER = "whether these loads run together: name the state under 'states'"


def ampacity(under: Under, design: Design) -> tuple[Evidence, ...]:
    """Evidence for every conductor under a basis that has a table."""
    if not under.basis.limits.ampacity:
        return ()
    return tuple(
        evidence
        for one in under.network.conductors
        for evidence in (_evidence(under, design, one, "service"), _cranking(under, design, one))
        if evidence is not None
    )


def _cranking(under: Under, design: Design, one: Conductor) -> Evidence | None:
    """The current of cranking, for conductors that are thinner than a cranking cable and yet carry it.

    Cranking cables carry their current for seconds and are judged by their voltage and their fault figures.
    """
    motors = [load for load in under.network.loads if load.kind == "cranking motor"]
    least = min((cranking_size(under.network, load) for load in motors), default=0.0)
    if one.area * one.parallel >= least * (1 - 1e-9) or design.cranking.get(one.id) is None:
        return None
    return _evidence(under, design, one, "cranking")


def _evidence(under: Under, design: Design, one: Conductor, kind: str) -> Evidence:
    carried = under.carried[one.id]
    state = under.grounds.states[0]
    nothing = Peak(0.0, state, sure=True)
    peak = (design.cranking if kind == "cranking" else design.service).get(one.id, nothing)
    sure = peak if kind == "cranking" else design.likely.get(one.id, nothing)
    limit, verdict, wants, left = _judge(under, carried, peak, sure, one.parallel)
    item = "bonding-no-current" if one.use == "bond" else "conductor-size"
    names = carried.assumed
    return Evidence(
        analysis="ampacity",
        rule=kind,
        subject=one.id,
        path=one.path,
        at=one.id,
        item=item,
        basis=under.basis.id,
        low=peak.amperes / one.parallel,
        high=peak.amperes / one.parallel,
        unit="A",
        inputs=(
            Input(
                "I", "design current", sure.amperes, peak.amperes, "A", "computed", f"state '{peak.state.id}'"
            ),
            Input("n", "conductors side by side", one.parallel, one.parallel, "count", "entered"),
            *size_inputs(one),
            *case_inputs(one, carried),
        ),
        formula=FORMULA,
        numbers=_numbers(carried, peak, one.parallel),
        limit=limit,
        alternatives=_alternatives(carried.low),
        verdict=verdict,
        wants=wants,
        margin=left,
        assumptions=assumed(under.network, (one.id,), names),
        state=peak.state.id,
        state_named=peak.state.named,
        says=_says(one, peak, carried, kind),
        exposure=exposure(one),
    )


def _judge(
    under: Under, carried: Carrying, peak: Peak, sure: Peak, count: int
) -> tuple[Bound | None, Verdict, tuple[str, ...], float | None]:
    low, high = carried.low, carried.high
    each = peak.amperes / count
    if low is None or high is None:
        if high is not None:
            better = bound(under.basis, high.table, high.derated.amperes, "A", under.grounds.around)
            if judge(sure.amperes / count, sure.amperes / count, better) == "departure":
                return better, "departure", (), margin(each, each, better)
        verdict: Verdict = "within" if each == 0 else "cannot be decided"
        return None, verdict, () if each == 0 else wanted((*carried.assumed, "table")), None
    worse = bound(under.basis, low.table, low.derated.amperes, "A", under.grounds.around)
    better = bound(under.basis, high.table, high.derated.amperes, "A", under.grounds.around)
    if judge(each, each, worse) == "within":
        return worse, "within", (), margin(each, each, worse)
    if judge(sure.amperes / count, sure.amperes / count, better) == "departure":
        return better, "departure", (), margin(each, each, better)
    wants = (
        wanted(carried.assumed)
        if judge(each, each, better) == "within"
        else (*wanted(carried.assumed), TOGETHER)
    )
    return worse, "cannot be decided", wants, margin(each, each, worse)


def _numbers(carried: Carrying, peak: Peak, count: int) -> Sentence:
    left: Sentence = (Amount(peak.amperes, "A"), " / ", Amount(count, "count"))
    return (*left, "; ", *case_numbers(carried.low)) if carried.low else left


def _alternatives(case: Case | None) -> tuple[Alternative, ...]:
    """By the printed factor and by physics; the lower counts."""
    if case is None:
        return ()
    table = case.derated.governs == "table"
    return (
        Alternative("by the printed factor", case.derated.by_table, "A", table),
        Alternative("by physics", case.derated.by_physics, "A", not table),
    )


def _says(one: Conductor, peak: Peak, carried: Carrying, kind: str) -> Sentence:
    current: Sentence = (
        f"'{one.id}' ({one.size}) carries ", Amount(peak.amperes / one.parallel, "A"), " while the engine is cranked" if kind == "cranking" else " in service",
    )  # fmt: skip
    low, high = carried.low, carried.high
    if high is None:
        return (*current, "; the basis has no figure for this size and insulation.")
    if low is None:
        return (*current, "; where it lies it may carry ", Amount(high.derated.amperes, "A"), " at most.")
    if low.derated.amperes == high.derated.amperes:
        return (*current, "; where it lies it may carry ", Amount(low.derated.amperes, "A"), ".")
    return (
        *current, "; where it lies it may carry ", Amount(low.derated.amperes, "A"), " to ", Amount(high.derated.amperes, "A"), ".",
    )  # fmt: skip

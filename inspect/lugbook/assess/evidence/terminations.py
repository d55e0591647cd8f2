"""Terminations: hole against stud, barrel against conductor, lugs on a stud, metals and torque."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from lugbook.assess.evidence.base import Under, entered, exposure
from lugbook.assess.evidence.limits import SAME, bound, judge, margin, practice
from lugbook.calc import termination
from lugbook.model.evidence import Alternative, Amount, Bound, Evidence, Input, Sentence, Verdict
from lugbook.model.network import Conductor, End, Node
from lugbook.model.problem import Path

# How full a barrel has to be, and how far a conductor may pass its marking.
LEAST, MOST = 0.9, 1.05
COPPERS = frozenset({"copper", "tinned copper", "brass"})


def terminations(under: Under) -> tuple[Evidence, ...]:
    """Evidence for every end that was described, and for every stud that lugs share."""
    found: list[Evidence] = []
    for one in under.network.conductors:
        for name, end in ((one.a, one.end_a), (one.b, one.end_b)):
            if end is not None:
                stud = under.network.nodes[name]
                found += [
                    *_hole(under, one, stud, end),
                    *_barrel(under, one, stud, end),
                    *_torque(under, one, stud, end),
                ]
    for node in under.network.nodes.values():
        found += [*_lugs(under, node), *_metals(under, node)]
    return tuple(found)


def _made(
    under: Under, rule: str, subject: str, path: Path, at: str, item: str, *, low: float, high: float, unit: str,
    inputs: tuple[Input, ...], formula: str, numbers: Sentence, limit: Bound | None, verdict: Verdict, says: Sentence,
    wants: tuple[str, ...] = (), alternatives: tuple[Alternative, ...] = (), left: float | None = None,
) -> Evidence:  # fmt: skip
    state, edge = under.grounds.states[0], under.network.edges.get(subject)
    return Evidence(
        "terminations", rule, subject, path, at, item, under.basis.id, low, high, unit, inputs, formula, numbers, limit,
        alternatives, verdict, wants, left, (), state.id, state.named, says,
        exposure=exposure(edge) if isinstance(edge, Conductor) else "usual",
    )  # fmt: skip


def _hole(under: Under, one: Conductor, node: Node, end: End) -> Iterator[Evidence]:
    rule = under.basis.limits.lug_hole
    if rule is None or (end.hole is None and end.hole_for is None) or node.stud in (None, "post", "clamp"):
        return
    if end.hole is not None:
        hole, source = end.hole, "measured"
    elif end.hole_for in termination.STUDS:
        hole, source = (
            termination.clearance_hole(stud=end.hole_for, series="fine"),
            f"stamped for {end.hole_for}",
        )
    else:
        return
    name = f"hole at {node.id}"
    inputs: tuple[Input, ...] = (
        Input(
            "D",
            "diameter of the hole",
            hole,
            hole,
            "m",
            "entered" if source == "measured" else "table",
            source,
        ),
    )
    if node.stud not in termination.STUDS:
        yield _made(
            under, name, one.id, end.path, node.id, "lug-hole", low=hole, high=hole, unit="m", inputs=inputs, formula="d <= D <= D0",
            numbers=(Amount(hole, "m"),), limit=None, verdict="cannot be decided", wants=("the size of the stud",),
            says=(f"The lug of '{one.id}' at '{node.id}' has a hole of ", Amount(hole, "m"), "; the stud's size is not known."),
        )  # fmt: skip
        return
    assert node.stud is not None
    thread = termination.stud_diameter(stud=node.stud)
    most = termination.clearance_hole(stud=node.stud, series=rule.series)
    limit = bound(under.basis, rule, most, "m", under.grounds.around)
    fit = termination.hole_fit(hole=hole, stud=node.stud)
    verdict: Verdict = (
        "departure" if fit.verdict == "does not go on" or hole > most + termination.SAME else "within"
    )
    inputs += (
        entered("d", f"diameter of the stud {node.stud}", thread, "m"),
        Input(
            "D0",
            f"clearance hole, {rule.series}",
            most,
            most,
            "m",
            "table",
            "ISO 273:1979, ASME B18.2.8-1999",
        ),
    )
    lost: tuple[Alternative, ...] = ()
    if node.stud in termination.WASHER_DIAMETER and verdict == "departure" and fit.play > 0:
        share = termination.contact_lost(face=termination.WASHER_DIAMETER[node.stud], hole=hole, matched_hole=termination.clearance_hole(stud=node.stud, series="fine"))  # fmt: skip
        lost = (
            Alternative(
                "share of the contact face under the washer that is lost", share, "ratio", used=False
            ),
        )
    yield _made(
        under, name, one.id, end.path, node.id, "lug-hole", low=hole, high=hole, unit="m", inputs=inputs, formula="d <= D <= D0",
        numbers=(Amount(thread, "m"), " <= ", Amount(hole, "m"), " <= ", Amount(most, "m")), limit=limit, verdict=verdict,
        left=margin(hole, hole, limit), alternatives=lost,
        says=(f"The lug of '{one.id}' at '{node.id}' has a hole of ", Amount(hole, "m"), f" on a stud {node.stud}: {fit.verdict}."),
    )  # fmt: skip


def _barrel(under: Under, one: Conductor, node: Node, end: End) -> Iterator[Evidence]:
    if end.barrel is None:
        return
    fit = termination.barrel_fit(conductor=one.area, barrel=end.barrel, least=LEAST, most=MOST)
    small = fit.filling < 1
    limit = practice(
        LEAST if small else MOST,
        "ratio",
        "a barrel filled to nine tenths, and passed by a twentieth at most",
        "at least" if small else "at most",
    )
    yield _made(
        under, f"barrel at {node.id}", one.id, end.path, node.id, "lug-barrel", low=fit.filling, high=fit.filling, unit="ratio",
        inputs=(entered("S", "area of the conductor", one.area, "m2", one.size), entered("Sb", "area that the barrel is marked for", end.barrel, "m2")),
        formula="S / Sb", numbers=(Amount(one.area, "m2"), " / ", Amount(end.barrel, "m2"), " = ", Amount(fit.filling, "ratio")),
        limit=limit, verdict="within" if fit.verdict == "matched" else "departure", left=margin(fit.filling, fit.filling, limit),
        says=(f"'{one.id}' ({one.size}) in a barrel for ", Amount(end.barrel, "m2"), f" at '{node.id}': {fit.verdict}."),
    )  # fmt: skip


def _torque(under: Under, one: Conductor, node: Node, end: End) -> Iterator[Evidence]:
    rule = under.basis.limits.torque
    if end.torque is None:
        return
    limit: Bound
    if end.torque_range is not None:
        low, high = end.torque_range
        limit = practice(high, "Nm", "the maker's torque")
    elif rule is not None and node.stud in rule.studs:
        low, high = (torque.value for torque in rule.studs[node.stud])
        limit = bound(under.basis, rule, high, "Nm", under.grounds.around)
    else:
        return
    verdict = termination.torque_verdict(torque=end.torque, low=low, high=high)
    if verdict == "below":
        limit = replace(limit, value=low, relation="at least")
    yield _made(
        under, f"torque at {node.id}", one.id, end.path, node.id, "contact-faces", low=end.torque, high=end.torque, unit="Nm",
        inputs=(entered("M", "torque", end.torque, "Nm"), Input("M1", "range", low, high, "Nm", "entered" if end.torque_range else "table", limit.clause)),
        formula="M1 <= M <= M2", numbers=(Amount(low, "Nm"), " <= ", Amount(end.torque, "Nm"), " <= ", Amount(high, "Nm")), limit=limit,
        verdict="within" if verdict == "within" else "departure", left=margin(end.torque, end.torque, limit),
        says=(f"'{one.id}' at '{node.id}' is tightened to ", Amount(end.torque, "Nm"), f", {verdict} the range from ", Amount(low, "Nm"), " to ", Amount(high, "Nm"), "."),
    )  # fmt: skip


def _lugs(under: Under, node: Node) -> Iterator[Evidence]:
    """Lugs on one stud; bus bars and panels have many studs, so that nothing is counted there."""
    rule = under.basis.limits.lugs_per_stud
    if rule is None or node.stud in (None, "post", "clamp") or node.kind not in ("terminal", "stud"):
        return
    count = sum(edge.parallel for edge in under.network.at(node.id) if isinstance(edge, Conductor))
    if count == 0:
        return
    limit = bound(under.basis, rule, rule.most, "count", under.grounds.around)
    yield _made(
        under, "lugs", node.id, node.path, node.id, "lugs-per-stud", low=count, high=count, unit="count",
        inputs=(entered("n", "conductors on the stud", count, "count"),), formula="n <= n0",
        numbers=(Amount(count, "count"), " against ", Amount(rule.most, "count")), limit=limit,
        verdict=judge(count, count, limit), left=margin(count, count, limit),
        says=(f"'{node.id}' carries ", Amount(count, "count"), " lug." if count == 1 else " lugs."),
    )  # fmt: skip


def _metals(under: Under, node: Node) -> Iterator[Evidence]:
    """Lugs of metals that corrode each other on one stud."""
    metals = set()
    for edge in under.network.at(node.id):
        if isinstance(edge, Conductor):
            end = edge.end_a if edge.a == node.id else edge.end_b
            if end is not None and end.metal not in (None, "not known"):
                metals.add("copper" if end.metal in COPPERS else str(end.metal))
    if not metals:
        return
    limit = practice(1, "count", "no mixed metals in one joint, common practice")
    count = len(metals)
    yield _made(
        under, "metals", node.id, node.path, node.id, "contact-faces", low=count, high=count, unit="count",
        inputs=(entered("n", f"kinds of metal: {', '.join(sorted(metals))}", count, "count"),), formula="n <= 1",
        numbers=(Amount(count, "count"),), limit=limit, verdict=judge(count, count * (1 - SAME), limit),
        says=(f"The lugs at '{node.id}' are of {' and '.join(sorted(metals))}.",),
    )  # fmt: skip

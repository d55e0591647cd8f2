"""The installation's departures joined with what the inspector saw."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from typing import get_args

from lugbook.assess.evidence.curves import curves
from lugbook.assess.evidence.poles import poles
from lugbook.assess.evidence.run import evidence
from lugbook.assess.merge import Computed, Dropped, Merged, departures, merge, place, unused
from lugbook.assess.risk import act_by
from lugbook.model.assessed import JudgedDefect, Overruled, Risk, Worked
from lugbook.model.basis import Fuel
from lugbook.model.checklist import Item, Source
from lugbook.model.evidence import Circumstances, Evidence, Stretch
from lugbook.model.job import Job
from lugbook.model.network import Network

# Of a visit without a date, the bases are asked as they stand today in every later year as well.
UNDATED = date(9999, 1, 1)


def work_out(drafts: Iterable[JudgedDefect], job: Job) -> Worked:
    """Run every analysis and merge."""
    network, findings = job.network, job.findings
    found = evidence(network, job.bases, circumstances(job), findings.readings, findings.shore)
    items = {**job.others, **{item.id: item for item in job.checklist.items}}
    computed = departures(found, items.get)
    seen = [replace(draft, at=_stands(network, draft.at)) if draft.at else draft for draft in drafts]
    dropped = [Dropped(one.item, _stands(network, one.at), one.reason) for one in findings.disagree]
    merged = merge(seen, computed, dropped)
    return Worked(
        defects=tuple(defect for one in merged if not one.dropped for defect in _defects(one, items)),
        evidence=found,
        back=poles(network).back if network is not None else frozenset(),
        curves=curves(network, job.bases, found) if network is not None else (),
        bare=bare_lengths(found),
        overruled=tuple(
            Overruled(one.computed.item, one.computed.at, one.level, one.disagree, one.computed.evidence)
            for one in merged
            if one.dropped and one.computed is not None and one.disagree is not None
        ),
        idle=tuple(f"{one.item}, {one.at}: {one.reason}" for one in unused(computed, dropped)),
    )


def _stands(network: Network | None, name: str) -> str:
    """Where a defect stands; readings of the mains side are no part of the installation."""
    return name if network is None else place(network, name)


def bare_lengths(found: Iterable[Evidence]) -> tuple[Stretch, ...]:
    """The lengths that are not shown to be protected, exempt and undecided ones included, overlaps joined."""
    by_conductor: dict[str, list[tuple[float, float]]] = {}
    for one in found:
        if one.verdict != "within" or one.exempt:
            for stretch in one.stretches:
                by_conductor.setdefault(stretch.conductor, []).append((stretch.start, stretch.end))
    joined: list[Stretch] = []
    for conductor, parts in sorted(by_conductor.items()):
        start, end = sorted(parts)[0]
        for next_start, next_end in sorted(parts):
            if next_start > end:
                joined.append(Stretch(conductor, start, end))
                start, end = next_start, next_end
            end = max(end, next_end)
        joined.append(Stretch(conductor, start, end))
    return tuple(joined)


def circumstances(job: Job) -> Circumstances:
    """The day, the year of build and the bases that bind this boat."""
    report, network = job.findings.report, job.network
    craft = report.craft
    outboard = craft.fitted.get("outboard-engine")
    hull = craft.length.value if craft.length else None
    bases = job.bases if network is not None else ()
    return Circumstances(
        on=report.visit.date or report.date or UNDATED,
        built=craft.built,
        bound=frozenset(
            basis.id
            for basis in bases
            if network is not None
            and basis.bound(volts=network.system, fuel=_fuel(job), outboard=outboard, hull=hull)
        ),
    )


def _fuel(job: Job) -> Fuel | None:
    craft = job.findings.report.craft
    word = (craft.fuel or "").strip().lower()
    named = next((fuel for fuel in get_args(Fuel) if fuel == word), None)
    return named or ("petrol" if craft.fitted.get("petrol") else None)


def _defects(one: Merged[JudgedDefect], items: dict[str, Item]) -> list[JudgedDefect]:
    if one.computed is None:
        return list(one.seen)
    if not one.seen:
        return [_alone(one.computed, items.get(one.computed.item))]
    return [_joined(seen, one, one.computed) for seen in one.seen]


def _joined(seen: JudgedDefect, one: Merged[JudgedDefect], computed: Computed) -> JudgedDefect:
    """Both origins kept; a raised level shows what it replaced."""
    made = replace(seen, evidence=computed.evidence, computed=computed.level, disagree=one.disagree)
    if not one.raised:
        return made
    made = replace(made, own=seen.level)
    risk = replace(seen.risk, level=computed.level)
    return replace(made, risk=risk, act_by=act_by(risk.level, seen.danger, service=seen.service))


def _alone(computed: Computed, item: Item | None) -> JudgedDefect:
    """A defect that was computed and not seen. Its words come from the item; title and place from compose."""
    risk = Risk(computed.severity, computed.probability, computed.level, computed.level, None)
    danger, service = (item.danger, item.service) if item else ("latent", False)
    limits = [one.limit for one in computed.evidence if one.limit is not None]
    sources = dict.fromkeys(Source(document=limit.clause, known=limit.known) for limit in limits)
    return JudgedDefect(
        number=0,
        id=f"c-{computed.item}-{computed.at}".replace(".", "-"),
        title=computed.at,
        place=computed.at,
        seen=None,
        until_then=None,
        told=None,
        opinion=None,
        readings=(),
        risk=risk,
        act_by=act_by(risk.level, danger, service=service),
        harms=item.harms if item else "people",
        danger=danger,
        service=service,
        why=item.why if item else "",
        remedy=item.remedy if item else "",
        photos=(),
        sources=tuple(sources),
        cautions=item.cautions if item else (),
        item=computed.item,
        at=computed.at,
        evidence=computed.evidence,
        computed=computed.level,
    )

"""Job -> Assessed: every defect gets its risk, its urgency and its number."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import fields, replace
from typing import TYPE_CHECKING, get_args

from lugbook.assess.risk import LEVELS, MATRIX, USUAL_ACT_BY, act_by, risk_level
from lugbook.model.assessed import Answer, Assessed, JudgedDefect, Risk, Worked
from lugbook.model.checklist import Item, Source
from lugbook.model.findings import Defect, DefectBase, ExtraDefect, Reading, Result
from lugbook.model.job import Job
from lugbook.model.vocabulary import Caution, Danger, Feature, Harms, ProbabilityWord, SeverityWord

if TYPE_CHECKING:
    from lugbook.model.evidence import Evidence
    from lugbook.model.remedied import Remedied

# Cautions that belong to every visit, whatever the list says.
ALWAYS: tuple[Caution, ...] = ("short-circuit", "battery-acid-gas", "prove-dead", "never-dead")
# Cautions that come with what is fitted.
BY_FEATURE: dict[Feature, Caution] = {
    "shore-power": "mains-qualified",
    "generator": "mains-qualified",
    "inverter": "stored-charge",
    "lithium": "lithium",
    "petrol": "fuel-vapour",
    "gas": "fuel-vapour",
    "inboard-engine": "battery-switch-running",
}
# Cautions that say nothing to a boat which is said to have none of the features.
NEVER_WITHOUT: tuple[Caution, ...] = ("lithium", "mains-qualified", "stored-charge")


def assess(job: Job) -> Assessed:
    """Judge a job: no file, no clock, no wording."""
    findings, readings = job.findings, {reading.id: reading for reading in job.findings.readings}
    results = {result.item: result for result in findings.results}
    fitted = findings.report.craft.fitted
    walk = {item.id: place for place, item in enumerate(job.checklist.items)}
    drafts = [
        _from_item(defect, item, readings, fitted)
        for item in job.checklist.items
        if item.id in results
        for defect in results[item.id].defects
    ]
    drafts += [_from_extra(extra, readings) for extra in findings.extra]
    worked = _work_out(drafts, job)
    everything = sorted(worked.defects, key=lambda defect: _urgency(defect, walk))
    ordered = [defect for defect in everything if not defect.closed]
    closed = tuple(defect for defect in everything if defect.closed)
    defects = tuple(replace(defect, number=number) for number, defect in enumerate(ordered, 1))
    groups = tuple(
        (
            group,
            tuple(
                _answer(item, results.get(item.id), defects, readings)
                for item in group.items
                if item.asked(fitted)
            ),
        )
        for group in job.checklist.groups
    )
    not_asked = tuple(item for item in job.checklist.items if not item.asked(fitted))
    kept = tuple((group, answers) for group, answers in groups if answers)
    return Assessed(
        **{field.name: getattr(worked, field.name) for field in fields(worked)} | {"defects": defects},
        job=job,
        groups=kept,
        not_asked=not_asked,
        cautions=_cautions(defects, fitted),
        matrix=dict(MATRIX),
        urgency=dict(USUAL_ACT_BY),
        closed=closed,
        remedied=_remedied(job, defects, worked.evidence),
    )


def _work_out(drafts: Sequence[JudgedDefect], job: Job) -> Worked:
    """The drafts with what was computed. Without installation and mains readings they are all there is."""
    if job.network is None and not job.findings.shore:
        return Worked(tuple(drafts))
    from lugbook.assess.computed import work_out  # every analysis comes with it

    return work_out(drafts, job)


def _remedied(job: Job, defects: Sequence[JudgedDefect], before: Sequence[Evidence]) -> Remedied | None:
    """The remedy of a job; None if nothing is proposed."""
    if not job.findings.remedy:
        return None
    from lugbook.assess.remedy import remedied  # and the analyses with it

    return remedied(job, defects, before)


def _urgency(defect: JudgedDefect, walk: dict[str, int]) -> tuple[int, int, int, int, int, str]:
    """Level first, people before property, what is dangerous now before what waits, then the order of the walk."""
    return (
        LEVELS.index(defect.risk.level),
        int(defect.harms == "property"),
        int(defect.danger == "latent"),
        walk.get(defect.item or "", len(walk)),  # extras come after the walk
        int(defect.id[1:]) if defect.id[1:].isdigit() else len(walk),
        defect.id,
    )


def _risk(severity: SeverityWord, probability: ProbabilityWord, defect: DefectBase) -> Risk:
    matrix = risk_level(severity, probability)
    if defect.risk is None:
        return Risk(severity, probability, matrix, matrix, None)
    return Risk(severity, probability, matrix, defect.risk.level, defect.risk.reason)


def _from_item(
    defect: Defect, item: Item, readings: dict[str, Reading], fitted: Mapping[Feature, bool | None]
) -> JudgedDefect:
    """What the defect does not say comes from its item."""
    return _judged(
        defect,
        _risk(
            defect.severity or item.severity,
            defect.probability or item.usual_probability(defect.exposure),
            defect,
        ),
        readings,
        harms=defect.harms or item.harms,
        danger=defect.danger or item.danger,
        service=item.service if defect.service is None else defect.service,
        why=defect.why or item.why,
        remedy=defect.remedy or item.remedy,
        sources=item.source,
        cautions=tuple(caution for caution in item.cautions if not _pointless(caution, fitted)),
        item=item.id,
    )


def _from_extra(extra: ExtraDefect, readings: dict[str, Reading]) -> JudgedDefect:
    return _judged(
        extra,
        _risk(extra.severity, extra.probability, extra),
        readings,
        harms=extra.harms,
        danger=extra.danger,
        service=extra.service,
        why=extra.why,
        remedy=extra.remedy,
        sources=(Source(document=extra.source),),
        cautions=(),
        item=None,
    )


def _judged(
    defect: DefectBase,
    risk: Risk,
    readings: dict[str, Reading],
    *,
    harms: Harms,
    danger: Danger,
    service: bool,
    why: str,
    remedy: str,
    sources: tuple[Source, ...],
    cautions: tuple[Caution, ...],
    item: str | None,
) -> JudgedDefect:
    assert defect.id is not None, "load refuses defects without an id"
    return JudgedDefect(
        number=0,
        id=defect.id,
        title=defect.title,
        place=defect.place,
        seen=defect.seen,
        until_then=defect.until_then,
        told=defect.told,
        opinion=defect.opinion,
        readings=tuple(readings[key] for key in defect.readings),
        risk=risk,
        act_by=act_by(risk.level, danger, service=service),
        photos=defect.photos,
        harms=harms,
        danger=danger,
        service=service,
        why=why,
        remedy=remedy,
        sources=sources,
        cautions=cautions,
        item=item,
        at=defect.at,
        disagree=defect.disagree,
        now=defect.now,
        carried=defect.carried,
    )


def _answer(
    item: Item, result: Result | None, defects: tuple[JudgedDefect, ...], readings: dict[str, Reading]
) -> Answer:
    if result is None:
        return Answer(item, None, None, None, None, None, (), (), (), ())
    return Answer(
        item=item,
        result=result.result,
        extent=result.extent,
        reason=result.reason,
        note=result.note,
        told=result.told,
        readings=tuple(readings[key] for key in result.readings),
        photos=result.photos,
        defects=tuple(defect for defect in defects if defect.item == item.id),
        see=tuple(defect for defect in defects if defect.id in result.see),
    )


def _cautions(
    defects: tuple[JudgedDefect, ...], fitted: Mapping[Feature, bool | None]
) -> tuple[Caution, ...]:
    """Those of every visit, of the defects, and of what is fitted; in the order of the vocabulary."""
    wanted = set(ALWAYS)
    for defect in defects:
        wanted.update(defect.cautions)
    for feature, caution in BY_FEATURE.items():
        if fitted.get(feature):
            wanted.add(caution)
    return tuple(caution for caution in get_args(Caution) if caution in wanted)


def _pointless(caution: Caution, fitted: Mapping[Feature, bool | None]) -> bool:
    """Whether a caution speaks of something that this boat is said not to have."""
    features = [feature for feature, named in BY_FEATURE.items() if named == caution]
    return caution in NEVER_WITHOUT and all(fitted.get(feature) is False for feature in features)

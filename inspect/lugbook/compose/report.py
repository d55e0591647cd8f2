"""Assessed job -> finished view. What speaks of an installation is imported once a job has one."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from lugbook import __version__
from lugbook.compose import record
from lugbook.compose.changes import changes_in_short, compose_changes
from lugbook.compose.common import Phrases
from lugbook.compose.defects import compose_defects
from lugbook.compose.first import COUNTED, compose_first, compose_plan
from lugbook.compose.pictures import Album
from lugbook.compose.readings import compose_qualified, compose_readings
from lugbook.model.assessed import Assessed
from lugbook.model.changes import Changes
from lugbook.model.job import PictureFacts
from lugbook.model.view import CautionView, Letterhead, ReportView, SignatureView
from lugbook.words.catalogue import Words

if TYPE_CHECKING:
    from lugbook.model.diagnosis import Diagnosis
    from lugbook.model.diagnosis_view import DiagnosisView
    from lugbook.model.diagram import DiagramView
    from lugbook.model.remedy_view import RemedyView
    from lugbook.model.view import CalculationsView

LOGO, SIGNATURE = "logo.jpg", "signature.jpg"
UNDATED = "1980-01-01"


def compose(
    assessed: Assessed,
    words: Words,
    facts: Mapping[str, PictureFacts],
    changes: Changes | None = None,
    diagnosed: Diagnosis | None = None,
) -> ReportView:
    """Settle every word, number and order. `facts` are those of the original pictures, `changes` since when.

    `diagnosed` is what the readings say of the charging path.
    """
    job, report = assessed.job, assessed.job.findings.report
    phrases, album = Phrases(words), Album(words, facts, times=report.picture_times)
    if report.craft.photo is not None:
        album.add(report.craft.photo)
    defects = compose_defects(assessed, phrases, album)
    groups = record.compose_groups(assessed, phrases, album)
    first, changed = compose_first(assessed, defects, phrases, album), None
    remedy = _remedy(assessed, phrases)
    if remedy is not None and remedy.estimate is not None:
        first = first.model_copy(update={"cost": remedy.estimate.short})
    if changes is not None:
        changed = compose_changes(changes, phrases, album)
        first = first.model_copy(update={"verdict": (*first.verdict, changes_in_short(changes, phrases))})
    day = report.date or report.visit.date
    lists = "; ".join(
        words("trail.list_edition", title=title, edition=edition)
        for title, edition in zip(job.checklist.titles, job.checklist.editions, strict=True)
    )
    not_asked = assessed.not_asked
    signed = report.signature
    return ReportView(
        program=__version__,
        language=words.language,
        title=words("title.report"),
        number=report.number,
        boat=phrases.or_not_recorded(report.craft.name),
        day=day.isoformat() if day else UNDATED,
        draft=bool(job.unanswered),
        precedence=words("precedence"),
        letterhead=Letterhead(
            name=job.business.name or report.electrician.business or "",
            lines=job.business.lines,
            logo=LOGO if job.business.logo else None,
            logo_alt=job.business.logo_alt,
        ),
        first=first,
        plan=compose_plan(defects, phrases),
        closer=record.compose_closer(assessed),
        cautions=tuple(
            CautionView(
                id=caution, line=words(f"caution.{caution}.line"), text=words(f"caution.{caution}.text")
            )
            for caution in assessed.cautions
        ),
        defects=defects,
        calculations=_calculations(assessed, phrases),
        diagram=_diagram(assessed, words),
        readings=compose_readings(assessed, phrases),
        readings_by=compose_qualified(assessed, phrases),
        instruments=record.compose_instruments(assessed, phrases),
        walk_intro=words("looked.intro", lists=lists),
        groups=groups,
        not_asked_intro=words.count("looked.not_asked", len(not_asked)) if not_asked else None,
        not_asked=tuple(item.question for item in not_asked),
        unseen=record.compose_unseen(assessed, phrases),
        unanswered=words.count("unseen.unanswered", len(job.unanswered)) if job.unanswered else None,
        limits=report.limitations,
        visit=record.compose_visit(assessed, phrases),
        severities=record.severities(phrases),
        matrix=record.compose_matrix(assessed.matrix, phrases),
        urgency=record.compose_urgency(assessed, phrases),
        meanings=record.compose_meanings(phrases),
        overridden=tuple(
            words(
                "method.overridden",
                heading=words("defect.heading", n=d.number, title=d.title),
                text=d.override,
            )
            for d in defects
            if d.override
        ),
        levels=tuple(phrases.level(level) for level in COUNTED),
        files=job.digests,
        made_with=words("trail.program", version=__version__, lists=lists),
        signature=SignatureView(
            name=phrases.or_not_recorded(signed.name),
            date=phrases.day(signed.date),
            place=phrases.or_not_recorded(signed.place),
            image=SIGNATURE if signed.image else None,
            image_alt=words("signature.image_alt", name=phrases.or_not_recorded(signed.name)),
        ),
        pictures=tuple(album.pictures),
        changes=changed,
        diagnosis=_diagnosis(assessed, diagnosed, phrases),
        remedy=remedy,
    )


def _remedy(assessed: Assessed, phrases: Phrases) -> RemedyView | None:
    """The section of the remedy; None if nothing is proposed."""
    if assessed.remedied is None:
        return None
    from lugbook.compose.remedy import compose_remedy

    return compose_remedy(assessed, assessed.remedied, phrases)


def _calculations(assessed: Assessed, phrases: Phrases) -> CalculationsView | None:
    """Everything that was computed; None without an installation and readings of the mains side."""
    if assessed.job.network is None and not assessed.job.findings.shore:
        return None
    from lugbook.compose.calculations import compose_calculations

    return compose_calculations(assessed, phrases)


def _diagnosis(assessed: Assessed, found: Diagnosis | None, phrases: Phrases) -> DiagnosisView | None:
    """What the readings say, with names in place of ids."""
    network = assessed.job.network
    if network is None or found is None:
        return None
    from lugbook.compose.diagnosis import compose_diagnosis
    from lugbook.compose.diagnosis_names import Spots

    spots = Spots(network, assessed.job.findings, phrases)
    view = compose_diagnosis(found, phrases.words, spots)
    if found.along is None:
        return view
    from lugbook.compose.chart_path import path_chart

    return view.model_copy(update={"chart": path_chart(found.along, spots, phrases)})


def _diagram(assessed: Assessed, words: Words) -> DiagramView | None:
    """The line diagram with the defects' numbers at their places."""
    network = assessed.job.network
    if network is None:
        return None
    from lugbook.compose.diagram import compose_diagram

    numbers: dict[str, list[int]] = {}
    for defect in assessed.defects:
        if defect.at is not None:
            numbers.setdefault(defect.at, []).append(defect.number)
    return compose_diagram(network, assessed.back, assessed.bare, numbers, words)

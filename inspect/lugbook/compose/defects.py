"""The defects of the view."""

from __future__ import annotations

from lugbook.compose.common import Phrases
from lugbook.compose.pictures import Album
from lugbook.model.assessed import Assessed, JudgedDefect
from lugbook.model.view import DefectView


def compose_defects(assessed: Assessed, phrases: Phrases, album: Album) -> tuple[DefectView, ...]:
    """Every defect, most urgent first."""
    questions = {item.id: item.question for item in assessed.job.checklist.items}
    return tuple(_defect(defect, questions, phrases, album) for defect in assessed.defects)


def _defect(defect: JudgedDefect, questions: dict[str, str], phrases: Phrases, album: Album) -> DefectView:
    words, risk = phrases.words, defect.risk
    alone = len(defect.photos) == 1
    override = None
    if risk.reason is not None:
        short = {level: words(f"level_short.{level}") for level in (risk.matrix, risk.level)}
        override = words(
            "defect.override", matrix=short[risk.matrix], level=short[risk.level], reason=risk.reason
        )
    return DefectView(
        number=defect.number,
        id=defect.id,
        anchor=f"defect-{defect.id}",
        title=defect.title,
        place=defect.place,
        level=phrases.level(risk.level),
        act_by=defect.act_by,
        act_by_words=phrases.act_by(defect.act_by),
        until_then=defect.until_then,
        statements=phrases.statements(
            seen=defect.seen,
            readings=defect.readings,
            told=defect.told,
            opinion=defect.opinion,
            seen_key="defect.seen",
        ),
        why=defect.why,
        remedy=defect.remedy,
        keep_service=defect.service and risk.level != "eliminated",
        risk_line=words(
            "defect.risk_line",
            severity=words(f"severity.{risk.severity}"),
            probability=words(f"probability.{risk.probability}"),
            harms=words(f"harms.{defect.harms}"),
            danger=words(f"danger.{defect.danger}"),
        ),
        override=override,
        sources=tuple(phrases.source(source) for source in defect.sources),
        caution_lines=tuple(
            words(f"caution.{caution}.line")
            for caution in defect.cautions
            if not (defect.service and caution == "prove-dead")  # it must stay on: the remedy says how
        ),
        beside=album.add(defect.photos[0]) if alone else None,
        rows=() if alone else album.rows(defect.photos),
        question=questions.get(defect.item or ""),
        item=defect.item,
    )

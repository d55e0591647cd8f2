"""The defects of the view."""

from __future__ import annotations

from lugbook.compose.common import Phrases
from lugbook.compose.evidence import Names, headline, says
from lugbook.compose.pictures import Album
from lugbook.model.assessed import Assessed, JudgedDefect
from lugbook.model.view import DefectView


def compose_defects(assessed: Assessed, phrases: Phrases, album: Album) -> tuple[DefectView, ...]:
    """Every defect, most urgent first."""
    known = (*assessed.job.others.values(), *assessed.job.checklist.items)
    questions = {item.id: item.question for item in known}
    names = Names(assessed.job.network, phrases, assessed.job.findings.shore)
    return tuple(_defect(defect, questions, names, phrases, album) for defect in assessed.defects)


def _defect(
    defect: JudgedDefect, questions: dict[str, str], names: Names, phrases: Phrases, album: Album
) -> DefectView:
    words, risk = phrases.words, defect.risk
    alone = len(defect.photos) == 1
    return DefectView(
        number=defect.number,
        id=defect.id,
        anchor=f"defect-{defect.id}",
        title=headline(defect, names, phrases) if defect.seen is None else defect.title,
        place=names.of(defect.place) if defect.seen is None else defect.place,
        level=phrases.level(risk.level),
        act_by=defect.act_by,
        act_by_words=phrases.act_by(defect.act_by),
        until_then=defect.until_then,
        statements=phrases.statements(
            seen=defect.seen,
            readings=defect.readings,
            told=defect.told,
            opinion=defect.opinion,
            computed=" ".join(says(defect.evidence, names)) or None,
            seen_key="defect.seen",
        ),
        why=defect.why or words("evidence.no_words"),
        remedy=defect.remedy or words("evidence.no_words"),
        keep_service=defect.service and risk.level != "eliminated",
        risk_line=words(
            "defect.risk_line",
            severity=words(f"severity.{risk.severity}"),
            probability=words(f"probability.{risk.probability}"),
            harms=words(f"harms.{defect.harms}"),
            danger=words(f"danger.{defect.danger}"),
        ),
        override=_override(defect, phrases),
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


def _override(defect: JudgedDefect, phrases: Phrases) -> str | None:
    """Where levels differ: what the table, the inspector and the computation say, and why one of them counts."""
    words, risk = phrases.words, defect.risk
    table, level = words(f"level_short.{risk.matrix}"), words(f"level_short.{defect.own or risk.level}")
    lines = []
    if risk.reason is not None:
        lines.append(words("defect.override", matrix=table, level=level, reason=sentence(risk.reason)))
    if defect.computed is not None:
        computed = words(f"level_short.{defect.computed}")
        if defect.own is not None:
            lines.append(words("evidence.raised", computed=computed, own=level))
        if defect.disagree is not None:
            lines.append(words("evidence.disagree", computed=computed, reason=sentence(defect.disagree)))
    return " ".join(lines) or None


def sentence(text: str) -> str:
    """The inspector's words with a full stop at their end."""
    return text if text.endswith((".", "!", "?")) else f"{text}."

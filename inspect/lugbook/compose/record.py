"""The record: readings, what was looked at, the visit, the method and what the report was made from."""

from __future__ import annotations

from typing import get_args

from lugbook.compose.common import Phrases
from lugbook.compose.pictures import Album
from lugbook.model.assessed import Answer, Assessed
from lugbook.model.findings import Person
from lugbook.model.view import (
    AnswerView,
    Fact,
    GroupView,
    InstrumentView,
    LevelView,
    MatrixRow,
    PictureView,
    SectionView,
    UnseenView,
)
from lugbook.model.vocabulary import Feature, Level, ProbabilityWord, SeverityWord

DASH = "–"


def compose_instruments(assessed: Assessed, phrases: Phrases) -> tuple[InstrumentView, ...]:
    """The instruments, with those past their date marked."""
    report = assessed.job.findings.report
    day = report.visit.date
    return tuple(
        InstrumentView(
            name=instrument.name,
            serial=phrases.or_not_recorded(instrument.serial),
            calibrated=phrases.day(instrument.calibrated),
            due=phrases.day(instrument.due),
            overdue=bool(day and instrument.due and instrument.due < day),
            check=phrases.or_not_recorded(instrument.check),
        )
        for instrument in report.instruments
    )


def compose_groups(assessed: Assessed, phrases: Phrases, album: Album) -> tuple[GroupView, ...]:
    """Every question that was asked, in the order of the walk."""
    return tuple(_group(group.title, answers, phrases, album) for group, answers in assessed.groups)


def _group(title: str, answers: tuple[Answer, ...], phrases: Phrases, album: Album) -> GroupView:
    """The pictures of a stop stand below its questions; each question names its own."""
    rows = album.rows(photo for answer in answers for photo in answer.photos)
    pictures = iter([picture for row in rows for picture in row])
    views = tuple(_answer(answer, phrases, [next(pictures) for _ in answer.photos]) for answer in answers)
    return GroupView(title=title, answers=views, rows=rows)


def _answer(answer: Answer, phrases: Phrases, pictures: list[PictureView]) -> AnswerView:
    return AnswerView(
        item=answer.item.id,
        question=answer.item.question,
        result=phrases.words(f"result.{_result_key(answer)}"),
        result_key=(answer.result or "unanswered").replace(" ", "-"),
        extent=phrases.extent(answer.extent, answer.result) if answer.result else DASH,
        statements=phrases.statements(
            seen=answer.note,
            reason=answer.reason,
            readings=answer.readings,
            told=answer.told,
            seen_key="looked.note",
            stated=False,  # the test record says it, once for each reading
        ),
        pictures=tuple((picture.label, picture.anchor) for picture in pictures),
        defects=tuple((d.number, f"defect-{d.id}") for d in (*answer.defects, *answer.see)),
    )


def _result_key(answer: Answer) -> str:
    """The words for a result: nothing else departs where a defect is entered elsewhere."""
    if answer.result == "no departure seen" and answer.see:
        return "no other departure seen"
    return answer.result or "unanswered"


def compose_unseen(assessed: Assessed, phrases: Phrases) -> tuple[UnseenView, ...]:
    """What was not looked at, and why."""
    state = phrases.words("result.not inspected")
    return tuple(
        UnseenView(question=answer.item.question, state=state, reason=answer.reason or "")
        for answer in assessed.answers
        if answer.result == "not inspected"
    )


def compose_closer(assessed: Assessed) -> tuple[tuple[str, str], ...]:
    """Questions that need a closer look, with the reason."""
    return tuple(
        (answer.item.question, answer.reason or "")
        for answer in assessed.answers
        if answer.result == "further investigation"
    )


def compose_visit(assessed: Assessed, phrases: Phrases) -> tuple[SectionView, ...]:
    """The boat, the people, the day."""
    words, fact = phrases.words, phrases.fact
    report = assessed.job.findings.report
    craft, visit, who = report.craft, report.visit, report.electrician
    hours = " – ".join(part for part in (visit.start, visit.finish) if part)
    terms = report.terms
    boat = [
        fact("visit.name", craft.name),
        fact("visit.kind", craft.kind),
        fact("visit.identification", craft.identification),
        fact("visit.builder", craft.builder),
        fact("visit.built", str(craft.built) if craft.built else None),
        fact("visit.length", phrases.format.quantity(craft.length) if craft.length else None),
        fact("visit.hull", craft.hull),
        fact("visit.fuel", craft.fuel),
        fact("visit.system", craft.system),
        *_fitted(assessed, phrases),
        fact("visit.alterations", craft.alterations, markdown=True),
    ]
    people = [
        fact("visit.purpose", report.purpose),
        fact("visit.instructed", phrases.format.day(report.instructed) if report.instructed else None),
        fact("visit.scope", report.scope, markdown=True),
        fact("visit.client", _person(report.client)),
        fact("visit.client_interest", report.client.interest),
        fact("visit.owner", _person(report.owner)),
        fact("visit.permission", report.permission),
        fact("visit.reliance", report.reliance),
        fact("visit.electrician", _person(who)),
        fact("visit.business", who.business),
        fact("visit.competence", who.competence),
        fact("visit.insurance", who.insurance),
        fact("visit.interest", who.interest),
        fact("visit.distribution", "; ".join(report.distribution)),
    ]
    if terms is not None:
        line = words("visit.terms_line", reference=terms.reference, date=phrases.format.day(terms.date))
        people.append(fact("visit.terms", line))
    day = [
        fact("visit.date", phrases.format.day(visit.date) if visit.date else None),
        fact("visit.hours", hours),
        fact("visit.place", visit.place),
        fact("visit.afloat", words(f"afloat.{visit.afloat}") if visit.afloat else None),
        fact("visit.shore_lead", words(f"shore_lead.{visit.shore_lead}") if visit.shore_lead else None),
        fact("visit.energised", visit.energised),
        fact("visit.present", "; ".join(visit.present)),
        fact("visit.opened", "; ".join(visit.opened)),
        fact("visit.basis", "; ".join(report.basis)),
        fact("visit.report_date", phrases.format.day(report.date) if report.date else None),
    ]
    return (
        SectionView(title=words("visit.boat"), facts=tuple(boat)),
        SectionView(title=words("visit.people"), facts=tuple(people)),
        SectionView(title=words("visit.day"), facts=tuple(day)),
    )


def _person(person: Person) -> str:
    address = ", ".join((person.address or "").split("\n"))
    return ", ".join(part for part in (person.name, address, person.contact) if part)


def _fitted(assessed: Assessed, phrases: Phrases) -> list[Fact]:
    """What is fitted, what is said to be absent, and what nobody knows."""
    fitted = assessed.job.findings.report.craft.fitted
    states: tuple[tuple[str, bool | None], ...] = (("fitted", True), ("absent", False), ("unknown", None))
    facts = []
    for key, state in states:
        named = [phrases.words(f"feature.{f}") for f in get_args(Feature) if fitted.get(f) is state]
        if named:
            facts.append(Fact(label=phrases.words(f"visit.{key}"), text=", ".join(named)))
    return facts


def compose_matrix(
    matrix: dict[ProbabilityWord, tuple[Level, ...]], phrases: Phrases
) -> tuple[MatrixRow, ...]:
    """The published table, cell by cell."""
    return tuple(
        MatrixRow(
            probability=phrases.words(f"probability.{probability}"),
            cells=tuple(phrases.level(level) for level in levels),
        )
        for probability, levels in matrix.items()
    )


def severities(phrases: Phrases) -> tuple[str, ...]:
    """The table's columns."""
    return tuple(phrases.words(f"severity.{severity}") for severity in get_args(SeverityWord))


def compose_urgency(assessed: Assessed, phrases: Phrases) -> tuple[tuple[LevelView, str, str], ...]:
    """The rule of urgency as a table."""
    return tuple(
        (phrases.level(level), phrases.act_by(present), phrases.act_by(latent))
        for level, (present, latent) in assessed.urgency.items()
    )


def compose_meanings(phrases: Phrases) -> tuple[Fact, ...]:
    """What the words of the risk table mean."""
    words = phrases.words
    kinds = (("severity", get_args(SeverityWord)), ("probability", get_args(ProbabilityWord)))
    return tuple(
        Fact(label=words(f"{kind}.{word}"), text=words(f"{kind}_meaning.{word}"))
        for kind, named in kinds
        for word in named
    )

"""The first page: what the owner needs, in two minutes."""

from __future__ import annotations

import re
from collections.abc import Iterable
from textwrap import shorten
from typing import get_args

from lugbook.compose.common import Phrases
from lugbook.compose.pictures import Album
from lugbook.model.assessed import Assessed
from lugbook.model.view import CountView, DefectView, Fact, FirstPage, PlanGroup, UrgentView
from lugbook.model.vocabulary import ActBy, Level

URGENT = 5
ACT_BY = get_args(ActBy)
SOON: tuple[ActBy, ...] = ("make safe now", "before the next trip")
ALSO, ALSO_LONG = 6, 400
"""Lines of what holds until the others are put right, and their characters together; the rest are counted."""
NOT_SEEN = 4
PLACE = 80
"""Characters of a place that fit into a line of the first page."""
FACT = 110
"""Characters of a fact that fit there; in full it stands under 'The visit'."""
TERMS = 5
"""Words of the trade that are explained on the first page."""
MANY = 12
"""Entries of the plan from which on they stand in two columns."""
CHOICES = ("do", "not_now", "talk")
COUNTED: tuple[Level, ...] = ("high", "serious", "medium", "low")


def compose_first(
    assessed: Assessed, defects: tuple[DefectView, ...], phrases: Phrases, album: Album
) -> FirstPage:
    """The page for the owner. The craft's picture gets its number first."""
    words, report = phrases.words, assessed.job.findings.report
    open_defects = sorted(
        (defect for defect in defects if defect.act_by is not None),
        key=lambda defect: ACT_BY.index(defect.act_by),
    )
    urgent = tuple(_urgent(defect) for defect in open_defects[:URGENT])
    more = len(open_defects) - len(urgent)
    answers = assessed.answers
    done = sum(answer.result is not None for answer in answers)
    unseen = tuple(a.item.question for a in answers if a.result == "not inspected")
    left = len(unseen) - NOT_SEEN
    name = report.electrician.name
    cautions = tuple(words(f"caution.{caution}.line") for caution in assessed.cautions)
    read = [text for one in urgent for text in (one.title, one.until_then or one.place)]
    facts = (
        phrases.fact("first.boat", _boat(assessed)),
        phrases.fact("first.for", _person(report.client.name, report.client.interest, phrases)),
        *(
            [phrases.fact("first.owner", report.owner.name)]
            if report.owner.name != report.client.name
            else []
        ),
        phrases.fact("first.relies", report.reliance),
        phrases.fact("first.seen_on", phrases.day(report.visit.date)),
        phrases.fact("first.seen_at", report.visit.place),
        phrases.fact("first.by", ", ".join(p for p in (name, report.electrician.business) if p)),
        phrases.fact("visit.purpose", report.purpose),
        phrases.fact("first.interest", report.electrician.interest),
    )
    return FirstPage(
        said_first=report.said_first,
        facts=tuple(
            fact.model_copy(update={"text": shorten(fact.text, FACT, placeholder=" …")}) for fact in facts
        ),
        verdict=compose_verdict(assessed, phrases),
        counts=tuple(
            CountView(level=phrases.level(level), count=sum(d.risk.level == level for d in assessed.defects))
            for level in COUNTED
        ),
        urgent=urgent,
        urgent_more=words.count("first.urgent_more", more) if more > 0 else None,
        also_until=_also_until(open_defects[URGENT:], phrases),
        not_seen_intro=(
            words.count("first.not_seen_intro", len(unseen), asked=len(answers), answered=done)
            if unseen
            else words("first.answered", asked=len(answers), answered=done)
        ),
        not_seen=unseen[:NOT_SEEN],
        not_seen_more=words.count("first.not_seen_more", left) if left > 0 else None,
        cost=words("first.no_cost"),
        glossary=compose_glossary((*read, *unseen[:NOT_SEEN], *cautions), phrases),
        choices=tuple(words(f"first.choice.{choice}") for choice in CHOICES) if urgent else (),
        decide=words("first.decide_text" if urgent else "first.read_text"),
        caution_lines=cautions,
        limits=words.count("first.limits", len(report.limitations)) if report.limitations else None,
        ask=words("first.ask", name=name) if name else words("first.ask_unknown"),
        picture=album.pictures[0] if report.craft.photo is not None else None,
    )


def _boat(assessed: Assessed) -> str:
    craft = assessed.job.findings.report.craft
    return ", ".join(part for part in (craft.name, craft.kind) if part)


def _person(name: str | None, interest: str | None, phrases: Phrases) -> str | None:
    return phrases.words("first.person", name=name, interest=interest) if name and interest else name


def _also_until(others: Iterable[DefectView], phrases: Phrases) -> str | None:
    """What holds until the others that are due before the next trip are put right; the same is said once."""
    words, said = phrases.words, dict[str, list[int]]()
    for one in others:
        if one.until_then and one.act_by in SOON:
            said.setdefault(one.until_then, []).append(one.number)
    lines = [
        words("first.also_line", n=", ".join(map(str, numbers)), text=text) for text, numbers in said.items()
    ]
    shown = [line for n, line in enumerate(lines) if n < ALSO and sum(map(len, lines[: n + 1])) <= ALSO_LONG]
    if more := len(lines) - len(shown):
        lines = [*shown, words.count("first.also_more", more)]
    return " ".join(lines) or None


def _urgent(defect: DefectView) -> UrgentView:
    picture = defect.first_picture
    return UrgentView(
        number=defect.number,
        anchor=defect.anchor,
        title=defect.title,
        place=shorten(defect.place, PLACE, placeholder=" …"),
        act_by=defect.act_by_words,
        until_then=defect.until_then,
        level=defect.level,
        thumb=picture.thumb if picture else None,
        thumb_alt=picture.alt if picture else "",
    )


def compose_verdict(assessed: Assessed, phrases: Phrases) -> tuple[str, ...]:
    """The judgement in sentences, worst first. It follows from the defects' urgency, never from opinion."""
    words = phrases.words
    due = [defect.act_by for defect in assessed.defects]
    now, trip = due.count("make safe now"), due.count("before the next trip")
    season, later = due.count("this season"), due.count("at the next refit")
    results = [answer.result for answer in assessed.answers]
    sentences = []
    if now:
        sentences.append(words.count("verdict.now", now))
    if trip:
        sentences.append(words.count("verdict.then_trip" if now else "verdict.trip", trip))
    if season:
        sentences.append(words.count("verdict.season", season))
    if later:
        sentences.append(words.count("verdict.later", later))
    if not due:
        answered = any(result is not None for result in results)
        sentences.append(words("verdict.none" if answered else "verdict.none_answered"))
    for result, key in (
        ("further investigation", "investigate"),
        ("not inspected", "unseen"),
        (None, "open"),
    ):
        if count := results.count(result):  # type: ignore[arg-type]
            sentences.append(words.count(f"verdict.{key}", count))
    return tuple(sentences)


def compose_plan(defects: tuple[DefectView, ...], phrases: Phrases) -> tuple[PlanGroup, ...]:
    """All defects by the time by which to act, soonest first."""
    groups = []
    for due in (*ACT_BY, None):
        entries = tuple(
            (phrases.words("defect.heading", n=defect.number, title=defect.title), defect.anchor)
            for defect in defects
            if defect.act_by == due
        )
        if entries:
            many = len(entries) >= MANY
            groups.append(PlanGroup(title=phrases.act_by(due), entries=entries, many=many))
    return tuple(groups)


def compose_glossary(texts: Iterable[str], phrases: Phrases) -> tuple[Fact, ...]:
    """The words of the trade that stand in the texts, in the order of the catalogue, the first few of them."""
    read, words = " ".join(texts), phrases.words
    known = words.keys()
    terms = sorted({key.split(".")[1] for key in known if key.startswith("glossary.")}, key=int)
    return tuple(
        Fact(label=words(f"glossary.{term}.term"), text=words(f"glossary.{term}.text"))
        for term in terms
        if re.search(rf"\b(?:{words(f'glossary.{term}.match')})\b", read, re.IGNORECASE)
    )[:TERMS]

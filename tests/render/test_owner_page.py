"""The owner's page: one page on either paper, whatever there is to say, with what an owner needs to decide."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path

import pytest
from big_job import make
from pypdf import PdfReader
from small_jobs import DemoReport

from lugbook.model.view import ReportView
from lugbook.pipeline.checking import check_job
from lugbook.pipeline.composing import composed
from lugbook.progress import Progress
from lugbook.render.first_fit import SCALE, fits
from lugbook.render.page import Paper, fonts, print_page
from lugbook.render.pdf import Resource, write_pdf
from lugbook.words.catalogue import load_words

WORDS = load_words()
CREATED = datetime(2026, 1, 1, tzinfo=UTC)
DOT = Resource(b'<svg xmlns="http://www.w3.org/2000/svg" width="4" height="3"/>', "image/svg+xml")


def view_of(folder: Path) -> ReportView:
    return composed(check_job(folder, Progress(quiet=True)))[1]


def big(folder: Path, defects: int, *, long: bool = False) -> ReportView:
    tongues = ["de", "el", "pl", "cy", "en"] if long else ["en"]
    make(folder, defects=defects, pictures=min(defects, 2), size=(320, 240), tongues=tongues, long=long)
    return view_of(folder)


def overfull(view: ReportView) -> ReportView:
    """The demo with every line of its first page as long as the findings file allows."""
    first = view.first
    urgent = tuple(
        one.model_copy(update={"title": "Mooring " * 11, "until_then": "Keep away from it. " * 10})
        for one in first.urgent
    )
    facts = tuple(fact.model_copy(update={"text": "Wandering " * 11}) for fact in first.facts)
    first = first.model_copy(
        update={
            "urgent": urgent,
            "facts": facts,
            "also_until": "Keep away. " * 38,
            "said_first": "Sample " * 28,
        }
    )
    return view.model_copy(update={"first": first, "boat": "Wandering " * 10})


def pages(view: ReportView, paper: Paper, fit: int) -> PdfReader:
    names = {one.thumb for one in view.first.urgent if one.thumb} | {view.letterhead.logo or "logo.jpg"}
    resources = {**fonts(), **dict.fromkeys(names, DOT)}
    html = print_page(view, WORDS, paper, fit, only_first=True)
    return PdfReader(BytesIO(write_pdf(html, resources=resources, created=CREATED)))


@pytest.fixture(scope="module")
def printed(demo: DemoReport) -> dict[tuple[str, Paper], PdfReader]:
    """The first page of the demo and of an overfull one, on both papers, at the estimated setting."""
    views = {"demo": demo.view, "overfull": overfull(demo.view)}
    papers: tuple[Paper, ...] = ("a4", "letter")
    return {
        (kind, paper): pages(view, paper, fits(view, paper)[0])
        for kind, view in views.items()
        for paper in papers
    }


def test_the_owner_page_is_one_page_at_the_estimated_setting(
    printed: dict[tuple[str, Paper], PdfReader],
) -> None:
    """Jobs of no, one, 25 and 150 defects and with long words are in tests/soak/owner_page.py."""
    assert {key: len(reader.pages) for key, reader in printed.items()} == {
        ("demo", "a4"): 1, ("demo", "letter"): 1, ("overfull", "a4"): 1, ("overfull", "letter"): 1,
    }  # fmt: skip


def test_what_the_page_says_to_the_owner(
    demo: DemoReport, printed: dict[tuple[str, Paper], PdfReader]
) -> None:
    view = demo.view
    text = re.sub(r"\s+", " ", printed["demo", "a4"].pages[0].extract_text())
    for one in view.first.urgent:
        assert one.title in text
    assert len(view.first.urgent) == 5
    ticked = text.partition(WORDS("first.decide"))[0]
    assert ticked.count("Do it") == ticked.count("Not now") == ticked.count("Talk first") == 5
    for part in (
        view.first.said_first or "",
        view.first.also_until or "",
        view.first.verdict[0],
        view.first.cost,
        view.first.not_seen[0],
        view.first.decide,
        view.precedence,
    ):
        assert " ".join(part.split(". ")[0].split()) in text, part
    for blank in ("Name", "Owner, buyer or other", "Date", "Signature"):
        assert blank in text


def test_the_page_says_for_whom_it_is_and_who_may_rely_on_it(demo: DemoReport) -> None:
    facts = {fact.label: fact.text for fact in demo.view.first.facts}
    assert facts["For"] == "Orla Penhallick (Intends to buy the boat)"
    assert facts["Owner"] == "Tobias Vasterling"
    assert facts["May rely on it"] == "Orla Penhallick only, for her decision to buy"
    assert demo.view.first.said_first is not None
    assert demo.view.first.said_first.startswith("Sample report")


def test_what_holds_until_the_others_are_put_right_stands_there_too(demo: DemoReport) -> None:
    """Every line of a defect that is due before the next trip is on the page, or is counted."""
    first, soon = demo.view.first, ("make safe now", "before the next trip")
    shown = {one.number for one in first.urgent}
    others = [d for d in demo.view.defects if d.act_by in soon and d.until_then and d.number not in shown]
    assert len(others) == 7
    for one in others[:6]:
        assert f"{one.number}: {one.until_then}" in (first.also_until or "")
    assert (first.also_until or "").endswith("One more stands inside.")


def test_the_cost_names_the_defects_that_it_covers_and_those_that_it_does_not(demo: DemoReport) -> None:
    """The numbers follow from what the designed proposals answer; together they are all that is to be done."""
    view = demo.view
    ids = {d.id: d.number for d in view.defects}
    designed = {
        ids[answer] for one in demo.checked.job.findings.remedy if one.accepted_by for answer in one.answers if answer in ids
    }  # fmt: skip
    left = sorted({d.number for d in view.defects if d.act_by} - designed)
    assert f"(numbers {', '.join(map(str, sorted(designed)))}) may cost" in view.first.cost
    assert f"Not in this sum: {', '.join(map(str, left[:3]))} and {len(left) - 3} others." in view.first.cost


def test_entries_are_decided_in_the_words_of_the_first_page(demo: DemoReport) -> None:
    html = print_page(demo.view, WORDS, "a4", 0)
    undecided = sum(not defect.decided for defect in demo.view.defects)
    for choice in demo.view.first.choices:
        assert html.count(f'<span class="tick"></span>{choice}') == undecided + len(demo.view.first.urgent)


def test_declining_is_recorded_and_no_risk_is_taken_over() -> None:
    said = WORDS("first.decide_text")
    assert "recorded as declined" in said
    assert "nobody can accept a risk for somebody else" in said
    assert "accept" not in said.replace("nobody can accept a risk", "")


def test_the_glossary_explains_words_that_stand_on_the_page_and_no_others(demo: DemoReport) -> None:
    first = demo.view.first
    read = " ".join(
        [*(f"{one.title} {one.until_then or one.place}" for one in first.urgent), *first.not_seen, *first.caution_lines]
    )  # fmt: skip
    known = sorted({key.split(".")[1] for key in WORDS.keys() if key.startswith("glossary.")}, key=int)  # noqa: SIM118
    there = [
        WORDS(f"glossary.{n}.term")
        for n in known
        if re.search(rf"\b(?:{WORDS(f'glossary.{n}.match')})\b", read, re.IGNORECASE)
    ]
    assert [term.label for term in first.glossary] == there[:5]
    assert len(first.glossary) >= 3


def test_without_defects_there_is_nothing_to_tick(tmp_path: Path) -> None:
    first = big(tmp_path, 0).first
    assert first.choices == ()
    assert first.decide == WORDS("first.read_text")


def test_a_page_that_is_fuller_than_estimated_is_set_closer(demo: DemoReport) -> None:
    """The estimate may be wrong: then the layout itself decides."""
    view = overfull(demo.view)
    names = {one.thumb for one in view.first.urgent if one.thumb} | {"logo.jpg"}
    resources = {**fonts(), **dict.fromkeys(names, DOT)}
    tried: list[int] = []

    def setting(fit: int) -> str:
        tried.append(fit)
        return print_page(view, WORDS, "a4", fit, only_first=True)

    last = len(SCALE) - 1
    data = write_pdf(
        setting(0), resources=resources, created=CREATED, closer=[lambda: setting(last), lambda: setting(9)]
    )
    assert tried == [0, last]
    assert len(PdfReader(BytesIO(data)).pages) == 1


def test_a_long_plan_stands_in_two_columns(tmp_path: Path, demo: DemoReport) -> None:
    view = big(tmp_path, 40)
    assert {group.many for group in view.plan if len(group.entries) >= 12} == {True}
    assert not any(group.many for group in demo.view.plan if len(group.entries) < 12)

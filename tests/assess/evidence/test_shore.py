"""Readings of the mains side: both sides of every limit, and each through a findings file to the report."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from small_jobs import checklist, item

from lugbook.assess.judge import assess
from lugbook.compose.report import compose
from lugbook.load.job import load_job
from lugbook.model.assessed import Assessed
from lugbook.model.evidence import Evidence
from lugbook.words.catalogue import load_words

Load = Callable[[str, str], Path]
ITEMS = ("shore-rcd-test", "shore-rcd-present", "mains-protective-earth", "shore-polarity", "mains-cable", "neutral-earth-bond")  # fmt: skip
OWN = checklist(*(item(name) for name in ITEMS))
BY = "Registered electrical installer"


def visit(*readings: str, mode: str = "shore") -> str:
    lines = "".join(
        f"      - {{id: r{n}, place: Panel, {text}}}\n" for n, text in enumerate(readings, start=1)
    )
    return f"shore:\n  - mode: {mode}\n    qualified: {BY}\n    readings:\n{lines}"


def judged(folder: Path) -> Assessed:
    job, problems = load_job(folder)
    assert job is not None, problems
    return assess(job)


def only(assessed: Assessed, rule: str) -> Evidence:
    (found,) = [one for one in assessed.evidence if one.rule == rule]
    return found


RCD = "test: rcd time, rated: 30 mA"
# IEC 61008-1 for the general type (recalled; in shared figures): no trip at half the rated current; 300 ms at the
# rated one, 150 ms at twice, 40 ms at five times. For the delayed type (recalled): 130 to 500, 60 to 200, 50 to 150 ms.
IEC_61008 = [
    ("times: 0.5, tripped: no", "within"),
    ("times: 0.5, tripped: yes", "departure"),
    ("times: 0.5, value: 90 ms", "departure"),
    ("times: 1, value: 300 ms", "within"),
    ("times: 1, value: 301 ms", "departure"),
    ('times: 1, value: "> 300 ms"', "departure"),
    ('times: 1, value: "> 200 ms"', "cannot be decided"),
    ('times: 1, value: "< 300 ms"', "within"),
    ("times: 1, tripped: no", "departure"),
    ("times: 1, tripped: yes", "cannot be decided"),
    ("times: 2, value: 150 ms", "within"),
    ("times: 2, value: 151 ms", "departure"),
    ("times: 5, value: 40 ms", "within"),
    ("times: 5, value: 41 ms", "departure"),
    ("times: 1, delayed: yes, value: 129 ms", "departure"),
    ("times: 1, delayed: yes, value: 130 ms", "within"),
    ("times: 1, delayed: yes, value: 500 ms", "within"),
    ("times: 1, delayed: yes, value: 501 ms", "departure"),
    ("times: 2, delayed: yes, value: 59 ms", "departure"),
    ("times: 2, delayed: yes, value: 200 ms", "within"),
    ("times: 5, delayed: yes, value: 151 ms", "departure"),
    ('times: 1, delayed: yes, value: "< 300 ms"', "cannot be decided"),
]


@pytest.mark.parametrize(("text", "verdict"), IEC_61008)
def test_times_of_an_rcd(job_folder: Load, text: str, verdict: str) -> None:
    assessed = judged(job_folder(visit(f"{RCD}, {text}"), OWN))
    found = next(one for one in assessed.evidence if one.rule.startswith("RCD at"))
    assert (found.verdict, found.item) == (verdict, "shore-rcd-test")
    assert bool(assessed.defects) == (verdict == "departure")
    assert found.limit is not None
    assert (found.limit.known, found.limit.label) == ("recalled", "good practice")
    assert bool(found.wants) == (text == "times: 1, tripped: yes")


@pytest.mark.parametrize(
    ("test", "rule", "verdict"),
    [
        # IEC 61008-1 (recalled): opens above half of the rated residual current, and at it at the latest.
        ("test: rcd current, rated: 30 mA, value: 15 mA", "RCD current", "departure"),
        ("test: rcd current, rated: 30 mA, value: 15.1 mA", "RCD current", "within"),
        ("test: rcd current, rated: 30 mA, value: 30 mA", "RCD current", "within"),
        ("test: rcd current, rated: 30 mA, value: 30.1 mA", "RCD current", "departure"),
        ('test: rcd current, rated: 30 mA, value: "< 20 mA"', "RCD current", "cannot be decided"),
        # IEC 60364-4-41 (recalled): additional protection by 30 mA at most.
        ("test: rcd current, rated: 30 mA, value: 22 mA", "rated residual current", "within"),
        ("test: rcd current, rated: 100 mA, value: 70 mA", "rated residual current", "departure"),
        # Common practice, no source: 1 ohm.
        ("test: earth continuity, value: 1 ohm", "earth continuity", "within"),
        ("test: earth continuity, value: 1.01 ohm", "earth continuity", "departure"),
        ('test: earth continuity, value: "> 2000 ohm"', "earth continuity", "departure"),
        ("test: polarity, correct: yes", "polarity", "within"),
        ("test: polarity, correct: no", "polarity", "departure"),
        # IEC 60364-6 (recalled): 500 V and 1 Mohm up to 500 V; 250 V and 0.5 Mohm for SELV and PELV.
        ("test: insulation, value: 1 Mohm, test_voltage: 500 V", "insulation resistance", "within"),
        ("test: insulation, value: 0.99 Mohm, test_voltage: 500 V", "insulation resistance", "departure"),
        ("test: insulation, value: 0.5 Mohm, test_voltage: 250 V, extra_low: yes", "insulation resistance", "within"),
        ("test: insulation, value: 490 kohm, test_voltage: 250 V, extra_low: yes", "insulation resistance", "departure"),
        ('test: insulation, value: "> 200 Mohm", test_voltage: 500 V', "insulation resistance", "within"),
        ('test: insulation, value: "> 0.2 Mohm", test_voltage: 500 V', "insulation resistance", "cannot be decided"),
        ("test: insulation, value: 5 Mohm, test_voltage: 250 V", "insulation resistance", "cannot be decided"),
        ("test: insulation, value: 0.4 Mohm, test_voltage: 250 V", "insulation resistance", "departure"),
    ],
)  # fmt: skip
def test_the_other_readings(job_folder: Load, test: str, rule: str, verdict: str) -> None:
    assert only(judged(job_folder(visit(test), OWN)), rule).verdict == verdict


@pytest.mark.parametrize(
    ("mode", "bonds", "more", "verdict", "relation"),
    [
        # Common practice, no source: one join for each source, ashore on shore supply.
        ("shore", 0, "", "within", "at most"),
        ("shore", 1, "", "departure", "at most"),
        ("shore", 1, ", transformer: yes", "within", "at most"),
        ("shore", 0, ", transformer: yes", "departure", "at least"),
        ("generator", 0, "", "departure", "at least"),
        ("generator", 1, "", "within", "at most"),
        ("generator", 2, "", "departure", "at most"),
        ("inverter", 0, "", "departure", "at least"),
        ("inverter", 1, "", "within", "at most"),
        ("inverter", 2, "", "departure", "at most"),
    ],
)
def test_one_and_only_one_neutral_earth_bond(
    job_folder: Load, mode: str, bonds: int, more: str, verdict: str, relation: str
) -> None:
    text = visit(f"test: neutral-earth bond, bonds: {bonds}{more}", mode=mode)
    found = only(judged(job_folder(text, OWN)), "neutral-earth bond")
    assert found.limit is not None
    assert (found.verdict, found.limit.relation) == (verdict, relation)


def test_without_an_installation_it_reaches_the_report(job_folder: Load) -> None:
    folder = job_folder(visit(f"{RCD}, times: 5, value: 62 ms, type: A", mode="generator"), OWN)
    view = compose(judged(folder), load_words(), {})
    (defect,) = view.defects
    assert defect.title == "Panel: a reading of the mains side departs"
    assert "62.0\u00a0ms" in defect.statements[0].text
    assert view.diagram is None
    assert view.calculations is not None
    assert view.calculations.bases == ()
    (piece,) = view.calculations.departures
    assert piece.notes[0] == f"Taken on generator supply by: {BY}."
    assert piece.limit is not None
    assert "IEC 61008-1" in piece.limit
    assert len(view.calculations.within) == 1


def test_every_reading_stands_in_the_test_record(job_folder: Load) -> None:
    text = visit(
        f"{RCD}, times: 5, value: 24 ms", f"{RCD}, times: 0.5, tripped: no, note: at noon", "test: polarity, correct: no",
        "test: neutral-earth bond, bonds: 0", 'test: insulation, value: "> 200 Mohm", test_voltage: 500 V',
    )  # fmt: skip
    view = compose(judged(job_folder(text, OWN)), load_words(), {})
    rows = view.readings
    assert [row.value for row in rows] == [
        "24\u00a0ms",
        "stayed closed",
        "poles not where they belong",
        "0",
        ">\u00a0200\u00a0MΩ",
    ]
    assert rows[0].quantity == "trip time of the RCD, 5 times the rated current"
    assert (rows[0].place, rows[0].state, rows[0].note) == ("Panel", "judged for: shore supply", "–")
    assert rows[1].note == "at noon"
    assert view.readings_by == (f"The readings that are judged for shore supply were taken by: {BY}.",)


def test_a_bound_is_told(job_folder: Load) -> None:
    view = compose(judged(job_folder(visit(f'{RCD}, times: 1, value: "> 300 ms"'), OWN)), load_words(), {})
    assert "opened after more than 300\u00a0ms at 1 times 30.0\u00a0mA." in view.defects[0].statements[0].text


def test_nothing_computed_without_either(job_folder: Load) -> None:
    assert compose(judged(job_folder("", OWN)), load_words(), {}).calculations is None


def test_seen_and_measured_are_one_at_the_same_reading(job_folder: Load) -> None:
    seen = "results:\n  - {item: shore-rcd-test, result: defect, extent: whole, defects: [{id: d1, title: Slow, place: Panel, at: r1, seen: It is slow}]}\n"
    (both,) = judged(job_folder(seen + visit(f"{RCD}, times: 5, value: 62 ms"), OWN)).defects
    assert (both.id, both.seen, both.computed) == ("d1", "It is slow", "serious")


def test_disagreement_drops_it_with_its_reason(job_folder: Load) -> None:
    no = "disagree: [{item: shore-rcd-test, at: r1, reason: the tester was at fault}]\n"
    assessed = judged(job_folder(no + visit(f"{RCD}, times: 5, value: 62 ms"), OWN))
    assert assessed.defects == ()
    assert [one.reason for one in assessed.overruled] == ["the tester was at fault"]


@pytest.mark.parametrize("kind", ["AC", "A", "not known"])
def test_the_type_is_told(job_folder: Load, kind: str) -> None:
    text = visit(f"{RCD}, times: 1, value: 24 ms" + ("" if kind == "not known" else f", type: {kind}"))
    found = only(judged(job_folder(text, OWN)), "RCD at 1 times")
    assert len(found.notes) == (1 if kind == "A" else 2)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("test: rcd time, times: 1, value: 24 ms", "needs rated"),
        ("test: rcd time, times: 1, rated: 30 mA", "needs value (the trip time) or tripped"),
        ("test: insulation, value: 2 Mohm", "needs test_voltage"),
        ("test: polarity", "needs correct"),
        ("test: neutral-earth bond", "needs bonds"),
        ("test: earth continuity, value: 20 ms", "takes a resistance, not a time"),
        ("test: polarity, correct: yes, value: 2 ohm", "takes no value"),
        ("test: earth continuity, value: -0.1 ohm", "not below zero"),
        ("test: rcd time, times: 1, rated: 30 mA, value: 24 ms, tripped: no", "yet 'tripped' says no"),
        ("test: earth continuity, value: 1 ohm, instrument: none", "no instrument 'none'"),
    ],
)
def test_an_incomplete_reading_is_a_problem(job_folder: Load, text: str, says: str) -> None:
    job, problems = load_job(job_folder(visit(text), OWN))
    assert job is None
    assert any(says in problem.message for problem in problems)


def test_two_readings_of_one_id_are_a_problem(job_folder: Load) -> None:
    text = visit("test: polarity, correct: yes") + visit("test: polarity, correct: yes").removeprefix(
        "shore:\n"
    )
    job, problems = load_job(job_folder(text, OWN))
    assert job is None
    assert "P203" in [problem.code for problem in problems]

"""`lugbook diagnose`: what it prints, as text and as data."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from small_jobs import checklist, item
from test_diagnosis_rules import PLAN

from lugbook.cli import main

READINGS = """
readings:
  - {id: first, quantity: voltage, value: 14.20 V, place: engine battery, at: [start.pos, engine], state_id: running, time: "10:00"}
  - {id: second, quantity: voltage, value: 12.50 V, place: service battery, at: [service.pos, engine], state_id: running, time: "10:00"}
  - {id: flow, quantity: current, value: 15.0 A, place: charging cable, in: charge, state_id: running, time: "10:00"}
  - {id: none, quantity: current, value: 0.0 A, place: onward cable, in: onward, state_id: running, time: "10:00"}
  - {id: lost, quantity: voltage, value: < 12 V, place: somewhere, at: [start.pos, engine], state_id: running}
  - {id: stateless, quantity: voltage, value: 12.1 V, place: in no state, at: [start.pos, engine]}
  - {id: placeless, quantity: voltage, value: 12.2 V, place: at no terminal, state_id: running}
  - {id: aside, quantity: voltage, value: 9.1 V, place: the radio's own battery}
results: []
"""
Make = Callable[[str, str], Path]


@pytest.fixture
def job(job_folder: Make) -> Path:
    plan = "installation:\n" + PLAN.replace("CHEMISTRY", "flooded")
    return job_folder(plan + READINGS, checklist(item("a")))


def test_the_text_names_cause_readings_and_next(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["diagnose", str(job)]) == 0
    shown = capsys.readouterr().out
    assert "The contact of ‘relay’ stays open" in shown
    assert "The reading ‘service battery’ is 12.50 V. With each of these causes about" in " ".join(
        shown.split()
    )
    assert "Measure next" in shown
    assert "Local codes" in shown
    left = shown.split("Not used")[1].split("Measure next")[0]
    assert all(f"- {place}\n" in left for place in ("somewhere", "in no state", "at no terminal"))
    assert "the radio's own battery" not in shown  # it was not meant for the charging path
    assert "relay: no. The two sides differ by 1.70 V" in " ".join(shown.split())
    assert max(len(line) for line in shown.splitlines()) <= 98
    for word in ("safe", "certified", "passes", "complies", "guaranteed", "nan", "None"):
        assert word not in shown.split()


def test_every_proposal_comes_with_its_cautions(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Also where no current was read and nothing can be decided; the last words defer to codes and licensed practice."""
    findings = job / "findings.yaml"
    text = findings.read_text(encoding="utf-8")
    findings.write_text(
        "\n".join(line for line in text.splitlines() if "quantity: current" not in line) + "\n",
        encoding="utf-8",
    )
    assert main(["diagnose", str(job)]) == 0
    shown = " ".join(capsys.readouterr().out.split())
    proposals = [
        part
        for part in shown.split("Measure next")[1].split("Excluded")[0].split("the state ‘")
        if "about" in part
    ]
    assert len(proposals) >= 2
    for one in proposals:
        caution = one.split("Take care: ")[1]
        assert "explosive gas" in caution
        assert "never open a battery switch while the engine runs" in caution.lower()
    assert shown.endswith(
        "Local codes and licensed practice take precedence. Prove what is suspected before a part is replaced."
    )


def test_the_data_hold_the_same(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["diagnose", str(job), "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["format"] == "lugbook-diagnosis-1"
    assert data["left"][0]["id"] == "contact-open:relay"
    assert data["not_used"] == ["lost", "stateless", "placeless"]
    assert {one["id"] for one in data["excluded"]} >= {"none", "no-output:alternator"}
    assert all(one["sigma"] > 4 for one in data["excluded"])
    assert data["bridges"] == [{"relay": "relay", "verdict": "difference too large", "volts": 1.7}]


def test_without_an_installation_or_readings_it_says_what_is_needed(
    job_folder: Make, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = job_folder("results: []\n", checklist(item("a")))
    assert main(["diagnose", str(folder)]) == 2
    assert "no installation" in capsys.readouterr().err
    text = (folder / "findings.yaml").read_text(encoding="utf-8")
    plan = "installation:\n" + PLAN.replace("CHEMISTRY", "flooded")
    (folder / "findings.yaml").write_text(text + plan, encoding="utf-8")
    assert main(["diagnose", str(folder)]) == 2
    assert "no reading names a state" in capsys.readouterr().err


def test_faults_of_the_file_are_printed_with_their_place(
    job_folder: Make, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = job_folder("results: []\nnonsense: 1\n", checklist(item("a")))
    assert main(["diagnose", str(folder)]) == 1
    assert "findings.yaml:8:1: error" in capsys.readouterr().err


def test_the_section_of_a_report_holds_what_the_terminal_shows(job: Path) -> None:
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    from lugbook.assess.diagnosis.run import Diagnoser
    from lugbook.compose.common import Phrases
    from lugbook.compose.diagnosis import compose_diagnosis
    from lugbook.compose.diagnosis_names import Spots
    from lugbook.load.job import load_job
    from lugbook.words.catalogue import load_words

    loaded = load_job(job)[0]
    assert loaded is not None
    assert loaded.network is not None
    found = Diagnoser(loaded.network).diagnose(loaded.findings.readings)
    assert found is not None
    words = load_words()
    spots = Spots(loaded.network, loaded.findings, Phrases(words))
    view = compose_diagnosis(found, words, spots)
    templates = Path(__file__).parents[3] / "templates"
    sheet = Environment(loader=FileSystemLoader(templates), autoescape=True, undefined=StrictUndefined)
    made = sheet.from_string(
        '{% from "diagnosis.html.j2" import diagnosis %}{{ diagnosis(d, w, none, none) }}'
    )
    page = made.render(d=view, w=words)
    for line in (
        *view.best,
        *view.others,
        *(name for one in view.excluded for name in one.causes),
        *view.bridges,
        *(one.what for one in view.next),
    ):
        assert line.replace("'", "&#39;") in page
    assert page.count("<section") == page.count("</section>") == 1


def test_every_cause_has_its_sentence(job: Path) -> None:
    from typing import get_args

    from lugbook.compose.common import Phrases
    from lugbook.compose.diagnosis import cause
    from lugbook.compose.diagnosis_names import Spots
    from lugbook.load.job import load_job
    from lugbook.model.diagnosis import Cause, Hypothesis
    from lugbook.words.catalogue import load_words

    words, loaded = load_words(), load_job(job)[0]
    assert loaded is not None
    assert loaded.network is not None
    spots = Spots(loaded.network, loaded.findings, Phrases(words))
    one = Hypothesis("x", "joint", "cable", 1.0, end="from")
    for name in get_args(Cause):
        parts = (one, one) if name == "two" else ()
        shown = cause(Hypothesis("x", name, "cable", 1.0, end="to", parts=parts), words, spots)
        assert "{" not in shown
        assert "cable" in shown or name == "none"

"""From findings with an installation to defects: computed, seen, or both."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from small_jobs import checklist, item

from lugbook.assess.computed import circumstances
from lugbook.assess.judge import assess
from lugbook.compose.report import compose
from lugbook.load.job import load_job
from lugbook.model.assessed import Assessed, JudgedDefect
from lugbook.words.catalogue import load_words

# A battery feeds a lamp through 2 m of 2.5 mm2 without any fuse: the whole length is unprotected.
BOAT = """installation:
  system: 12 V
  earthing: {kind: insulated}
  batteries:
    - {id: main, title: Main battery, chemistry: flooded, capacity: 95 Ah}
  loads:
    - {id: lamp, title: Cabin lamp, kind: lamp, current: 2 A}
  conductors:
    - {id: lamp-pos, title: Lamp feed, from: main.pos, to: lamp.pos, area: 2.5 mm2, length: 2 m, insulation: 90 degC, bundle: 1, ambient: 30 degC}
    - {id: lamp-neg, from: lamp.neg, to: main.neg, area: 2.5 mm2, length: 2 m, insulation: 90 degC, bundle: 1, ambient: 30 degC}
"""
OWN = checklist(item("fuse-near-battery"), item("other"))
SEEN = "results:\n  - {{item: fuse-near-battery, result: defect, extent: whole, defects: [{{id: d1, title: No fuse, place: aft, seen: it{more}}}]}}\n"
Load = Callable[[str, str], Path]


def judged(folder: Path) -> Assessed:
    job, problems = load_job(folder)
    assert job is not None, problems
    return assess(job)


def fuse_defects(assessed: Assessed) -> list[JudgedDefect]:
    return [defect for defect in assessed.defects if defect.item == "fuse-near-battery"]


def test_what_is_computed_alone_becomes_a_defect(job_folder: Load) -> None:
    (found,) = fuse_defects(judged(job_folder(BOAT, OWN)))
    assert (found.seen, found.at, found.computed) == (None, "lamp-pos", "serious")
    assert found.evidence[0].analysis == "coverage"
    # The item's usual risk, critical x occasional, is serious in MIL-STD-882E, Table III.
    assert (found.risk.level, found.why, found.remedy) == ("serious", "It may burn.", "Mend it.")


def test_seen_and_computed_are_one_at_the_same_place_only(job_folder: Load) -> None:
    folder = job_folder(SEEN.format(more=", at: lamp-pos") + BOAT, OWN)
    (both,) = fuse_defects(judged(folder))
    assert (both.id, both.seen, both.computed) == ("d1", "it", "serious")
    path = folder / "findings.yaml"
    path.write_text(path.read_text().replace("at: lamp-pos", "at: lamp-neg"))
    assert sorted(defect.id for defect in fuse_defects(judged(folder))) == [
        "c-fuse-near-battery-lamp-pos",
        "d1",
    ]


def test_a_computed_serious_level_is_not_lowered_in_silence(job_folder: Load) -> None:
    low = ", at: lamp-pos, severity: negligible"
    (raised,) = fuse_defects(judged(job_folder(SEEN.format(more=low) + BOAT, OWN)))
    # negligible x occasional is low; the computed serious one counts, and both are kept.
    assert (raised.risk.matrix, raised.risk.level, raised.own) == ("low", "serious", "low")


def test_a_reason_to_disagree_keeps_the_inspectors_level(job_folder: Load) -> None:
    low = ", at: lamp-pos, severity: negligible, disagree: the lamp is disconnected"
    (kept,) = fuse_defects(judged(job_folder(SEEN.format(more=low) + BOAT, OWN)))
    assert (kept.risk.level, kept.computed, kept.disagree) == ("low", "serious", "the lamp is disconnected")


def test_a_computed_departure_is_dropped_with_a_reason_only(job_folder: Load) -> None:
    reason = "disagree: [{item: fuse-near-battery, at: lamp-pos, reason: the battery is not fitted}]\n"
    assessed = judged(job_folder(reason + BOAT, OWN))
    assert fuse_defects(assessed) == []
    (overruled,) = assessed.overruled
    assert (overruled.at, overruled.level, overruled.reason) == (
        "lamp-pos",
        "serious",
        "the battery is not fitted",
    )


def test_the_report_prints_both_origins(job_folder: Load) -> None:
    low = ", at: lamp-pos, severity: negligible, disagree: the lamp is disconnected"
    view = compose(judged(job_folder(SEEN.format(more=low) + BOAT, OWN)), load_words(), {})
    defect = next(defect for defect in view.defects if defect.id == "d1")
    labels = [fact.label for fact in defect.statements]
    assert labels == ["Seen", "Computed"]
    assert "‘Lamp feed’ is unprotected for 2.00\u00a0m" in defect.statements[1].text
    assert defect.override is not None
    assert "serious" in defect.override
    assert "the lamp is disconnected" in defect.override
    assert view.calculations is not None
    assert view.diagram is not None
    assert any(
        wire.unprotected for sheet in view.diagram.sheets for wire in sheet.wires if wire.id == "lamp-pos"
    )
    assert not any(
        wire.unprotected for sheet in view.diagram.sheets for wire in sheet.wires if wire.id == "lamp-neg"
    )


@pytest.mark.parametrize(
    ("craft", "bound"),
    [
        ("{name: T, fuel: petrol, fitted: {outboard-engine: no}}", {"us-33cfr183", "good-practice"}),
        ("{name: T, fuel: petrol, fitted: {outboard-engine: yes}}", {"good-practice"}),
        ("{name: T, fuel: diesel, fitted: {outboard-engine: no}}", {"good-practice"}),
        ("{name: T}", {"good-practice"}),
    ],
)
def test_whom_the_federal_rule_binds(job_folder: Load, craft: str, bound: set[str]) -> None:
    """33 CFR 183.401 (read): boats with petrol engines, outboards excepted."""
    text = BOAT.replace("  earthing", "  bases: [good-practice, us-33cfr183]\n  earthing")
    folder = job_folder(text, OWN)
    path = folder / "findings.yaml"
    path.write_text(path.read_text().replace("{name: Trial}", craft))
    job, problems = load_job(folder)
    assert job is not None, problems
    assert circumstances(job).bound == bound

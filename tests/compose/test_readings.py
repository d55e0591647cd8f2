"""The test record: before and after side by side, limits with their source, verdicts, and what has no limit."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from small_jobs import DemoReport, checklist, item

from lugbook.assess.judge import assess
from lugbook.load.job import load_job
from lugbook.model.findings import Reading
from lugbook.model.view import ReadingView
from lugbook.pipeline.checking import check_job
from lugbook.pipeline.composing import composed
from lugbook.progress import Progress

READINGS = """report_end: x
readings:
  - {id: first, quantity: voltage, value: 0.62 V, place: Lug to bar, state: As found, note: Lug loose, time: "10:05"}
  - {id: second, quantity: voltage, value: 8 mV, place: Lug to bar, time: "11:20", before: first, limit: {at_most: 20 mV, source: common practice}}
  - {id: nut, quantity: torque, value: 2 Nm, place: Nut, limit: {at_least: 12 Nm, source: plate on the holder}}
  - {id: alone, quantity: current, value: 3 A, place: Cable}
""".replace("report_end: x\n", "")


def rows(folder: Path) -> dict[str, ReadingView]:
    view = composed(check_job(folder, Progress(quiet=True)))[1]
    return {row.id: row for row in view.readings}


def test_the_record_sets_before_and_after_side_by_side(job_folder: Callable[[str, str], Path]) -> None:
    found = rows(job_folder(READINGS, checklist(item("lamp"))))
    assert list(found) == ["second", "nut", "alone"]
    second, nut, alone = found.values()
    assert second.before.replace("\u00a0", " ") == "0.62 V (10:05, not recorded)"
    assert (second.before_state, nut.before_state) == ("As found; Lug loose", "–")
    assert (second.value.replace("\u00a0", " "), second.verdict) == ("8 mV", "within")
    assert second.limit.replace("\u00a0", " ") == "at most 20 mV (common practice)"
    assert (nut.verdict, nut.before) == ("departs", "–")
    assert "plate on the holder" in nut.limit
    assert (alone.limit, alone.verdict) == ("No limit is known here.", "–")


@pytest.mark.parametrize(
    ("value", "limit", "says"),
    [
        ("20 mV", "{at_most: 20 mV, source: s}", "within"),
        ("20.1 mV", "{at_most: 20 mV, source: s}", "departure"),
        ("12 V", "{at_least: 12 V, source: s}", "within"),
        ("11.9 V", "{at_least: 12 V, source: s}", "departure"),
        ("< 10 mV", "{at_most: 20 mV, source: s}", "within"),
        ("< 30 mV", "{at_most: 20 mV, source: s}", "cannot be decided"),
        ("> 30 mV", "{at_most: 20 mV, source: s}", "departure"),
        ("> 10 mV", "{at_most: 20 mV, source: s}", "cannot be decided"),
        ("> 13 V", "{at_least: 12 V, source: s}", "within"),
        ("> 11 V", "{at_least: 12 V, source: s}", "cannot be decided"),
        ("< 11 V", "{at_least: 12 V, source: s}", "departure"),
        ("< 13 V", "{at_least: 12 V, source: s}", "cannot be decided"),
    ],
)
def test_a_reading_against_its_limit_on_both_sides(
    value: str, limit: str, says: str, job_folder: Callable[[str, str], Path]
) -> None:
    rest = f"readings:\n  - {{id: r, quantity: voltage, value: '{value}', place: p, limit: {limit}}}\n"
    job, problems = load_job(job_folder(rest, checklist(item("lamp"))))
    assert job is not None, problems
    reading: Reading = job.findings.readings[0]
    assert reading.limit is not None
    assert reading.limit.verdict(reading.value) == says


PAIR = 'readings:\n  - {id: a, quantity: voltage, value: 1 V, place: p, time: "10:00"}\n'


@pytest.mark.parametrize(
    ("line", "code", "says"),
    [
        ('{id: b, quantity: current, value: 1 A, place: p, before: a}', "P214", "is a voltage, and this reading a current"),
        ('{id: b, quantity: voltage, value: 1 V, place: p, before: b}', "P214", "cannot be its own"),
        ('{id: b, quantity: voltage, value: 1 V, place: p, time: "09:00", before: a}', "P214", "was taken before 'a'"),
        ('{id: b, quantity: voltage, value: 1 V, place: p, before: a}\n  - {id: c, quantity: voltage, value: 1 V, place: p, before: a}', "P214", "of 'b' already"),
        ('{id: b, quantity: voltage, value: 1 V, place: p, before: a}\n  - {id: c, quantity: voltage, value: 1 V, place: p, before: b}', "P214", "itself taken after work"),
        ('{id: b, quantity: voltage, value: 1 V, place: p, before: aa}', "P208", "no reading 'aa'"),
        ('{id: b, quantity: voltage, value: 1 V, place: p, limit: {at_most: 1 A, source: s}}', "P120", "the limit is a current"),
        ('{id: b, quantity: voltage, value: 1 V, place: p, limit: {source: s}}', "P102", "either 'at_most' or 'at_least'"),
    ],
)  # fmt: skip
def test_wrong_pairs_and_limits_are_refused(
    line: str, code: str, says: str, job_folder: Callable[[str, str], Path]
) -> None:
    job, problems = load_job(job_folder(f"{PAIR}  - {line}\n", checklist(item("lamp"))))
    assert job is None
    assert [p.code for p in problems if p.severity == "error"] == [code]
    assert says in next(p.message for p in problems if p.code == code)


def test_a_battery_reading_is_held_against_the_limit_that_it_was_judged_by(demo: DemoReport) -> None:
    """Limit and verdict of the record are those of the calculation, and say of what they speak."""
    found = {row.id: row for row in demo.view.readings}
    assert demo.checked.job is not None
    judged = {one.reading: one for one in assess(demo.checked.job).evidence if one.reading}
    assert set(judged) == {
        "rest-service", "charge-service", "rest-service-old", "load-old-large", "rest-service-new",
        "load-new-large", "rest-engine", "charge-engine",
    }  # fmt: skip
    for name, one in judged.items():
        said = {"within": "within", "departure": "departs", "cannot be decided": "cannot be decided"}
        assert found[name].verdict == said[one.verdict], name
    assert found["rest-engine"].limit.startswith("charge at least 50\u00a0%")
    assert found["load-old-large"].limit.startswith("internal resistance at most 7.5")
    assert found["charge-service"].limit.replace("\u00a0", " ").startswith("at most 14.8")

"""What a defect takes from its item, what an inspector may change, and the order."""

from __future__ import annotations

from collections.abc import Callable

from small_jobs import checklist, item

from lugbook.model.assessed import Assessed

Judge = Callable[[str, str], Assessed]


def defect(number: int, **keys: str) -> str:
    fields = {"id": f"d{number}", "title": f"T{number}", "place": "here", "seen": "it", **keys}
    return "{" + ", ".join(f"{key}: {value}" for key, value in fields.items()) + "}"


def result(name: str, *defects: str) -> str:
    return f"  - {{item: {name}, result: defect, extent: whole, defects: [{', '.join(defects)}]}}\n"


def test_what_is_not_said_comes_from_the_item(judged: Judge) -> None:
    assessed = judged(
        "results:\n" + result("fuse", defect(7)), checklist(item("fuse", cautions="[hot-work]"))
    )
    (found,) = assessed.defects
    # critical x occasional is serious (MIL-STD-882E, Table III); latent and no needed service: this season.
    assert (found.risk.severity, found.risk.probability, found.risk.level) == (
        "critical",
        "occasional",
        "serious",
    )
    assert (found.why, found.remedy, found.act_by) == ("It may burn.", "Mend it.", "this season")
    assert "hot-work" in assessed.cautions


def test_exposure_selects_the_usual_probability(judged: Judge) -> None:
    rows = [defect(1, exposure="covered"), defect(2, exposure="exposed"), defect(3, exposure="near-fuel")]
    assessed = judged("results:\n" + result("fuse", *rows), checklist(item("fuse")))
    levels = {found.id: found.risk.level for found in assessed.defects}
    # Table III: critical with remote, probable and (no key for near-fuel, so usual) occasional.
    assert levels == {"d1": "medium", "d2": "high", "d3": "serious"}


def test_an_override_keeps_both_levels(judged: Judge) -> None:
    row = defect(1, risk="{level: low, reason: the circuit is disconnected}")
    (found,) = judged("results:\n" + result("fuse", row), checklist(item("fuse"))).defects
    assert (found.risk.matrix, found.risk.level) == ("serious", "low")
    assert found.risk.reason == "the circuit is disconnected"
    assert found.act_by == "at the next refit"


def test_order_is_level_then_people_then_walk(judged: Judge) -> None:
    own = checklist(item("aa"), item("bb"), item("cc", harms="property"))
    rows = (
        result("cc", defect(1, probability="probable"))  # high, property
        + result("bb", defect(2, probability="probable"))  # high, people, second in the walk
        + result(
            "aa", defect(4, probability="remote"), defect(3, probability="probable")
        )  # medium; high, first
    )
    extra = "extra:\n  - {id: d5, title: E, place: p, seen: s, severity: critical, probability: probable, why: w, remedy: r}\n"
    assessed = judged(f"results:\n{rows}{extra}", own)
    assert [found.id for found in assessed.defects] == ["d3", "d2", "d5", "d1", "d4"]
    assert [found.number for found in assessed.defects] == [1, 2, 3, 4, 5]


def test_the_order_of_the_file_changes_nothing(judged: Judge) -> None:
    own = checklist(item("aa"), item("bb"))
    first = judged(f"results:\n{result('aa', defect(1))}{result('bb', defect(2))}", own)
    (first.job.folder / "findings.yaml").write_text(
        (first.job.folder / "findings.yaml")
        .read_text()
        .replace(
            f"{result('aa', defect(1))}{result('bb', defect(2))}",
            f"{result('bb', defect(2))}{result('aa', defect(1))}",
        )
    )
    from lugbook.assess.judge import assess
    from lugbook.load.job import load_job

    job, _ = load_job(first.job.folder)
    assert job is not None
    assert assess(job).defects == first.defects


def test_items_of_absent_things_are_not_asked(judged: Judge) -> None:
    own = checklist(item("aa"), item("bb", applies="[solar, wind]"), item("cc", applies="[lithium]"))
    assessed = judged("results: []\n".replace("results", "extra"), own)
    assert [answer.item.id for answer in assessed.answers] == [
        "aa",
        "bb",
        "cc",
    ]  # nobody said that it is absent


def test_items_of_absent_things_are_not_asked_once_said(job_folder: Callable[[str, str], object]) -> None:
    from pathlib import Path

    from lugbook.assess.judge import assess
    from lugbook.load.job import load_job

    own = checklist(item("aa"), item("bb", applies="[solar, wind]"), item("cc", applies="[lithium]"))
    folder = job_folder("results: []\n", own)
    assert isinstance(folder, Path)
    path = folder / "findings.yaml"
    path.write_text(
        path.read_text().replace(
            "{name: Trial}", "{name: Trial, fitted: {solar: no, wind: yes, lithium: no}}"
        )
    )
    job, _ = load_job(folder)
    assert job is not None
    assessed = assess(job)
    assert [answer.item.id for answer in assessed.answers] == ["aa", "bb"]
    assert [left.id for left in assessed.not_asked] == ["cc"]


def test_a_result_can_point_at_a_defect_entered_elsewhere(judged: Judge) -> None:
    rows = result("aa", defect(1)) + "  - {item: bb, result: no departure seen, extent: whole, see: [d1]}\n"
    assessed = judged("results:\n" + rows, checklist(item("aa"), item("bb")))
    by_item = {answer.item.id: answer for answer in assessed.answers}
    assert [found.id for found in by_item["bb"].see] == ["d1"]
    assert by_item["bb"].defects == ()


def test_within_a_level_what_is_dangerous_now_comes_first(judged: Judge) -> None:
    rows = result("aa", defect(1)) + result("bb", defect(2, danger="present"))
    assessed = judged("results:\n" + rows, checklist(item("aa"), item("bb")))
    assert [found.id for found in assessed.defects] == ["d2", "d1"]

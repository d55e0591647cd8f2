"""Comparing two jobs, or two issues of one."""

from __future__ import annotations

import json
from pathlib import Path

from return_jobs import full_return
from trail_jobs import FINDINGS, Story, lugbook, make_job, run


def states(*words: str | Path) -> dict[str, str]:
    ran = lugbook("compare", *words, "--json")
    assert ran.code == 0, ran.err
    return {row["id"]: row["state"] for row in json.loads(ran.out)["changes"]}


def test_a_job_and_its_return_visit(copied: Story, tmp_path: Path) -> None:
    new = full_return(copied.job, tmp_path / "R-2")
    assert states(copied.job, new) == {"d1": "fixed", "d2": "worse", "d3": "new"}
    ran = lugbook("compare", copied.job, new)
    assert ran.out.splitlines()[0] == "T 7/2026 (2026-06-02) -> R-2 (2026-09-14)"
    assert "worse: 1\n  d2   A loose lamp [medium -> medium]" in ran.out
    assert "fixed: 1\n  d1   No fuse at the battery [serious -> closed]" in ran.out
    data = json.loads(lugbook("compare", copied.job, new, "--json").out)
    assert data["other_readings"] == [
        {"quantity": "voltage", "place": "Battery, post to post", "before": "12.62 V", "after": "12.71 V"}
    ]


def test_two_revisions_of_one_job(copied: Story) -> None:
    text = FINDINGS[: FINDINGS.index("extra:")].replace(
        "        seen: The", "        severity: catastrophic\n        seen: The"
    )
    (copied.job / "findings.yaml").write_text(text, encoding="utf-8")
    assert lugbook("issue", copied.job, "--reason", "Graver than thought.").code == 0
    third = copied.job / "issued" / "T-7-2026-r3"
    assert states(copied.first, copied.second) == {"d1": "open", "d2": "open"}
    assert states(copied.second, third) == {"d1": "worse", "d2": "open"}


def test_jobs_that_know_nothing_of_each_other_go_by_item_and_place(tmp_path: Path) -> None:
    old = make_job(tmp_path / "old")
    new = make_job(tmp_path / "new")
    text = (
        FINDINGS.replace("number: T 7/2026", "number: U 1/2026")
        .replace("place: Locker", "place: ' locker '")
        .replace("id: d1", "id: d7")
    )
    (new / "findings.yaml").write_text(text.replace("last_defect: 2", "last_defect: 7"), encoding="utf-8")
    assert states(old, new) == {"d7": "open", "d2": "open"}


def test_what_became_of_a_defect_that_is_not_named_again(tmp_path: Path) -> None:
    old, new = make_job(tmp_path / "old"), make_job(tmp_path / "new")
    at, end = FINDINGS.index("    result: defect"), FINDINGS.index("  - item: battery-strap")
    for answer, state in (
        ("    result: no departure seen\n    extent: whole\n", "fixed"),
        ("    result: not applicable\n    reason: There is no battery.\n", "gone"),
        ("    result: not inspected\n    reason: Locked.\n", "open"),
        ("    result:\n", "open"),
    ):
        text = FINDINGS[:at] + answer + FINDINGS[end:]
        (new / "findings.yaml").write_text(text.replace("T 7/2026", "U 1/2026"), encoding="utf-8")
        assert states(old, new)["d1"] == state, answer


def test_pages_hold_pictures_of_both(copied: Story, tmp_path: Path) -> None:
    new = full_return(copied.job, tmp_path / "R-2")
    ran = lugbook("compare", copied.job, new, "-o", tmp_path / "out")
    assert ran.code == 0, ran.err
    html = (tmp_path / "out" / "changes.html").read_text(encoding="utf-8")
    assert html.count("data:image/jpeg") == 2
    assert "Put right" in html
    text = " ".join(
        run("pdftotext", "-layout", tmp_path / "out" / "changes.pdf", "-").stdout.decode().split()
    )
    assert "Report T 7/2026, visit of 2 June 2026, beside report R-2, visit of 14 September 2026." in text
    assert "take precedence" in text


def test_faults_are_named_with_their_folder(copied: Story, tmp_path: Path) -> None:
    broken = make_job(tmp_path / "broken")
    (broken / "findings.yaml").write_text("format: [", encoding="utf-8")
    ran = lugbook("compare", copied.job, broken)
    assert (ran.code, "broken/findings.yaml" in ran.err) == (1, True)
    assert lugbook("compare", copied.job, tmp_path / "none").code == 2

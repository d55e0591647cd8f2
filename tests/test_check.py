"""What `lugbook check` says after the problems: how the defects are graded, and what may be one thing twice."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest
from small_jobs import DEMO, DemoReport

from lugbook.cli import main

CASE = Path(__file__).parent / "cases" / "P404-computed-yet-not-seen"
SEEN = "{id: d1, title: No fuse at the battery, place: Locker, at: main, seen: The cable leaves the post without a fuse.}"


def checked(folder: Path, capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    capsys.readouterr()
    code = main(["check", str(folder), *words])
    said = capsys.readouterr()
    return code, said.out, said.err


def with_text(tmp_path: Path, old: str, new: str, which: str = "ok") -> Path:
    """The job of the case with one text exchanged."""
    job = tmp_path / "job"
    shutil.copytree(CASE / which, job)
    path = job / "findings.yaml"
    text = path.read_text(encoding="utf-8")
    assert text.count(old) == 1
    path.write_text(text.replace(old, new), encoding="utf-8")
    return job


def test_the_same_defects_come_first_as_on_the_first_page(
    demo: DemoReport, capsys: pytest.CaptureFixture[str]
) -> None:
    _, out, _ = checked(DEMO, capsys)
    listed = re.findall(r"(?m)^  (\d+)\. (\S+): (\w+), ([a-z ]+): ", out)
    wanted = [(str(d.number), d.id, d.level.level, d.act_by) for d in demo.view.defects]
    assert listed[:5] == wanted[:5]
    assert set(listed) <= set(wanted)
    assert [row[1] for row in listed[5:]] == [d.id for d in demo.view.defects if d.id.startswith("c-")]
    assert f"{len(wanted)} defects: 5 high, 8 serious, 11 medium, 2 low" in out
    assert out.endswith(f"  and {len(wanted) - len(listed)} more\n")


def test_quiet_and_json_say_nothing_of_it(capsys: pytest.CaptureFixture[str]) -> None:
    assert checked(CASE / "ok", capsys, "--quiet")[1] == ""
    assert "defects:" not in checked(CASE / "ok", capsys, "--format", "json")[1]


@pytest.mark.parametrize(
    ("seen", "hint"),
    [
        (SEEN, None),
        (SEEN.replace("at: main, ", ""), "if d1 is the same thing, give it 'at: main': then they are one"),
        (
            f"{SEEN}\n      - {SEEN.replace('d1', 'd2')}",
            "the same place and question as d2; one entry may do",
        ),
    ],
)
def test_what_may_be_one_thing_twice_is_said(
    seen: str, hint: str | None, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    _, out, _ = checked(with_text(tmp_path, SEEN, seen), capsys)
    assert ("c-fuse-near-battery-main" in out) is ("at: main" not in seen)
    if hint is None:
        assert "same" not in out
    else:
        assert hint in out


def test_a_defect_under_another_question_is_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    elsewhere = "- item: conductor-chafe\n    result: defect"
    job = with_text(tmp_path, "- item: fuse-near-battery\n    result: defect", elsewhere)
    _, out, _ = checked(job, capsys)
    assert (
        "d1 stands there under 'conductor-chafe'; if it is the same thing, move it under 'fuse-near-battery'"
        in out
    )


def test_a_contradiction_ends_with_a_reason_for_each_place(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, _, err = checked(CASE / "bad", capsys, "--strict")
    assert (code, "P404" in err) == (1, True)
    reasons = "disagree:\n" + "".join(
        f"  - {{item: fuse-near-battery, at: {at}, reason: Entered from a sketch.}}\n"
        for at in ("lead", "main")
    )
    job = with_text(tmp_path, "installation:\n", f"{reasons}installation:\n", "bad")
    code, out, err = checked(job, capsys, "--strict")
    assert (code, "P404" in err, "defects:" in out) == (0, False, False)


def test_not_looked_at_contradicts_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    answer = "result: not inspected\n    reason: Locked.\n"
    job = with_text(tmp_path, "result: no departure seen\n    extent: whole\n", answer, "bad")
    code, out, err = checked(job, capsys)
    assert (code, "P404" in err) == (0, False)
    assert "c-fuse-near-battery-main" in out

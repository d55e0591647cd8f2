"""Whatever happens to a command, the job is as before or as after, it verifies, and the next command works."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from faults import COMMANDS, check_after, kill_often, run_with_full_disk
from trail_jobs import DECIDE, Story, files_of, lugbook, run


def test_killed_at_seeded_points(story: Story, tmp_path: Path) -> None:
    outcomes = kill_often(story.job, tmp_path, 20, seed=5)
    assert outcomes["before"] > 0
    assert outcomes["after"] > 0


@pytest.mark.parametrize("name", list(COMMANDS))
def test_a_disk_that_fills_up(story: Story, tmp_path: Path, name: str) -> None:
    (tmp_path / "mail.eml").write_text("yes", encoding="utf-8")
    succeeded = False
    for count in (1, 2, 3, 5, 8, 10, 13, 17, 22, 26, 30, 40, 1000):
        job = shutil.copytree(story.job, tmp_path / "trial")
        before = files_of(job)
        ran = run_with_full_disk(job, name, count)
        assert ran.code in (0, 1), ran.err
        assert "unexpected" not in ran.err
        succeeded = succeeded or ran.code == 0
        outcome = check_after(job, before, 1)
        assert ran.code == 1 or outcome == "after"
        shutil.rmtree(job)
    assert succeeded


def test_a_full_small_disk(story: Story, tmp_path: Path) -> None:
    disk = tmp_path / "disk"
    disk.mkdir()
    if run("mount", "-t", "tmpfs", "-o", "size=3m", "none", disk).returncode != 0:
        pytest.skip("no right to mount a small disk here")
    try:
        job = shutil.copytree(story.job, disk / "trial")
        (disk / "mail.eml").write_text("yes", encoding="utf-8")
        before, codes = files_of(job), set()
        for free in (0, 8, 40, 200, 800):
            filler = disk / "filler"
            filler.write_bytes(b"")
            room = shutil.disk_usage(disk).free - free * 1024
            filler.write_bytes(b"x" * max(0, room))
            ran = run_with_full_disk(job, "decide", 10**6)
            codes.add(ran.code)
            assert "unexpected" not in ran.err
            filler.unlink()
            entries = before["trail.jsonl"].count(b"\n") + (ran.code == 0)
            assert (job / "trail.jsonl").read_bytes().count(b"\n") == entries
            checked = lugbook("verify", job)
            assert checked.code == 0, checked.err
            before = files_of(job)
        assert codes == {0, 1}
    finally:
        run("umount", disk)


def test_several_processes_at_once(copied: Story) -> None:
    before = (copied.job / "trail.jsonl").read_bytes().count(b"\n")
    words = [
        sys.executable,
        "-m",
        "lugbook",
        "decide",
        str(copied.job),
        "d1",
        "deferred",
        "--by",
        "owner",
        *DECIDE,
    ]
    started = [subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE) for _ in range(4)]
    looked = lugbook("verify", copied.job)
    ended = [(process.communicate()[1], process.returncode) for process in started]
    assert looked.code == 0, looked.err
    good = sum(code == 0 for _, code in ended)
    assert good >= 1
    assert all(code == 0 or b"another lugbook is writing" in err for err, code in ended), ended
    checked = lugbook("verify", copied.job)
    assert (checked.code, checked.err) == (0, "")
    assert (copied.job / "trail.jsonl").read_bytes().count(b"\n") == before + good


def test_a_lock_that_is_held_is_waited_for_and_then_refused(
    copied: Story, monkeypatch: pytest.MonkeyPatch
) -> None:
    from lugbook.trail import store

    monkeypatch.setattr(store, "WAIT_SECONDS", 0.1)
    with store.locked(copied.job):
        ran = lugbook("decide", copied.job, "d1", "deferred", "--by", "owner", *DECIDE)
    assert (ran.code, "another lugbook is writing" in ran.err) == (1, True)
    assert lugbook("decide", copied.job, "d1", "deferred", "--by", "owner", *DECIDE).code == 0


def test_a_folder_that_cannot_be_written(copied: Story, monkeypatch: pytest.MonkeyPatch) -> None:
    import os

    real = os.open

    def refuse(path: object, flags: int, mode: int = 0o777, **rest: int) -> int:
        if str(path).endswith(".lugbook.lock"):
            raise PermissionError(13, "Permission denied")
        return real(path, flags, mode, **rest)  # type: ignore[arg-type]

    monkeypatch.setattr(os, "open", refuse)
    ran = lugbook("decide", copied.job, "d1", "deferred", "--by", "owner", *DECIDE)
    assert (ran.code, "cannot write into" in ran.err) == (1, True)

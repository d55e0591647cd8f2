"""Commands that die: killed, out of space, or side by side with another."""

from __future__ import annotations

import errno
import os
import random
import shutil
import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

from trail_jobs import DECIDE, Ran, files_of, lugbook

from lugbook.issuing import report

# What is counted as a point at which a command can die: everything that opens or changes a name on the disk.
EVENTS = frozenset({"open", "os.rename", "os.mkdir", "os.remove", "os.rmdir", "shutil.rmtree"})
COMMANDS: dict[str, Callable[[Path], tuple[str | Path, ...]]] = {
    "issue": lambda job: ("issue", job, "--reason", "again"),
    "decide": lambda job: (
        "decide",
        job,
        "d1",
        "accepted",
        "--by",
        "owner",
        "--name",
        "Olga New",
        *DECIDE,
        "--evidence",
        job.parent / "mail.eml",
    ),
}


@contextmanager
def quick_pages() -> Iterator[None]:
    """Stand in for the layout of pages, which takes seconds and writes nothing."""
    real = report.rendered

    def quick(*_: object, **__: object) -> dict[str, bytes]:
        return {"report.html": b"<p>" * 3000, "report.pdf": b"%PDF-" * 3000}

    report.rendered = quick
    try:
        yield
    finally:
        report.rendered = real


def killed(words: tuple[str | Path, ...], job: Path, point: int, seed: int) -> int:
    """Run a command in a process of its own that is killed (SIGKILL) at its n-th point. Returns the points it reached.

    A kill while a file is being forced to the disk leaves a piece of that file.
    """
    reading, writing = os.pipe()
    process = os.fork()
    if process == 0:
        _die_at(words, job, point, seed, writing)
    os.close(writing)
    with os.fdopen(reading, "rb") as pipe:
        reached = len(pipe.read())
    _, status = os.waitpid(process, 0)
    if point and reached >= point:
        assert os.WIFSIGNALED(status), "the process should have been killed"
        assert os.WTERMSIG(status) == signal.SIGKILL
    return reached


def _die_at(words: tuple[str | Path, ...], job: Path, point: int, seed: int, writing: int) -> None:
    chance, count, below = random.Random(seed * 100_003 + point), 0, str(job)

    def step(handle: int | None = None) -> None:
        nonlocal count
        count += 1
        os.write(writing, b".")
        if count == point:
            if handle is not None and (size := os.fstat(handle).st_size):
                with suppress(OSError):  # a folder has no length to cut
                    os.ftruncate(handle, chance.randrange(size))
            os.kill(os.getpid(), signal.SIGKILL)

    def hook(event: str, args: tuple[Any, ...]) -> None:
        if (
            event in EVENTS
            and isinstance(args[0], str | os.PathLike)
            and os.fspath(args[0]).startswith(below)
        ):
            step()

    real = os.fsync

    def fsync(handle: int) -> None:
        step(handle)
        real(handle)

    try:
        os.fsync = fsync
        sys.addaudithook(hook)
        lugbook_code = lugbook(*words).code
        os._exit(lugbook_code)
    finally:
        os._exit(99)


def check_after(job: Path, before: dict[str, bytes], added: int) -> str:
    """The job is as before or as after, it verifies, and the next command works. Returns which it was."""
    entries = before["trail.jsonl"].count(b"\n")
    now = (job / "trail.jsonl").read_bytes()
    assert now.startswith(before["trail.jsonl"])
    count = now.count(b"\n") - entries
    assert count in (0, added)
    if count == 0:
        left = {path: data for path, data in files_of(job).items() if not path.startswith(".")}
        assert left == {path: data for path, data in before.items() if not path.startswith(".")}
    checked = lugbook("verify", job)
    assert checked.code == 0, checked.err
    following = lugbook("decide", job, "d1", "deferred", "--by", "owner", *DECIDE)
    assert following.code == 0, following.err
    assert not (job / ".pending").exists()
    checked = lugbook("verify", job)
    assert (checked.code, checked.err) == (0, "")
    assert (job / "trail.jsonl").read_bytes().count(b"\n") == entries + count + 1
    return "after" if count else "before"


def kill_often(story: Path, place: Path, count: int, seed: int) -> dict[str, int]:
    """Kill each command at `count` seeded points in all. Returns how often it was as before and as after."""
    outcomes = {"before": 0, "after": 0}
    place.mkdir(parents=True, exist_ok=True)
    (place / "mail.eml").write_text("yes", encoding="utf-8")
    chance = random.Random(seed)
    with quick_pages():
        for name, words in COMMANDS.items():
            job = shutil.copytree(story, place / "count")
            total = killed(words(job), job, 0, seed)
            assert total > 20, total
            shutil.rmtree(job)
            points = [chance.randrange(1, total + 1) for _ in range(count // len(COMMANDS))]
            for point in points:
                job = shutil.copytree(story, place / name)
                before = files_of(job)
                killed(words(job), job, point, seed)
                outcomes[check_after(job, before, 1)] += 1
                shutil.rmtree(job)
    return outcomes


@contextmanager
def full_disk_after(count: int) -> Iterator[None]:
    """Every call from the n-th on that needs space fails, as on a full disk."""
    done = 0
    real = {"fsync": os.fsync, "replace": os.replace, "mkdir": os.mkdir}

    def failing(name: str) -> Callable[..., Any]:
        def call(*args: Any, **options: Any) -> Any:
            nonlocal done
            done += 1
            if done >= count:
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
            return real[name](*args, **options)

        return call

    try:
        for name in real:
            setattr(os, name, failing(name))
        yield
    finally:
        for name, function in real.items():
            setattr(os, name, function)


def run_with_full_disk(job: Path, name: str, count: int) -> Ran:
    """A command on a disk that fills up at its n-th call."""
    with quick_pages(), full_disk_after(count):
        return lugbook(*COMMANDS[name](job))

"""What is done to an issued job, and whether it is noticed."""

from __future__ import annotations

import random
import shutil
from collections.abc import Iterable, Iterator
from pathlib import Path

from trail_jobs import Ran, Story, files_of, lugbook

# Files that go on being worked on: a change is said, but is no difference.
WORKING = frozenset({"findings.yaml", "own.yaml", "findings.schema.json"})
LOCK = ".lugbook.lock"


def noticed(job: Path, *options: str | Path) -> Ran:
    """Verify; it must end with 0 or 1, and never with a fault of the program."""
    ran = lugbook("verify", job, *options)
    assert ran.code in (0, 1), ran.err
    assert "unexpected" not in ran.err
    return ran


def single_bytes(job: Path, count: int, seed: int) -> Iterator[tuple[str, int, int]]:
    """`count` places over all files, drawn evenly over the bytes of each kind of file: (path, position, new byte)."""
    chance = random.Random(seed)
    files = {path: data for path, data in files_of(job).items() if data and path not in WORKING}
    paths = sorted(files)
    for n in range(count):
        path = paths[n % len(paths)]
        data = files[path]
        at = chance.randrange(len(data))
        yield path, at, chance.choice([byte for byte in range(256) if byte != data[at]])


def check_single_bytes(story: Story, count: int, seed: int) -> list[str]:
    """Change one byte, verify, change it back. Returns what was not noticed."""
    missed = []
    for path, at, byte in single_bytes(story.job, count, seed):
        file = story.job / path
        data = file.read_bytes()
        file.write_bytes(data[:at] + bytes([byte]) + data[at + 1 :])
        try:
            ran = noticed(story.job, "--signers", story.signers)
        finally:
            file.write_bytes(data)
        if ran.code != 1 or path.split("/")[-1].split(".")[0] not in ran.err:
            missed.append(f"{path}:{at} -> {byte}: {ran.code} {ran.err}")
    return missed


def whole_files(job: Path) -> Iterator[tuple[str, str]]:
    """Each file taken away, emptied, cut, lengthened; pairs of files swapped; files added."""
    paths = [path for path in files_of(job) if path not in WORKING and path != LOCK]
    for path in paths:
        for how in ("take away", "empty", "cut", "lengthen", "link", "folder"):
            yield how, path
    for first, second in zip(paths, [*paths[1:], paths[0]], strict=True):
        if (job / first).read_bytes() != (job / second).read_bytes():
            yield f"swap with {second}", first
    for folder in (
        "issued/T-7-2026-r1",
        "issued/T-7-2026-r1/photos",
        "issued",
        "evidence",
        "signatures",
        "tokens",
        "notices",
    ):
        yield "add", f"{folder}/new"
    yield "add", "issued/T-7-2026-r9/report.pdf"


def meddle(job: Path, how: str, path: str) -> None:
    """Do it."""
    file = job / path
    if how == "add":
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(b"x")
        return
    data = file.read_bytes()
    if how in ("take away", "link", "folder"):
        file.unlink()
    if how == "empty":
        file.write_bytes(b"")
    elif how == "cut":
        file.write_bytes(data[:-1])
    elif how == "lengthen":
        file.write_bytes(data + b"\n")
    elif how == "link":
        outside = job.parent / "outside"
        outside.write_bytes(data)
        file.symlink_to(outside)
    elif how == "folder":
        file.mkdir()
    elif how.startswith("swap with "):
        other = job / how.removeprefix("swap with ")
        file.write_bytes(other.read_bytes())
        other.write_bytes(data)


def some_whole_files(job: Path) -> list[tuple[str, str]]:
    """Of these a fifth, with every file and every way, and all that is added."""
    changes = list(whole_files(job))
    return [one for one in changes if one[0] != "add"][::5] + [one for one in changes if one[0] == "add"]


def check_whole_files(changes: Iterable[tuple[str, str]], story: Story, place: Path) -> list[str]:
    """Meddle with a copy each time. Returns what was not noticed."""
    missed = []
    for number, (how, path) in enumerate(changes):
        job = shutil.copytree(story.job, place / str(number) / "trial")
        meddle(job, how, path)
        if noticed(job).code != 1:
            missed.append(f"{how}: {path}")
        shutil.rmtree(job)
    return missed

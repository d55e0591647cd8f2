"""Throughput of many small jobs in one command: python tests/bench/many.py [JOBS]; writes docs/many-jobs.md.

Each job has a defect with a photo of 1200 x 900 pixels, and becomes HTML, PDF, JSON and a table. `lugbook report FOLDER/*`
runs as a process of its own: with an empty cache, with nothing changed, after an edit of every hundredth job, and with
every hundredth job broken. The exit codes and the summaries must be right, or nothing is written.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT / "tests"), str(ROOT / "tests" / "soak"), str(ROOT / "inspect")]

from big_job import make  # noqa: E402
from record import machine  # noqa: E402

PAGE = ROOT / "docs" / "many-jobs.md"
HEAD = """# Many jobs

Written by `tests/bench/many.py`; not meant to be edited. {count:,} jobs, each with a defect and a photo of 1200 x 900
pixels, by one `lugbook report FOLDER/*` with as many workers as cores. Each becomes HTML, PDF, JSON and a table.
The machine: {machine}.

| run | wall s | jobs a second | what was said at the end |
|---|---|---|---|
"""


@dataclass(frozen=True)
class Ran:
    """One command: wall seconds, exit code, the last line it said."""

    wall: float
    code: int
    said: str


def report(jobs: list[Path], out: Path) -> Ran:
    """All jobs in one command."""
    words = [sys.executable, "-m", "lugbook", "-q", "report", *map(str, jobs), "-o", str(out)]
    begin = time.perf_counter()
    ran = subprocess.run(words, capture_output=True, text=True, check=False, cwd=ROOT)
    said = (ran.stderr.splitlines() or [""])[-1]
    return Ran(time.perf_counter() - begin, ran.returncode, said)


def measure(place: Path, count: int) -> dict[str, Ran]:
    """Every run, each with what it must say."""
    made, out = [], place / "out"
    make(place / "pattern", defects=1, pictures=1, size=(1200, 900), tongues=["en"], long=False)
    for number in range(count):
        job = place / "jobs" / f"job-{number:04}"
        shutil.copytree(place / "pattern", job)
        edit(job, "BIG-1", f"M-{number:04}")
        made.append(job)
    few = made[:: min(100, max(2, count // 2))]
    runs: dict[str, Ran] = {}

    def take(name: str, code: int, said: str) -> None:
        runs[name] = ran = report(made, out)
        print(f"{name}: {ran}", flush=True)
        assert (ran.code, ran.said) == (code, said), ran

    take("nothing in the cache", 0, f"{count} jobs: {count} written")
    time.sleep(3)
    take("nothing changed", 0, f"{count} jobs: {count} unchanged")
    for job in few:
        edit(job, "number: M-", "number: N-")
    take("one in a hundred edited", 0, f"{count} jobs: {len(few)} written, {count - len(few)} unchanged")
    for job in few:
        edit(job, "number: N-", "nummer: N-")
    left = count - len(few)
    take("one in a hundred broken", 1, f"{count} jobs: {left} unchanged, {len(few)} refused")
    assert len(list(out.rglob("report.pdf"))) == count, "the older reports of broken jobs stay"
    return runs


def edit(job: Path, old: str, new: str) -> None:
    path = job / "findings.yaml"
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    with tempfile.TemporaryDirectory(prefix="many-") as name:
        os.environ["LUGBOOK_CACHE"] = str(Path(name) / "cache")
        os.environ["PYTHONPATH"] = str(ROOT / "inspect")
        runs = measure(Path(name), count)
    rows = [
        f"| {what} | {ran.wall:.1f} | {count / ran.wall:.1f} | {ran.said} |" for what, ran in runs.items()
    ]
    PAGE.write_text(HEAD.format(count=count, machine=machine()) + "\n".join(rows) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()

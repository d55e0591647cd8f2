"""Ctrl-C at seeded moments of a report: whatever the moment, the output is the old one or the new one, whole."""

from __future__ import annotations

import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from exports import picture
from small_jobs import HEAD, checklist, item

from lugbook.cli import main

RESULTS = """results:
  - item: strap
    result: no departure seen
    extent: whole
    photos: [{file: one.jpg, caption: The strap, alt: A strap}]
"""
PROGRAM = """
import signal, sys
from lugbook.cli import main
signal.signal(signal.SIGINT, signal.default_int_handler)  # a shell's background ignores it
print("begun", flush=True)
sys.exit(main(sys.argv[1:]))
"""


def _run(job: Path, out: Path, wait: float | None, *, pdf: bool) -> tuple[int, str, float]:
    """Report a job; after `wait` seconds send SIGINT. Gives the exit code, what was said, and how long it took."""
    words = ["-q", "report", str(job), "-o", str(out), *([] if pdf else ["--html-only"])]
    command = [sys.executable, "-c", PROGRAM, *words]
    ran = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    assert ran.stdout is not None
    assert ran.stdout.readline() == "begun\n"
    begin = time.monotonic()
    if wait is not None:
        try:
            ran.wait(wait)
        except subprocess.TimeoutExpired:
            ran.send_signal(signal.SIGINT)
    _, err = ran.communicate(timeout=120)
    return ran.returncode, err, time.monotonic() - begin


def _fork(job: Path, out: Path, wait: float | None) -> tuple[int, str, float]:
    """The same without a PDF, in a copy of this process, which has the program loaded."""
    with tempfile.TemporaryFile("w+") as told:
        begin, process = time.monotonic(), os.fork()
        if process == 0:
            os.dup2(told.fileno(), 2)
            sys.stderr = os.fdopen(2, "w", closefd=False)
            code = 99
            try:
                code = main(["-q", "report", str(job), "-o", str(out), "--html-only"])
            except KeyboardInterrupt:  # it was done, and about to go
                signal.signal(signal.SIGINT, signal.SIG_DFL)
                signal.raise_signal(signal.SIGINT)
            finally:
                sys.stderr.flush()
                os._exit(code)
        if wait is not None:
            time.sleep(wait)
            os.kill(process, signal.SIGINT)
        _, status = os.waitpid(process, 0)
        took = time.monotonic() - begin
        told.seek(0)
        return os.waitstatus_to_exitcode(status), told.read(), took


def _files(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()
    }


def interrupt(place: Path, *, moments: int, seed: int, pdf: bool) -> Counter[str]:
    """Interrupt so many reports; how many left the old output and how many the new. AssertionError otherwise."""
    job, out, chance = place / "job", place / "out", random.Random(seed)
    (job / "photos").mkdir(parents=True)
    (job / "own.yaml").write_text(checklist(item("strap")), encoding="utf-8")
    (job / "photos" / "one.jpg").write_bytes(picture())
    made, took = [], 0.0
    for number in ("T-1", "T-2"):
        (job / "findings.yaml").write_text((HEAD + RESULTS).replace("T-1", number), encoding="utf-8")
        code, err, took = (
            _run(job, place / number, None, pdf=True) if pdf else _fork(job, place / number, None)
        )
        assert (code, err) == (0, ""), err
        made.append(_files(place / number))
    old, new = made
    ended: Counter[str] = Counter()
    for number_ in range(moments):
        shutil.rmtree(out, ignore_errors=True)
        shutil.copytree(place / "T-1", out)
        # the last moments of the run, in which the files are written, come as often as all others
        wait = took * (chance.uniform(0, 1) if number_ % 2 else chance.uniform(0.8, 1.05))
        code, err, _ = _run(job, out, wait, pdf=True) if pdf else _fork(job, out, wait)
        if code == -signal.SIGINT and _files(out) == new:  # all was done, and the interpreter was about to go
            ended["after"] += 1
            continue
        if (
            code == -signal.SIGINT and "interrupted" in err
        ):  # Python ran text as code; a shell makes 130 of it
            code = 130
        assert code in (0, 130), (number_, code, err)
        assert "Traceback" not in err, (number_, err)
        assert code == 0 or "interrupted; nothing was left half-written" in err, (number_, err)
        found = _files(out)
        assert found in (old, new), (number_, sorted(found))
        assert code == 130 or found == new, number_
        assert not list(out.rglob(".*")), number_
        ended["after" if found == new else "before"] += 1
    return ended

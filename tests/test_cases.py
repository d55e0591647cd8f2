"""Acceptance cases: each problem code has a folder with a job that shows it and a job that does not.

`cases/P110-word-trap/bad/expected.txt` is exactly what `lugbook check` prints; `case.yaml` says whether a JSON
Schema can tell the fault, and what to make first that a repository cannot hold (pipes, large files, odd names).
`own-list.yaml` is shared by all cases that bring none. Cases of exports have no
job: `case.yaml` says how the archive is made (`exports.py`), and `lugbook unpack` runs on it. `python tests/test_cases.py` writes the expected texts anew.
"""

from __future__ import annotations

import contextlib
import io
import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from exports import FINDINGS, TWISTS, files, write_export

from lugbook.cli import main
from lugbook.model.codes import CODES
from lugbook.model.installation_codes import INSTALLATION_CODES

CASES = Path(__file__).parent / "cases"
PACKAGE = Path(__file__).parents[1] / "inspect" / "lugbook"
FOLDERS = sorted(path for path in CASES.iterdir() if path.is_dir())
JOBS = [folder / which for folder in FOLDERS for which in ("ok", "bad")]
# Run as a process of its own as well: one of each kind of ending.
SAMPLE = ("P303-pipe-for-picture", "P401-unused-picture")


def name_of(job: Path) -> str:
    return f"{job.parent.name}-{job.name}"


def code_of(folder: Path) -> str:
    return folder.name.partition("-")[0]


def note_of(folder: Path) -> dict[str, Any]:
    """What case.yaml says."""
    note: dict[str, Any] = yaml.safe_load((folder / "case.yaml").read_text(encoding="utf-8"))
    return note


def set_up(case: Path, work: Path) -> Path:
    """Copy a case's job to `work/job` and make what a repository cannot hold."""
    job = work / "job"
    shutil.copytree(case, job, ignore=shutil.ignore_patterns("expected.txt"))
    if not (job / "own-list.yaml").exists():
        shutil.copy(CASES / "own-list.yaml", job)
    for step in note_of(case.parent).get("make", {}).get(case.name, ()):
        make(step, job)
    return job


def make(step: dict[str, Any], job: Path) -> None:
    """One step of `make`: a pipe, a copy under another name, a file grown by a comment, a file removed."""
    if "pipe" in step:
        path = job / step["pipe"]
        path.parent.mkdir(exist_ok=True)
        os.mkfifo(path)
    elif "copy" in step:
        shutil.copy(job / step["copy"], job / step["to"])
    elif "grow" in step:
        path = job / step["grow"]
        data = path.read_bytes()
        path.write_bytes(data + b"#" * (step["bytes"] - len(data)))
    elif "remove" in step:
        (job / step["remove"]).unlink()
    else:
        raise ValueError(f"unknown step {step}")


def shown(code: int, out: str, err: str) -> str:
    """The form of expected.txt."""
    return f"{err}{out}exit code {code}\n"


def run_case(job: Path, work: Path) -> str:
    """What the case's command prints: `check`, or `unpack` of an export that is made for it."""
    steps = note_of(job.parent).get("unpack")
    return run_unpack(steps[job.name], work) if steps else run_check(work)


def run_unpack(step: dict[str, Any], work: Path) -> str:
    """`lugbook unpack export.zip made`, into a job of the first export if `again` says what is changed in it by hand."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.chdir(work), contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        if "again" in step:
            write_export(Path("first.zip"), files())
            assert main(["unpack", "first.zip", "made", "-q"]) == 0
            path = Path("made/findings.yaml")
            path.write_text(path.read_text(encoding="utf-8").replace(*step["again"]), encoding="utf-8")
        theirs = files(FINDINGS.replace(*step.get("theirs", ("", ""))))
        write_export(
            Path("export.zip"), theirs, export=2 if "again" in step else 1, twist=TWISTS[step["twist"]]
        )
        before = {path: path.read_bytes() for path in sorted(Path("made").rglob("*")) if path.is_file()}
        code = main(["unpack", "export.zip", "made", "-q"])
        if code:  # nothing was made, nothing was changed
            assert before == {
                path: path.read_bytes() for path in sorted(Path("made").rglob("*")) if path.is_file()
            }
            assert sorted(path.name for path in work.iterdir() if path.name.startswith(".")) == []
    return shown(code, out.getvalue(), err.getvalue())


@contextlib.contextmanager
def without(name: str) -> Iterator[None]:
    """As if a module were not installed. Others that are loaded meanwhile stay."""
    before = sys.modules.get(name)
    sys.modules[name] = None  # type: ignore[assignment]
    yield
    if before is None:
        del sys.modules[name]
    else:
        sys.modules[name] = before


def run_check(work: Path) -> str:
    """`lugbook check job` inside this process. HEIC is read as if its extra part were not installed."""
    out, err = io.StringIO(), io.StringIO()
    with (
        contextlib.chdir(work),
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(err),
        without("pillow_heif"),
    ):
        code = main(["check", "job"])
    return shown(code, out.getvalue(), err.getvalue())


@pytest.mark.parametrize("job", JOBS, ids=name_of)
def test_check_prints_exactly_this(job: Path, tmp_path: Path) -> None:
    set_up(job, tmp_path)
    printed = run_case(job, tmp_path)
    assert printed == (job / "expected.txt").read_text(encoding="utf-8")
    assert "Traceback" not in printed


@pytest.mark.parametrize("job", JOBS, ids=name_of)
def test_the_code_is_there_in_the_bad_job_only(job: Path) -> None:
    code = code_of(job.parent)
    expected = (job / "expected.txt").read_text(encoding="utf-8")
    severity = CODES[code].severity
    assert (f"[{code}]" in expected) == (job.name == "bad")
    assert (" error: " in expected) == (job.name == "bad" and severity == "error")
    assert expected.endswith(f"exit code {int(job.name == 'bad' and severity == 'error')}\n")
    if job.name == "bad":
        assert f" {severity}: " in expected


# The sound jobs are nearly alike; a few of them are enough to see that reports come out.
REPORTED = [
    job
    for job in JOBS
    if (job.name == "bad" and "unpack" not in note_of(job.parent))
    or job.parent.name.startswith(("P108", "P207", "P308", "P502"))
]


@pytest.mark.parametrize("job", REPORTED, ids=name_of)
def test_report_of_a_job_with_errors_writes_nothing(job: Path, tmp_path: Path) -> None:
    folder = set_up(job, tmp_path)
    before = sorted(folder.rglob("*"))
    with contextlib.chdir(tmp_path), without("pillow_heif"):
        code = main(["report", "job", "--html-only", "--quiet"])
    written = sorted(path.name for path in tmp_path.rglob("out/**/*") if path.is_file())
    refused = job.name == "bad" and CODES[code_of(job.parent)].severity == "error"
    assert (code, written) == ((1, []) if refused else (0, ["defects.csv", "report.html", "report.json"]))
    assert (tmp_path / "out").exists() != refused
    assert sorted(folder.rglob("*")) == before


@pytest.mark.parametrize("name", SAMPLE)
def test_the_same_as_a_process_of_its_own(name: str, tmp_path: Path) -> None:
    job = CASES / name / "bad"
    set_up(job, tmp_path)
    ran = subprocess.run(
        [sys.executable, "-m", "lugbook", "check", "job"],
        cwd=tmp_path,
        capture_output=True,
        timeout=60,
        check=False,
    )
    printed = shown(ran.returncode, ran.stdout.decode(), ran.stderr.decode())
    assert printed == (job / "expected.txt").read_text(encoding="utf-8")


def test_every_code_has_both_cases() -> None:
    assert {code_of(folder) for folder in FOLDERS} == set(CODES)
    for job in JOBS:
        assert (job / "expected.txt").is_file()


def test_codes_raised_and_codes_described_are_the_same() -> None:
    raised: set[str] = set()
    for path in PACKAGE.rglob("*.py"):
        if not path.name.endswith("codes.py"):
            raised.update(re.findall(r'"(P\d{3})"', path.read_text(encoding="utf-8")))
    assert raised == set(CODES) | {code.code for code in INSTALLATION_CODES}


def write_expected() -> None:
    """Write every expected.txt from what is printed now; read the difference before keeping it."""
    for job in JOBS:
        with tempfile.TemporaryDirectory() as folder:
            set_up(job, Path(folder))
            job.mkdir(exist_ok=True)
            printed = run_case(job, Path(folder))
            if "lugbook: unexpected" in printed:
                raise RuntimeError(f"{job}: {printed}")
            (job / "expected.txt").write_text(printed, encoding="utf-8")


if __name__ == "__main__":
    write_expected()

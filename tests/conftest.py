"""Jobs for tests: the demo, rendered once, and small ones made from a few lines."""

from __future__ import annotations

import fcntl
import os
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from small_jobs import DEMO, HEAD, DemoReport

from lugbook.assess.judge import assess
from lugbook.load.job import load_job
from lugbook.model.assessed import Assessed
from lugbook.model.view import ReportView
from lugbook.pipeline import check_job, make_report
from lugbook.progress import Progress


@pytest.fixture(scope="session", autouse=True)
def cache_of_the_tests(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """A cache of the tests' own, so that none of a person's is read or written."""
    before = os.environ.get("LUGBOOK_CACHE")
    os.environ["LUGBOOK_CACHE"] = str(tmp_path_factory.mktemp("cache"))
    yield
    if before is None:
        del os.environ["LUGBOOK_CACHE"]
    else:
        os.environ["LUGBOOK_CACHE"] = before


@pytest.fixture
def job_folder(tmp_path: Path) -> Callable[[str, str], Path]:
    """Write a job: its findings after the usual head, and its own list."""

    def make(rest: str, own: str) -> Path:
        folder = tmp_path / "trial"
        (folder / "photos").mkdir(parents=True)
        (folder / "findings.yaml").write_text(HEAD + rest, encoding="utf-8")
        (folder / "own.yaml").write_text(own, encoding="utf-8")
        return folder

    return make


@pytest.fixture
def judged(job_folder: Callable[[str, str], Path]) -> Callable[[str, str], Assessed]:
    """The judged job of a few lines; it must load without errors."""

    def make(rest: str, own: str) -> Assessed:
        job, problems = load_job(job_folder(rest, own))
        assert job is not None, problems
        return assess(job)

    return make


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory, worker_id: str) -> DemoReport:
    """The demo's report: the first of the test processes that wants it makes it, the others wait and read."""
    progress = Progress(quiet=True)
    checked = check_job(DEMO, progress)
    base = tmp_path_factory.getbasetemp()
    out = (base if worker_id == "master" else base.parent) / "demo-report"
    with out.with_suffix(".lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not (out / "report.json").exists():
            make_report(checked, out, progress, pdf=True, paper="a4")
    view = ReportView.model_validate_json((out / "report.json").read_bytes())
    return DemoReport(checked, out, view)

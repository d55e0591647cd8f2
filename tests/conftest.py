"""Jobs for tests: the demo, rendered once, and small ones made from a few lines."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from small_jobs import DEMO, HEAD, DemoReport

from lugbook.assess.judge import assess
from lugbook.load.job import load_job
from lugbook.model.assessed import Assessed
from lugbook.model.view import ReportView
from lugbook.pipeline.checking import check_job
from lugbook.pipeline.reporting import make_report
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


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """With several processes, each file's tests stay together; all that look at the demo's report are one group.

    That group comes first, since it takes longest; the report is then made once.
    """
    for item in items:
        demo = "demo" in getattr(item, "fixturenames", ())
        item.add_marker(pytest.mark.xdist_group("demo" if demo else str(item.path)))
    items.sort(key=lambda item: "demo" not in getattr(item, "fixturenames", ()))


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory) -> DemoReport:
    progress = Progress(quiet=True)
    checked = check_job(DEMO, progress)
    out = tmp_path_factory.mktemp("demo")
    make_report(checked, out, progress, pdf=True, paper="a4")
    view = ReportView.model_validate_json((out / "report.json").read_bytes())
    return DemoReport(checked, out, view)

"""Three hundred conductors: judging them takes at most a tenth of the processor time that their PDF takes."""

from __future__ import annotations

import resource
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

import pytest

HERE = Path(__file__).parents[1]
sys.path[:0] = [str(HERE), str(HERE / "assess" / "evidence")]

from small_jobs import HEAD, checklist, item  # noqa: E402
from test_evidence_properties import large_boat  # noqa: E402
from trial_boats import undisturbed  # noqa: E402

from lugbook.assess.judge import assess  # noqa: E402
from lugbook.load.job import load_job  # noqa: E402
from lugbook.model.job import Job  # noqa: E402
from lugbook.pipeline.checking import Checked  # noqa: E402
from lugbook.pipeline.composing import composed  # noqa: E402
from lugbook.pipeline.reporting import rendered  # noqa: E402
from lugbook.progress import Progress  # noqa: E402

pytestmark = pytest.mark.judge
CIRCUITS, CONDUCTORS = {"large": 140, "small": 7}, 300
SHARE = 0.1
Made = TypeVar("Made")


def job_of(folder: Path, circuits: int) -> Job:
    """A job that holds nothing but an installation."""
    (folder / "photos").mkdir(parents=True)
    text = f"{HEAD}installation:\n{large_boat(circuits)}"
    (folder / "findings.yaml").write_text(text, encoding="utf-8")
    (folder / "own.yaml").write_text(checklist(item("lamp")), encoding="utf-8")
    job, problems = load_job(folder)
    assert job is not None, problems
    return job


def spent(work: Callable[[], Made]) -> tuple[float, Made]:
    """Processor time of this process and of those that it starts [s], and what came of the work."""

    def now() -> float:
        every = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
        return sum(one.ru_utime + one.ru_stime for one in every)

    begin = now()
    made = work()
    return now() - begin, made


def test_judging_takes_at_most_a_tenth_of_the_pdf(tmp_path: Path) -> None:
    """What both need to be loaded is loaded by a small boat before; the report is then made once."""
    progress = Progress(quiet=True)
    small = job_of(tmp_path / "small", CIRCUITS["small"])
    rendered(*composed(Checked(small, (), {})), progress, pdf=True, paper="a4")
    job = job_of(tmp_path / "large", CIRCUITS["large"])
    with undisturbed():
        judging, assessed = spent(lambda: assess(job))
        _, view = composed(Checked(job, (), {}))
        whole, files = spent(lambda: rendered(job, view, progress, pdf=True, paper="a4"))
        screen, _ = spent(lambda: rendered(job, view, progress, pdf=False, paper="a4"))
    printing = whole - screen
    assert len({one.subject for one in assessed.evidence if one.analysis == "ampacity"}) >= 0.98 * CONDUCTORS
    assert files["report.pdf"].startswith(b"%PDF")
    print(f"judged in {judging:.2f} s, printed in {printing:.2f} s: {judging / printing:.1%}")
    assert judging <= SHARE * printing

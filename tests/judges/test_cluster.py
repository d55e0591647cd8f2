"""Many jobs on a real Dask scheduler with two worker processes, one of them killed midway: every report still made."""

from __future__ import annotations

import os
import signal
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from test_many import make_jobs, wanted

from lugbook.commands import many
from lugbook.commands.many import report_many

pytestmark = pytest.mark.judge


@pytest.fixture
def cluster() -> Iterator[Any]:
    from distributed import LocalCluster

    with LocalCluster(
        n_workers=2,
        threads_per_worker=1,
        processes=True,
        dashboard_address=None,
        host="127.0.0.1",
        silence_logs=50,
    ) as made:
        yield made


@pytest.mark.filterwarnings("ignore")
def test_on_a_dask_cluster_a_killed_worker_costs_no_report(tmp_path: Path, cluster: Any) -> None:
    """The scheduler and its two workers are real processes; one is killed after the first report."""
    jobs = make_jobs(tmp_path / "jobs", 24, bad=(3,))
    killed = None
    states = {}
    for done in report_many(
        wanted(jobs, tmp_path / "out"), partial(many.cluster_pool, cluster.scheduler_address)
    ):
        states[Path(done.folder).name] = done.state
        if killed is None:
            worker = next(iter(cluster.workers.values()))
            killed = worker.process.pid
            os.kill(killed, signal.SIGKILL)
    assert killed is not None
    # A job whose answer was lost with the worker is asked for again, and finds its report standing.
    again = {name for name, state in states.items() if state == "unchanged"}
    assert len(again) <= 2
    expected = {job.name: "refused" if job.name == "job-003" else "written" for job in jobs}
    assert states == expected | dict.fromkeys(again, "unchanged")
    assert len(list((tmp_path / "out").rglob("report.html"))) == len(jobs) - 1

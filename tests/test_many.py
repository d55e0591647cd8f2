"""Many jobs in one command: side by side, past bad ones, past killed workers, and on a Dask scheduler."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from concurrent.futures import BrokenExecutor, Executor, Future, ThreadPoolExecutor
from contextlib import suppress
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from small_jobs import HEAD, checklist, hear_ctrl_c, item

from lugbook.cli import main
from lugbook.commands import many
from lugbook.commands.many import Done, Wanted, report_many

RESULTS = "results:\n  - {item: strap, result: no departure seen, extent: whole}\n"


def make_jobs(root: Path, count: int, bad: tuple[int, ...] = ()) -> list[Path]:
    """Small jobs; those with the numbers `bad` have a fault."""
    made = []
    for n in range(count):
        folder = root / f"job-{n:03}"
        (folder / "photos").mkdir(parents=True)
        (folder / "own.yaml").write_text(checklist(item("strap")), encoding="utf-8")
        rest = RESULTS.replace("strap", "strop") if n in bad else RESULTS
        (folder / "findings.yaml").write_text(HEAD + rest, encoding="utf-8")
        made.append(folder)
    return made


def wanted(jobs: list[Path], out: Path) -> list[Wanted]:
    return many.several(jobs, out, pdf=False, paper="a4")


def test_several_jobs_go_on_past_a_bad_one(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    jobs = make_jobs(tmp_path / "jobs", 4, bad=(1,))
    words = ["report", *map(str, jobs), "-o", str(tmp_path / "out"), "--html-only", "--workers", "2"]
    assert main(words) == 1
    said = capsys.readouterr()
    assert sorted(said.out.splitlines()) == [f"{jobs[n]}: written" for n in (0, 2, 3)]
    assert "[P202]" in said.err
    assert re.search(r"job-001/findings.yaml:\d+:\d+: error: ", said.err)
    assert said.err.splitlines()[-1] == "4 jobs: 3 written, 1 refused"
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == ["job-000", "job-002", "job-003"]
    for n in (0, 2, 3):
        assert (tmp_path / "out" / f"job-{n:03}" / "report.html").read_text(encoding="utf-8").count(
            "<h1"
        ) == 1


def test_one_by_one_and_side_by_side_give_the_same_bytes(tmp_path: Path) -> None:
    jobs = make_jobs(tmp_path / "jobs", 3)
    for job in jobs:
        assert main(["report", str(job), "-o", str(tmp_path / "one"), "--html-only", "--quiet"]) == 0
    words = [*map(str, jobs), "-o", str(tmp_path / "many"), "--html-only", "--quiet", "--workers", "2"]
    assert main(["report", *words]) == 0
    files = sorted(path.relative_to(tmp_path / "one") for path in (tmp_path / "one").rglob("*.*"))
    assert len(files) >= 6
    for file in files:
        assert (tmp_path / "many" / file).read_bytes() == (tmp_path / "one" / file).read_bytes()


def test_unchanged_jobs_are_left_alone(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("LUGBOOK_CACHE", str(tmp_path / "cache"))
    jobs = make_jobs(tmp_path / "jobs", 3)
    words = [*map(str, jobs), "-o", str(tmp_path / "out"), "--html-only"]
    make = partial(ThreadPoolExecutor, 1)
    monkeypatch.setattr(many, "local_pool", lambda _: make())
    assert main(["report", *words]) == 0
    assert capsys.readouterr().err.splitlines()[-1] == "3 jobs: 3 written"
    stood = (tmp_path / "out" / jobs[0].name / "report.html").stat().st_mtime_ns
    (jobs[1] / "findings.yaml").write_text((jobs[1] / "findings.yaml").read_text() + "# more\n")
    assert main(["report", *words]) == 0
    assert capsys.readouterr().err.splitlines()[-1] == "3 jobs: 1 written, 2 unchanged"
    assert (tmp_path / "out" / jobs[0].name / "report.html").stat().st_mtime_ns == stood
    assert main(["report", *words, "--no-cache"]) == 0
    assert capsys.readouterr().err.splitlines()[-1] == "3 jobs: 3 written"


def test_two_jobs_of_one_name_are_refused_before_anything_is_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (one,), (other,) = make_jobs(tmp_path / "a", 1), make_jobs(tmp_path / "b", 1)
    assert main(["report", str(one), str(other), "-o", str(tmp_path / "out")]) == 2
    assert "would both write into" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


def test_the_same_job_named_twice_is_reported_once(tmp_path: Path) -> None:
    (job,) = make_jobs(tmp_path / "a", 1)
    assert [one.folder for one in wanted([job, job / ".." / job.name], tmp_path)] == [str(job)]


# --- workers that are killed ---------------------------------------------------------------------------------------


class Fragile(Executor):
    """An executor in this process that breaks at a poisonous job, like a pool whose worker was killed."""

    poison = frozenset[str]()

    def __init__(self) -> None:
        self.broken = False

    def submit(self, fn: Callable[..., Any], /, *args: Any, **_: Any) -> Future[Any]:
        future: Future[Any] = Future()
        self.broken = self.broken or Path(args[0].folder).name in self.poison
        if self.broken:
            future.set_exception(BrokenExecutor("a worker was killed"))
        else:
            future.set_result(fn(*args))
        return future


@pytest.mark.parametrize("poison", [{"job-000"}, {"job-005"}, {"job-002", "job-003", "job-007"}])
def test_only_the_job_that_kills_is_given_up(
    tmp_path: Path, poison: set[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Fragile, "poison", frozenset(poison))
    monkeypatch.setattr(many, "report_one", lambda one: Done(one.folder, "written"))
    jobs = make_jobs(tmp_path / "jobs", 8)
    states = {Path(done.folder).name: done.state for done in report_many(wanted(jobs, tmp_path), Fragile, 3)}
    assert states == {job.name: "failed" if job.name in poison else "written" for job in jobs}


def test_a_real_worker_killed_midway_costs_no_report(tmp_path: Path) -> None:
    jobs = make_jobs(tmp_path / "jobs", 6)
    children: list[int] = []
    for done in report_many(wanted(jobs, tmp_path / "out"), partial(many.local_pool, 2), 4):
        assert done.state == "written", done
        if not children:
            children = workers_of(os.getpid())
            os.kill(children[0], signal.SIGKILL)
    assert children
    assert len(list((tmp_path / "out").rglob("report.html"))) == len(jobs)


def workers_of(parent: int) -> list[int]:
    """The processes that the fork server of this process split off."""
    return children_of(set(children_of({parent})))


def children_of(parents: set[int]) -> list[int]:
    found = []
    for entry in Path("/proc").iterdir():
        if entry.name.isdigit():
            with suppress(FileNotFoundError, ProcessLookupError):
                if int((entry / "stat").read_text().rpartition(")")[2].split()[1]) in parents:
                    found.append(int(entry.name))
    return sorted(found)


def reporting(jobs: list[Path], out: Path) -> list[str]:
    """The command that reports jobs, as a process of its own."""
    return [sys.executable, "-m", "lugbook", "report", *map(str, jobs), "-o", str(out), "--html-only"]


def test_interrupted_in_the_middle_nothing_is_half_written(tmp_path: Path) -> None:
    jobs = make_jobs(tmp_path / "jobs", 12)
    ran = subprocess.Popen(
        reporting(jobs, tmp_path / "out"),
        stderr=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        start_new_session=True,
        preexec_fn=hear_ctrl_c,
    )
    until = time.monotonic() + 100
    while not list((tmp_path / "out").glob("*/report.html")) and time.monotonic() < until:
        time.sleep(0.01)
    os.killpg(ran.pid, signal.SIGINT)
    _, err = ran.communicate(timeout=100)
    assert ran.returncode == 130, err
    assert "Traceback" not in err
    assert "interrupted; nothing was left half-written" in err
    for folder in (tmp_path / "out").iterdir():
        assert {path.name for path in folder.iterdir()} in (set(), FILES), folder


def test_workers_go_when_the_command_is_killed(tmp_path: Path) -> None:
    """They waited for work for ever, each with the memory of a renderer."""
    jobs = make_jobs(tmp_path / "jobs", 8)
    words = [*reporting(jobs, tmp_path / "out"), "--workers", "2"]
    ran = subprocess.Popen(words, stderr=subprocess.DEVNULL, stdout=subprocess.DEVNULL)
    until = time.monotonic() + 100
    while not list((tmp_path / "out").glob("*/report.html")) and time.monotonic() < until:
        time.sleep(0.01)
    workers = workers_of(ran.pid)
    assert workers
    ran.kill()
    ran.wait(timeout=100)
    until = time.monotonic() + 20
    while any(running(pid) for pid in workers) and time.monotonic() < until:
        time.sleep(0.05)
    assert [pid for pid in workers if running(pid)] == []


def test_workers_on_pictures_go_when_the_command_is_killed(tmp_path: Path) -> None:
    Image.effect_noise((3000, 2000), 40).save(tmp_path / "one.jpg")
    script = (
        "import sys; from pathlib import Path; from lugbook.cache import Cache\n"
        "from lugbook.picture_work import Task, Wish, work_through\n"
        "done = work_through([Task(Path(sys.argv[1]), (Wish(900),), Cache(None))] * 200)\n"
        "next(done); print('begun', flush=True); list(done)"
    )
    words = [sys.executable, "-c", script, str(tmp_path / "one.jpg")]
    with subprocess.Popen(words, stdout=subprocess.PIPE) as ran:
        assert ran.stdout is not None
        assert ran.stdout.readline() == b"begun\n"
        workers = children_of({ran.pid})
        ran.kill()
    assert workers
    until = time.monotonic() + 20
    while any(running(pid) for pid in workers) and time.monotonic() < until:
        time.sleep(0.05)
    assert [pid for pid in workers if running(pid)] == []


def running(pid: int) -> bool:
    """Whether a process is there and no zombie."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except (FileNotFoundError, ProcessLookupError):
        return False


FILES = {"defects.csv", "report.html", "report.json"}


def test_a_cluster_that_does_not_answer(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(many, "ANSWER", "1s")
    jobs = make_jobs(tmp_path / "jobs", 2)
    assert (
        main(["report", *map(str, jobs), "-o", str(tmp_path / "out"), "--cluster", "tcp://127.0.0.1:9"]) == 2
    )
    assert "no scheduler answers" in capsys.readouterr().err


def test_any_executor_will_do(tmp_path: Path) -> None:
    jobs = make_jobs(tmp_path / "jobs", 3)
    done = list(report_many(wanted(jobs, tmp_path / "out"), partial(ThreadPoolExecutor, 1)))
    assert [one.state for one in done] == ["written"] * 3

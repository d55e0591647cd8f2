"""Many jobs at once, each by itself, in whatever `concurrent.futures` executor is given.

A job that cannot be reported stops no other. A pool whose worker was killed is made anew and goes on with the jobs
that are left; a job that takes its worker with it when it is alone as well is given up.
"""

from __future__ import annotations

import os
import sys
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import BrokenExecutor, Executor, Future, as_completed
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal
from unicodedata import normalize

from lugbook.commands.common import printable, problem_line, summary
from lugbook.commands.one_report import Wanted, report
from lugbook.errors import LugbookError, UsageError
from lugbook.progress import Progress
from lugbook.workers import begin_worker

State = Literal["written", "unchanged", "refused", "failed"]
ANSWER = "10s"
STATES: tuple[State, ...] = ("written", "unchanged", "refused", "failed")
FINE: tuple[State, ...] = ("written", "unchanged")


@dataclass(frozen=True, slots=True)
class Done:
    """What came of a job: `lines` are its problems, or why it failed."""

    folder: str
    state: State
    lines: tuple[str, ...] = ()


def report_one(wanted: Wanted) -> Done:
    """Report one job. Every failure becomes a Done, so that it travels back from wherever this runs."""
    folder = Path(wanted.folder)
    try:
        found = report(wanted, Progress(quiet=True))
        lines = tuple(problem_line(problem, folder) for problem in found.problems)
        if found.state == "refused":
            lines += (f"{printable(folder)}: {summary(found.problems)}",)
        return Done(wanted.folder, found.state, lines)
    except LugbookError as error:
        return Done(wanted.folder, "failed", (printable(f"{folder}: {error}"),))
    except Exception as error:  # a fault of the program in one job must not stop the others
        return Done(
            wanted.folder, "failed", (printable(f"{folder}: unexpected: {type(error).__name__}: {error}"),)
        )


def report_many(wanted: Sequence[Wanted], make: Callable[[], Executor], suspects: int = 8) -> Iterator[Done]:
    """Report all jobs in the executors that `make` gives, in the order in which they end.

    If a worker was killed, the job that did it is one of the first of those that are left: `suspects` of them are
    reported alone, each in an executor of its own, before the rest goes on side by side.
    """
    left = {one.folder: one for one in wanted}
    while left:
        for done in _side_by_side(list(left.values()), make):
            del left[done.folder]
            yield done
        for one in list(left.values())[:suspects]:
            del left[one.folder]
            killed = Done(one.folder, "failed", (printable(f"{one.folder}: its worker was killed, twice"),))
            yield next(iter(_side_by_side([one], make)), killed)


def _side_by_side(wanted: Sequence[Wanted], make: Callable[[], Executor]) -> Iterator[Done]:
    """Report jobs in one executor; if that breaks, what came of those that ended before."""
    with make() as executor:
        futures = {executor.submit(report_one, one): one for one in wanted}
        try:
            for future in as_completed(futures):
                done = _result(future, futures[future])
                if done is not None:
                    yield done
        except BaseException:
            executor.shutdown(wait=False, cancel_futures=True)
            raise


def _result(future: Future[Done], wanted: Wanted) -> Done | None:
    """What came of a job, or None if its worker was killed."""
    try:
        return future.result()
    except BrokenExecutor:
        return None
    except Exception as error:  # an executor that gives up by itself, such as one whose scheduler went away
        return Done(
            wanted.folder, "failed", (printable(f"{wanted.folder}: {type(error).__name__}: {error}"),)
        )


def several(
    folders: Sequence[Path],
    out: Path,
    *,
    pdf: bool,
    paper: Literal["a4", "letter"],
    language: str | None = None,
    cached: bool = True,
) -> list[Wanted]:
    """The jobs, each with its own folder for the output. Raises UsageError if two would write into the same."""
    names: dict[str, Path] = {}
    for folder in folders:
        name = normalize("NFC", folder.resolve().name).casefold()  # as most disks compare them
        if name in names and names[name].resolve() != folder.resolve():
            raise UsageError(
                f"'{names[name]}' and '{folder}' would both write into {out / name}; report them one by one"
            )
        names.setdefault(name, folder)
    return [
        Wanted(str(folder), str(out / folder.resolve().name), pdf, paper, language, cached)
        for folder in names.values()
    ]


def workers(asked: int | None) -> int:
    """As many as asked for, or as many as this process may use cores."""
    if asked is not None:
        return max(1, asked)
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return max(1, cores)


def local_pool(count: int) -> Executor:
    """Processes of this machine that have the program loaded before they are split off."""
    import multiprocessing
    from concurrent.futures import ProcessPoolExecutor

    context = multiprocessing.get_context("forkserver" if sys.platform != "win32" else "spawn")
    if sys.platform != "win32":
        context.set_forkserver_preload(
            ["lugbook.pipeline.reporting", "lugbook.photos", "lugbook.render.pdf_engine"]
        )
    return ProcessPoolExecutor(count, mp_context=context, initializer=begin_worker)


def cluster_pool(address: str) -> Executor:
    """The workers of a Dask scheduler. They must see the same folders under the same names."""
    try:
        from distributed import Client  # its own annotations are not complete
    except ImportError as error:
        raise UsageError("'--cluster' needs an extra part: pip install 'lugbook[cluster]'") from error
    try:
        client: Any = Client(address, timeout=ANSWER)  # type: ignore[no-untyped-call]
        executor: Executor = client.get_executor(retries=2)
    except OSError as error:
        raise UsageError(f"no scheduler answers at '{address}'") from error
    return executor


def print_many(wanted: Sequence[Wanted], make: Callable[[], Executor], *, quiet: bool) -> int:
    """Report all jobs, say what came of each and of all. Returns the exit code."""
    progress, counts = Progress(quiet=quiet), Counter[State]()
    for done in progress.each(report_many(wanted, make), len(wanted), "reporting jobs"):
        counts[done.state] += 1
        fine = done.state in FINE
        if fine and not quiet:
            print(f"{printable(done.folder)}: {done.state}")
        for line in done.lines if not fine or not quiet else ():
            print(line, file=sys.stderr)
        if not fine:
            print(f"{printable(done.folder)}: {done.state}; nothing was written", file=sys.stderr)
    said = ", ".join(f"{counts[state]} {state}" for state in STATES if counts[state])
    print(f"{len(wanted)} jobs: {said}", file=sys.stderr)
    return 0 if sum(counts[state] for state in FINE) == len(wanted) else 1

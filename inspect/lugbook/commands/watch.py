"""`lugbook watch`: show the report in a browser, and make it anew whenever a file of the job is saved."""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Iterator
from pathlib import Path

from lugbook.commands.common import job_folder, printable, summary, visible
from lugbook.errors import InputRefusedError, LugbookError, OutputError
from lugbook.memory import Memory
from lugbook.model.problem import Problem
from lugbook.pipeline.watching import live_page, watch_frame
from lugbook.serve import Board, Server

PAUSE = 0.15
"""Seconds between two looks at the files."""
PASSED_OVER = frozenset({"issued", "out"})
State = dict[Path, tuple[int, int]]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("job", help="the job's folder")
    parser.add_argument(
        "--port", type=int, default=0, help="port on this machine (default: a free one, which is printed)"
    )


def run(arguments: argparse.Namespace) -> int:
    folder = job_folder(arguments.job)
    frame, policy = watch_frame(folder.resolve().name)
    board = Board(frame, policy)
    try:
        server = Server(board, arguments.port)
    except (OSError, OverflowError) as error:
        raise OutputError(f"port {arguments.port} cannot be had: {error}") from error
    print(server.url, flush=True)
    try:
        _follow(folder, board, quiet=arguments.quiet)
    except KeyboardInterrupt:
        if not arguments.quiet:
            print("\nstopped", file=sys.stderr)
    finally:
        server.close()
    return 0


def _follow(folder: Path, board: Board, *, quiet: bool) -> None:
    """Make the page now and after each change, until interrupted."""
    memory, seen = Memory(), None
    while True:
        state = _state(folder)
        if state == seen:
            time.sleep(PAUSE)
            continue
        seen, start = state, time.monotonic()
        page, problems = _made(folder, memory)
        board.show(page, tuple(_shown(problem) for problem in problems))
        if not quiet:
            what = "shown" if page is not None else "not shown, the last good page stays"
            took = time.monotonic() - start
            print(
                f"{printable(folder)}: {summary(problems)}; {what} ({took:.2f} s)",
                file=sys.stderr,
                flush=True,
            )


def _made(folder: Path, memory: Memory) -> tuple[str | None, tuple[Problem, ...]]:
    """The page and what is to be said of it. A file that is being saved may fail: the next look finds it whole."""
    try:
        return live_page(folder, memory)
    except InputRefusedError as error:
        return None, error.problems
    except (LugbookError, OSError) as error:
        return None, (Problem(folder.name, 0, 0, "", "P001", "error", str(error), ""),)


def _shown(problem: Problem) -> dict[str, str]:
    place = f"{problem.file}:{problem.line}:{problem.column}" if problem.line else problem.file
    path = f"{problem.path}: " if problem.path else ""
    return {
        "place": visible(place),
        "severity": problem.severity,
        "message": visible(f"{problem.severity}: {path}{problem.message} [{problem.code}]"),
        "hint": visible(problem.hint),
    }


def _state(folder: Path) -> State:
    """Size and time of change of every file that the report is made from, and of the letterhead above the job."""
    found: State = {}
    try:
        files = tuple(_files(folder))
    except OSError:  # the folder goes, or may not be read: the next page says so
        files = ()
    for path in (*files, folder.resolve().parent / "business.yaml"):
        try:
            status = path.stat()
        except OSError:  # gone between two looks
            continue
        found[path] = (status.st_size, status.st_mtime_ns)
    return found


def _files(folder: Path) -> Iterator[Path]:
    for path in folder.iterdir():
        if path.name.startswith(".") or path.name in PASSED_OVER:
            continue
        yield from (path.rglob("*") if path.is_dir() else (path,))

"""`lugbook history`: what is open, overdue and declined over all jobs."""

from __future__ import annotations

import argparse
import sys
from datetime import date
from pathlib import Path

from lugbook.commands.common import visible
from lugbook.errors import UsageError
from lugbook.issuing.history import csv_text, json_text, look_through, table_lines
from lugbook.model.history import OVERDUE_DAYS
from lugbook.progress import Progress


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("folder", nargs="+", help="folders that hold jobs, at any depth")
    parser.add_argument(
        "--format", choices=("table", "csv", "json"), default="table", help="how it is printed"
    )
    parser.add_argument(
        "--by",
        choices=("boat", "kind", "defect"),
        help="one table only (default: boat and kind; defect for csv)",
    )
    parser.add_argument(
        "--on", type=_day, metavar="DATE", help="count the days up to this day (default: today)"
    )
    parser.add_argument(
        "--index",
        metavar="FILE",
        help="where the index is kept (default: .lugbook-index.json in the first folder)",
    )
    parser.add_argument("--no-index", action="store_true", help="read every job anew, and write no index")


def run(arguments: argparse.Namespace) -> int:
    folders = [Path(name) for name in arguments.folder]
    for folder in folders:
        if not folder.is_dir():
            raise UsageError(f"there is no folder '{visible(str(folder))}'")
    if arguments.index and arguments.no_index:
        raise UsageError("'--index' and '--no-index' exclude each other")
    history, view, today = look_through(
        folders,
        Progress(quiet=arguments.quiet),
        index=Path(arguments.index) if arguments.index else None,
        use_index=not arguments.no_index,
        on=arguments.on,
    )
    if arguments.format == "json":
        print(json_text(history, view, today))
    elif arguments.format == "csv":
        print(csv_text(view, arguments.by or "defect"), end="")
    else:
        for line in table_lines(view, arguments.by):
            print(visible(line))
        if not arguments.quiet:
            limits = ", ".join(f"'{word}' {days}" for word, days in OVERDUE_DAYS.items())
            print(f"\n{len(history.jobs)} jobs, {len(view.defects)} open defects as of {today.isoformat()}")
            print(f"overdue: more days since first seen than {limits}")
    for job in history.bad:
        print(f"{visible(job.folder)}: not counted: {visible(job.message)}", file=sys.stderr)
    for copy, first in view.doubled:
        print(f"{visible(copy)}: the same report as in {visible(first)}; counted once", file=sys.stderr)
    if history.warning:
        print(f"the index was not written: {visible(history.warning)}", file=sys.stderr)
    return 0


def _day(text: str) -> str:
    try:
        return date.fromisoformat(text).isoformat()
    except ValueError:
        raise argparse.ArgumentTypeError(f"'{text}' is not a date such as 2026-06-04") from None

"""`lugbook compare`: what changed from one job, or issue, to another."""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import get_args

from lugbook.commands.common import job_folder, print_problems, printable, visible
from lugbook.errors import InputRefusedError, UsageError
from lugbook.issuing.compare import Compared, compare_jobs, comparison_data, write_comparison
from lugbook.model.changes import Change, ChangeWord, Side
from lugbook.progress import Progress

SAID: dict[ChangeWord, str] = {
    "worse": "worse",
    "new": "new",
    "open": "still open",
    "fixed": "fixed",
    "gone": "no longer applicable",
}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("old", help="the earlier job, or an issued revision of it")
    parser.add_argument("new", help="the later job, or an issued revision of it")
    parser.add_argument("--json", action="store_true", help="print it as JSON")
    parser.add_argument("-o", "--out", help="write changes.html and changes.pdf into this folder as well")
    parser.add_argument("--html-only", action="store_true", help="no PDF; needs no Pango")
    parser.add_argument(
        "--paper", choices=("a4", "letter"), default="a4", help="paper of the PDF (default: a4)"
    )


def run(arguments: argparse.Namespace) -> int:
    old, new = job_folder(arguments.old), job_folder(arguments.new)
    if arguments.html_only and not arguments.out:
        raise UsageError("'--html-only' goes with '--out'")
    progress = Progress(quiet=arguments.quiet)
    try:
        compared = compare_jobs(old, new, progress)
    except InputRefusedError as error:
        print_problems(error.problems, Path())
        raise
    if arguments.json:
        print(json.dumps(comparison_data(compared), ensure_ascii=False, indent=1))
    else:
        for line in lines(compared):
            print(printable(line))
    if arguments.out:
        pages = write_comparison(
            compared, Path(arguments.out), progress, pdf=not arguments.html_only, paper=arguments.paper
        )
        if not arguments.quiet and not arguments.json:
            for path in pages:
                print(printable(path))
    return 0


def lines(compared: Compared) -> list[str]:
    """The comparison as text."""
    before, after = compared.old.job.findings.report, compared.new.job.findings.report
    days = [str(report.visit.date or report.date or "no date") for report in (before, after)]
    made = [visible(f"{before.number} ({days[0]}) -> {after.number} ({days[1]})")]
    for state in get_args(ChangeWord):
        rows = [row for row in compared.changes.rows if row.state == state]
        if rows:
            made += ["", f"{SAID[state]}: {len(rows)}"]
            made += [_line(row) for row in rows]
    if not compared.changes.rows:
        made += ["", "neither report holds a defect"]
    return made


def _line(row: Change) -> str:
    levels = " -> ".join(_level(side) for side in (row.before, row.after) if side is not None)
    remark = f" ({row.remark})" if row.remark else ""
    return visible(f"  {row.id:<4} {row.title} [{levels}]{remark}")


def _level(side: Side) -> str:
    return side.level or "closed"

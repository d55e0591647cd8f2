"""`lugbook parts`: what to buy for the accepted proposals."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from lugbook.commands.common import add_language, job_folder, print_problems, printable, summary
from lugbook.pipeline.buying import make_parts
from lugbook.pipeline.checking import check_job
from lugbook.progress import Progress


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("job", help="the job's folder")
    parser.add_argument(
        "-o", "--out", default="out", help="folder for the output; the job's name is added (default: out)"
    )
    add_language(parser)


def run(arguments: argparse.Namespace) -> int:
    folder = job_folder(arguments.job)
    checked = check_job(folder, Progress(quiet=arguments.quiet), language=arguments.language)
    if checked.job is None:
        print_problems(checked.problems, folder)
        print(f"{printable(folder)}: {summary(checked.problems)}; nothing was written", file=sys.stderr)
        return 1
    for path in make_parts(checked, Path(arguments.out) / checked.job.name):
        if not arguments.quiet:
            print(printable(path))
    return 0

"""`lugbook check`: every fault of a job at once."""

from __future__ import annotations

import argparse
import sys

from lugbook.commands.common import job_folder, print_problems, summary
from lugbook.model.problem import has_errors
from lugbook.pipeline import check_job, give_ids
from lugbook.progress import Progress


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("job", help="the job's folder")
    parser.add_argument("--strict", action="store_true", help="warnings count as errors")
    parser.add_argument("--format", choices=("text", "json"), default="text", help="how problems are printed")
    parser.add_argument(
        "--fix", action="store_true", help="give every new defect its id in findings.yaml first"
    )


def run(arguments: argparse.Namespace) -> int:
    folder = job_folder(arguments.job)
    if arguments.fix:
        given = give_ids(folder)
        if given and not arguments.quiet:
            print(f"gave {', '.join(given)} in {folder / 'findings.yaml'}", file=sys.stderr)
    checked = check_job(folder, Progress(quiet=arguments.quiet), strict=arguments.strict)
    print_problems(checked.problems, folder, as_json=arguments.format == "json")
    if arguments.format == "text" and not arguments.quiet:
        print(f"{folder}: {summary(checked.problems)}")
    return 1 if has_errors(checked.problems, strict=arguments.strict) else 0

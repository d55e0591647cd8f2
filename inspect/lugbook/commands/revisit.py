"""`lugbook revisit`: a new job that carries on what an earlier one left open."""

from __future__ import annotations

import argparse
from pathlib import Path

from lugbook.commands.common import job_folder, print_problems, printable
from lugbook.errors import InputRefusedError
from lugbook.issuing.revisit import revisit
from lugbook.progress import Progress


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("job", help="the earlier job's folder")
    parser.add_argument("new", help="the folder to make; its name becomes the new report's number")


def run(arguments: argparse.Namespace) -> int:
    folder = job_folder(arguments.job)
    try:
        made = revisit(folder, Path(arguments.new), Progress(quiet=arguments.quiet))
    except InputRefusedError as error:
        print_problems(error.problems, Path())
        raise
    if not arguments.quiet:
        revision = f", revision {made.revision}" if made.revision else ", which was not issued yet"
        print(printable(made.folder))
        print(
            f"carried over from report {printable(made.report)}{revision}: {len(made.carried)} open defects"
        )
        if made.said_done:
            print(f"said to be done, and carried to be looked at: {', '.join(made.said_done)}")
        if made.left:
            print(f"recorded as done by the inspector, and left out: {', '.join(made.left)}")
        print(f"next: answer 'now:' for each of them in {printable(made.folder / 'findings.yaml')}")
    return 0

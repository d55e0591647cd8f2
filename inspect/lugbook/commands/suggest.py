"""`lugbook suggest`: proposals from the analyses, ready to be checked and pasted."""

from __future__ import annotations

import argparse
from pathlib import Path

from lugbook.commands.common import job_folder, print_problems
from lugbook.errors import InputRefusedError
from lugbook.pipeline.suggesting import suggestions


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("job", help="the job's folder")


def run(arguments: argparse.Namespace) -> int:
    try:
        text = suggestions(job_folder(arguments.job))
    except InputRefusedError as error:
        print_problems(error.problems, Path())
        raise
    print(text, end="")
    return 0

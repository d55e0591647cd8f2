"""`lugbook owner-note`: plain text for an email or an invoice."""

from __future__ import annotations

import argparse
from pathlib import Path

from lugbook.commands.common import add_language, job_folder, print_problems
from lugbook.errors import InputRefusedError
from lugbook.issuing.owner_note import owner_note, write_note
from lugbook.progress import Progress


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("job", help="the job's folder")
    parser.add_argument("-o", "--out", metavar="FILE", help="write it into this file instead of printing it")
    add_language(parser)


def run(arguments: argparse.Namespace) -> int:
    folder = job_folder(arguments.job)
    try:
        text = owner_note(folder, Progress(quiet=arguments.quiet), arguments.language)
    except InputRefusedError as error:
        print_problems(error.problems, folder)
        raise
    if arguments.out:
        write_note(Path(arguments.out), text)
    else:
        print(text, end="")
    return 0

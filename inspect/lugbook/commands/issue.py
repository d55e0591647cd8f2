"""`lugbook issue`: freeze the report and enter it in the trail."""

from __future__ import annotations

import argparse
from pathlib import Path

from lugbook.commands.common import job_folder, print_problems, printable
from lugbook.commands.recording import add_recording, say_damaged, say_head, signer, words
from lugbook.commands.redact import say
from lugbook.issuing.redact import redact
from lugbook.issuing.report import NotReadyError, issue
from lugbook.progress import Progress


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("job", help="the job's folder")
    parser.add_argument(
        "--draft", action="store_true", help="issue an unfinished report; every page says that it is a draft"
    )
    parser.add_argument(
        "--reason", type=words, help="why there is another issue; required from the second on"
    )
    parser.add_argument(
        "--paper", choices=("a4", "letter"), default="a4", help="paper of the PDF (default: a4)"
    )
    parser.add_argument(
        "--redact", metavar="FOLDER", help="also write a copy for third parties into this new folder"
    )
    add_recording(parser)


def run(arguments: argparse.Namespace) -> int:
    folder = job_folder(arguments.job)
    try:
        issued = issue(
            folder,
            Progress(quiet=arguments.quiet),
            draft=arguments.draft,
            reason=arguments.reason,
            recorded_by=arguments.recorded_by,
            signer=signer(arguments),
            paper=arguments.paper,
        )
    except NotReadyError as error:
        print_problems(error.problems, folder)
        raise
    say_damaged(issued.damaged, folder)
    if not arguments.quiet:
        print(printable(issued.folder))
    if arguments.redact:
        made = redact(
            folder,
            Path(arguments.redact),
            Progress(quiet=arguments.quiet),
            revision=None,
            signer=signer(arguments),
            paper=arguments.paper,
        )
        if not arguments.quiet:
            say(made)
    say_head(arguments, issued.head)
    return 0

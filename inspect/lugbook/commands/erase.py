"""`lugbook erase`: take a person's name and contacts out of a job, and record that."""

from __future__ import annotations

import argparse
from typing import get_args

from lugbook.commands.common import job_folder, printable
from lugbook.commands.recording import add_recording, say_head, signer, words
from lugbook.issuing.erase import erase
from lugbook.model.decided import Role
from lugbook.progress import Progress

PERSONS = ("client", "owner", "electrician", *(role for role in get_args(Role) if role != "owner"))


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("job", help="the job's folder")
    parser.add_argument(
        "--person",
        required=True,
        metavar="WHO",
        type=_who,
        help=f"whom: {', '.join(PERSONS)}, or a number of people.json such as p3",
    )
    parser.add_argument(
        "--reason", required=True, type=words, help="why; it stays for ever, so write it without names"
    )
    parser.add_argument(
        "--asked-by",
        default="inspector",
        choices=get_args(Role),
        metavar="ROLE",
        help="who asked for it (default: inspector)",
    )
    parser.add_argument(
        "--issued",
        action="store_true",
        help="also erase the issued files that hold the name; their sums stay, their contents are lost",
    )
    parser.add_argument(
        "--file",
        action="append",
        default=[],
        metavar="PATH",
        help="also erase this file that an entry names, such as evidence",
    )
    add_recording(parser)


def _who(text: str) -> str:
    if text in PERSONS or (text[:1] == "p" and text[1:].isdecimal()):
        return text
    raise argparse.ArgumentTypeError(
        f"'{text}' is neither one of {', '.join(PERSONS)} nor a number such as p3"
    )


def run(arguments: argparse.Namespace) -> int:
    folder = job_folder(arguments.job)
    erased = erase(
        folder,
        arguments.person,
        Progress(quiet=arguments.quiet),
        reason=arguments.reason,
        asked_by=arguments.asked_by,
        issued=arguments.issued,
        more=arguments.file,
        recorded_by=arguments.recorded_by,
        signer=signer(arguments),
    )
    if not arguments.quiet:
        for title, values in (
            ("erased from people.json", erased.people),
            ("erased from", erased.changed),
            ("files erased", erased.files),
            ("issued files that still hold it ('--issued' erases them)", erased.still),
            ("look there for parts of the name", erased.hints),
        ):
            if values:
                print(f"{title}: {printable(', '.join(values))}")
        print("copies that left this folder - mails, backups, prints - are not touched")
    say_head(arguments, erased.head)
    return 0

"""`lugbook deliver` and `lugbook receipt`: that something was sent, and that somebody says that they have it."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import get_args

from lugbook.commands.common import job_folder
from lugbook.commands.recording import add_channel, add_recording, say_head, signer, words
from lugbook.model.decided import Role
from lugbook.trail.events import Who, delivered, document, received, recorder
from lugbook.trail.recording import Recording
from lugbook.trail.store import locked


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("job", help="the job's folder")
    parser.add_argument(
        "--role",
        required=True,
        choices=get_args(Role),
        metavar="ROLE",
        help=f"who it is: {', '.join(get_args(Role))}",
    )
    parser.add_argument("--name", type=words, help="their name; kept in people.json, not in the trail")
    parser.add_argument("--contact", default="", help="their telephone or mail; kept in people.json")
    what = parser.add_mutually_exclusive_group()
    what.add_argument("--revision", type=int, help="the revision that it is about (default: the last)")
    what.add_argument("--notice", type=int, help="the notice that it is about")
    add_channel(parser)
    add_recording(parser)


def run(arguments: argparse.Namespace) -> int:
    folder = job_folder(arguments.job)
    key = signer(arguments)
    who = Who(arguments.role, arguments.name or "", arguments.contact)
    evidence = Path(arguments.evidence) if arguments.evidence else None
    with locked(folder):
        recording = Recording(folder, recorder(folder, arguments.recorded_by), key)
        of = document(recording.chain, revision=arguments.revision, notice=arguments.notice)
        channel, day = arguments.channel, arguments.date
        if arguments.command == "receipt":
            received(recording, by=who, channel=channel, day=day, of=of, evidence=evidence)
        else:
            delivered(recording, to=who, channel=channel, day=day, of=of, evidence=evidence)
        recording.commit()
    if not arguments.quiet:
        print(
            f"{arguments.command} of entry {of.entry.entry} ({of.entry.kind}) recorded: {arguments.role}, {day}, {channel}"
        )
        if evidence is None:
            print("recorded by the inspector, not acknowledged")
    say_head(arguments, recording.chain.head)
    return 0

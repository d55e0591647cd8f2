"""`lugbook decide`: what somebody decided about a defect."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import get_args

from lugbook.commands.common import job_folder, printable
from lugbook.commands.recording import add_channel, add_recording, say_head, signer, words
from lugbook.model.decided import DecisionWord, Role
from lugbook.trail.events import Who, decide, recorder
from lugbook.trail.recording import Recording
from lugbook.trail.store import locked


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("job", help="the job's folder")
    parser.add_argument("defect", help="the defect's id, such as d3")
    parser.add_argument(
        "decision", choices=get_args(DecisionWord), help="no-answer is for silence, never for a refusal"
    )
    parser.add_argument(
        "--by",
        required=True,
        choices=get_args(Role),
        metavar="ROLE",
        help=f"who decided: {', '.join(get_args(Role))}",
    )
    parser.add_argument("--name", type=words, help="their name; kept in people.json, not in the trail")
    parser.add_argument("--contact", default="", help="their telephone or mail; kept in people.json")
    parser.add_argument(
        "--authority", required=True, type=words, help="what lets them decide, such as 'owner of the boat'"
    )
    parser.add_argument("--revision", type=int, help="the revision that they were shown (default: the last)")
    parser.add_argument("--note", type=words, help="a sentence to print with it; no names")
    add_channel(parser)
    add_recording(parser)


def run(arguments: argparse.Namespace) -> int:
    folder = job_folder(arguments.job)
    key = signer(arguments)
    with locked(folder):
        recording = Recording(folder, recorder(folder, arguments.recorded_by), key)
        body = decide(
            recording,
            defect=arguments.defect,
            decision=arguments.decision,
            by=Who(arguments.by, arguments.name or "", arguments.contact),
            authority=arguments.authority,
            channel=arguments.channel,
            day=arguments.date,
            revision=arguments.revision,
            evidence=Path(arguments.evidence) if arguments.evidence else None,
            note=arguments.note,
        )
        recording.commit()
    if not arguments.quiet:
        said = "no answer" if body.decision == "no-answer" else body.decision
        print(
            f"{body.defect} ({printable(body.title)}): {said}, {arguments.by}, {arguments.date}, by {body.channel}"
        )
        print(f"shown was revision {body.revision}, text {body.text}")
        if body.evidence is None:
            print("recorded by the inspector, not acknowledged")
        else:
            print(f"evidence: {printable(body.evidence.path)}")
        if body.decision in ("declined", "deferred"):
            print("declining or putting off work accepts no risk for others aboard")
    say_head(arguments, recording.chain.head)
    return 0

"""`lugbook redact`: a copy of an issued report for third parties."""

from __future__ import annotations

import argparse
from pathlib import Path

from lugbook.commands.common import job_folder, printable
from lugbook.commands.recording import PASSPHRASE, signer, words
from lugbook.issuing.redact import Redacted, redact
from lugbook.progress import Progress


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("job", help="the job's folder, or an issued revision of it")
    parser.add_argument("--revision", type=int, help="which revision (default: the last)")
    parser.add_argument(
        "-o",
        "--out",
        metavar="FOLDER",
        help="a new folder (default: out/redacted-, and the manifest's first digits)",
    )
    parser.add_argument(
        "--withhold", metavar="TEXT", action="append", default=[], type=words,
        help="a further text to take out wherever it stands; may be repeated",
    )  # fmt: skip
    parser.add_argument(
        "--paper", choices=("a4", "letter"), default="a4", help="paper of the PDF (default: a4)"
    )
    parser.add_argument(
        "--key",
        metavar="PATH",
        help=f"sign the PDF with this ssh-ed25519 key; its passphrase is asked for, or read from {PASSPHRASE}",
    )


def run(arguments: argparse.Namespace) -> int:
    made = redact(
        job_folder(arguments.job),
        Path(arguments.out) if arguments.out else None,
        Progress(quiet=arguments.quiet),
        revision=arguments.revision,
        withhold=arguments.withhold,
        signer=signer(arguments),
        paper=arguments.paper,
    )
    if not arguments.quiet:
        say(made)
    return 0


def say(made: Redacted) -> None:
    """What was made, and what is left for a person to do."""
    print(printable(made.folder))
    print(f"pictures left out: {made.left_out}, with parts covered: {made.covered}")
    print(
        "read it before you hand it out: a program cannot know every name that stands in a text or a picture"
    )

"""`lugbook import-token`: keep a time stamp that an authority elsewhere made over the head."""

from __future__ import annotations

import argparse
from pathlib import Path

from lugbook.commands.common import job_folder
from lugbook.commands.recording import add_recording, say_head, signer
from lugbook.trail.events import recorder, take_in_token
from lugbook.trail.recording import Recording
from lugbook.trail.store import locked


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("job", help="the job's folder")
    parser.add_argument("token", help="the authority's answer (RFC 3161), such as head.tsr")
    parser.add_argument(
        "--certificate",
        metavar="FILE",
        help="the authority's certificate, to check the token's signature with",
    )
    add_recording(parser)


def run(arguments: argparse.Namespace) -> int:
    folder = job_folder(arguments.job)
    key = signer(arguments)
    with locked(folder):
        recording = Recording(folder, recorder(folder, arguments.recorded_by), key)
        certificate = Path(arguments.certificate) if arguments.certificate else None
        token, link = take_in_token(recording, Path(arguments.token), certificate)
        recording.commit()
    if not arguments.quiet:
        print(f"kept: the token names entry {link.entry.entry} ({link.entry.kind}) and says {token.time}")
        if not token.signature_checked:
            print("its signature was not checked, since no certificate was given")
    say_head(arguments, recording.chain.head)
    return 0

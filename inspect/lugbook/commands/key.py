"""`lugbook key`: make a signing key."""

from __future__ import annotations

import argparse
import getpass
import os
import re
import sys
from pathlib import Path

from lugbook.commands.recording import PASSPHRASE
from lugbook.errors import UsageError
from lugbook.trail.keys import allowed_signer, make_key


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "path", help="the file to make, outside of every job; the public half goes to PATH.pub"
    )
    parser.add_argument(
        "--identity",
        default="inspector",
        type=_identity,
        help="how you are called in signer lists, such as a mail address",
    )
    parser.add_argument("--no-passphrase", action="store_true", help="leave the key unlocked")


def run(arguments: argparse.Namespace) -> int:
    path = Path(arguments.path)
    public = make_key(path, _new_passphrase(arguments.no_passphrase), arguments.identity)
    if not arguments.quiet:
        print(
            f"{path} is the private key: keep it to yourself, keep a copy, and never put it into a job",
            file=sys.stderr,
        )
        print(f"fingerprint: {public.fingerprint}", file=sys.stderr)
        print(
            "whoever checks your signatures needs this line in a file, and must know that it is yours:",
            file=sys.stderr,
        )
    print(allowed_signer(public, arguments.identity))
    return 0


def _identity(text: str) -> str:
    if not re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9@._+-]{0,99}", text):
        raise argparse.ArgumentTypeError("letters, digits and @ . _ + - only, without spaces")
    return text


def _new_passphrase(unlocked: bool) -> str:
    if unlocked:
        return ""
    given = os.environ.get(PASSPHRASE)
    if given is not None:
        return given
    if not sys.stdin.isatty():
        raise UsageError(
            f"nobody can be asked for a passphrase here; set {PASSPHRASE}, or add '--no-passphrase'"
        )
    first = getpass.getpass("new passphrase: ")
    if getpass.getpass("once more: ") != first:
        raise UsageError("the two were not the same; nothing was made")
    return first

"""What the commands that write into the trail share: who records, the signing key, what is said at the end."""

from __future__ import annotations

import argparse
import getpass
import os
import re
import sys
from collections.abc import Sequence
from datetime import date
from pathlib import Path

from lugbook.commands.common import printable, visible
from lugbook.errors import UsageError
from lugbook.trail.keys import Signer, read_key
from lugbook.trail.reading import Difference

PASSPHRASE = "LUGBOOK_PASSPHRASE"
SHOWN = 5


def add_recording(parser: argparse.ArgumentParser) -> None:
    """The options that every entry has."""
    parser.add_argument(
        "--recorded-by",
        metavar="NAME",
        help="who records this (default: the inspector of the findings, or who recorded last)",
    )
    parser.add_argument(
        "--key",
        metavar="PATH",
        help=f"sign with this ssh-ed25519 key; its passphrase is asked for, or read from {PASSPHRASE}",
    )


def add_channel(parser: argparse.ArgumentParser) -> None:
    """How and when something reached somebody, and what shows it."""
    parser.add_argument("--channel", required=True, type=words, help="how: mail, telephone, in person ...")
    parser.add_argument(
        "--date", required=True, type=day, help="the day on which it happened, such as 2026-06-04"
    )
    parser.add_argument(
        "--evidence", metavar="FILE", help="a mail or a signed page that shows it; a copy is kept"
    )


def words(text: str) -> str:
    """A text that says something."""
    if not text.strip():
        raise argparse.ArgumentTypeError("write a few words")
    return text.strip()


def day(text: str) -> str:
    """A date as YYYY-MM-DD."""
    try:
        if not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text):
            raise ValueError
        return date.fromisoformat(text).isoformat()
    except ValueError:
        raise argparse.ArgumentTypeError(
            f"'{text}' is not a date; write year-month-day, such as 2026-06-04"
        ) from None


def signer(arguments: argparse.Namespace) -> Signer | None:
    """The key that was named, if one was."""
    return read_key(Path(arguments.key), passphrase) if arguments.key else None


def passphrase() -> str:
    """The passphrase of an existing key: from the environment, or typed."""
    given = os.environ.get(PASSPHRASE)
    if given is not None:
        return given
    if not sys.stdin.isatty():
        raise UsageError(f"the key has a passphrase; set {PASSPHRASE} where nobody can be asked")
    return getpass.getpass("passphrase of the key: ")


def say_damaged(damaged: Sequence[Difference], folder: Path) -> None:
    """What was issued or recorded before and is no longer so: to stderr, even when quiet."""
    if not damaged:
        return
    for one in damaged[:SHOWN]:
        print(f"warning: {visible(str(one))}", file=sys.stderr)
    more = f"{len(damaged) - SHOWN} more; " if len(damaged) > SHOWN else ""
    print(
        f"warning: {more}what was recorded before is not as it was; 'lugbook verify {printable(folder)}' lists it. "
        "Bring the files back from a copy, or keep this message",
        file=sys.stderr,
    )


def say_head(arguments: argparse.Namespace, head: str | None) -> None:
    """The new head of the trail, and what it is good for."""
    if not arguments.quiet:
        print(f"head of the trail: {head}")
        print(
            "send this sum with the report or write it down elsewhere: it fixes all that the trail holds up to here"
        )

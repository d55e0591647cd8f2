"""`lugbook notice`: somebody was told of an immediate danger."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import get_args

from lugbook.commands.common import add_language, job_folder, print_problems, printable
from lugbook.commands.recording import add_recording, say_head, signer
from lugbook.errors import InputRefusedError, UsageError
from lugbook.issuing.notice import give_notice
from lugbook.model.decided import Role, Safety
from lugbook.model.notice import NOTICE_FILE
from lugbook.pipeline.reading import read_notice
from lugbook.progress import Progress

SKELETON = """# A notice of immediate danger. Names belong only under 'told' and 'made_safe_by'.
format: lugbook-notice-1
hazard:         # what is dangerous, in plain words
place:          # where on the boat
told:
  role:         # owner, buyer, skipper, agent, yard, insurer or other
  name:
  contact:
how:            # by word of mouth, by telephone, by mail
date:           # 2026-06-02
time:           # 14:10
safety:         # made safe, refused, or not made safe
measure:        # what was done, or why nothing was
made_safe_by:   # with 'made safe': by whom
consent_of:     # with 'made safe': whose leave
refused_by:     # with 'refused': who refused
"""
SINGLE = (
    "hazard",
    "place",
    "how",
    "date",
    "time",
    "safety",
    "measure",
    "made_safe_by",
    "consent_of",
    "refused_by",
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    roles = ", ".join(get_args(Role))
    parser.add_argument("job", help="the job's folder")
    parser.add_argument("--file", help=f"read the notice from this file (default: {NOTICE_FILE} in the job)")
    parser.add_argument(
        "--start", action="store_true", help=f"write an empty {NOTICE_FILE} to fill in, and stop"
    )
    parser.add_argument(
        "--hazard", help="what is dangerous; with this option all is taken from the options, not from a file"
    )
    parser.add_argument("--place", help="where on the boat")
    parser.add_argument("--told", metavar="ROLE", help=f"who was told: {roles}")
    parser.add_argument("--told-name", metavar="NAME", help="their name; kept in people.json")
    parser.add_argument(
        "--told-contact", metavar="CONTACT", help="their telephone or mail; kept in people.json"
    )
    parser.add_argument("--how", help="how they were told")
    parser.add_argument("--date", help="on which day")
    parser.add_argument("--time", help="at what time")
    parser.add_argument("--safety", help=f"what came of it: {', '.join(get_args(Safety))}")
    parser.add_argument("--measure", help="what was done to make it safe, or why nothing was")
    parser.add_argument("--made-safe-by", metavar="NAME", help="who made it safe; kept in people.json")
    parser.add_argument("--consent-of", metavar="ROLE", help="who gave leave for that")
    parser.add_argument("--refused-by", metavar="ROLE", help="who refused")
    parser.add_argument(
        "--paper", choices=("a4", "letter"), default="a4", help="paper of the PDF (default: a4)"
    )
    add_language(parser)
    add_recording(parser)


def run(arguments: argparse.Namespace) -> int:
    folder = job_folder(arguments.job)
    if arguments.start:
        return _start(folder)
    key = signer(arguments)
    try:
        notice = read_notice(_given(arguments) if arguments.hazard else _file(arguments, folder))
    except InputRefusedError as error:
        print_problems(error.problems, Path())
        raise
    given = give_notice(
        folder,
        notice,
        Progress(quiet=arguments.quiet),
        recorded_by=arguments.recorded_by,
        signer=key,
        paper=arguments.paper,
        language=arguments.language,
    )
    if not arguments.quiet:
        print(printable(given.folder / "notice.pdf"))
    say_head(arguments, given.head)
    return 0


def _start(folder: Path) -> int:
    path = folder / NOTICE_FILE
    try:
        with path.open("x", encoding="utf-8") as file:
            file.write(SKELETON)
    except FileExistsError as error:
        raise UsageError(f"{path} exists already; nothing was changed") from error
    print(printable(path))
    return 0


def _file(arguments: argparse.Namespace, folder: Path) -> Path:
    path = Path(arguments.file) if arguments.file else folder / NOTICE_FILE
    if not path.exists():
        raise UsageError(
            f"there is no file '{path}'; 'lugbook notice {folder} --start' writes one to fill in, or use '--hazard' and the other options"
        )
    return path


def _given(arguments: argparse.Namespace) -> dict[str, object]:
    told = {"role": arguments.told, "name": arguments.told_name, "contact": arguments.told_contact}
    single = {key: getattr(arguments, key) for key in SINGLE}
    notice = {"format": "lugbook-notice-1", "told": {k: v for k, v in told.items() if v}}
    return notice | {key: value for key, value in single.items() if value}

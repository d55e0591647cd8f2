"""`lugbook start`: a new job folder."""

from __future__ import annotations

import argparse
from pathlib import Path

from lugbook.errors import UsageError
from lugbook.pipeline import start_job

DEFAULT = "small-craft-dc"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("folder", help="the folder to make; its name becomes the report's number")
    parser.add_argument(
        "--checklist",
        action="append",
        metavar="ID",
        help=f"a shipped list; may be repeated (default: {DEFAULT})",
    )


def run(arguments: argparse.Namespace) -> int:
    folder = Path(arguments.folder)
    if (folder / "findings.yaml").exists():
        raise UsageError(f"{folder / 'findings.yaml'} exists already; nothing was changed")
    if folder.exists() and not folder.is_dir():
        raise UsageError(f"'{folder}' is a file; name a folder")
    made = start_job(folder, tuple(arguments.checklist or [DEFAULT]))
    if not arguments.quiet:
        for path in made:
            print(path)
        print(
            f"next: put pictures into {folder / 'photos'}, edit findings.yaml, then run 'lugbook check {folder}'"
        )
    return 0

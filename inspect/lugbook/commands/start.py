"""`lugbook start`: a new job folder."""

from __future__ import annotations

import argparse
from pathlib import Path

from lugbook.commands.common import printable, shipped_only, visible
from lugbook.errors import UsageError
from lugbook.issuing.report import begin_trail
from lugbook.pipeline.lists import shipped_lists, start_job

DEFAULT = "small-craft-dc"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("folder", help="the folder to make; its name becomes the report's number")
    parser.add_argument(
        "--checklist",
        action="append",
        metavar="ID",
        help=f"a shipped list; may be repeated (default: {DEFAULT})",
    )
    parser.add_argument(
        "--recorded-by",
        metavar="NAME",
        help="begin the job's trail now, in this name (default: with the first issue, notice or decision)",
    )


def run(arguments: argparse.Namespace) -> int:
    folder = Path(arguments.folder)
    names = shipped_only(arguments.checklist or [DEFAULT], shipped_lists())
    try:
        if (folder / "findings.yaml").exists():
            raise UsageError(f"{visible(str(folder / 'findings.yaml'))} exists already; nothing was changed")
        for path in (folder, folder / "photos"):
            if path.exists() and not path.is_dir():
                raise UsageError(f"'{visible(str(path))}' is a file; name a new folder")
    except OSError as error:
        raise UsageError(f"'{visible(str(folder))}' cannot be made: {error.strerror}") from error
    made = start_job(folder, names)
    if arguments.recorded_by:
        begin_trail(folder, recorded_by=arguments.recorded_by)
    if not arguments.quiet:
        for path in made:
            print(printable(path))
        print(
            f"next: put pictures into {printable(folder / 'photos')}, edit findings.yaml, "
            f"then run 'lugbook check {printable(folder)}'"
        )
    return 0

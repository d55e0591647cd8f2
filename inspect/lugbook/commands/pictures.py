"""`lugbook pictures`: a contact sheet of what is left over."""

from __future__ import annotations

import argparse
from pathlib import Path

from lugbook.commands.common import job_folder, printable
from lugbook.pipeline.checking import check_job
from lugbook.pipeline.contact import contact_sheet
from lugbook.progress import Progress


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("job", help="the job's folder")
    parser.add_argument(
        "-o", "--out", default="out", help="folder for the output; the job's name is added (default: out)"
    )


def run(arguments: argparse.Namespace) -> int:
    folder = job_folder(arguments.job)
    progress = Progress(quiet=arguments.quiet)
    checked = check_job(folder, progress)
    name = checked.job.name if checked.job else folder.resolve().name
    for path in contact_sheet(checked, Path(arguments.out) / name, progress):
        if not arguments.quiet:
            print(printable(path))
    return 0

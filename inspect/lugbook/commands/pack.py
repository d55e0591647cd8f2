"""`lugbook pack`: a job goes back into the capture page."""

from __future__ import annotations

import argparse
from pathlib import Path

from lugbook.commands.common import job_folder, print_problems, visible
from lugbook.errors import InputRefusedError, UsageError
from lugbook.issuing.pack import pack
from lugbook.issuing.revisit import revisit
from lugbook.progress import Progress


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("job", help="the job's folder")
    parser.add_argument("-o", "--output", metavar="FILE", required=True, help="the ZIP file to write")
    parser.add_argument(
        "--return",
        dest="new",
        metavar="NEW",
        help="begin a return visit in the folder NEW, as 'lugbook revisit' does, and pack that: the page then "
        "starts with the open defects",
    )


def run(arguments: argparse.Namespace) -> int:
    folder, archive = job_folder(arguments.job), Path(arguments.output)
    if archive.is_dir():
        raise UsageError(f"'{visible(str(archive))}' is a folder; name a file")
    try:
        if arguments.new:
            made = revisit(folder, Path(arguments.new), Progress(quiet=arguments.quiet))
            folder = made.folder
            if not arguments.quiet:
                print(f"{visible(str(folder))}: a return visit with {len(made.carried)} open defects")
        packed = pack(folder, archive)
    except InputRefusedError as error:
        print_problems(error.problems, Path())
        raise
    if not arguments.quiet:
        print(visible(str(packed.archive)))
        for path in packed.left:
            print(f"left out, as the page cannot take it: {visible(path)}")
        print(f"next: load it in the capture page; later: lugbook unpack EXPORT.zip {visible(str(folder))}")
    return 0

"""`lugbook report`: HTML, PDF, JSON, and the defects as CSV."""

from __future__ import annotations

import argparse
import sys
from functools import partial
from pathlib import Path

from lugbook.commands.common import add_language, job_folder, print_problems, printable, summary
from lugbook.commands.one_report import Wanted, cache_of, report
from lugbook.progress import Progress


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("job", nargs="+", help="the job's folder; several are reported side by side")
    parser.add_argument(
        "-o", "--out", default="out", help="folder for the output; the job's name is added (default: out)"
    )
    parser.add_argument("--html-only", action="store_true", help="no PDF; needs no Pango")
    parser.add_argument(
        "--paper", choices=("a4", "letter"), default="a4", help="paper of the PDF (default: a4)"
    )
    add_language(parser)
    parser.add_argument(
        "--no-cache",
        action="store_true",
        help="make everything anew and keep nothing of it (the cache is named by LUGBOOK_CACHE, or is ~/.cache/lugbook)",
    )
    parser.add_argument(
        "--workers", type=int, metavar="N", help="processes for several jobs (default: one for each core)"
    )
    parser.add_argument("--cluster", metavar="ADDRESS", help="give several jobs to a Dask scheduler instead")


def run(arguments: argparse.Namespace) -> int:
    from lugbook.commands import many

    wanted = many.several(
        [job_folder(name) for name in arguments.job],
        Path(arguments.out),
        pdf=not arguments.html_only,
        paper=arguments.paper,
        language=arguments.language,
        cached=not arguments.no_cache,
    )
    try:
        if len(wanted) == 1:
            return _print_one(wanted[0], quiet=arguments.quiet)
        make = (
            partial(many.cluster_pool, arguments.cluster)
            if arguments.cluster
            else partial(many.local_pool, many.workers(arguments.workers))
        )
        return many.print_many(wanted, make, quiet=arguments.quiet)
    finally:
        cache_of(cached=not arguments.no_cache).trim()


def _print_one(wanted: Wanted, *, quiet: bool) -> int:
    folder = Path(wanted.folder)
    found = report(wanted, Progress(quiet=quiet))
    if not quiet or found.state == "refused":
        print_problems(found.problems, folder)
    if found.state == "refused":
        print(f"{printable(folder)}: {summary(found.problems)}; nothing was written", file=sys.stderr)
        return 1
    for path in () if quiet else found.files:
        print(printable(path) + (" (unchanged)" if found.state == "unchanged" else ""))
    return 0

"""`lugbook report`: HTML, PDF, JSON, and the defects as CSV."""

from __future__ import annotations

import argparse
import os
import sys
from functools import partial
from pathlib import Path

from lugbook.cache import Cache, usual_cache
from lugbook.commands.common import add_language, job_folder, print_problems, summary
from lugbook.unchanged import Snapshot, known, remember, snapshot


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
    if len(arguments.job) > 1:
        return _several(arguments)
    folder = job_folder(arguments.job[0])
    cache = Cache(None) if arguments.no_cache else usual_cache()
    options = (
        arguments.html_only,
        arguments.paper,
        arguments.language,
        os.environ.get("SOURCE_DATE_EPOCH", ""),
    )
    before = snapshot(folder, Path(arguments.out), options) if cache.folder is not None else None
    if (same := known(cache, before)) is not None:
        if not arguments.quiet:
            print_problems(same.problems, folder)
            for path in same.files:
                print(f"{path} (unchanged)")
        return 0
    return _make(arguments, folder, cache, before)


def _make(arguments: argparse.Namespace, folder: Path, cache: Cache, before: Snapshot | None) -> int:
    from lugbook.pipeline import Studio, check_job, make_report
    from lugbook.progress import Progress

    progress, studio = Progress(quiet=arguments.quiet), Studio(cache=cache)
    checked = check_job(folder, progress, ready=True, studio=studio, language=arguments.language)
    if not arguments.quiet or checked.job is None:
        print_problems(checked.problems, folder)
    if checked.job is None:
        print(f"{folder}: {summary(checked.problems)}; nothing was written", file=sys.stderr)
        return 1
    out = Path(arguments.out) / checked.job.name
    written = make_report(
        checked, out, progress, pdf=not arguments.html_only, paper=arguments.paper, studio=studio
    )
    if not arguments.quiet:
        for path in written:
            print(path)
    remember(cache, before, checked.job.business.logo, written, checked.problems)
    cache.trim()
    return 0


def _several(arguments: argparse.Namespace) -> int:
    from lugbook.commands import many

    folders = [job_folder(name) for name in arguments.job]
    wanted = many.several(
        folders,
        Path(arguments.out),
        pdf=not arguments.html_only,
        paper=arguments.paper,
        language=arguments.language,
    )
    count = many.workers(arguments.workers)
    make = (
        partial(many.cluster_pool, arguments.cluster)
        if arguments.cluster
        else partial(many.local_pool, count)
    )
    return many.print_many(wanted, make, quiet=arguments.quiet)

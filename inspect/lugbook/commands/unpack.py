"""`lugbook unpack`: an export of the capture page becomes a job, or goes into the one that is there."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from lugbook.commands.common import print_problems, summary, visible
from lugbook.errors import InputRefusedError
from lugbook.issuing.unpack import Unpacked, unpack
from lugbook.model.export import Choose, Conflict, Side
from lugbook.pipeline.checking import check_job
from lugbook.progress import Progress


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("archive", help="the ZIP file that the capture page saved")
    parser.add_argument("job", help="the folder to make, or the job of the same visit")
    parser.add_argument(
        "--recorded-by",
        metavar="NAME",
        help="in whose name the trail is begun or goes on (default: the inspector of the findings)",
    )
    side = parser.add_mutually_exclusive_group()
    side.add_argument(
        "--ours", action="store_true", help="where both sides changed a value, keep that of the job"
    )
    side.add_argument(
        "--theirs", action="store_true", help="where both sides changed a value, take that of the phone"
    )


def run(arguments: argparse.Namespace) -> int:
    progress = Progress(quiet=arguments.quiet)
    try:
        done = unpack(
            Path(arguments.archive),
            Path(arguments.job),
            progress,
            recorded_by=arguments.recorded_by,
            choose=_chooser(arguments),
        )
    except InputRefusedError as error:
        print_problems(error.problems, Path())
        raise
    if not arguments.quiet:
        _say(done)
        if not done.nothing_new:
            problems = check_job(done.folder, progress).problems
            print(f"lugbook check {visible(str(done.folder))}: {summary(problems)}")
    return 0


def _chooser(arguments: argparse.Namespace) -> Choose | None:
    """How conflicts are settled; None where nobody can be asked."""
    if arguments.ours or arguments.theirs:
        side: Side = "ours" if arguments.ours else "theirs"
        return lambda _conflict: side
    return _ask if sys.stdin.isatty() else None


def _ask(conflict: Conflict) -> Side:
    """Ask for one value. The end of the input is no answer: it interrupts, and nothing was changed."""
    print(f"{visible(conflict.path)} was changed on both sides")
    print(f"  mine:    {visible(conflict.ours)}")
    print(f"  phone's: {visible(conflict.theirs)}")
    while True:
        try:
            said = input("keep m (mine) or take p (the phone's)? ").strip().lower()
        except EOFError as error:
            raise KeyboardInterrupt from error
        if said in ("m", "mine"):
            return "ours"
        if said in ("p", "phone", "phone's"):
            return "theirs"


def _say(done: Unpacked) -> None:
    capture = done.export.capture
    if done.nothing_new:
        print(f"export {capture.export} of this visit is in {visible(str(done.folder))} already")
        return
    print(visible(str(done.folder)))
    if done.merged is None:
        print(f"export {capture.export} of visit {capture.visit}: {len(done.pictures)} pictures")
    else:
        taken = len(done.merged.taken)
        print(f"export {capture.export}: {taken} values taken over, {len(done.pictures)} new pictures")
        if done.merged.conflicts:
            print(f"changed on both sides and settled: {len(done.merged.conflicts)}")
        if done.merged.relaid:
            print(
                "findings.yaml had to be written anew: its comments and layout are lost; its values are not"
            )
    for old, new in done.renamed:
        print(f"the phone's {visible(old)} is {visible(new)} here: the job has another of that name")
    if capture.clock is None or capture.clock.offset_s is None:
        print("nobody compared the phone's clock; times are as the phone told them")
    print(f"head of the trail: {done.head}")

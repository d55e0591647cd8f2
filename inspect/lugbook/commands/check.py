"""`lugbook check`: every fault of a job at once."""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Any, get_args

from lugbook.commands.common import job_folder, print_problems, printable, summary, visible
from lugbook.model.assessed import JudgedDefect
from lugbook.model.problem import has_errors
from lugbook.model.vocabulary import ActBy, Level
from lugbook.pipeline.checking import check_job
from lugbook.pipeline.judging import weighed
from lugbook.progress import Progress

FIRST = 5
"""As many as the first page of the report shows."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("job", help="the job's folder")
    parser.add_argument("--strict", action="store_true", help="warnings count as errors")
    parser.add_argument("--format", choices=("text", "json"), default="text", help="how problems are printed")
    parser.add_argument(
        "--fix", action="store_true", help="give every new defect its id in findings.yaml first"
    )


def run(arguments: argparse.Namespace) -> int:
    folder = job_folder(arguments.job)
    if arguments.fix:
        from lugbook.pipeline.reading import give_ids

        given = give_ids(folder)
        if given and not arguments.quiet:
            print(f"gave {', '.join(given)} in {printable(folder / 'findings.yaml')}", file=sys.stderr)
    checked = check_job(folder, Progress(quiet=arguments.quiet), strict=arguments.strict)
    assessed, problems = weighed(checked, folder)
    print_problems(problems, folder, as_json=arguments.format == "json")
    if arguments.format == "text" and not arguments.quiet:
        print(f"{printable(folder)}: {summary(problems)}")
        for line in graded(assessed.defects) if assessed is not None else ():
            print(visible(line))
    return 1 if has_errors(problems, strict=arguments.strict) else 0


def graded(defects: Sequence[JudgedDefect]) -> Iterator[str]:
    """How the defects come out: the counts, what comes first, and what was computed and not seen."""
    if not defects:
        return
    levels = Counter(defect.risk.level for defect in defects)
    deadlines = Counter(defect.act_by for defect in defects)
    yield f"{len(defects)} defect{'s' if len(defects) != 1 else ''}: {_counts(levels, get_args(Level))}"
    yield f"  act by: {_counts(deadlines, (*get_args(ActBy), None))}"
    left = 0
    for defect in defects:
        hints = tuple(_hints(defect, defects))
        if defect.number > FIRST and defect.seen is not None and not hints:
            left += 1
            continue
        named = f"computed at '{defect.at}', item {defect.item}" if defect.seen is None else defect.title
        yield f"  {defect.number}. {defect.id}: {defect.risk.level}, {defect.act_by or 'no deadline'}: {named}"
        yield from (f"       {hint}" for hint in hints)
    if left:
        yield f"  and {left} more"


def _counts(counted: Counter[Any], order: tuple[Any, ...]) -> str:
    return ", ".join(f"{counted[word]} {word or 'no deadline'}" for word in order if counted[word])


def _hints(defect: JudgedDefect, defects: Sequence[JudgedDefect]) -> Iterator[str]:
    """What may be the same thing twice. Item and 'at' make one of what was computed and what was seen."""
    if defect.seen is not None:
        twins = [
            o.id for o in defects if o is not defect and o.at and (o.item, o.at) == (defect.item, defect.at)
        ]
        if twins:
            yield f"the same place and question as {', '.join(twins)}; one entry may do"
        return
    for other in defects:
        if other.seen is None:
            continue
        if other.item == defect.item and other.at is None:
            yield f"if {other.id} is the same thing, give it 'at: {defect.at}': then they are one"
        elif other.at == defect.at and other.item != defect.item:
            where = f"under '{other.item}'" if other.item else "under 'extra'"
            yield f"{other.id} stands there {where}; if it is the same thing, move it under '{defect.item}'"

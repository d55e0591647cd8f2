"""What several commands share: printing problems, finding the job."""

from __future__ import annotations

import argparse
import json
import os
import sys
from collections.abc import Sequence
from dataclasses import asdict
from difflib import get_close_matches
from pathlib import Path

from lugbook.errors import UsageError
from lugbook.model.problem import Problem

COLOURS = {"error": "\033[1;35m", "warning": "\033[1m", "note": "\033[2m"}


def job_folder(text: str) -> Path:
    """The job's folder; its findings file may be named instead."""
    path = Path(text)
    try:
        if path.name == "findings.yaml" and path.is_file():
            path = path.parent
        there, is_folder = path.exists(), path.is_dir()
    except OSError as error:
        raise UsageError(f"'{visible(text)}' cannot be looked at: {error.strerror}") from error
    if not there:
        raise UsageError(f"there is no folder '{visible(text)}'; 'lugbook start {visible(text)}' makes one")
    if not is_folder:
        raise UsageError(
            f"'{visible(text)}' is a file; name the job's folder, the one that holds findings.yaml"
        )
    return path


def add_language(parser: argparse.ArgumentParser, otherwise: str = "the one that the findings name") -> None:
    """The option for the language of what is written."""
    parser.add_argument(
        "--language",
        metavar="CODE",
        help=f"en, de, or one of your own in words/CODE.yaml (default: {otherwise})",
    )


def shipped_only(names: Sequence[str], shipped: Sequence[str]) -> tuple[str, ...]:
    """The names of shipped checklists, or a UsageError that names the nearest."""
    for name in names:
        if name not in shipped:
            near = get_close_matches(name, shipped, n=1)
            hint = f"did you mean '{near[0]}'?" if near else f"there are: {', '.join(shipped)}"
            raise UsageError(f"no checklist '{visible(name)}' ships; {hint}")
    return tuple(names)


def print_problems(problems: tuple[Problem, ...], folder: Path, *, as_json: bool = False) -> None:
    """Problems in text, to stderr, or as JSON, to stdout."""
    if as_json:
        rows = [{k: visible(v) if isinstance(v, str) else v for k, v in asdict(p).items()} for p in problems]
        print(json.dumps(rows, ensure_ascii=False, indent=1))
        return
    coloured = sys.stderr.isatty() and "NO_COLOR" not in os.environ
    for problem in problems:
        print(problem_line(problem, folder, coloured=coloured), file=sys.stderr)


def problem_line(problem: Problem, folder: Path, *, coloured: bool = False) -> str:
    """`job/findings.yaml:42:9: error: results[3].item: no such item [P202]` and a line with the hint."""
    place = visible((folder / problem.file).as_posix())
    if problem.line:
        place += f":{problem.line}:{problem.column}"
    severity = f"{COLOURS[problem.severity]}{problem.severity}\033[0m" if coloured else problem.severity
    path = f"{visible(problem.path)}: " if problem.path else ""
    hint = f"\n    {visible(problem.hint)}" if problem.hint else ""
    return f"{place}: {severity}: {path}{visible(problem.message)} [{problem.code}]{hint}"


def printable(text: object) -> str:
    """Text or a path of others, fit for a terminal: no control characters, no direction marks, no lines of its own."""
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in str(text))


def visible(text: str) -> str:
    """The same with at most some 400 characters."""
    return printable(f"{text[:300]} ... {text[-80:]}" if len(text) > 400 else text)


def summary(problems: tuple[Problem, ...]) -> str:
    """`2 errors, 1 warning, 1 note`."""
    counts = []
    for severity in ("error", "warning", "note"):
        n = sum(problem.severity == severity for problem in problems)
        if n:
            counts.append(f"{n} {severity}{'s' if n != 1 else ''}")
    return ", ".join(counts) or "no problems"

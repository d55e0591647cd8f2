"""What several commands share: printing problems, finding the job."""

from __future__ import annotations

import json
import os
import sys
from dataclasses import asdict
from pathlib import Path

from lugbook.errors import UsageError
from lugbook.model.problem import Problem

COLOURS = {"error": "\033[1;35m", "warning": "\033[1m", "note": "\033[2m"}


def job_folder(text: str) -> Path:
    """The job's folder; its findings file may be named instead."""
    path = Path(text)
    if path.name == "findings.yaml" and path.is_file():
        path = path.parent
    if not path.exists():
        raise UsageError(f"there is no folder '{text}'; 'lugbook start {text}' makes one")
    if not path.is_dir():
        raise UsageError(f"'{text}' is a file; name the job's folder, the one that holds findings.yaml")
    return path


def print_problems(problems: tuple[Problem, ...], folder: Path, *, as_json: bool = False) -> None:
    """Problems in text, to stderr, or as JSON, to stdout."""
    if as_json:
        print(json.dumps([asdict(problem) for problem in problems], ensure_ascii=False, indent=1))
        return
    coloured = sys.stderr.isatty() and "NO_COLOR" not in os.environ
    for problem in problems:
        print(problem_line(problem, folder, coloured=coloured), file=sys.stderr)


def problem_line(problem: Problem, folder: Path, *, coloured: bool = False) -> str:
    """`job/findings.yaml:42:9: error: results[3].item: no such item [P202]` and a line with the hint."""
    place = (folder / problem.file).as_posix()
    if problem.line:
        place += f":{problem.line}:{problem.column}"
    severity = f"{COLOURS[problem.severity]}{problem.severity}\033[0m" if coloured else problem.severity
    path = f"{problem.path}: " if problem.path else ""
    hint = f"\n    {problem.hint}" if problem.hint else ""
    return f"{place}: {severity}: {path}{problem.message} [{problem.code}]{hint}"


def summary(problems: tuple[Problem, ...]) -> str:
    """`2 errors, 1 warning, 1 note`."""
    counts = []
    for severity in ("error", "warning", "note"):
        n = sum(problem.severity == severity for problem in problems)
        if n:
            counts.append(f"{n} {severity}{'s' if n != 1 else ''}")
    return ", ".join(counts) or "no problems"

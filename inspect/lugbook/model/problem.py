"""What is wrong with an input: data, not an exception."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Severity = Literal["error", "warning", "note"]
Path = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Problem:
    """One fault, with its place.

    `line` and `column` count from 1; 0 means that the whole file is meant.
    `path` is the way to the value, for instance `results[3].photos[0].file`.
    """

    file: str
    line: int
    column: int
    path: str
    code: str
    severity: Severity
    message: str
    hint: str = ""

    @property
    def place(self) -> tuple[str, int, int, str]:
        """The order in which problems are printed."""
        return (self.file, self.line, self.column, self.code)


@dataclass(frozen=True, slots=True)
class Code:
    """One kind of problem: what it means and what to do."""

    code: str
    severity: Severity
    meaning: str
    remedy: str


def dotted(path: Path) -> str:
    """Write a path as people read it: `results[3].photos[0].file`."""
    out = ""
    for step in path:
        out += f"[{step}]" if isinstance(step, int) else (f".{step}" if out else step)
    return out


def has_errors(problems: tuple[Problem, ...], *, strict: bool = False) -> bool:
    """Whether the input must be refused; `strict` counts warnings as errors."""
    refused = {"error", "warning"} if strict else {"error"}
    return any(problem.severity in refused for problem in problems)

"""The ways in which a command ends early. `cli.main` alone catches them."""

from __future__ import annotations

from lugbook.model.problem import Problem


class LugbookError(Exception):
    """A failure with a sentence for people; `exit_code` is what the shell sees."""

    exit_code = 1


class InputRefusedError(LugbookError):
    """The input has faults; nothing was written."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        count = sum(p.severity == "error" for p in problems)
        super().__init__(f"{count} error{'s' * (count != 1)} in the input")
        self.problems = problems


class UsageError(LugbookError):
    """The command line asks for something that cannot be done."""

    exit_code = 2


class OutputError(LugbookError):
    """The output cannot be made or written here."""

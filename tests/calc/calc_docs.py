"""Reads the docstrings of the calculations as data: the sections, and the ranges that `Raises` states."""

import ast
import os
import re
from dataclasses import dataclass
from pathlib import Path

# The mutation run points this at the untouched source, since its own copies carry no docstrings.
SOURCE = Path(os.environ.get("CALC_SOURCE", Path(__file__).parents[2] / "inspect" / "lugbook" / "calc"))

NUMBER = r"(-?[\d.]+(?:e-?\d+)?)"
RANGE = re.compile(
    rf"If (?:`(\w+)`(?: is given and)?|`(\w+)` is empty, or a \w+ (?:of|in) it) is not from {NUMBER} to {NUMBER} (.+)\.$"
)
WHOLE = re.compile(rf"If `(\w+)` is not a whole number from {NUMBER} to {NUMBER}\.$")
CHOICE = re.compile(r"If `(\w+)` is not one of ")


@dataclass(frozen=True)
class Range:
    """A range that a docstring states for a parameter, or for each member of it."""

    function: str  # module.function
    parameter: str
    whole: bool  # a count
    members: bool
    low: float
    high: float
    unit: str


@dataclass(frozen=True)
class Contract:
    """What a function's docstring promises about what it refuses."""

    function: str
    node: ast.FunctionDef
    sections: dict[str, str]
    ranges: tuple[Range, ...]
    choices: tuple[str, ...]
    empties: tuple[str, ...]
    others: tuple[str, ...]  # conditions in words


def sections(docstring: str) -> dict[str, str]:
    """Split a docstring at its underlined headings; the summary is under an empty name."""
    parts = re.split(r"^(\w+)\n-+\n", docstring, flags=re.MULTILINE)
    return {"": parts[0].strip()} | {
        name: text.rstrip() for name, text in zip(parts[1::2], parts[2::2], strict=True)
    }


def conditions(raises: str) -> list[str]:
    """The conditions under Raises, each as one line."""
    return [" ".join(part.split()) for part in raises.split("ValueError\n") if part.strip()]


def _contract(name: str, node: ast.FunctionDef) -> Contract:
    parts = sections(ast.get_docstring(node) or "")
    ranges, choices, empties, others = [], [], [], []
    for condition in conditions(parts.get("Raises", "")):
        if match := RANGE.match(condition):
            single, many, low, high, unit = match.groups()
            ranges.append(Range(name, single or many, False, bool(many), float(low), float(high), unit))
            if many:
                empties.append(many)
        elif match := WHOLE.match(condition):
            parameter, low, high = match.groups()
            ranges.append(Range(name, parameter, True, False, float(low), float(high), ""))
        elif match := CHOICE.match(condition):
            choices.append(match[1])
        elif match := re.match(r"If `(\w+)` is empty\.$", condition):
            empties.append(match[1])
        else:
            others.append(condition)
    return Contract(name, node, parts, tuple(ranges), tuple(choices), tuple(empties), tuple(others))


def contracts() -> dict[str, Contract]:
    """Every public function of the calculations."""
    found = {}
    for path in sorted(SOURCE.glob("[!_]*.py")):
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                name = f"{path.stem}.{node.name}"
                found[name] = _contract(name, node)
    return found

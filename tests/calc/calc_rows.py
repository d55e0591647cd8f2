"""A worked problem as a row of a table: what goes in, what must come out, how closely, and who says so."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import pytest

# How a source is known. 'by hand' is arithmetic that a reader can follow in the row itself.
KINDS = ("read: ", "second-hand: ", "recalled: ", "by hand: ")


@dataclass(frozen=True)
class Row:
    id: str
    function: Callable[..., Any]
    inputs: dict[str, Any]
    expected: Any
    tolerance: float  # from the digits that the source prints; 0 for words, sizes and counts
    source: str
    part: str = ""  # attribute of the result to compare


def fault_of(row: object) -> str:
    """What is wrong with a row as evidence; empty where nothing is."""
    source = getattr(row, "source", "")
    if not isinstance(source, str) or not source.startswith(KINDS) or not source.partition(": ")[2].strip():
        return f"row {getattr(row, 'id', row)!r} names no source (it must begin with one of {KINDS})"
    return ""


def table(rows: Sequence[Row]) -> pytest.MarkDecorator:
    """Parametrise a test with rows, named by their ids."""
    ids = [row.id for row in rows]
    assert len(set(ids)) == len(ids), "two rows share an id"
    return pytest.mark.parametrize("row", rows, ids=ids)


def confirm(row: Row) -> None:
    """Compute a row and compare."""
    result = row.function(**row.inputs)
    if row.part:
        result = getattr(result, row.part)
    if row.tolerance == 0:
        assert result == row.expected
    elif isinstance(row.expected, (list, tuple)):
        assert list(result) == pytest.approx(list(row.expected), abs=row.tolerance, rel=0)
    else:
        assert result == pytest.approx(row.expected, abs=row.tolerance, rel=0)

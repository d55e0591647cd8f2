"""Rows -> CSV by RFC 4180, for spreadsheets and programs, with no cell that a spreadsheet would compute."""

from __future__ import annotations

import codecs
import csv
import io
from collections.abc import Mapping, Sequence

Cell = str | int
# What a spreadsheet may take for the beginning of a formula, the full-width forms included.
# Source: OWASP, 'CSV Injection' (recalled).
FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


def plain_cell(value: Cell) -> Cell:
    """A cell that no spreadsheet computes: such a text gets an apostrophe before it. Whole numbers stay as they are."""
    return f"'{value}" if isinstance(value, str) and value.lstrip(" ").startswith(FORMULA) else value


def csv_text(rows: Sequence[Mapping[str, Cell]], columns: Sequence[str] | None = None) -> str:
    """Rows under a head line; lines end in CR LF.

    `columns` are the keys in order, by default those of the first row; given, the head line stands without rows too.
    Raises ValueError if a row has a key that is no column.
    """
    names = list(columns if columns is not None else (rows[0] if rows else ()))
    out = io.StringIO()
    if names:
        writer = csv.DictWriter(out, fieldnames=names, lineterminator="\r\n")
        writer.writeheader()
        writer.writerows({key: plain_cell(value) for key, value in row.items()} for row in rows)
    return out.getvalue()


def csv_file(rows: Sequence[Mapping[str, Cell]], columns: Sequence[str]) -> bytes:
    """The same as a file in UTF-8 with a byte order mark, for without it common spreadsheets misread '°' and 'ö'."""
    return codecs.BOM_UTF8 + csv_text(rows, columns).encode()

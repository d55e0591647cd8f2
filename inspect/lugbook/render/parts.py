"""The parts list as files: a page to tick in the van, and CSV for a supplier."""

from __future__ import annotations

from lugbook.model.remedy_view import PartsView, PartView
from lugbook.model.view import ReportView
from lugbook.render.csv_cells import csv_file
from lugbook.render.page import sheet_page
from lugbook.words.catalogue import Words

COLUMNS = ("group", "what", "quantity", "of_which", "uses")


def parts_csv(parts: PartsView, words: Words) -> bytes:
    """The list as CSV; what cannot be bought yet stands at its end, without a quantity."""
    heads = [words(f"parts.csv.{column}") for column in COLUMNS]
    rows = [dict(zip(heads, _cells(row), strict=True)) for row in parts.rows]
    rows += [
        dict(zip(heads, (words("parts.missing"), line, "", "", ""), strict=True)) for line in parts.missing
    ]
    return csv_file(rows, heads)


def _cells(row: PartView) -> tuple[str, ...]:
    texts = (row.group, row.what, row.quantity, "" if row.of_which == "–" else row.of_which, row.uses)
    return tuple(text.replace("\u00a0", " ") for text in texts)


def parts_page(view: ReportView, parts: PartsView, words: Words) -> bytes:
    """The page to tick: one file, no script, by drawer."""
    groups: dict[str, list[tuple[int, PartView]]] = {}
    for n, row in enumerate(parts.rows, start=1):
        groups.setdefault(row.group, []).append((n, row))
    page = sheet_page(
        "van",
        words,
        view=view,
        parts=parts,
        groups=tuple(groups.items()),
        title=words("parts.page", boat=view.boat),
        intro=words("parts.page_intro", number=view.number),
    )
    return page.encode()

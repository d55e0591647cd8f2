"""View -> defects.csv: a line for each defect, for spreadsheets, yards and other programs."""

from __future__ import annotations

from lugbook.model.view import DefectView, ReportView
from lugbook.render.csv_cells import Cell, csv_file

COLUMNS = (
    "report", "revision", "boat", "date", "number", "id", "item", "title", "place", "level", "act_by", "until_then",
    "what_to_do", "decided",
)  # fmt: skip


def defects_csv(view: ReportView) -> bytes:
    """The defects, most urgent first. Columns and words of the format are the same in every language."""
    return csv_file([_row(view, defect) for defect in view.defects], COLUMNS)


def _row(view: ReportView, defect: DefectView) -> dict[str, Cell]:
    return {
        "report": view.number,
        "revision": view.issue.revision if view.issue else "",
        "boat": view.boat,
        "date": view.day,
        "number": defect.number,
        "id": defect.id,
        "item": defect.item or "",
        "title": defect.title,
        "place": defect.place,
        "level": defect.level.level,
        "act_by": defect.act_by or "",
        "until_then": defect.until_then or "",
        "what_to_do": defect.remedy,
        "decided": " ".join(defect.decided),
    }

"""The overview of all jobs, as text, CSV or JSON."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Literal

from lugbook.compose.history import Overview, as_data, as_table, overview
from lugbook.issuing.history_scan import History, index_place, read_history
from lugbook.progress import Progress
from lugbook.render.csv_cells import csv_text as as_csv
from lugbook.trail.clock import recorded_now

By = Literal["boat", "kind", "defect"]
WIDTHS = {
    "boat": 28,
    "identification": 20,
    "kind": 28,
    "question": 44,
    "title": 44,
    "place": 30,
    "folder": 40,
}
SHOWN = ("boat", "report", "id", "title", "level", "act by", "days", "overdue", "decision")


def look_through(
    folders: list[Path], progress: Progress, *, index: Path | None, use_index: bool, on: str | None
) -> tuple[History, Overview, date]:
    """Read every job below the folders and count as of a day (default: today)."""
    place = (index or index_place(folders)) if use_index else None
    history = read_history(folders, place, progress)
    today = date.fromisoformat(on or recorded_now()[:10])
    return history, overview(history.jobs, today), today


def csv_text(view: Overview, by: By) -> str:
    """One table as CSV."""
    return as_csv({"boat": view.boats, "kind": view.kinds, "defect": view.defects}[by])


def json_text(history: History, view: Overview, today: date) -> str:
    """Everything as JSON."""
    bad = [(job.folder, job.message) for job in history.bad]
    return json.dumps(as_data(view, today, bad), ensure_ascii=False, indent=1)


def table_lines(view: Overview, by: By | None) -> list[str]:
    """The tables as text: by boat and by kind, or the one that was asked for."""
    defects = [{key: row[key] for key in SHOWN} for row in view.defects]
    tables = {"boat": list(view.boats), "kind": list(view.kinds), "defect": defects}
    lines: list[str] = []
    for name in (by,) if by else ("boat", "kind"):
        lines += ["", *as_table(tables[name], WIDTHS)] if lines else as_table(tables[name], WIDTHS)
    return lines

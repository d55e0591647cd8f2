"""What to buy for the accepted proposals."""

from __future__ import annotations

from pathlib import Path

from lugbook.errors import UsageError
from lugbook.model.view import ReportView
from lugbook.pipeline.checking import Checked
from lugbook.pipeline.composing import composed
from lugbook.render.parts import parts_csv, parts_page
from lugbook.words.catalogue import Words
from lugbook.write import write_files


def make_parts(checked: Checked, out: Path) -> tuple[Path, ...]:
    """Write parts.csv and parts.html into `out`. Raises UsageError if nobody has accepted a proposal."""
    job, view = composed(checked)
    words = Words(job.language)
    files = parts_files(view, words)
    if not files:
        raise UsageError(words("parts.nothing"))
    return write_files(out, files)


def parts_files(view: ReportView, words: Words) -> dict[str, bytes]:
    """The parts list as files; none without an accepted proposal."""
    parts = view.remedy.parts if view.remedy else None
    if parts is None:
        return {}
    return {"parts.csv": parts_csv(parts, words), "parts.html": parts_page(view, parts, words)}

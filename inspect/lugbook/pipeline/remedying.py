"""What the analyses suggest, and what to buy for it."""

from __future__ import annotations

from pathlib import Path

from lugbook.assess.judge import assess
from lugbook.assess.suggest import suggest
from lugbook.compose.suggest import compose_suggestions
from lugbook.errors import UsageError
from lugbook.load.job import load_job
from lugbook.model.view import ReportView
from lugbook.pipeline.checking import Checked, refused
from lugbook.pipeline.composing import composed
from lugbook.render.parts import parts_csv, parts_page
from lugbook.trail.plain import plain
from lugbook.words.catalogue import Words
from lugbook.write import write_files


def suggestions(folder: Path) -> str:
    """A `remedy:` block from the analyses. Raises InputRefusedError, or UsageError without an installation."""
    job, problems = load_job(folder)
    if job is None:
        raise refused(folder, problems)
    words = Words(job.language)
    if job.network is None:
        raise UsageError(words("suggest.no_installation"))
    assessed = assess(job)
    return compose_suggestions(suggest(assessed), assessed, words, plain)


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

"""The note to the owner, from the last issue or, before there is one, from the findings."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from pydantic import ValidationError

from lugbook.compose.owner_note import compose_owner_note
from lugbook.model.view import ReportView
from lugbook.pipeline import check_job, composed, past_decisions
from lugbook.progress import Progress
from lugbook.trail.canonical import TrailError
from lugbook.trail.events import decisions_in, issues
from lugbook.trail.store import read_trail
from lugbook.words.catalogue import load_words
from lugbook.write import write_file

REPORT = "report.json"


def owner_note(folder: Path, progress: Progress) -> str:
    """The text. Raises InputRefusedError, TrailError."""
    chain = read_trail(folder)
    found = issues(chain)
    source = folder / found[-1][1].folder if found else folder
    job, view = composed(check_job(source, progress))
    decided = {**past_decisions(job), **decisions_in(chain)}
    if found:
        view = _issued(source)
    visited: date | None = job.findings.report.visit.date
    return compose_owner_note(view, decided, chain.head, visited, load_words())


def _issued(source: Path) -> ReportView:
    """What was issued, word for word."""
    try:
        return ReportView.model_validate_json((source / REPORT).read_bytes())
    except (OSError, ValidationError) as error:
        raise TrailError(f"{source / REPORT} cannot be read; 'lugbook verify' says what differs") from error


def write_note(path: Path, text: str) -> None:
    """Put the note into a file, whole or not at all."""
    write_file(path, text.encode("utf-8"))

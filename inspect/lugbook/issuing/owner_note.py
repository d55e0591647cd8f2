"""The note to the owner, from the last issue or, before there is one, from the findings."""

from __future__ import annotations

from pathlib import Path

from lugbook.compose.decided import compose_issue
from lugbook.compose.owner_note import compose_owner_note
from lugbook.pipeline.checking import check_job
from lugbook.pipeline.composing import composed
from lugbook.pipeline.judging import past_decisions
from lugbook.progress import Progress
from lugbook.trail.events import decisions_in, issues
from lugbook.trail.store import read_trail
from lugbook.words.catalogue import Words
from lugbook.write import write_file


def owner_note(folder: Path, progress: Progress, language: str | None = None) -> str:
    """The text, of the last revision as it was issued, with every decision since. Raises InputRefusedError, TrailError."""
    chain = read_trail(folder)
    found = issues(chain)
    last = found[-1][1] if found else None
    job, view = composed(check_job(folder / last.folder if last else folder, progress, language=language))
    words = Words(job.language)
    if last is not None:
        issue = compose_issue(last.revision, draft=last.draft, supersedes=None, reason=None, words=words)
        view = view.model_copy(update={"issue": issue})
    decided = {**past_decisions(job), **decisions_in(chain)}
    return compose_owner_note(view, decided, chain.head, job.findings.report.visit.date, words)


def write_note(path: Path, text: str) -> None:
    """Put the note into a file, whole or not at all."""
    write_file(path, text.encode("utf-8"))

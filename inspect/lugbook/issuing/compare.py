"""Comparing two jobs, or two issues of one."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from lugbook.compose.compare import compose_comparison
from lugbook.errors import OutputError
from lugbook.model.assessed import Assessed
from lugbook.model.changes import Change, Changes, Pair, Side
from lugbook.model.findings import Photo
from lugbook.model.job import PictureFacts
from lugbook.pipeline.date import created
from lugbook.pipeline.judging import changes_between, judged_with_facts
from lugbook.pipeline.preparing import prepared
from lugbook.progress import Progress
from lugbook.render.changes import comparison_print, comparison_screen
from lugbook.render.page import Paper, fonts
from lugbook.render.pdf import PdfError, PdfUnavailable, write_pdf
from lugbook.trail.plain import plain
from lugbook.words.catalogue import Words
from lugbook.write import write_files

OLD, NEW = "old/", "new/"


@dataclass(frozen=True, slots=True)
class Compared:
    """Two judged jobs, and what changed from one to the other."""

    old: Assessed
    new: Assessed
    changes: Changes
    facts: dict[str, PictureFacts]


def compare_jobs(old: Path, new: Path, progress: Progress) -> Compared:
    """Compare two folders: jobs as they stand, or issued revisions."""
    before, facts = judged_with_facts(old, progress)
    after, facts_after = judged_with_facts(new, progress)
    known = {f"{OLD}{name}": fact for name, fact in facts.items()}
    known |= {f"{NEW}{name}": fact for name, fact in facts_after.items()}
    return Compared(before, after, changes_between(before, after), known)


def write_comparison(
    compared: Compared, out: Path, progress: Progress, *, pdf: bool, paper: Paper
) -> tuple[Path, ...]:
    """Write changes.html and, if wanted, changes.pdf."""
    words = Words(compared.new.job.language)
    view, pictures = compose_comparison(
        _named_apart(compared.changes), compared.new.job, compared.facts, words
    )
    paths = {f"{OLD}{name}": path for name, path in compared.old.job.pictures.items()}
    paths |= {f"{NEW}{name}": path for name, path in compared.new.job.pictures.items()}
    resources = prepared(((p.key, paths[p.file], p) for p in pictures), len(pictures), progress)
    files = {"changes.html": comparison_screen(view, words, resources).encode()}
    if pdf:
        page = comparison_print(view, words, paper)
        try:
            data = write_pdf(page, resources={**resources, **fonts()}, created=created(view.day))
        except (PdfUnavailable, PdfError) as error:
            raise OutputError(f"the PDF cannot be made: {error} Or ask for '--html-only'.") from error
        files["changes.pdf"] = data
    return write_files(out, files)


def _named_apart(changes: Changes) -> Changes:
    """The same with the pictures' names told apart by job."""
    rows = tuple(
        replace(
            row,
            before=_side(row.before, OLD) if row.before else None,
            after=_side(row.after, NEW) if row.after else None,
        )
        for row in changes.rows
    )
    return replace(changes, rows=rows)


def _side(side: Side, prefix: str) -> Side:
    photos: Iterable[Photo] = side.photos
    return replace(side, photos=tuple(p.model_copy(update={"file": prefix + p.file}) for p in photos))


def comparison_data(compared: Compared) -> dict[str, Any]:
    """The comparison for other programs."""
    old, new = compared.old.job.findings.report, compared.new.job.findings.report
    return {
        "format": "lugbook-changes-1",
        "old": {"report": old.number, "visit": plain(old.visit.date or old.date)},
        "new": {"report": new.number, "visit": plain(new.visit.date or new.date)},
        "changes": [_row(row) for row in compared.changes.rows],
        "other_readings": [_pair(pair) for pair in compared.changes.pairs],
    }


def _row(row: Change) -> dict[str, Any]:
    return {
        "id": row.id,
        "state": row.state,
        "title": row.title,
        "place": row.place,
        "item": row.item,
        "before": _half(row.before),
        "after": _half(row.after),
        "readings": [_pair(pair) for pair in row.pairs],
        "remark": row.remark,
    }


def _half(side: Side | None) -> dict[str, Any] | None:
    if side is None:
        return None
    return {"level": side.level, "act_by": side.act_by, "seen": side.seen}


def _pair(pair: Pair) -> dict[str, Any]:
    return {
        "quantity": pair.quantity,
        "place": pair.place,
        "before": plain(pair.before),
        "after": plain(pair.after),
    }

"""A finished view -> the files of a report."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from lugbook.errors import OutputError
from lugbook.model.job import Job
from lugbook.model.view import ReportView
from lugbook.pipeline.buying import parts_files
from lugbook.pipeline.checking import Checked
from lugbook.pipeline.composing import decided
from lugbook.pipeline.date import created
from lugbook.pipeline.preparing import pictures
from lugbook.pipeline.studio import Studio
from lugbook.progress import Progress
from lugbook.render.data import report_json
from lugbook.render.defects_csv import defects_csv
from lugbook.render.first_fit import fits
from lugbook.render.own_language import mark_language, own_texts
from lugbook.render.page import Paper, fonts, print_page, screen_page
from lugbook.render.pdf import Attached, PdfError, PdfUnavailable, get_ready, write_pdf
from lugbook.words.catalogue import Words
from lugbook.write import write_files

__all__ = ["get_ready", "in_their_language", "make_report", "rendered"]


def make_report(
    checked: Checked, out: Path, progress: Progress, *, pdf: bool, paper: Paper, studio: Studio | None = None
) -> tuple[Path, ...]:
    """Write report.html, report.json, defects.csv and, if wanted, report.pdf into `out`."""
    job, view = decided(checked)
    pages = rendered(job, view, progress, pdf=pdf, paper=paper, studio=studio)
    data = {"report.json": report_json(view), "defects.csv": defects_csv(view)}
    return write_files(out, {**data, **pages, **parts_files(view, Words(job.language))})


def rendered(
    job: Job,
    view: ReportView,
    progress: Progress,
    *,
    pdf: bool,
    paper: Paper,
    attachments: tuple[Attached, ...] = (),
    studio: Studio | None = None,
) -> dict[str, bytes]:
    """report.html and, if wanted, report.pdf of a view."""
    words = Words(job.language)
    resources = dict(pictures(job, view, progress, studio or Studio()))
    files = {"report.html": in_their_language(screen_page(view, words, resources), job).encode()}
    if pdf:
        progress.step("laying out the PDF")
        try:
            first, *closer = fits(view, paper)
            files["report.pdf"] = write_pdf(
                in_their_language(print_page(view, words, paper, first), job),
                resources={**resources, **fonts()},
                attachments=attachments,
                created=created(view.day),
                closer=[partial(print_page, view, words, paper, fit) for fit in closer],
            )
        except PdfUnavailable as error:
            raise OutputError(f"{error} Or ask for '--html-only'.") from error
        except PdfError as error:
            raise OutputError(f"the PDF cannot be made: {error}") from error
        finally:
            progress.done()
    return files


def in_their_language(page: str, job: Job) -> str:
    """The page with the inspector's own texts marked, where they are in another language than the report."""
    report = job.findings.report
    written = report.written_in or report.language
    if written == job.language.code:
        return page
    return mark_language(page, own_texts(job.findings.model_dump(mode="json")), written)

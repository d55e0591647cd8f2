"""Giving a notice of immediate danger: the page is made and entered in the trail, all of it or nothing."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from lugbook import __version__
from lugbook.compose.notice import compose_notice
from lugbook.errors import OutputError, UsageError
from lugbook.model.notice import NoticeFile
from lugbook.pipeline.checking import check_job
from lugbook.pipeline.date import created
from lugbook.pipeline.language import chosen_words
from lugbook.progress import Progress
from lugbook.render.notice import notice_print, notice_screen
from lugbook.render.page import Paper, fonts
from lugbook.render.pdf import PdfError, PdfUnavailable, write_pdf
from lugbook.trail.entries import NoticeBody, NoticeEntry
from lugbook.trail.events import begin, insist_on_past, recorder
from lugbook.trail.keys import Signer
from lugbook.trail.recording import Recording
from lugbook.trail.store import locked

NOTICES = "notices"


@dataclass(frozen=True, slots=True)
class Given:
    """What came of it. `head` is the new head of the trail."""

    folder: Path
    head: str


def give_notice(
    folder: Path,
    notice: NoticeFile,
    progress: Progress,
    *,
    recorded_by: str | None,
    signer: Signer | None,
    paper: Paper,
    language: str | None = None,
) -> Given:
    """Make the page of a notice and enter it in the trail. The job's findings may be unfinished, or faulty."""
    insist_on_past(notice.date.isoformat())
    with locked(folder):
        job = check_job(folder, progress, language=language).job
        words = chosen_words(job, language, folder)
        name = recorder(folder, recorded_by, job.findings.report.electrician.name if job else None)
        recording = Recording(folder, name, signer)
        begin(recording, __version__)
        given = [entry for entry in recording.chain.entries if isinstance(entry, NoticeEntry)]
        for old in given:
            _insist_on_new(notice, old)
        number = len(given) + 1
        view = compose_notice(notice, number, job, folder.resolve().name, name, words)
        pages = _notice_pages(view.day, notice_screen(view, words), notice_print(view, words, paper))
        signature = recording.sign_report(pages["notice.pdf"])
        if signature is not None:
            pages["notice.pdf.sig"] = signature
        place = f"{NOTICES}/notice-{number}"
        outputs = tuple(recording.file(f"{place}/{path}", data) for path, data in sorted(pages.items()))
        told = recording.person(notice.told.name, notice.told.contact or "", notice.told.role)
        by = recording.person(notice.made_safe_by, "", "other") if notice.made_safe_by else None
        body = NoticeBody(
            notice=number,
            hazard=notice.hazard,
            place=notice.place,
            told=told,
            how=notice.how,
            time=notice.time,
            safety=notice.safety,
            measure=notice.measure,
            made_safe_by=by,
            consent_of=notice.consent_of,
            refused_by=notice.refused_by,
            outputs=outputs,
        )
        link = recording.add(body, notice.date.isoformat())
        recording.commit()
        return Given(folder / place, link.sum)


def _insist_on_new(notice: NoticeFile, old: NoticeEntry) -> None:
    """The same file is not to be recorded twice by mistake."""
    body = old.body
    recorded = (body.hazard, body.place, body.time, old.date)
    if recorded == (notice.hazard, notice.place, notice.time, notice.date.isoformat()):
        raise UsageError(f"this was recorded already, as notice {body.notice}")


def _notice_pages(day: str, screen: str, page: str) -> dict[str, bytes]:
    """The page as HTML and, where a PDF can be made, as PDF."""
    try:
        pdf = write_pdf(page, resources=dict(fonts()), created=created(day))
    except (PdfUnavailable, PdfError) as error:
        raise OutputError(f"the PDF cannot be made: {error}") from error
    return {"notice.html": screen.encode(), "notice.pdf": pdf}

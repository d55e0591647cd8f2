"""A comparison of two jobs as a page of its own."""

from __future__ import annotations

from collections.abc import Mapping

from lugbook.compose.changes import changes_view
from lugbook.compose.common import Phrases
from lugbook.compose.evidence import Names
from lugbook.compose.pictures import Album
from lugbook.model.changes import Changes
from lugbook.model.job import Job, PictureFacts
from lugbook.model.view import ComparisonView, Letterhead, PictureView
from lugbook.words.catalogue import Words


def compose_comparison(
    changes: Changes, new: Job, facts: Mapping[str, PictureFacts], words: Words
) -> tuple[ComparisonView, tuple[PictureView, ...]]:
    """The page, and the pictures that it needs. `facts` go by the names that the changes' pictures have."""
    phrases, album = Phrases(words), Album(words, facts, times=False)
    report = new.findings.report
    day = report.visit.date or report.date
    intro = words(
        "changes.between",
        old=changes.report,
        old_day=phrases.day(changes.visited),
        new=report.number,
        new_day=phrases.day(day),
    )
    view = ComparisonView(
        language=words.language,
        title=words("changes.page"),
        boat=phrases.or_not_recorded(report.craft.name),
        day=day.isoformat() if day else "1980-01-01",
        precedence=words("precedence"),
        letterhead=Letterhead(
            name=new.business.name or report.electrician.business or "",
            lines=new.business.lines,
            logo=None,
            logo_alt="",
        ),
        changes=changes_view(
            changes, phrases, album, words("changes.page"), intro, Names(new.network, phrases).of
        ),
    )
    return view, tuple(album.pictures)

"""The notice of immediate danger, as a page."""

from __future__ import annotations

from lugbook.compose.common import Phrases
from lugbook.model.job import Job
from lugbook.model.notice import NoticeFile, NoticeView
from lugbook.model.view import Fact, Letterhead
from lugbook.words.catalogue import Words


def compose_notice(
    notice: NoticeFile, number: int, job: Job | None, name: str, signed_by: str, words: Words
) -> NoticeView:
    """Settle every word. A job that cannot be read yet still gets its notice: its folder's `name` stands for it."""
    phrases = Phrases(words)
    report = job.findings.report if job else None
    boat = (report.craft.name if report else None) or name
    role = words(f"trail_entries.role_inline.{notice.told.role}")
    facts = [
        Fact(label=words("notice.boat"), text=boat),
        Fact(label=words("notice.job"), text=report.number if report else name),
        Fact(label=words("notice.hazard"), text=notice.hazard, markdown=True),
        Fact(label=words("notice.place"), text=notice.place),
        Fact(label=words("notice.told"), text=words("notice.told_line", name=notice.told.name, role=role)),
        Fact(label=words("notice.how"), text=notice.how),
        Fact(
            label=words("notice.when"),
            text=words("notice.when_line", date=phrases.format.day(notice.date), time=notice.time),
        ),
        Fact(label=words("notice.state"), text=_state(notice, words)),
    ]
    if notice.measure:
        facts.append(Fact(label=words("notice.measure"), text=notice.measure, markdown=True))
    facts.append(Fact(label=words("notice.signed"), text=signed_by))
    business = job.business if job else None
    trading = report.electrician.business if report else None
    return NoticeView(
        language=words.language,
        title=words("notice.title"),
        number=words("notice.number", n=number),
        boat=boat,
        letterhead=Letterhead(
            name=(business.name if business else "") or trading or "",
            lines=business.lines if business else (),
            logo=None,
            logo_alt="",
        ),
        facts=tuple(facts),
        now=words("notice.now"),
        precedence=words("precedence"),
        day=notice.date.isoformat(),
        signed_by=signed_by,
    )


def _state(notice: NoticeFile, words: Words) -> str:
    if notice.safety == "made safe":
        role = words(f"trail_entries.role_inline.{notice.consent_of}")
        return words("notice.made safe", name=notice.made_safe_by, role=role)
    if notice.safety == "refused":
        return words("notice.refused", role=words(f"trail_entries.role.{notice.refused_by}"))
    return words("notice.not made safe")

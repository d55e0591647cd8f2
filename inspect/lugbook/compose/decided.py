"""Decisions from the trail, and which issue a report is, in sentences."""

from __future__ import annotations

from collections.abc import Mapping

from lugbook.model.decided import Decided
from lugbook.model.view import IssueView, ReportView
from lugbook.words.catalogue import Words
from lugbook.words.numbers import Formatter


def decision_lines(decided: Decided, words: Words) -> tuple[str, ...]:
    """One decision in sentences: who by role, when, how known, and what it does not mean."""
    role = "role_inline" if decided.decision == "no-answer" else "role"
    lines = [
        words(
            f"trail_entries.{decided.decision}",
            by=words(f"trail_entries.{role}.{decided.role}"),
            date=Formatter(words.locale).day(decided.day),
            channel=decided.channel,
            authority=decided.authority,
        ),
        words("trail_entries.shown_in", n=decided.revision, report=decided.report)
        if decided.report
        else words("trail_entries.shown", n=decided.revision),
    ]
    if decided.evidence:
        lines.append(words("trail_entries.acknowledged", sum=decided.evidence))
    else:
        lines.append(words("trail_entries.unacknowledged"))
    if decided.decision in ("declined", "deferred"):
        lines.append(words("trail_entries.aboard"))
    if decided.note:
        lines.append(decided.note)
    return tuple(lines)


def with_decisions(view: ReportView, decisions: Mapping[str, Decided], words: Words) -> ReportView:
    """The view with every decision: beside its defect, or, if the report no longer holds that, in a list."""
    lines = {key: decision_lines(decided, words) for key, decided in decisions.items()}
    here = {defect.id for defect in view.defects}
    before = tuple(
        words("trail_entries.earlier", title=decided.title, id=key, text=" ".join(lines[key]))
        for key, decided in decisions.items()
        if key not in here
    )
    defects = tuple(
        defect.model_copy(update={"decided": lines.get(defect.id, ())}) for defect in view.defects
    )
    return view.model_copy(update={"defects": defects, "decided_before": before})


def compose_issue(
    revision: int, *, draft: bool, supersedes: int | None, reason: str | None, words: Words
) -> IssueView:
    """Which issue this is. The manifest's sum is not known yet."""
    lines = [words("issue.draft")] if draft else []
    if supersedes is not None:
        lines.append(words("issue.supersedes", n=supersedes, reason=reason))
    return IssueView(
        revision=revision, title=words("issue.revision", n=revision), lines=tuple(lines), manifest=None
    )

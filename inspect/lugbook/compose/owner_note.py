"""The note to the owner: plain text for an email or an invoice, what is dangerous first."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Mapping
from datetime import date
from typing import get_args

from lugbook.model.decided import Decided
from lugbook.model.view import DefectView, ReportView
from lugbook.model.vocabulary import ActBy
from lugbook.words.catalogue import Words
from lugbook.words.numbers import NO_BREAK, Formatter

WIDTH = 77
DECLINED = ("declined", "deferred")
ANSWERS = {"accepted": ("accepted",), "declined": DECLINED, "no_answer": ("no-answer",), "done": ("done",)}
"""The parts of the note that say what was decided so far, with the decisions that belong to each."""
ESCAPED = 0xE000
"""Where escaped characters wait, out of the way of the marks: a range that no text uses."""


def compose_owner_note(
    view: ReportView, decided: Mapping[str, Decided], head: str | None, visited: date | None, words: Words
) -> str:
    """The text, every line at most 77 characters long (a longer word stays whole)."""
    format_ = Formatter(words.locale)
    day = format_.day(visited or date.fromisoformat(view.day))
    number = view.number + (f", {view.issue.title}" if view.issue else "")
    parts = [
        _lines(words("note.title", boat=view.boat, day=day)),
        _lines(words("note.report", number=number)),
    ]
    if view.issue is None:
        parts.append(_lines(words("note.not_issued")))
    parts.append(["", *_lines(" ".join(view.first.verdict))])
    said = {key: [d for d in view.defects if _word(decided, d) in ANSWERS[key]] for key in ANSWERS}
    done = said["done"]
    left = [defect for defect in view.defects if defect not in done and defect.act_by is not None]
    for act_by in get_args(ActBy):
        due = [defect for defect in left if defect.act_by == act_by]
        if due:
            parts.append(["", *_lines(words(f"note.due.{act_by}"))])
            parts += [_defect(defect, words, full=act_by == "make safe now") for defect in due]
    for key, defects in said.items():
        if defects:
            parts.append(["", *_lines(words(f"note.{key}"))])
            parts += [_decision(defect, decided[defect.id], words, format_) for defect in defects]
    fixed = [row for row in view.changes.rows if row.state == "fixed"] if view.changes else []
    if fixed:
        parts.append(["", *_lines(words("note.fixed"))])
        parts += [_bullet(f"{row.title} ({row.id})") for row in fixed]
    parts.append(["", *_lines(view.precedence)])
    if head is not None:
        parts.append(["", *_lines(words("note.head")), head])
    return "\n".join(line for part in parts for line in part) + "\n"


def _word(decided: Mapping[str, Decided], defect: DefectView) -> str | None:
    found = decided.get(defect.id)
    return found.decision if found else None


def _defect(defect: DefectView, words: Words, *, full: bool) -> list[str]:
    """A defect: its headline and place; for what is dangerous now also what to do and what must stay in service."""
    lines = _bullet(words("note.line", title=defect.title, id=defect.id, place=defect.place))
    if full:
        lines += _lines(words("note.do", text=bare(defect.remedy)), indent="  ")
        if defect.keep_service:
            lines += _lines(words("defect.keep_service"), indent="  ")
    return lines


def _decision(defect: DefectView, decided: Decided, words: Words, format_: Formatter) -> list[str]:
    role = words(f"trail_entries.role_inline.{decided.role}")
    said = words(f"note.said.{decided.decision}", role=role, date=format_.day(decided.day))
    lines = _bullet(words("note.decision", title=defect.title, id=defect.id, said=said))
    if not decided.evidence:
        lines += _lines(words("trail_entries.unacknowledged"), indent="  ")
    if decided.decision in DECLINED:
        lines += _lines(words("trail_entries.aboard"), indent="  ")
    return lines


def _bullet(text: str) -> list[str]:
    return _lines(text, indent="  ", first="- ")


def _lines(text: str, *, indent: str = "", first: str | None = None) -> list[str]:
    return textwrap.wrap(
        " ".join(text.replace(NO_BREAK, " ").split()),
        WIDTH,
        initial_indent=indent if first is None else first,
        subsequent_indent=indent,
        break_long_words=False,
        break_on_hyphens=False,
    )


def bare(text: str) -> str:
    """Markdown as plain words: emphasis and links lose their marks, escaped characters stay."""
    text = re.sub(r"\\([\\`*_{}\[\]()#+.!<>-])", lambda found: chr(ESCAPED + ord(found[1])), text)
    text = re.sub(r"\[([^\]]*)\]\(([^)]*)\)", r"\1 (\2)", text)
    text = re.sub(r"(\*\*|__)(.+?)\1", r"\2", text)
    text = re.sub(r"(?<!\w)([*_])(\S(?:.*?\S)?)\1(?!\w)", r"\2", text).replace("`", "")
    return "".join(chr(ord(c) - ESCAPED) if ESCAPED <= ord(c) < ESCAPED + 128 else c for c in text)

"""A notice of immediate danger: what the inspector writes, and the page that comes of it."""

from __future__ import annotations

from typing import Literal, Self

from pydantic import model_validator

from lugbook.model.decided import Role, Safety
from lugbook.model.scalars import Clock, Day, Frozen, Line, Text, fault
from lugbook.model.view import Fact, Letterhead
from lugbook.model.view_base import View

NOTICE_FILE = "notice.yaml"


class Told(Frozen):
    """Who was told. Name and contact stay out of the trail; they go into people.json."""

    role: Role
    """owner, buyer, skipper, agent, yard, insurer or other."""
    name: Line
    """Name."""
    contact: Line | None = None
    """Telephone or mail."""


class NoticeFile(Frozen):
    """The file notice.yaml. Write names only under 'told' and 'made_safe_by': the other texts stay in the trail."""

    format: Literal["lugbook-notice-1"]
    """The format of this file."""
    hazard: Text
    """What is dangerous, in plain words."""
    place: Line
    """Where."""
    told: Told
    """Who was told."""
    how: Line
    """By word of mouth, by telephone, by mail."""
    date: Day
    """On which day."""
    time: Clock
    """At what time."""
    safety: Safety
    """made safe, refused, or not made safe."""
    measure: Text | None = None
    """What was done to make it safe, or why nothing was."""
    made_safe_by: Line | None = None
    """Name of who made it safe."""
    consent_of: Role | None = None
    """Who gave leave for that."""
    refused_by: Role | None = None
    """Who refused."""

    @model_validator(mode="after")
    def _complete(self) -> Self:
        needed = {
            "made safe": ("made_safe_by", "consent_of", "measure"),
            "refused": ("refused_by",),
            "not made safe": ("measure",),
        }
        every = {"made_safe_by", "consent_of", "refused_by"}
        wanted = needed[self.safety]
        for key in wanted:
            if getattr(self, key) is None:
                raise fault("P102", f"'{self.safety}' needs the key '{key}'")
        for key in sorted(every - set(wanted)):
            if getattr(self, key) is not None:
                raise fault("P207", f"'{self.safety}' does not go with '{key}'", f"delete '{key}'")
        return self


class NoticeView(View):
    """The page: every word is settled."""

    language: str
    title: str
    number: str
    boat: str
    letterhead: Letterhead
    facts: tuple[Fact, ...]
    now: str
    precedence: str
    day: str
    """ISO date that the document carries."""
    signed_by: str

"""The texts of a checklist in another language: a file of the same name, in a folder named after the language."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from lugbook.model.scalars import Frozen, Ident, Line, Text


class ItemTexts(Frozen):
    """The texts of one item. What is left out stays as the checklist says it."""

    question: Line | None = None
    """The question."""
    look: Text | None = None
    """How to look. Markdown."""
    why: Text | None = None
    """Why it matters. Markdown."""
    remedy: Text | None = None
    """The usual remedy. Markdown."""
    evidence: tuple[Line, ...] = ()
    """The evidence that is wanted, in the order of the item."""
    sources: tuple[Line, ...] = ()
    """The subjects of its sources, in the order of those sources that have one."""


class TranslationFile(Frozen):
    """A translation as written."""

    format: Literal["lugbook-translation-1"]
    """The format of this file."""
    title: Line | None = None
    """Title of the checklist, or heading of the group."""
    purpose: Text | None = None
    """What the checklist is for."""
    titles: dict[Ident, Line] = Field(default_factory=dict)
    """Headings of groups that are written in the checklist itself, by id."""
    items: dict[Ident, ItemTexts] = Field(default_factory=dict)
    """The texts of items, by id."""

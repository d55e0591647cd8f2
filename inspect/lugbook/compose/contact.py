"""The entries of the contact sheet."""

from __future__ import annotations

from datetime import datetime

from lugbook.model.view import ContactEntry
from lugbook.words.catalogue import Words
from lugbook.words.numbers import Formatter


def compose_contact(
    name: str, words: Words, *, picture: str | None = None, taken: datetime | None = None, fault: str = ""
) -> ContactEntry:
    """One unused picture: when it was taken, or why it cannot be shown."""
    note = words("picture.taken", when=Formatter(words.locale).moment(taken)) if taken else fault
    return ContactEntry(name=name, picture=picture, note=note)

"""Texts of people in another language than the page: marked, so that they are read out and hyphenated rightly."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import escape, unescape
from typing import Any

TAG = re.compile(r"(<[^>]*>)")
# Nothing is marked inside these; a drawing's words belong to its one description.
CLOSED = re.compile(r"<(/?)(style|title|svg|script)\b", re.IGNORECASE)
NUMBER = re.compile(r"^(\d+[.] )(.*)$", re.DOTALL)
ALIKE = str.maketrans({"\u00a0": " ", "’": "'", "‘": "'", "“": '"', "”": '"'})


def mark_language(page: str, own: frozenset[str], language: str) -> str:
    """The page with `lang` on every text that is, whole or after its number, one of `own`. Woven-in ones stay."""
    made, depth = [], 0
    for n, part in enumerate(TAG.split(page)):
        if n % 2:
            closed = CLOSED.match(part)
            if closed and not part.endswith("/>"):
                depth += -1 if closed[1] else 1
            made.append(part)
        else:
            made.append(_marked(part, own, language) if depth == 0 and part.strip() else part)
    return "".join(made)


def _marked(text: str, own: frozenset[str], language: str) -> str:
    number = NUMBER.match(text)
    head, body = (number[1], number[2]) if number and _plain(text) not in own else ("", text)
    if _plain(body) not in own:
        return text
    return f'{head}<span lang="{escape(language)}">{body}</span>'


def _plain(text: str) -> str:
    return " ".join(unescape(text).translate(ALIKE).split())


def own_texts(data: Any) -> frozenset[str]:
    """Every text of some data that has words in it, whole and by paragraphs, in the form that is compared."""
    return frozenset(
        _plain(part) for text in _texts(data) for part in (text, *re.split(r"\n+", text)) if " " in part
    )


def _texts(data: Any) -> Iterator[str]:
    if isinstance(data, str):
        yield data
    elif isinstance(data, dict):
        for value in data.values():
            yield from _texts(value)
    elif isinstance(data, list | tuple):
        for value in data:
            yield from _texts(value)

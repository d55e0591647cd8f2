"""A language as its file says it: words by key, sentences by their English template."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Language:
    """The words of one language.

    `texts` are by dotted key, `sentences` by English template. `own` are the user's own files that it came from, by
    the path that they have beside a job; empty for a language that ships.
    """

    code: str
    locale: str
    texts: Mapping[str, str]
    sentences: Mapping[str, str] = field(default_factory=dict)
    own: Mapping[str, Path] = field(default_factory=dict)

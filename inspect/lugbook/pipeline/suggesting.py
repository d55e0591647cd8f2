"""What the analyses suggest."""

from __future__ import annotations

from pathlib import Path

from lugbook.assess.judge import assess
from lugbook.assess.suggest import suggest
from lugbook.compose.suggest import compose_suggestions
from lugbook.errors import UsageError
from lugbook.pipeline.checking import loaded
from lugbook.trail.plain import plain
from lugbook.words.catalogue import Words


def suggestions(folder: Path) -> str:
    """A `remedy:` block from the analyses. Raises InputRefusedError, or UsageError without an installation."""
    job = loaded(folder)
    words = Words(job.language)
    if job.network is None:
        raise UsageError(words("suggest.no_installation"))
    assessed = assess(job)
    return compose_suggestions(suggest(assessed), assessed, words, plain)

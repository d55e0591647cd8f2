"""Making the capture page: the rules from the stages, the words from the catalogue, one file and its service worker."""

from __future__ import annotations

from pathlib import Path

from lugbook.compose.capture import compose_capture
from lugbook.errors import InputRefusedError
from lugbook.pipeline.capture import capture_rules
from lugbook.pipeline.language import spoken
from lugbook.pipeline.lists import spoken_lists
from lugbook.render.capture import capture_files, library_licences
from lugbook.write import write_files


def make_capture(names: tuple[str, ...], language: str, out: Path) -> tuple[Path, ...]:
    """Write the page for these shipped checklists into `out`. The same lists and words give the same bytes.

    Raises InputRefusedError if there is no such language.
    """
    words, problems = spoken(language, Path())
    if problems:
        raise InputRefusedError(problems)
    view = compose_capture(spoken_lists(names, language), capture_rules(), words, library_licences())
    return write_files(out, capture_files(view, words))

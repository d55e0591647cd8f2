"""Making the capture page: the rules from the stages, the words from the catalogue, one file and its service worker."""

from __future__ import annotations

from pathlib import Path

from lugbook.compose.capture import compose_capture
from lugbook.pipeline import capture_rules, read_lists
from lugbook.render.capture import capture_files, library_licences
from lugbook.words.catalogue import load_words
from lugbook.write import write_files


def make_capture(names: tuple[str, ...], out: Path) -> tuple[Path, ...]:
    """Write the page for these shipped checklists into `out`. The same lists give the same bytes."""
    words = load_words()
    view = compose_capture(read_lists(names), capture_rules(), words, library_licences())
    return write_files(out, capture_files(view, words))

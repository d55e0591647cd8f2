"""The languages that ship and the user's own."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from lugbook.compose.words_skeleton import words_skeleton
from lugbook.errors import InputRefusedError, UsageError
from lugbook.load.checklists import shipped_items
from lugbook.load.language import Gaps, gaps, known_sentences, load_language
from lugbook.load.translations import translation_files, untranslated
from lugbook.load.tree import Document
from lugbook.model.job import Job
from lugbook.model.problem import Problem, has_errors
from lugbook.words.catalogue import ENGLISH, Words, shipped_language, shipped_languages


def spoken(language: str, folder: Path) -> tuple[Words, tuple[Problem, ...]]:
    """The words of a language, for what is printed without findings; and what is wrong with it."""
    document = Document("options", "")
    found = load_language(language, folder, document, ("language",))
    return Words(found), tuple(p for p in document.problems if p.severity == "error")


def language_gaps(code: str, folder: Path) -> Gaps:
    """What a language lacks: one that ships, or the user's own in `folder`. Raises InputRefusedError."""
    document = Document("options", "")
    language = load_language(code, folder, document, ("language",))
    items = untranslated(language, shipped_items(), document)
    if has_errors(tuple(document.problems)):
        raise InputRefusedError(tuple(p for p in document.problems if p.severity == "error"))
    return replace(gaps(language), items=items)


def languages() -> tuple[str, ...]:
    """The codes of the languages that ship."""
    return shipped_languages()


def language_skeleton(code: str) -> str:
    """A language file to begin with: every key empty, with its English beside it."""
    return words_skeleton(code, shipped_language(ENGLISH), known_sentences())


def language_files(job: Job) -> Iterator[tuple[str, Path]]:
    """What the words of a report came from besides the program: its language's files, by their path in a revision."""
    yield from job.language.own.items()
    used = {*job.checklist.ids, *(f"groups/{group.id}" for group in job.checklist.groups)}
    for part, path in translation_files(job.language):
        if part in used and path not in job.language.own.values():
            yield f"checklists/{job.language.code}/{part}.yaml", path


def chosen_words(job: Job | None, language: str | None, folder: Path) -> Words:
    """The words of a job; of the language asked for where the job cannot be loaded. Raises UsageError."""
    if job is not None:
        return Words(job.language)
    words, faults = spoken(language or ENGLISH, folder)
    if faults:
        raise UsageError(f"{faults[0].message}; {faults[0].hint}")
    return words

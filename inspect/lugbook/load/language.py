"""The language of a report: one that ships, or a file of the user's own in a folder `words` beside the job."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from lugbook.load.faults import nearest
from lugbook.load.files import path_inside, read_document
from lugbook.load.tree import Document, TooManyError
from lugbook.load.tree import Mapping as Node
from lugbook.model.language import Language
from lugbook.model.problem import Path as KeyPath
from lugbook.words.catalogue import ENGLISH, SENTENCES, shipped_language, shipped_languages
from lugbook.words.sentences import places

WORDS = "words"
PLURALS = ("zero", "one", "two", "few", "many", "other")
# Keys that a language file needs before all others.
HEAD = ("language", "locale")


@dataclass(frozen=True, slots=True)
class Gaps:
    """What a language lacks beside English: keys, sentences, items; and sentences that nothing says any more."""

    keys: tuple[str, ...]
    sentences: tuple[str, ...]
    stale: tuple[str, ...]
    items: tuple[str, ...] = ()


def places_of(folder: Path) -> tuple[Path, ...]:
    """Where a user's own language files may stand: beside the job, or in the folder above for all jobs."""
    return folder, folder.resolve().parent


def load_language(code: str, folder: Path, findings: Document, where: KeyPath) -> Language:
    """The language of this code. Faults in the choice are on `findings`; English stands in where there is none."""
    place = next((p for p in places_of(folder) if _is_file(p / WORDS / f"{code}.yaml")), None)
    shipped = shipped_languages()
    if place is None:
        if code in shipped:
            return shipped_language(code)
        hint = (
            nearest(code, (*shipped, *_own(folder)))
            or f"shipped: {', '.join(shipped)}; or a file of your own, 'words/{code}.yaml' beside the job"
        )
        findings.report(where, "P660", f"there is no language '{code}'", hint)
        return shipped_language(ENGLISH)
    name = f"{WORDS}/{code}.yaml"
    path, refused = path_inside(place, name)
    if path is None:
        findings.report(where, "P302", refused, "copy the file beside the job")
        return shipped_language(ENGLISH)
    document = read_document(path, name)
    try:
        own = _read(code, document)
    except TooManyError:
        own = Language(code, shipped_language(ENGLISH).locale, {})
    findings.problems += document.problems
    files = {name: path}
    for inner in sorted((place / WORDS / code).rglob("*.yaml")):
        relative = f"{WORDS}/{code}/{inner.relative_to(place / WORDS / code).as_posix()}"
        if path_inside(place, relative)[0] is not None:
            files[relative] = inner
    base = shipped_language(code) if code in shipped else None
    made = replace(own, own=files)
    if base is not None:
        made = replace(
            made,
            texts={**base.texts, **own.texts},
            sentences={**base.sentences, **own.sentences},
        )
    lacking = gaps(made)
    if base is None and (lacking.keys or lacking.sentences):
        findings.report(
            where,
            "P662",
            f"texts are missing in '{name}' and stay English",
            f"'lugbook words {code}' lists them",
            severity="note",
        )
    return made


def _is_file(path: Path) -> bool:
    """A name that is longer than the disk allows is none."""
    try:
        return path.is_file()
    except OSError:
        return False


def _own(folder: Path) -> Iterator[str]:
    for place in places_of(folder):
        yield from (path.stem for path in (place / WORDS).glob("*.yaml"))


def gaps(language: Language) -> Gaps:
    """Compare a language with English; the sentences are those that the shipped translations know."""
    if language.code == ENGLISH:
        return Gaps((), (), ())
    english = shipped_language(ENGLISH).texts
    known = set(known_sentences())
    return Gaps(
        keys=tuple(key for key in english if key not in language.texts),
        sentences=tuple(sorted(known - set(language.sentences))),
        stale=tuple(sorted(set(language.sentences) - known)),
    )


def known_sentences() -> tuple[str, ...]:
    """The English of every sentence that a shipped translation knows; a test sees to it that this is all of them."""
    found = (sentence for code in shipped_languages() for sentence in shipped_language(code).sentences)
    return tuple(dict.fromkeys(found))


def _read(code: str, document: Document) -> Language:
    """The texts of a file that fit; each that does not is reported on the document."""
    fallback = Language(code, shipped_language(ENGLISH).locale, {})
    if not isinstance(document.root, Node):
        if document.root is not None:
            document.report((), "P104", "a language file is a group of keys", "see docs/adding-a-language.md")
        return fallback
    texts: dict[str, str] = {}
    sentences: dict[str, str] = {}
    for path, text in _leaves(document.plain(), (), document):
        if path[0] == SENTENCES:
            if _sentence_fits(path, text, document):
                sentences[str(path[1])] = text
        elif path[0] in HEAD or _text_fits(path, text, document):
            texts[".".join(map(str, path))] = text
    if texts.get("language", code) != code:
        document.report(
            ("language",), "P661", f"'{texts['language']}' is not the name of this file", f"write '{code}'"
        )
    return Language(code, _locale(texts.get("locale", code), document), texts, sentences)


def _locale(name: str, document: Document) -> str:
    from babel import Locale, UnknownLocaleError  # a language that ships needs no look

    try:
        Locale.parse(name)
    except (UnknownLocaleError, ValueError):
        document.report(
            ("locale",), "P661", f"'{name}' is no locale", "write for instance 'locale: fr_FR' at the top"
        )
        return shipped_language(ENGLISH).locale
    return name


def _leaves(tree: Mapping[str, object], path: KeyPath, document: Document) -> Iterator[tuple[KeyPath, str]]:
    for key, value in tree.items():
        here = (*path, str(key))
        if isinstance(value, Mapping):
            yield from _leaves(value, here, document)
        elif isinstance(value, str):
            yield here, str(value)
        elif value is not None:  # an empty one is not written yet
            document.report(here, "P661", "a text was expected here", "write the words after the colon")


def _text_fits(path: KeyPath, text: str, document: Document) -> bool:
    """Whether English has the key, or another plural form of it, with the same placeholders."""
    english = shipped_language(ENGLISH).texts
    key = ".".join(map(str, path))
    group, _, form = key.rpartition(".")
    counted = form in PLURALS and f"{group}.other" in english
    if key not in english and not counted:
        document.report(path, "P661", f"the key '{key}' is not known", nearest(key, english), on_key=True)
        return False
    wanted = places(english[f"{group}.other" if counted else key]) | ({"n"} if counted else set())
    return _placeholders_fit(path, text, wanted, document, all_of_them=not counted)


def _sentence_fits(path: KeyPath, text: str, document: Document) -> bool:
    if len(path) != 2:
        document.report(path, "P661", "a sentence has no keys of its own", "write it between quotes")
        return False
    try:
        wanted = places(str(path[1]))
    except ValueError as error:
        document.report(
            path, "P661", f"{error}", "copy the English as 'lugbook words' prints it", on_key=True
        )
        return False
    return _placeholders_fit(path, text, wanted, document, all_of_them=True)


def _placeholders_fit(
    path: KeyPath, text: str, wanted: frozenset[str] | set[str], document: Document, *, all_of_them: bool
) -> bool:
    listed = ", ".join(f"{{{name}}}" for name in sorted(wanted)) or "none"
    try:
        given = places(text)
    except ValueError as error:
        document.report(
            path, "P661", f"a brace that is no placeholder: {error}", f"placeholders here: {listed}"
        )
        return False
    if given - wanted or (all_of_them and wanted - given):
        document.report(
            path, "P661", "the placeholders are not those of the English text", f"placeholders here: {listed}"
        )
        return False
    return True

"""One catalogue for all shipped words; a missing key is an error in English, and English in any other language."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from functools import cache, cached_property
from pathlib import Path
from typing import Any

import yaml

from lugbook.model.language import Language
from lugbook.words.sentences import translated

HERE = Path(__file__).parent
# libyaml's loader is ten times as fast.
LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
ENGLISH = "en"
SENTENCES = "sentences"
LOCALE = re.compile(r"^locale: (\w+)$", re.MULTILINE)


class Words:
    """The words of one language.

    `words("defect.number", n=3)` fills placeholders; `words.count("verdict.now", 2)` picks the plural form;
    `words.sentence(template)` is a sentence of the analyses. What a language lacks is said in English.
    """

    def __init__(self, language: Language) -> None:
        from babel import Locale  # not needed to load a job

        self.locale = Locale.parse(language.locale)
        self.language: str = language.code
        self._sentences = language.sentences
        self._flat = {**shipped_language(ENGLISH).texts, **language.texts}

    def __call__(self, key: str, /, **values: object) -> str:
        text = self._flat[key]
        return text.format(**values) if values else text

    def count(self, key: str, n: int, /, **values: object) -> str:
        """The form of `key` that the language uses for n."""
        form = self.locale.plural_form(n)
        chosen = f"{key}.{form}" if f"{key}.{form}" in self._flat else f"{key}.other"
        return self(chosen, n=n, **values)

    def sentence(self, template: str) -> str:
        """A template of the analyses; the English one where the language has no entry for it."""
        if self.language == ENGLISH:
            return template
        return translated(template, self._sentences)

    def keys(self) -> frozenset[str]:
        """Every key, for tests that compare languages."""
        return frozenset(self._flat)


class Unread(Mapping[str, str]):
    """Texts that are read when somebody looks for one: to check a job needs none, and reading takes its time."""

    def __init__(self, read: Callable[[], Mapping[str, str]]) -> None:
        self._read = read

    @cached_property
    def _texts(self) -> Mapping[str, str]:
        return self._read()

    def __getitem__(self, key: str) -> str:
        return self._texts[key]

    def __iter__(self) -> Iterator[str]:
        return iter(self._texts)

    def __len__(self) -> int:
        return len(self._texts)


def flatten(tree: Mapping[str, Any], prefix: str = "") -> dict[str, str]:
    """Texts by dotted key."""
    found: dict[str, str] = {}
    for key, value in tree.items():
        if isinstance(value, Mapping):
            found |= flatten(value, f"{prefix}{key}.")
        else:
            found[f"{prefix}{key}"] = str(value)
    return found


def shipped_languages() -> tuple[str, ...]:
    """The languages that ship."""
    return tuple(sorted(path.stem for path in HERE.glob("*.yaml")))


@cache
def shipped_language(code: str = ENGLISH) -> Language:
    """A language that ships. Raises FileNotFoundError if there is none."""
    written = (HERE / f"{code}.yaml").read_text(encoding="utf-8")
    locale = LOCALE.search(written)
    assert locale is not None, "every file that ships names its locale in a line of its own"

    @cache
    def tree() -> dict[str, Any]:
        found: dict[str, Any] = yaml.load(written, Loader=LOADER)
        return found

    def texts() -> dict[str, str]:
        return flatten({key: value for key, value in tree().items() if key != SENTENCES})

    return Language(code, locale[1], Unread(texts), Unread(lambda: tree().get(SENTENCES, {})))


@cache
def load_words(language: str = ENGLISH) -> Words:
    """The words of a language that ships. Raises FileNotFoundError if there is none."""
    return Words(shipped_language(language))

"""One catalogue for all shipped words; a missing key is an error, never an empty string."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

import yaml
from babel import Locale

HERE = Path(__file__).parent


class Words:
    """The words of one language.

    `words("defect.number", n=3)` fills placeholders; `words.count("verdict.now", 2)` picks the plural form.
    """

    def __init__(self, tree: Mapping[str, Any]) -> None:
        self.locale = Locale.parse(tree["locale"])
        self.language: str = tree["language"]
        self._flat = dict(_flatten(tree))

    def __call__(self, key: str, /, **values: object) -> str:
        text = self._flat[key]
        return text.format(**values) if values else text

    def count(self, key: str, n: int, /, **values: object) -> str:
        """The form of `key` that the language uses for n."""
        form = self.locale.plural_form(n)
        chosen = f"{key}.{form}" if f"{key}.{form}" in self._flat else f"{key}.other"
        return self(chosen, n=n, **values)

    def keys(self) -> frozenset[str]:
        """Every key, for tests that compare languages."""
        return frozenset(self._flat)


def _flatten(tree: Mapping[str, Any], prefix: str = "") -> list[tuple[str, str]]:
    found: list[tuple[str, str]] = []
    for key, value in tree.items():
        if isinstance(value, Mapping):
            found += _flatten(value, f"{prefix}{key}.")
        else:
            found.append((f"{prefix}{key}", str(value)))
    return found


@cache
def load_words(language: str = "en") -> Words:
    """The catalogue of a language. Raises FileNotFoundError if there is none."""
    return Words(yaml.safe_load((HERE / f"{language}.yaml").read_text(encoding="utf-8")))

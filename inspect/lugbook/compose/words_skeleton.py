"""The language file that a translator begins with: every key empty, its English beside it as a comment."""

from __future__ import annotations

import json
from collections.abc import Iterable

from lugbook.model.language import Language

HEAD = """# The words of a language. Write each text behind its colon; what stands empty stays English.
# Keep what stands in braces, such as {{n}}. Put every text in quotes. The keys one, other and so on are plural forms:
# add the ones that your language has (zero, one, two, few, many, other).
#   lugbook words {code}          lists what is still missing
language: {code}
locale:                     # such as fr_FR or pt_BR: decimal signs, dates, plural rules
"""


def words_skeleton(code: str, english: Language, sentences: Iterable[str]) -> str:
    """The file as text."""
    lines = [HEAD.format(code=code)]
    open_keys: tuple[str, ...] = ()
    for key, text in english.texts.items():
        *groups, leaf = key.split(".")
        if not groups and leaf in ("language", "locale"):
            continue
        for depth, group in enumerate(groups):
            if open_keys[: depth + 1] != tuple(groups[: depth + 1]):
                lines.append(f"{'  ' * depth}{_key(group)}:\n")
        open_keys = tuple(groups)
        lines.append(f"{'  ' * len(groups)}{_key(leaf)}:  # {' '.join(text.split())}\n")
    lines.append("\n# Sentences of the calculations, by their English.\nsentences:\n")
    lines += [f"  {json.dumps(sentence, ensure_ascii=False)}:\n" for sentence in sentences]
    return "".join(lines)


def _key(text: str) -> str:
    return (
        text if text.replace("_", "").replace(" ", "").isalpha() and text not in QUOTED else json.dumps(text)
    )


# Words that YAML reads as yes, no or nothing.
QUOTED = frozenset({"yes", "no", "on", "off", "true", "false", "null", "y", "n"})

"""The answer to a question of size."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from lugbook.assess.sizing import answer, suits
from lugbook.compose.size import SizeView, compose_size
from lugbook.load.bases import load_bases
from lugbook.load.tree import parse
from lugbook.model.sizing import Refusal
from lugbook.model.sizing_question import read_question
from lugbook.pipeline.language import spoken
from lugbook.words.catalogue import ENGLISH


@dataclass(frozen=True, slots=True)
class Sized:
    """The answer to a question of size; `view` is None if the question must be refused."""

    view: SizeView | None
    refusals: tuple[Refusal, ...]


def answer_size(options: Mapping[str, object], folder: Path, language: str = ENGLISH) -> Sized:
    """Size a cable from the command's options. Bases are shipped ones, or files in `folder`."""
    question, refusals = read_question(options)
    asked = options.get("basis") or ("good-practice",)
    names = tuple(str(name) for name in asked) if isinstance(asked, list | tuple) else (str(asked),)
    document = parse(json.dumps({"basis": names}, ensure_ascii=False), "options")
    bases = load_bases(names, folder, document, ("basis",))
    refusals += tuple(
        Refusal("basis", problem.message if problem.file == "options" else f"{problem.file}:{problem.line}: {problem.message}", problem.hint)
        for problem in document.problems
    )  # fmt: skip
    words, faults = spoken(language, folder)
    refusals += tuple(Refusal("language", fault.message, fault.hint) for fault in faults)
    if question is not None:
        refusals += suits(question, bases)
    if question is None or refusals:
        return Sized(None, refusals)
    practice = load_bases(("good-practice",), folder, document, ("basis",))
    return Sized(compose_size(answer(question, bases, practice[0]), words), ())

"""Shipped texts for owners read easily, or a person has said why one stays as it is.

That docs/readability.md is fresh is asserted with the other generated pages (tests/test_docs.py).
"""

from __future__ import annotations

import importlib.util
import re
import sys
from pathlib import Path
from types import ModuleType

import pytest

SOURCE = Path(__file__).parents[1] / "docs" / "generate_readability.py"
NEVER = re.compile(r"\b(certified|passes|complies|guaranteed|safe)\b", re.IGNORECASE)
OF_AN_ACT = re.compile(r"\b(?:make|made)(?: it)? safe\b", re.IGNORECASE)


@pytest.fixture(scope="module")
def readability() -> ModuleType:
    spec = importlib.util.spec_from_file_location("generate_readability", SOURCE)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


def test_the_formula_gives_the_worked_examples_of_its_author(readability: ModuleType) -> None:
    """206.835 - 1.015 words/sentences - 84.6 syllables/words (R. Flesch, J. Applied Psychology 32, 1948; from memory).

    By hand: six words of one syllable in one sentence, 206.835 - 6.09 - 84.6 = 116.145; seven words of twelve
    syllables in one sentence, 206.835 - 7.105 - 145.029 = 54.701.
    """
    assert readability.ease("The cat sat on the mat.") == 116.1
    assert readability.ease("Never open a battery while it charges.") == 54.7


def test_every_hard_text_has_a_reason_and_no_reason_is_stale(readability: ModuleType) -> None:
    hard = {one.key for one in readability.owner_texts() if one.ease < readability.EASY}
    assert hard == set(readability.reasons()), "improve these, or say why in docs/readability-reasons.yaml"
    assert all(len(why.split()) >= 6 for why in readability.reasons().values())


def test_all_that_an_owner_reads_is_counted(readability: ModuleType) -> None:
    texts = readability.owner_texts()
    parts = {one.key.split(".")[0] for one in texts}
    assert {"first", "verdict", "caution", "note", "notice", "precedence"} <= parts
    assert sum(one.key.endswith(".why") for one in texts) > 100
    assert sum(one.key.endswith(".remedy") for one in texts) > 100


def test_no_text_says_of_a_thing_that_it_is_safe_or_the_like(readability: ModuleType) -> None:
    said = {one.key: NEVER.findall(OF_AN_ACT.sub("", one.text)) for one in readability.owner_texts()}
    assert {key: found for key, found in said.items() if found} == {}

"""What the parts of an installation are called in sentences."""

from __future__ import annotations

from pathlib import Path

import pytest

from lugbook.compose.common import Phrases
from lugbook.compose.evidence import Names
from lugbook.load.faults import build
from lugbook.load.files import read_document
from lugbook.load.installation import load_installation
from lugbook.model.installation import InstallationFile
from lugbook.words.catalogue import load_words

BOAT = Path(__file__).parents[1] / "boats" / "three-batteries.yaml"


@pytest.mark.parametrize(
    ("language", "post", "minus"),
    [
        ("en", "Service bank, plus of block 3", "Service bank, minus of block 1"),
        ("de", "Service bank, Plus von Block 3", "Service bank, Minus von Block 1"),
    ],
)
def test_the_posts_of_a_bank_are_named_as_people_say_it(language: str, post: str, minus: str) -> None:
    document = read_document(BOAT, BOAT.name)
    file = build(InstallationFile, document)
    assert file is not None
    network = load_installation(file.installation, document)
    assert network is not None
    names = Names(network, Phrases(load_words(language)))
    assert {"service.pos-3", "service.neg-1"} <= set(network.nodes)
    assert (names.of("service.pos-3"), names.of("service.neg-1")) == (post, minus)
    assert minus in names.within("from 'service.neg-1' on")
    assert names.of("neg-bus") == "Negative bus"

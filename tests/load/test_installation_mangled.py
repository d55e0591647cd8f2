"""Mangled installations give problems with a place, never a traceback and never a silent guess."""

from __future__ import annotations

import random
import re
from pathlib import Path

import pytest

from lugbook.load.faults import build
from lugbook.load.installation import load_installation
from lugbook.load.tree import parse
from lugbook.model.installation import InstallationFile

BOATS = sorted((Path(__file__).parents[1] / "boats").glob("*.yaml"))
WORDS = re.compile(r"(?<=: )[^,{}\[\]\n]+|(?<=\[)[^,{}\[\]\n]+")
STRANGE = (
    "",
    "off",
    "0",
    "-1 m",
    "x.y.z",
    "1e9 A",
    "[]",
    "{}",
    "main",
    "99999 Ah",
    "neg-bus",
    "engine",
    "AWG 99",
    "~",
    "both",
)
TURNS = 60


def mangled(text: str, rng: random.Random) -> str:
    """The text with up to three values replaced by strange or by borrowed ones."""
    for _ in range(rng.randint(1, 3)):
        spots = list(WORDS.finditer(text))
        spot = rng.choice(spots)
        value = rng.choice(STRANGE) if rng.random() < 0.5 else rng.choice(spots).group()
        text = text[: spot.start()] + value + text[spot.end() :]
    if rng.random() < 0.3:
        lines = text.split("\n")
        del lines[rng.randrange(9, len(lines) - 1)]
        text = "\n".join(lines)
    return text


@pytest.mark.parametrize("path", BOATS, ids=[path.stem for path in BOATS])
def test_mangled(path: Path) -> None:
    rng = random.Random(path.stem)
    text = path.read_text(encoding="utf-8")
    refused = 0
    for _ in range(TURNS):
        document = parse(mangled(text, rng), path.name)
        file = build(InstallationFile, document)
        network = None if file is None else load_installation(file.installation, document)
        errors = [problem for problem in document.problems if problem.severity == "error"]
        assert (network is None) == bool(errors)
        assert all(problem.line > 0 and problem.message for problem in document.problems)
        refused += network is None
    assert refused > TURNS / 3, "most of what is mangled must be noticed"

"""The twelve acceptance boats load without errors, and nothing hangs on the order of the file."""

from __future__ import annotations

from pathlib import Path

import pytest

from lugbook.load.faults import build
from lugbook.load.files import read_document
from lugbook.load.installation import load_installation
from lugbook.model.installation import InstallationFile
from lugbook.model.network import Network
from lugbook.model.problem import Problem

BOATS = Path(__file__).parents[1] / "boats"
NAMES = sorted(path.stem for path in BOATS.glob("*.yaml"))


def load(path: Path) -> tuple[Network | None, list[Problem]]:
    document = read_document(path, path.name)
    file = build(InstallationFile, document)
    network = None if file is None else load_installation(file.installation, document)
    return network, document.problems


@pytest.mark.parametrize("name", NAMES)
def test_loads_without_a_problem(name: str) -> None:
    network, problems = load(BOATS / f"{name}.yaml")
    assert problems == []
    assert network is not None

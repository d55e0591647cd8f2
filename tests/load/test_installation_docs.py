"""The two pages name every key, every assumption and every fault, and their examples load."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from pydantic import BaseModel

from lugbook.load.bases import read_basis
from lugbook.load.faults import build
from lugbook.load.installation import load_installation
from lugbook.load.tree import parse
from lugbook.model.basis import BasisFile
from lugbook.model.defaults import DEFAULTS
from lugbook.model.installation import Installation, InstallationFile
from lugbook.model.installation_codes import INSTALLATION_CODES

DOCS = Path(__file__).parents[2] / "docs"
INSTALLATION = (DOCS / "installation.md").read_text(encoding="utf-8")
BASIS = (DOCS / "writing-a-basis.md").read_text(encoding="utf-8")
REMEDY = (DOCS / "remedy.md").read_text(encoding="utf-8")
LANGUAGE = (DOCS / "adding-a-language.md").read_text(encoding="utf-8")


def models_in(model: type[BaseModel]) -> set[type[BaseModel]]:
    """A model and all models inside it."""
    found, waiting = set(), [model]
    while waiting:
        current = waiting.pop()
        if isinstance(current, type) and issubclass(current, BaseModel) and current not in found:
            found.add(current)
            waiting += [field.annotation for field in current.model_fields.values() if field.annotation]  # type: ignore[misc]
        waiting += getattr(current, "__args__", ())
    return found


def keys(model: type[BaseModel]) -> set[str]:
    """Every key that the file may hold."""
    return {field.alias or name for part in models_in(model) for name, field in part.model_fields.items()}


@pytest.mark.parametrize(("model", "page"), [(Installation, INSTALLATION), (BasisFile, BASIS)])
def test_every_key_is_described(model: type[BaseModel], page: str) -> None:
    prose = re.sub(r"```.*?```", "", page, flags=re.DOTALL)
    described = set(re.findall(r"[a-z_]+", " ".join(re.findall(r"`([^`]*)`", prose))))
    assert sorted(keys(model) - {"id", "title", "note"} - described) == []


def test_the_example_loads() -> None:
    blocks = re.findall(r"```yaml\n(installation:.*?)```", INSTALLATION, flags=re.DOTALL)
    document = parse(blocks[0], "boat.yaml")
    file = build(InstallationFile, document)
    assert file is not None
    assert load_installation(file.installation, document) is not None
    assert document.problems == []


def test_the_example_of_a_basis_loads() -> None:
    (block,) = re.findall(r"```yaml\n(format:.*?)```", BASIS, flags=re.DOTALL)
    document = parse(block, "own.yaml")
    basis = read_basis(document)
    assert basis is not None
    assert [override.key for override in basis.overridden] == ["voltage_drop"]


def test_every_assumption_is_described() -> None:
    for default in DEFAULTS.values():
        row = f"| {default.name} | {default.max_case:g} {default.unit} | {default.min_case:g} {default.unit} | {default.sentence} *{default.source}* |"
        assert row in INSTALLATION


def test_every_fault_is_described() -> None:
    for code in INSTALLATION_CODES:
        page = (
            INSTALLATION
            if code.code < "P630"
            else BASIS
            if code.code < "P640"
            else REMEDY
            if code.code < "P660"
            else LANGUAGE
        )
        assert f"| {code.code} | {code.severity} | {code.meaning} | {code.remedy} |" in page

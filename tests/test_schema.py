"""The JSON Schemas: fresh, complete, accepting what is sound and refusing what a schema can tell to be wrong.

A second reader, `jsonschema`, judges by the published files alone. YAML is read for it by the core schema of
YAML 1.2 (chapter 10.3.2): only null, true, false, whole numbers and floats are more than text.
"""

from __future__ import annotations

import contextlib
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml
from small_jobs import DEMO, DemoReport

from lugbook.cli import main
from lugbook.data import data_folder
from lugbook.pipeline.lists import shipped_lists

DOCS = Path(__file__).parents[1] / "docs" / "schema"
CASES = Path(__file__).parent / "cases"
NAMES = ("findings", "checklist", "group", "basis", "business", "rates", "report")
SKETCHES = {
    "findings.yaml": "findings",
    "business.yaml": "business",
    "own-list.yaml": "checklist",
    "own-basis.yaml": "basis",
    "rates.yaml": "rates",
}


class CoreLoader(yaml.SafeLoader):
    """YAML 1.2, core schema."""

    yaml_implicit_resolvers: dict[str, list[tuple[str, re.Pattern[str]]]] = {}  # noqa: RUF012 - as PyYAML wants it


# Source: YAML 1.2.2, section 10.3.2, table of tag resolution.
for tag, form, first in (
    ("null", r"~|null|Null|NULL|", ["~", "n", "N", ""]),
    ("bool", r"true|True|TRUE|false|False|FALSE", list("tTfF")),
    ("int", r"[-+]?[0-9]+|0o[0-7]+|0x[0-9a-fA-F]+", list("-+0123456789")),
    ("float", r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?|[-+]?(\.inf|\.Inf|\.INF)|\.nan|\.NaN|\.NAN", list("-+0123456789.")),
):  # fmt: skip
    CoreLoader.add_implicit_resolver(f"tag:yaml.org,2002:{tag}", re.compile(rf"^(?:{form})$"), first)


def _whole(_: CoreLoader, node: yaml.ScalarNode) -> int:
    text = node.value
    return int(text, 8 if text.startswith("0o") else 16 if text.startswith("0x") else 10)


CoreLoader.add_constructor("tag:yaml.org,2002:int", _whole)


def read(path: Path) -> Any:
    return yaml.load(path.read_text(encoding="utf-8"), CoreLoader)


def validator(name: str) -> jsonschema.Draft202012Validator:
    made = json.loads((DOCS / f"{name}.schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(made)
    return jsonschema.Draft202012Validator(made)


VALIDATORS = {name: validator(name) for name in NAMES}


def complaints(name: str, data: object) -> list[str]:
    return [f"{error.json_path}: {error.message[:200]}" for error in VALIDATORS[name].iter_errors(data)]


@pytest.mark.parametrize(
    ("text", "value"),
    [("no", "no"), ("010", 10), ("1e3", 1000.0), ("1:30", "1:30"), ("2026-06-02", "2026-06-02"), ("~", None),
     ("", None), ("0x10", 16), ("1_000", "1_000"), ("true", True), ("'17'", "17"), ("10.1 m", "10.1 m")],
)  # fmt: skip
def test_the_reader_follows_yaml_1_2(text: str, value: object) -> None:
    """Source: YAML 1.2.2, section 10.3.2 (tag resolution of the core schema)."""
    found = yaml.load(f"- {text}\n", CoreLoader)[0]
    assert (found, type(found)) == (value, type(value))


def descriptions(part: dict[str, Any], path: str) -> Iterator[tuple[str, str]]:
    for name, inner in {"": part, **part.get("$defs", {})}.items():
        for key, value in inner.get("properties", {}).items():
            yield f"{path}{name}.{key}", value.get("description", "")


@pytest.mark.parametrize("name", NAMES)
def test_every_field_is_described(name: str) -> None:
    schema = VALIDATORS[name].schema
    assert isinstance(schema, dict)
    found = list(descriptions(schema, name))
    assert len(found) >= 5
    assert [path for path, text in found if not text.strip()] == []


@pytest.mark.parametrize("name", shipped_lists())
def test_shipped_checklists_and_their_skeletons_are_accepted(name: str, tmp_path: Path) -> None:
    assert complaints("checklist", read(data_folder("checklists") / f"{name}.yaml")) == []
    assert main(["start", str(tmp_path / "job"), "--checklist", name, "--quiet"]) == 0
    assert complaints("findings", read(tmp_path / "job" / "findings.yaml")) == []


def test_shipped_groups_are_accepted() -> None:
    groups = sorted((data_folder("checklists") / "groups").glob("*.yaml"))
    assert len(groups) >= 10
    for path in groups:
        assert complaints("group", read(path)) == [], path.name


def test_shipped_bases_are_accepted() -> None:
    bases = sorted((data_folder("checklists") / "bases").glob("*.yaml"))
    assert len(bases) >= 3
    for path in bases:
        assert complaints("basis", read(path)) == [], path.name


def test_the_demo_is_accepted() -> None:
    assert complaints("findings", read(DEMO / "findings.yaml")) == []
    for path in (DEMO / "business.yaml", DEMO.parent / "business.yaml"):
        if path.exists():
            assert complaints("business", read(path)) == []


def test_the_schema_of_the_skeleton_is_the_published_one(tmp_path: Path) -> None:
    main(["start", str(tmp_path / "job"), "--quiet"])
    ours = json.loads((tmp_path / "job" / "findings.schema.json").read_text(encoding="utf-8"))
    assert ours == VALIDATORS["findings"].schema
    first = (tmp_path / "job" / "findings.yaml").read_text(encoding="utf-8").splitlines()[0]
    assert first == "# yaml-language-server: $schema=./findings.schema.json"


FOLDERS = sorted(path for path in CASES.iterdir() if path.is_dir())


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda path: path.name)
def test_sound_cases_are_accepted(folder: Path) -> None:
    for path in sorted((folder / "ok").glob("*.yaml")):
        assert complaints(SKETCHES[path.name], read(path)) == []


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda path: path.name)
def test_bad_cases_are_rejected_as_far_as_a_schema_can_tell(folder: Path) -> None:
    says = read(folder / "case.yaml")["schema"]
    found: list[str] = []
    for path in sorted((folder / "bad").glob("*.yaml")):
        with contextlib.suppress(yaml.YAMLError, UnicodeDecodeError):  # no schema sees what is no YAML
            found += complaints(SKETCHES[path.name], read(path))
    assert says in ("rejects", "cannot tell")
    assert bool(found) == (says == "rejects"), found


def test_most_faults_in_form_are_told_by_the_schema() -> None:
    told = [folder.name for folder in FOLDERS if read(folder / "case.yaml")["schema"] == "rejects"]
    assert len(told) >= 18


ITEM = {"item": "battery-held"}
SOUND = {"format": "lugbook-findings-1", "report": {"number": "R1", "checklists": ["own-list.yaml"]}}
PHOTO = {"file": "a.png", "caption": "c", "alt": "a"}


def with_result(**keys: object) -> dict[str, object]:
    return {**SOUND, "results": [{**ITEM, **keys}]}


@pytest.mark.parametrize(
    "data",
    [
        with_result(result="no departure seen", extent="tested, sample 3 of 9"),
        with_result(result=None, extent=None, defects=None),
        with_result(result="not inspected", reason="Locked", extent="not tested"),
        {**SOUND, "readings": [{"id": "r", "quantity": "insulation resistance", "value": "> 200 Mohm", "place": "p"}]},
        {**SOUND, "report": {**SOUND["report"], "craft": {"fitted": {"solar": None, "wind": "no", "gas": False}}}},  # type: ignore[dict-item]
        with_result(result="no departure seen", extent="whole", photos=[{**PHOTO, "marks": [
            {"mark": "arrow", "at": [0, 0], "to": [1, 1]}, {"mark": "path", "points": [[0, 0], [0.5, 1]]},
            {"mark": "number", "at": [0, 0], "text": 3}]}]),
    ],
)  # fmt: skip
def test_rules_accept(data: dict[str, object]) -> None:
    assert complaints("findings", data) == []


@pytest.mark.parametrize(
    "data",
    [
        with_result(result="no departure seen", extent="tested, tested"),
        with_result(result="no departure seen", extent=None),
        with_result(result="defect", extent="whole", defects=None),
        with_result(result="no departure seen", extent="whole", defects=[{"title": "t", "place": "p", "seen": "s"}]),
        with_result(result="not inspected", reason=None),
        with_result(),
        {**SOUND, "readings": [{"id": "r", "quantity": "voltage", "value": "12.6 A", "place": "p"}]},
        {**SOUND, "readings": [{"id": "r", "quantity": "voltage", "value": "12,6 V", "place": "p"}]},
        {**SOUND, "report": {**SOUND["report"], "craft": {"fitted": {"sails": "yes"}}}},  # type: ignore[dict-item]
        {**SOUND, "report": {**SOUND["report"], "number": " "}},  # type: ignore[dict-item]
        {**SOUND, "format": "lugbook-findings-2"},
        with_result(result="no departure seen", extent="whole", photos=[{**PHOTO, "marks": [{"mark": "arrow", "at": [0, 0]}]}]),
        with_result(result="no departure seen", extent="whole", photos=[{**PHOTO, "marks": [
            {"mark": "label", "at": [0, 0], "text": "x", "to": [1, 1]}]}]),
        with_result(result="no departure seen", extent="whole", photos=[{**PHOTO, "marks": [
            {"mark": "number", "at": [0, 1.5], "text": "x"}]}]),
    ],
)  # fmt: skip
def test_rules_refuse(data: dict[str, object]) -> None:
    assert complaints("findings", data)


def test_rules_of_checklists_and_letterheads() -> None:
    item = {"id": "a", "question": "q?", "look": "l", "why": "w", "remedy": "r", "severity": "critical",
            "harms": "people", "danger": "latent", "source": [{"document": "d"}]}  # fmt: skip
    sound = {**item, "probability": {"usual": "remote"}}
    head = {"format": "lugbook-checklist-1", "id": "x", "title": "t", "edition": "e", "purpose": "p"}
    inline = {"id": "own", "title": "t", "items": [sound]}
    assert complaints("checklist", {**head, "walk": [{"use": "bilge"}, inline]}) == []
    assert complaints("checklist", {**head, "walk": [{"use": "bilge", **inline}]})
    assert complaints("checklist", {**head, "walk": [{"id": "own", "title": "t"}]})
    lacking = {**item, "probability": {"covered": "remote"}}
    assert complaints("checklist", {**head, "walk": [{**inline, "items": [lacking]}]})
    letter = {"format": "lugbook-business-1", "name": "n", "logo": "l.png"}
    assert complaints("business", letter)
    assert complaints("business", {**letter, "logo_alt": "A logo"}) == []


@pytest.mark.parametrize(
    "name", ["P301-missing-picture", "P207-defect-not-described", "P502-fields-still-empty"]
)
def test_report_json_is_what_its_schema_says(name: str, tmp_path: Path) -> None:
    from test_cases import set_up

    set_up(CASES / name / "ok", tmp_path)
    with contextlib.chdir(tmp_path):
        assert main(["report", "job", "--html-only", "--quiet"]) == 0
    report = json.loads((tmp_path / "out" / "job" / "report.json").read_text(encoding="utf-8"))
    assert complaints("report", report) == []
    assert complaints("report", {**report, "more": 1})
    assert complaints("report", {**report, "draft": "yes"})


def test_the_report_of_the_demo_is_accepted_and_names_its_format(demo: DemoReport) -> None:
    report = json.loads((demo.folder / "report.json").read_text(encoding="utf-8"))
    assert complaints("report", report) == []
    assert report["format"] == "lugbook-report-1"
    assert "## lugbook-report-1" in (DOCS.parent / "report-json.md").read_text(encoding="utf-8")
    assert complaints("report", {**report, "format": "lugbook-report-2"}) != []
    assert complaints("report", {**report, "defects": [{**report["defects"][0], "number": "1"}]}) != []

"""Choosing bases, overriding single limits, and what is wrong with a basis file."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from lugbook.load.bases import load_bases, read_basis
from lugbook.load.tree import Document, parse
from lugbook.model.basis import Basis

OWN = """format: lugbook-basis-1
id: yard-rules
title: Rules of the yard
edition: "3"
based_on: good-practice
limits:
  voltage_drop: {clause: yard rule 4, subject: drop, known: read, critical: 2 %, other: 5 %}
"""
CLAUSE = "clause: c, subject: s, known: read"


def load(folder: Path, *names: str) -> tuple[tuple[Basis, ...], Document]:
    text = "report:\n  bases:\n" + "".join(f"    - {name}\n" for name in names)
    document = parse(text, "findings.yaml")
    return load_bases(names, folder, document, ("report", "bases")), document


def codes(document: Document) -> list[tuple[str, int]]:
    return [(problem.code, problem.line) for problem in document.problems]


def test_several_bases_side_by_side(tmp_path: Path) -> None:
    found, document = load(tmp_path, "good-practice", "us-33cfr183")
    assert [basis.id for basis in found] == ["good-practice", "us-33cfr183"]
    assert document.problems == []


def test_an_own_basis_overrides_one_limit_and_names_it(tmp_path: Path) -> None:
    (tmp_path / "own.yaml").write_text(OWN, encoding="utf-8")
    (plain, own), document = load(tmp_path, "good-practice", "own.yaml")
    assert document.problems == []
    assert own.limits.voltage_drop is not None
    assert own.limits.voltage_drop.critical.value == pytest.approx(0.02)
    assert [(o.key, o.basis, o.by) for o in own.overridden] == [
        ("voltage_drop", "good-practice", "yard-rules")
    ]
    assert own.origin["voltage_drop"] == "yard-rules"
    assert own.origin["supports"] == "good-practice"
    assert own.limits.supports == plain.limits.supports
    assert own.kind == "practice"
    assert own.binds == plain.binds


def test_a_basis_on_its_own_needs_kind_and_binds() -> None:
    text = OWN.replace("based_on: good-practice\n", "")
    document = parse(text, "own.yaml")
    assert read_basis(document) is None
    assert codes(document) == [("P631", 1)]
    whole = parse(text.replace("limits:", "kind: practice\nbinds: the yard\nlimits:"), "own.yaml")
    basis = read_basis(whole)
    assert basis is not None
    assert basis.overridden == ()


def test_an_unknown_basis_has_a_hint(tmp_path: Path) -> None:
    found, document = load(tmp_path, "good-practise")
    assert found == ()
    assert codes(document) == [("P630", 3)]
    assert document.problems[0].hint == "did you mean 'good-practice'?"


def test_a_basis_named_twice(tmp_path: Path) -> None:
    found, document = load(tmp_path, "good-practice", "good-practice")
    assert len(found) == 1
    assert codes(document) == [("P203", 4)]


def test_a_basis_outside_the_job_is_refused(tmp_path: Path) -> None:
    assert codes(load(tmp_path, "../own.yaml")[1]) == [("P302", 3)]
    assert [problem.code for problem in load(tmp_path, "absent.yaml")[1].problems] == ["P001"]


BAD = [
    ("an unknown base", OWN.replace("good-practice", "good-practise"), "P630", 5),
    ("the shipped name for an own file", OWN.replace("yard-rules", "good-practice"), "P631", 2),
    ("an unknown limit", OWN.replace("voltage_drop:", "volt_drop:"), "P101", 7),
    ("a limit without its source", OWN.replace("known: read, ", ""), "P102", 7),
    ("a drop without unit", OWN.replace("2 %", "2"), "P119", 7),
    ("dates the wrong way round", OWN + "in_force: {from: 2020-01-01, to: 2019-01-01}\n", "P634", 8),
    (
        "a short row",
        OWN
        + f"  ampacity:\n    - {{{CLAUSE}, unit: mm2, ambient: 30 degC, ratings: [70, 90], rows: {{1: [5]}}}}\n",
        "P632",
        9,
    ),
    (
        "a row that falls",
        OWN
        + f"  ampacity:\n    - {{{CLAUSE}, unit: mm2, ambient: 30 degC, ratings: [70, 90], rows: {{1: [9, 5]}}}}\n",
        "P633",
        9,
    ),
    (
        "a larger size that carries no more",
        OWN
        + f"  ampacity:\n    - {{{CLAUSE}, unit: AWG, ambient: 30 degC, ratings: [70], rows: {{18: [9], 16: [9]}}}}\n",
        "P633",
        9,
    ),
    (
        "ratings that do not rise",
        OWN
        + f"  ampacity:\n    - {{{CLAUSE}, unit: AWG, ambient: 30 degC, ratings: [90, 70], rows: {{}}}}\n",
        "P633",
        9,
    ),
    (
        "a gauge that is none",
        OWN
        + f"  ampacity:\n    - {{{CLAUSE}, unit: AWG, ambient: 30 degC, ratings: [70], rows: {{17.5: [9]}}}}\n",
        "P606",
        9,
    ),
    ("a factor above ten", OWN + f"  cranking_estimate: {{{CLAUSE}, factor: 11}}\n", "P121", 8),
    ("a factor that is no number", OWN + f"  cranking_estimate: {{{CLAUSE}, factor: half}}\n", "P121", 8),
    (
        "a factor for a rating that is none",
        OWN + f"  ambient:\n    - {{{CLAUSE}, ambient: 50 degC, factors: {{hot: 0.5}}}}\n",
        "P632",
        9,
    ),
    ("an unknown label", OWN + "kind: rumour\n", "P105", 8),
]


@pytest.mark.parametrize(("text", "code", "line"), [row[1:] for row in BAD], ids=[row[0] for row in BAD])
def test_faults_have_their_place(text: str, code: str, line: int) -> None:
    document = parse(text, "own.yaml")
    assert read_basis(document) is None
    assert codes(document) == [(code, line)]


TODAY = date(2026, 11, 25)


def basis(name: str) -> Basis:
    (found,), _ = load(Path(), name)
    return found


def test_labels() -> None:
    law, metric, practice = basis("us-33cfr183"), basis("metric-small-craft"), basis("good-practice")
    assert law.label(built=1994, on=TODAY, bound=True) == "law in force"
    assert law.label(built=1994, on=TODAY, bound=False) == "good practice"
    assert metric.label(built=2015, on=TODAY, bound=True) == "standard at build"
    assert metric.label(built=2015, on=date(2020, 6, 1), bound=True) == "current standard"
    assert metric.label(built=1994, on=TODAY, bound=True) == "good practice"
    assert metric.label(built=None, on=TODAY, bound=True) == "good practice"
    assert practice.label(built=2026, on=TODAY, bound=True) == "good practice"
    newer = next(rule for rule in metric.limits.overcurrent if rule.clause.startswith("ISO 13297"))
    assert metric.label(built=1994, on=TODAY, bound=True, limit=newer) == "current standard"


def test_the_last_day_in_force_counts() -> None:
    metric = basis("metric-small-craft")
    assert metric.label(built=2015, on=date(2021, 4, 21), bound=True) == "current standard"
    assert metric.label(built=2015, on=date(2021, 4, 22), bound=True) == "standard at build"


def test_who_is_bound() -> None:
    law, metric = basis("us-33cfr183"), basis("metric-small-craft")
    assert law.bound(volts=12, fuel="petrol", outboard=False, hull=8)
    assert not law.bound(volts=12, fuel="diesel", outboard=False, hull=8)
    assert not law.bound(volts=12, fuel="petrol", outboard=True, hull=8)
    assert not law.bound(volts=12, fuel=None, outboard=None, hull=8)
    assert metric.bound(volts=24, fuel="diesel", outboard=None, hull=24.0)
    assert not metric.bound(volts=24, fuel="diesel", outboard=None, hull=24.1)
    assert not metric.bound(volts=24, fuel="diesel", outboard=None, hull=None)
    assert metric.bound(volts=50, fuel=None, outboard=None, hull=10)
    assert not metric.bound(volts=51.2, fuel=None, outboard=None, hull=10)

"""The reader of YAML text: places, scalars as written, and what it says in plain words."""

from __future__ import annotations

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from lugbook.load import tree
from lugbook.load.tree import Mapping, Plain, Scalar, Sequence, parse


def plain(text: str) -> object:
    document = parse(text, "f.yaml")
    assert document.problems == []
    return document.plain()


def only(text: str) -> tuple[int, int, str, str]:
    """Line, column, code and message of the one problem of a text."""
    document = parse(text, "f.yaml")
    document.plain()
    (problem,) = document.problems
    return problem.line, problem.column, problem.code, problem.message


def test_scalars_stay_text() -> None:
    text = "a: 1e3\nb: 010\nc: no\nd: 2026-06-02\ne: ~\nf: 'x'\ng:\nh: |\n  two\n  lines\n"
    read = {
        "a": "1e3",
        "b": "010",
        "c": "no",
        "d": "2026-06-02",
        "e": "~",
        "f": "x",
        "g": None,
        "h": "two\nlines\n",
    }
    assert plain(text) == read


def test_unquoted_text_is_known_as_such() -> None:
    read = plain("a: no\nb: 'no'\nc: \"no\"\nd: >-\n  no\n")
    assert isinstance(read, dict)
    assert {key: isinstance(value, Plain) for key, value in read.items()} == {
        "a": True,
        "b": False,
        "c": False,
        "d": False,
    }


@pytest.mark.parametrize(
    ("text", "path", "place"),
    [
        ("a:\n  - b: 1\n    c: 2\n", ("a", 0, "c"), (3, 8)),
        ("a: [x, {b: 1}]\n", ("a", 1, "b"), (1, 12)),
        ("a:\r\n  b: 1\r\n", ("a", "b"), (2, 6)),
        ("a:\r  b: 1\r", ("a", "b"), (2, 6)),
        ("\ufeffa: {b: 1}\n", ("a", "b"), (1, 8)),
        ("😀: {b: 1}\n", ("😀", "b"), (1, 8)),
        ("a: 1\n", ("a", "b", "c"), (1, 4)),
        ("a: 1\n", ("z",), (1, 1)),
        ("a: [1]\n", ("a", 7), (1, 4)),
    ],
)
def test_places_count_characters_from_one(
    text: str, path: tuple[str | int, ...], place: tuple[int, int]
) -> None:
    mark = parse(text, "f.yaml").locate(path)
    assert (mark.line, mark.column) == place


def test_a_key_has_a_place_of_its_own() -> None:
    mark = parse("a:\n  bb:   1\n", "f.yaml").locate(("a", "bb"), on_key=True)
    assert (mark.line, mark.column) == (2, 3)


@pytest.mark.parametrize(
    ("text", "line", "column", "words"),
    [
        ("a:\n\t- b", 2, 1, "a tab stands on this line"),
        ("a: 1\nb\n", 2, 1, "a key without its colon"),
        ("report\n  number: 3", 1, 1, "a key without its colon"),
        ("a:\n  b 1\n  c: 2", 2, 3, "a key without its colon"),
        ("a:1\nb: 2", 1, 1, "a key without its colon"),
        ("a: b\n c: d", 2, 3, "a colon stands where none is expected"),
        ("a: b: c", 1, 5, "a colon stands where none is expected"),
        ("a: 'x\nb: c\n", 1, 4, "a quote was opened and never closed"),
        ("a: [1, 2\nb: c", 2, 2, "lacks a comma or its end"),
        ("a: {x: 1\nb: 2", 2, 2, "lacks a comma or its end"),
        ("a:\n- b\nc: d\n- e", 4, 1, "a list entry among keys"),
        ('a: "b" c', 1, 8, "text goes on after the closing quote"),
        ("a: {b: c}\n  - d", 2, 3, "a list entry among keys"),
        ("- a\nb: c", 2, 1, "goes on here without its dash"),
        ("a: - b", 1, 4, "a dash stands where no list can begin"),
        ("a: @foo", 1, 4, "put the text in quotes"),
        ("a: > 200 Mohm", 1, 6, "must stand in quotes"),
        ('a: "\\q"', 1, 5, "unknown \\ sequence"),
    ],
)
def test_faults_of_yaml_in_plain_words(text: str, line: int, column: int, words: str) -> None:
    found = only(text)
    assert found[:3] == (line, column, "P003")
    assert words in found[3]
    assert not any(jargon in found[3] for jargon in ("token", "scanning", "parsing", "expected <"))


@pytest.mark.parametrize(
    ("line", "warned"),
    [
        ("note: Panel #3 is loose", True),
        ("note: Panel  #3", True),
        ("- Panel #3", True),
        ("{a: b #c\n}", True),
        ("note: 'Panel #3 is loose'", False),
        ("note: Panel#3", False),
        ("note: Panel # three", False),
        ("note: Panel #", False),
        ("note: #3", False),
        ("note: Panel   # ---", False),
        ("note: |\n  Panel #3", False),
        ("#commented: out", False),
    ],
)
def test_text_that_would_be_lost_as_a_comment(line: str, warned: bool) -> None:
    document = parse(line, "f.yaml")
    found = [(problem.code, problem.severity) for problem in document.problems if problem.code != "P004"]
    assert found == ([("P405", "warning")] if warned else [])


@pytest.mark.parametrize("text", ["", "\n", "# only a comment\n", "---\n", "---\n...\n", "\ufeff"])
def test_an_empty_file_is_said_to_be_empty(text: str) -> None:
    assert only(text)[2:] == ("P004", "the file is empty")


@pytest.mark.parametrize(
    "text", ["a: 1\n---\nb: 2\n", "---\n---\na: 1\n", "a: 1\n...\n---\nb: 1\n", "a: 1\n---\n"], ids=repr
)
def test_one_document_a_file(text: str) -> None:
    assert only(text)[2] == "P004"


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("a: 1\na: 2\n", (2, 1)),
        ("a: {b: 1, b: 2}\n", (1, 11)),
        ("a:\n  - c: 1\n    c: 2\n", (3, 5)),
        ("a: [{d: 1, 'd': 2}]\n", (1, 12)),
        ("a: 1\n'a': 2\n", (2, 1)),
    ],
)
def test_doubled_keys_at_every_level(text: str, place: tuple[int, int]) -> None:
    line, column, code, message = only(text)
    assert ((line, column), code) == (place, "P103")
    assert "stands twice here" in message


def test_every_doubled_key_is_reported() -> None:
    document = parse("a: 1\na: 2\na: 3\nb: {c: 1, c: 2}\n", "f.yaml")
    document.plain()
    assert [(p.line, p.code) for p in document.problems] == [(2, "P103"), (3, "P103"), (4, "P103")]


@pytest.mark.parametrize("text", ["? [a]\n: b\n", "? {a: 1}\n: b\n", "{[a]: b}\n", "a: {? {b: 1} : c}\n"])
def test_a_key_must_be_a_word(text: str) -> None:
    assert only(text)[2:] == ("P104", "a key must be a word")


def test_the_slow_reader_finds_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without libyaml the reader in Python is used; trees and places are the same."""
    text = "a: [x, {b: 1}]\nc:\n  - d: 'e'\n    f: |\n      g\n"
    with_c = parse(text, "f.yaml").root
    monkeypatch.setattr(tree, "Loader", yaml.SafeLoader)
    assert parse(text, "f.yaml").root == with_c


def _native(node: tree.Node) -> object:
    if isinstance(node, Scalar):
        return node.text
    if isinstance(node, Sequence):
        return [_native(item) for item in node.items]
    return {key.text: _native(value) for key, value in node.entries}


SAFE = st.text(
    st.characters(exclude_categories=("C", "Zl", "Zp"), exclude_characters="\x85\u180e"), max_size=20
)
TREES = st.recursive(
    SAFE, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(SAFE, inner, max_size=3), max_leaves=8
)


@settings(max_examples=150, deadline=None)
@given(tree=st.dictionaries(SAFE.filter(bool), TREES, min_size=1, max_size=3))
def test_what_another_writer_writes_is_read_back(tree: dict[str, object]) -> None:
    """Text dumped by PyYAML with all scalars quoted comes back as it was."""
    text = yaml.safe_dump(tree, default_style='"', allow_unicode=True, width=10_000)
    text = text.replace("!!str ", "")
    document = parse(text, "f.yaml")
    assert document.problems == []
    assert isinstance(document.root, Mapping)
    assert _native(document.root) == tree


@settings(max_examples=300, deadline=None)
@given(text=st.text(st.sampled_from("ab:-[]{}&*!|>'\"#%@`?, \n\t\\\ufeff\u202e\x00\r10"), max_size=40))
def test_any_text_gives_a_tree_or_problems(text: str) -> None:
    document = parse(text, "f.yaml")
    assert (document.root is None) == bool(document.errors)
    document.plain()
    for problem in document.problems:
        assert problem.code.startswith(("P0", "P1")) or problem.code == "P405"
        assert problem.line >= 1
        assert problem.column >= 1

"""Putting two versions of the findings together: worked examples, and what holds for all of them."""

from __future__ import annotations

import copy
from typing import Any

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st
from small_jobs import DEMO

from lugbook.compose.yaml_text import yaml_text
from lugbook.load.merge import merge
from lugbook.load.merge_ids import colliding, pictures_named, renamed
from lugbook.load.merge_nodes import bare, lean, source_of
from lugbook.model.export import Conflict, Merged, Side

BASE = """# Findings of the day
format: lugbook-findings-1
last_defect: 1
report:
  number: R1   # ours
  checklists: [small-craft-dc]
  visit: {date: 2026-06-02, present: [Ada, Ben], place: A yard}
  limitations:
    - The bilge was wet.
readings: []
results:

  # Is it held?
  - item: battery-held
    result: no departure seen
    extent: whole    # pushed and pulled

  # Is it fused?
  - item: fuse-battery-service
    result: defect
    extent: whole
    defects:
      - id: d1
        title: No fuse
        place: Locker
        seen: >-
          The cable leaves the post
          without a fuse.
        photos:
          - {file: a.jpg, caption: A, alt: A post, marks: [{mark: ring, at: [0.4, 0.5], size: 0.2}]}
extra: []
"""


def value(text: str) -> Any:
    return lean(bare(source_of(text).root))


def no_question(conflict: Conflict) -> Side:
    raise AssertionError(conflict)


def joined(ours: str, theirs: str, base: str = BASE) -> str:
    """Merged without any conflict and without losing the layout."""
    merged = merge(base, ours, theirs, no_question)
    assert not merged.relaid
    return merged.text


def differing(old: str, new: str) -> tuple[list[str], list[str]]:
    """Lines that went, and lines that came."""
    before, after = old.splitlines(), new.splitlines()
    return [line for line in before if line not in after], [line for line in after if line not in before]


THEIRS: dict[str, tuple[tuple[str, str], list[str], list[str]]] = {
    "a value": (
        ("extent: whole    # pushed", "extent: part seen # pushed"),
        ["    extent: whole    # pushed and pulled"],
        ["    extent: part seen    # pushed and pulled"],
    ),
    "a new key": (("    result: no departure seen\n", "    result: no departure seen\n    note: It moved\n"), [], ["    note: It moved"]),
    "a long text": (
        ("    result: no departure seen\n", "    result: no departure seen\n    note: |-\n      One\n\n      two\n"),
        [],
        ["    note: |-", "      One", "      two"],
    ),
    "a group in brackets": (("place: A yard}", "place: 'B, yard', start: 09:30}"), [BASE.splitlines()[6]], [
        '  visit: {date: 2026-06-02, present: [Ada, Ben], place: "B, yard", start: 09:30}'
    ]),
    "a list that was empty": (
        ("readings: []\n", "readings:\n  - id: r1\n    quantity: voltage\n    value: 12.6 V\n    place: Post\n"),
        ["readings: []"],
        ["readings:", "  - id: r1", "    quantity: voltage", "    value: 12.6 V", "    place: Post"],
    ),
    "a new entry in the middle": (
        ("  # Is it fused?\n", "  - item: battery-vent\n    result:\n  # Is it fused?\n"),
        [],
        ["  - item: battery-vent", "    result:"],
    ),
    "a text in a list": (("    - The bilge was wet.\n", "    - The bilge was wet.\n    - Rain fell.\n"), [], ["    - Rain fell."]),
    "an entry less": (("    - The bilge was wet.\n", ""), ["    - The bilge was wet."], []),
    "a key less": (("    extent: whole    # pushed and pulled\n", ""), ["    extent: whole    # pushed and pulled"], []),
    "a mark more": (
        ("size: 0.2}]", "size: 0.2}, {mark: number, at: [0.1, 0.2], text: 3}]"),
        [next(line for line in BASE.splitlines() if "a.jpg" in line)],
        ["          - {file: a.jpg, caption: A, alt: A post, marks: [{mark: ring, at: [0.4, 0.5], size: 0.2}, {mark: number, at: [0.1, 0.2], text: 3}]}"],
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", THEIRS)
def test_what_only_the_phone_changed_is_taken_and_nothing_else_touched(name: str) -> None:
    (old, new), gone, came = THEIRS[name]
    theirs = BASE.replace(old, new, 1)
    assert theirs != BASE
    text = joined(BASE, theirs)
    assert value(text) == value(theirs)
    assert differing(BASE, text) == (gone, came)


@pytest.mark.parametrize("name", THEIRS)
def test_what_only_the_job_changed_stays_as_it_is(name: str) -> None:
    (old, new), _, _ = THEIRS[name]
    ours = BASE.replace(old, new, 1)
    assert joined(ours, BASE) == ours
    assert joined(ours, ours) == ours


def test_both_sides_at_different_places() -> None:
    ours = BASE.replace("A yard", "B yard").replace("title: No fuse", "title: No fuse at all  # said Ada")
    theirs = BASE.replace("place: Locker", "place: Port locker").replace(
        "present: [Ada, Ben]", "present: [Ada, Ben, Cy]"
    )
    text = joined(ours, theirs)
    for piece in ("B yard", "title: No fuse at all  # said Ada", "place: Port locker", "[Ada, Ben, Cy]"):
        assert piece in text


def test_windows_line_ends_stay() -> None:
    ours = BASE.replace("\n", "\r\n")
    text = joined(
        ours, BASE.replace("place: Locker", "place: Port locker\n        told: |-\n          A\n          B")
    )
    assert text.count("\n") == text.count("\r\n") == ours.count("\n") + 3


@pytest.mark.parametrize("side", ["ours", "theirs"])
def test_a_value_changed_on_both_sides_is_asked_for(side: Side) -> None:
    ours, theirs = BASE.replace("Locker", "Port locker"), BASE.replace("Locker", "Starboard locker")
    asked: list[Conflict] = []

    def choose(conflict: Conflict) -> Side:
        asked.append(conflict)
        return side

    text = merge(BASE, ours, theirs, choose).text
    assert text == (ours if side == "ours" else theirs)
    (conflict,) = asked
    assert conflict.path == "results.fuse-battery-service.defects.d1.place"
    assert (conflict.ours, conflict.theirs) == ("Port locker", "Starboard locker")
    assert ours.splitlines()[conflict.line - 1][conflict.column - 1 :] == "Port locker"


def test_changed_here_and_deleted_there_is_asked_for() -> None:
    photo = next(line for line in BASE.splitlines(keepends=True) if "a.jpg" in line)
    theirs = BASE.replace(photo, "").replace("        photos:\n", "")
    ours = BASE.replace("alt: A post", "alt: A bare post")
    asked: list[str] = []

    def choose(conflict: Conflict) -> Side:
        asked.append(f"{conflict.path}: {conflict.theirs}")
        return "theirs"

    assert value(merge(BASE, ours, theirs, choose).text) == value(theirs)
    assert asked == ["results.fuse-battery-service.defects.d1.photos: (nothing)"]


def test_the_higher_count_of_defects_stays() -> None:
    ours, theirs = (
        BASE.replace("last_defect: 1", "last_defect: 4"),
        BASE.replace("last_defect: 1", "last_defect: 3"),
    )
    assert "last_defect: 4" in joined(ours, theirs)
    assert "last_defect: 4" in joined(theirs, ours)


def test_figures_in_a_pair_are_no_set() -> None:
    base = BASE.replace("readings: []", "readings:\n  - {id: r, maker: [13.8 V, 14.4 V]}")
    ours, theirs = base.replace("14.4 V", "14.6 V"), base.replace("13.8 V", "13.9 V")
    asked: list[str] = []

    def choose(conflict: Conflict) -> Side:
        asked.append(conflict.path)
        return "theirs"

    assert "[13.9 V, 14.4 V]" in merge(base, ours, theirs, choose).text
    assert asked == ["readings.r.maker"]


def test_one_id_for_two_defects_is_given_anew() -> None:
    add = "      - {{id: d2, title: {0}, place: P, seen: S}}\nextra: []\n"
    ours, theirs = (BASE.replace("extra: []\n", add.format(name)) for name in ("Mine", "Theirs"))
    theirs = theirs.replace(
        "    result: no departure seen\n", "    result: no departure seen\n    see: [d2, d1]\n"
    )
    assert colliding(BASE, ours, theirs) == {"d2": "d3"}
    assert colliding(BASE, ours, ours) == {}
    other = renamed(theirs, {"d2": "d3"}, {})
    assert "see: [d3, d1]" in other
    ids = [d["id"] for d in yaml.safe_load(joined(ours, other))["results"][1]["defects"]]
    assert sorted(ids) == ["d1", "d2", "d3"]


def test_pictures_are_renamed_where_they_are_named() -> None:
    assert pictures_named(BASE) == {"a.jpg"}
    other = renamed(BASE, {}, {"a.jpg": "a-2.jpg"})
    assert differing(BASE, other)[1] == [
        line.replace("a.jpg", "a-2.jpg") for line in BASE.splitlines() if "a.jpg" in line
    ]


# --- what holds for all ----------------------------------------------------------------------------------------------

WORDS = st.sampled_from(
    ["Locker", "a: b", "no", "# not a comment", "12.6 V", "two\nlines", "", "- dash", "it's", 'ä " ö', "{x}"]
)
PLACE = st.lists(st.integers(0, 3), max_size=3)


def findings(letters: str, notes: list[str], spare: bool) -> dict[str, Any]:
    """A small tree of the shape of findings."""
    return {
        "last_defect": 3,
        "report": {"number": "R1", "present": ["Ada"], "note": notes[0] or None},
        "results": [
            {
                "item": f"item-{letter}",
                "result": notes[number % len(notes)],
                "defects": [
                    {"id": f"d{number}", "title": "T", "photos": [{"file": f"{letter}.jpg", "alt": "x"}]}
                ],
            }
            for number, letter in enumerate(letters)
        ],
        **({"extra": []} if spare else {}),
    }


@st.composite
def changed(draw: st.DrawFn, tree: dict[str, Any], side: str) -> dict[str, Any]:
    """The tree with a few changes, of which new things carry the side's name."""
    new = copy.deepcopy(tree)
    for number in range(draw(st.integers(0, 4))):
        kind = draw(st.sampled_from(["text", "key", "less", "entry", "gone", "report", "present"]))
        results = new["results"]
        one = results[draw(st.integers(0, len(results) - 1))] if results else None
        if kind == "report":
            new["report"]["note"] = draw(WORDS)
        elif kind == "present":
            new["report"]["present"].append(f"{side}{number}")
        elif kind == "entry":
            entry = {"item": f"{side}-{number}", "result": draw(WORDS)}
            results.insert(draw(st.integers(0, len(results))), entry)
        elif one is None:
            continue
        elif kind == "text":
            one["result"] = draw(WORDS)
        elif kind == "key":
            one[f"{side}{number}"] = draw(WORDS)
        elif kind == "less":
            one.pop("defects", None)
        else:
            results.remove(one)
    return new


@st.composite
def three(draw: st.DrawFn) -> tuple[str, str, str]:
    """A base and two versions of it, as text; comments stand in ours."""
    base = findings(
        draw(st.sampled_from(["a", "ab", "abcd"])),
        draw(st.lists(WORDS, min_size=1, max_size=3)),
        draw(st.booleans()),
    )
    ours, theirs = draw(changed(base, "ours")), draw(changed(base, "theirs"))
    return yaml_text(base), commented(yaml_text(ours)), yaml_text(theirs)


def commented(text: str) -> str:
    """A comment before every entry of the results."""
    lines = text.split("\n")
    return "\n".join(
        f"  # note {n}\n{line}" if line.startswith("  - item:") else line for n, line in enumerate(lines)
    )


def settled(base: str, ours: str, theirs: str, side: Side) -> Merged:
    return merge(base, ours, theirs, lambda _conflict: side)


def unordered(tree: Any) -> Any:
    """Lists as sets: the two sides put their new entries in an order of their own."""
    if isinstance(tree, dict):
        return {key: unordered(inner) for key, inner in tree.items()}
    if isinstance(tree, list):
        return sorted((unordered(inner) for inner in tree), key=repr)
    return tree


@settings(max_examples=70, deadline=None)
@given(three())
def test_laws(texts: tuple[str, str, str]) -> None:
    base, ours, theirs = texts
    # A side that changed nothing changes nothing, to the byte; and takes over all of the other.
    assert settled(base, ours, base, "theirs").text == ours
    assert settled(base, ours, ours, "theirs").text == ours
    taken = settled(base, base, theirs, "ours")
    assert (value(taken.text), taken.conflicts) == (value(theirs), ())
    # What both changed otherwise goes as it was chosen; without that, the sides may change places.
    one, other = settled(base, ours, theirs, "ours"), settled(base, theirs, ours, "theirs")
    assert {c.path for c in one.conflicts} == {c.path for c in other.conflicts}
    assert unordered(value(one.text)) == unordered(value(other.text))
    # Merged once, the same export has nothing more to give.
    again = settled(theirs, one.text, theirs, "theirs")
    assert again.text == one.text


@settings(max_examples=40, deadline=None)
@given(three())
def test_comments_of_entries_that_stay_are_kept(texts: tuple[str, str, str]) -> None:
    base, ours, theirs = texts
    merged = settled(base, ours, theirs, "ours")
    assert not merged.relaid
    notes = {line.strip() for line in ours.splitlines() if line.startswith("  # note")}
    kept = {line.strip() for line in merged.text.splitlines() if line.startswith("  # note")}
    items = [{result["item"] for result in value(text).get("results") or ()} for text in (ours, theirs)]
    if items[0] & items[1]:  # a list of which nothing stays is exchanged as a whole
        assert kept == notes


def test_the_demo_against_itself_with_everything_of_a_group_changed() -> None:
    base = (DEMO / "findings.yaml").read_text(encoding="utf-8")
    theirs = (
        base.replace("extent: whole", "extent: part seen")
        .replace("12.28 V", "12.31 V")
        .replace("length: 0.9 m", "length: 0.95 m")
    )
    merged = merge(base, base, theirs, no_question)
    assert (merged.text, merged.relaid) == (theirs, False)
    assert len(merged.taken) > 30

"""A remedy: laid over the installation, assessed like it, its parts against a list made by hand.

The boat of these tests: 12 V, one battery of known short-circuit current, a panel behind a bare cable of 16 mm2 and a
pump whose fuse is too large. The parts list is worked out by hand in the comments of `test_the_list_by_hand`.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path

import pytest
from small_jobs import HEAD, checklist, item

from lugbook.assess.judge import assess
from lugbook.cli import main
from lugbook.load.job import load_job
from lugbook.model.assessed import Assessed
from lugbook.model.parts import PartsList
from lugbook.model.remedied import Remedied

BOAT = """installation:
  system: 12 V
  nodes:
    - {id: panel, kind: panel, stud: M6}
    - {id: neg-bus, kind: bus, stud: M8}
  batteries:
    - {id: house, chemistry: flooded, capacity: 100 Ah, short_circuit: 2 kA, studs: {pos: M8, neg: M8}}
  loads:
    - {id: pump, kind: motor, current: 3 A, max_fuse: 5 A, studs: {pos: clamp, neg: clamp}}
    - {id: heater, current: 8 A, studs: {pos: M5, neg: M5}}
  conductors:
    - {id: main, from: house.pos, to: panel, area: 16 mm2, length: 1.5 m, insulation: 90 degC}
    - {id: back, from: neg-bus, to: house.neg, area: 16 mm2, length: 1.5 m, insulation: 90 degC}
    - {id: pump-feed, from: panel, to: pump.pos, area: 2.5 mm2, length: 3 m, insulation: 90 degC, space: bilge, devices: [{id: pump-fuse, type: blade, rating: 10 A, volts: 32 V, dc: yes, breaks: [[32 V, 2 kA]]}]}
    - {id: pump-back, from: pump.neg, to: neg-bus, area: 2.5 mm2, length: 3 m, insulation: 90 degC}
    - {id: heater-feed, from: panel, to: heater.pos, area: 1.5 mm2, length: 4.3 m, insulation: 90 degC, devices: [{id: heater-fuse, type: blade, rating: 10 A, volts: 32 V, dc: yes, breaks: [[32 V, 2 kA]]}]}
    - {id: heater-back, from: heater.neg, to: neg-bus, area: 1.5 mm2, length: 4.3 m, insulation: 90 degC}
remedy:
"""
BY = "    accepted_by: A. N. Other\n    on: 2026-06-03\n"
FUSE = """  - id: main-fuse
    title: A fuse at the battery
    hours: [1 h, 1.5 h]
    change:
      conductors:
        - {id: main, space: battery space, devices: [{id: main-fuse, type: bolt-in strip, rating: 60 A, volts: 32 V, dc: yes, breaks: [[32 V, 6 kA]], at: 0.1 m, stud: M8}]}
"""
HEATER = """  - id: heater-cables
    title: Thicker cables for the heater
    hours: 20 min
    change:
      conductors:
        - {id: heater-feed, area: 4 mm2}
        - {id: heater-back, area: 4 mm2}
    parts:
      - {quantity: 3, what: "=1+1"}
"""
PUMP = """  - id: pump-fuse
    title: The right fuse for the pump
    change:
      conductors:
        - {id: pump-feed, devices: [{id: pump-fuse, type: blade, rating: 5 A, volts: 32 V, dc: yes, breaks: [[32 V, 2 kA]]}]}
"""


def accepted(text: str) -> str:
    """The proposals with a designer."""
    head, *rest = text.split("    title:")
    return head + "".join(f"{BY}    title:{part}" for part in rest)


def remedy_of(made: Assessed) -> Remedied:
    assert made.remedied is not None
    return made.remedied


def parts_of(made: Assessed) -> PartsList:
    parts = remedy_of(made).parts
    assert parts is not None
    return parts


@pytest.fixture
def boat(judged: Callable[[str, str], Assessed]) -> Callable[[str], Assessed]:
    return lambda remedy: judged(BOAT + remedy, checklist(item("battery-held")))


def test_the_list_by_hand(boat: Callable[[str], Assessed]) -> None:
    """Worked out by hand, from the drawing of the boat above and the rules that the report prints.

    Cable 4 mm2 (heater), one length each way of 4.3 m:
      red    4.3 m x 1.10 = 4.73 m, rounded up to 0.1 m: 4.8 m, of which 0.5 m waste
      black  the same: the return pole is black
    Fuse-links: one of 60 A and one to spare; one of 5 A and one to spare. Holders: one bolt-in strip; the pump keeps its
    own holder, since the class of its fuse stays.
    Ends: the strip fuse cuts the 16 mm2 cable: two lugs 16 mm2 for its stud M8, hole 8.4 mm; 2 x 0.2 = 0.4, so one to spare.
      Heater, feed: panel M6 -> lug 4 mm2, hole 6.4 mm; heater M5 -> lug 4 mm2, hole 5.3 mm; its blade holder stands in a new
      cable, so two ends whose stud nobody described: not bought yet.
      Heater, return: heater M5 -> lug 4 mm2, hole 5.3 mm; neg-bus M8 -> lug 4 mm2, hole 8.4 mm.
      So 4 mm2: one M6 (+1), two M5 (2 x 0.2 = 0.4, +1), one M8 (+1).
    Sleeve, 50 mm an end and a fifth more, up to 0.1 m: 16 mm2 red 2 ends 100 mm x 1.2 = 120 -> 0.2 m;
      4 mm2 red 2 lugs and 2 ends at the holder 200 x 1.2 = 240 -> 0.3 m; 4 mm2 black 2 ends 100 x 1.2 -> 0.2 m.
    Clips, no gap above 450 mm (ISO 10133:2012, 7.3, second-hand): 4.3 m / 0.45 m = 9.6, so 10 gaps and 9 clips between
      the ends; two cables 18; 18 x 0.2 = 3.6, so 4 to spare.
    Labels: two new cables, two each; two fuses: 4 + 2 = 6.
    Holes: ISO 273:1979, fine series (6.4 mm for M6, 5.3 mm for M5, 8.4 mm for M8).
    """
    found = parts_of(boat(accepted(FUSE + HEATER + PUMP)))
    rows = {
        (part.kind, part.size, part.colour or part.stud or part.what, part.rating): (
            part.needed,
            part.spare,
            part.hole,
        )
        for part in found.parts
    }
    mm = Decimal
    assert rows == {
        ("cable", "4 mm2", "red", None): (mm(4300), mm(500), None),
        ("cable", "4 mm2", "black", None): (mm(4300), mm(500), None),
        ("fuse", "", "bolt-in strip", 60.0): (1, 1, None),
        ("fuse", "", "blade", 5.0): (1, 1, None),
        ("holder", "", "bolt-in strip", None): (1, 0, None),
        ("lug", "16 mm2", "M8", None): (2, 1, pytest.approx(8.4e-3)),
        ("lug", "4 mm2", "M6", None): (1, 1, pytest.approx(6.4e-3)),
        ("lug", "4 mm2", "M5", None): (2, 1, pytest.approx(5.3e-3)),
        ("lug", "4 mm2", "M8", None): (1, 1, pytest.approx(8.4e-3)),
        ("sleeve", "16 mm2", "red", None): (mm(100), mm(100), None),
        ("sleeve", "4 mm2", "red", None): (mm(200), mm(100), None),
        ("sleeve", "4 mm2", "black", None): (mm(100), mm(100), None),
        ("clip", "4 mm2", "", None): (18, 4, None),
        ("label", "", "", None): (6, 0, None),
        ("other", "", "=1+1", None): (3, 0, None),
    }
    assert {(one.element, one.why) for one in found.wanting} == {("heater-feed", "stud")}


def test_what_nobody_accepted_is_neither_bought_nor_estimated_nor_drawn(
    boat: Callable[[str], Assessed],
) -> None:
    made = boat(FUSE + accepted(PUMP))
    found = remedy_of(made)
    assert made.job.accepted is not None
    assert not any(
        d.device.id == "main-fuse" for c in made.job.accepted.network.conductors for d in c.devices
    )
    assert {part.rating for part in parts_of(made).parts if part.kind == "fuse"} == {5.0}
    assert found.estimate is not None
    assert (found.estimate.seconds.high, found.estimate.untimed) == (0, ("pump-fuse",))
    none = remedy_of(boat_of(FUSE, made))
    assert (none.parts, none.estimate, none.counts) == (None, None, None)
    assert none.proposals[0].figures[0].fault is not None  # a suggestion is worked out all the same


def boat_of(remedy: str, made: Assessed) -> Assessed:
    folder = made.job.folder
    (folder / "findings.yaml").write_text(HEAD + BOAT + remedy, encoding="utf-8")
    job, problems = load_job(folder)
    assert job is not None, problems
    return assess(job)


def test_the_same_analyses_say_before_and_after(boat: Callable[[str], Assessed]) -> None:
    found = remedy_of(boat(accepted(FUSE + PUMP)))
    rows = {(row.analysis, row.subject): (row.before, row.after) for row in found.compared}
    assert rows["coverage", "main"] == ("departure", "within")
    assert rows["coordination", "pump-fuse"] == ("departure", "within")
    assert found.counts is not None
    assert found.counts[1][0] < found.counts[0][0]
    assert all(
        stretch.end - stretch.start <= 0.1 + 1e-9 for stretch in found.bare if stretch.conductor == "main"
    )


@pytest.mark.parametrize(
    ("old", "new", "lacks"),
    [
        ("breaks: [[32 V, 6 kA]], ", "", "breaking capacity"),
        ("breaks: [[32 V, 6 kA]], ", "breaks: [[32 V, 1 kA]], ", "too weak"),
        ("volts: 32 V, ", "", "voltage"),
        ("space: battery space, ", "", "place"),
    ],
)
def test_no_figure_without_the_four_facts(
    boat: Callable[[str], Assessed], old: str, new: str, lacks: str
) -> None:
    assert old in FUSE
    made = boat(accepted(FUSE.replace(old, new)))
    figures = remedy_of(made).proposals[0].figures[0]
    assert figures.lacks == (lacks,)
    found = parts_of(made)
    assert [(one.element, one.why) for one in found.wanting] == [("main-fuse", lacks)]
    assert not [part for part in found.parts if part.kind in ("fuse", "holder")]


def test_the_makers_limit_is_asked_for_and_can_be_none(boat: Callable[[str], Assessed]) -> None:
    change = PUMP.replace("pump-feed", "heater-feed, space: duct").replace("pump-fuse", "heater-fuse")
    made = boat(accepted(change))
    assert remedy_of(made).proposals[0].figures[0].lacks == ("equipment limit",)
    none = (
        remedy_of(boat_of(accepted(change) + "    no_maker_limit: [heater]\n", made)).proposals[0].figures[0]
    )
    assert (none.lacks, none.why_limit) == ((), "maker sets none")


def test_a_cable_of_the_same_kind_is_bought_only_if_it_is_renewed(boat: Callable[[str], Assessed]) -> None:
    same = accepted("  - id: a\n    title: A\n    change: {conductors: [{id: main, area: 16 mm2}]}\n")
    made = boat(same)
    assert parts_of(made).parts == ()
    again = parts_of(boat_of(same + "    renew: [main]\n", made))
    assert [(p.kind, p.needed) for p in again.parts if p.kind in ("cable", "lug")] == [
        ("cable", 1500), ("lug", 1), ("lug", 1),
    ]  # fmt: skip


def test_files_hold_no_formula_and_what_a_suggestion_says_is_read_back(
    boat: Callable[[str], Assessed], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = boat(accepted(HEATER)).job.folder
    assert main(["parts", str(folder), "-o", str(tmp_path / "out"), "--quiet"]) == 0
    text = (tmp_path / "out" / "trial" / "parts.csv").read_bytes().decode("utf-8-sig")
    rows = list(csv.reader(io.StringIO(text)))
    assert [row[1] for row in rows if "1+1" in row[1]] == ["'=1+1"]
    page = (tmp_path / "out" / "trial" / "parts.html").read_text(encoding="utf-8")
    assert page.count('type="checkbox"') == len([row for row in rows[1:] if row[2]])
    (folder / "findings.yaml").write_text(HEAD + BOAT.removesuffix("remedy:\n"), encoding="utf-8")
    capsys.readouterr()
    assert main(["parts", str(folder), "-o", str(tmp_path / "none"), "--quiet"]) == 2
    assert not (tmp_path / "none").exists()
    capsys.readouterr()
    assert main(["suggest", str(folder)]) == 0
    said = capsys.readouterr().out
    assert "id: fuse-main" in said
    assert "rating: 5 A" in said
    before = assess_of(folder).evidence
    (folder / "findings.yaml").write_text(
        HEAD + BOAT.removesuffix("remedy:\n") + accepted(said), encoding="utf-8"
    )
    after = remedy_of(assess_of(folder))
    assert after.counts is not None
    assert after.counts[1][0] < sum(one.verdict == "departure" for one in before)
    assert all(row.after != "departure" for row in after.compared if row.subject in ("main", "pump-fuse"))


def assess_of(folder: Path) -> Assessed:
    job, problems = load_job(folder)
    assert job is not None, problems
    return assess(job)

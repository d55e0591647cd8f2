"""What the drawing says: the right parts and wires, lengths, devices, defects and words. Figures by hand."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from diagram_cases import BOATS, WORDS, load, load_data

from lugbook.assess.evidence.poles import poles
from lugbook.compose.diagram import compose_diagram
from lugbook.compose.diagram_path import drawn_at, long, piece, tidy
from lugbook.model.diagram import DiagramBox, DiagramSheet, DiagramView, DiagramWire
from lugbook.model.evidence import Stretch

NB = "\u00a0"


def draw(
    name: str, stretches: tuple[Stretch, ...] | None = (), defects: dict[str, list[int]] | None = None
) -> DiagramView:
    network = load(BOATS / f"{name}.yaml")
    return compose_diagram(network, poles(network).back, stretches, defects or {}, WORDS)


def wire(sheet: DiagramSheet, name: str) -> DiagramWire:
    return next(w for w in sheet.wires if w.id == name)


def box(sheet: DiagramSheet, name: str) -> DiagramBox:
    return next(b for b in sheet.boxes if b.id == name)


def lines(found: DiagramBox | DiagramWire) -> list[str]:
    return [text.text.replace(NB, " ") for text in found.texts]


def test_the_boat_with_a_four_position_switch() -> None:
    view = draw("four-position-switch")
    live, back = view.sheets
    assert (live.title, back.title) == ("The live side", "The return side")
    columns = {x: sorted(b.id for b in live.boxes if b.x == x) for x in sorted({b.x for b in live.boxes})}
    assert list(columns.values()) == [
        ["alternator", "cabin", "start"],
        ["main", "panel"],
        ["bilge-pump", "cabin-lights", "nav-lights", "radio", "starter"],
    ]
    assert {w.id for w in live.wires} == {
        "start-pos", "cabin-pos", "starter-pos", "charge-pos", "panel-feed",
        "nav-lights.feed", "bilge-pump.feed", "cabin-lights.feed", "radio.feed",
    }  # fmt: skip
    assert {w.id for w in back.wires} == {
        "start-neg", "cabin-neg", "bus-neg", "alternator@engine", "starter@engine",
    }  # fmt: skip
    assert [b.symbol.symbol for b in live.boxes if b.symbol and b.id in ("main", "start", "starter", "radio")] == [
        "selector", "load", "battery", "motor",
    ]  # fmt: skip
    assert lines(wire(live, "charge-pos")) == ["6 mm²", "0.9 m"]
    assert lines(box(live, "cabin"))[:2] == ["Cabin battery", "12 V 110 Ah"]
    assert {"common", "1", "2"} <= set(lines(box(live, "main")))
    assert wire(back, "starter@engine").kind == "direct"
    assert wire(back, "starter@engine").plate is None


def test_wires_run_from_the_from_end_to_the_to_end() -> None:
    live = draw("four-position-switch").sheets[0]
    run = wire(live, "start-pos")
    start, main = box(live, "start"), box(live, "main")
    assert run.points[0][0] == start.x + start.width
    assert run.points[-1][0] == main.x
    fuse = wire(live, "panel-feed").devices[0]  # at 3.4 m of 3.5 m: drawn beside the panel
    x, y = wire(live, "panel-feed").points[-1]
    assert abs(fuse.x - x) < 40
    assert fuse.y == y


def test_an_unprotected_length_ends_at_the_device() -> None:
    """panel-feed is 3.5 m with its fuse at 3.4 m: all but the last piece beside the panel is bare."""
    live = draw("four-position-switch", (Stretch("panel-feed", 0.0, 3.4),)).sheets[0]
    run = wire(live, "panel-feed")
    (bare,) = run.unprotected
    assert bare[0] == run.points[0]
    assert bare[-1] == (run.devices[0].x, run.devices[0].y)


def test_a_whole_length_and_a_middle_length() -> None:
    live = draw(
        "four-position-switch", (Stretch("start-pos", 0.0, 1.4), Stretch("cabin-pos", 0.45, 1.35))
    ).sheets[0]
    whole, middle = wire(live, "start-pos"), wire(live, "cabin-pos")
    assert whole.unprotected == (whole.points,)
    # 0.45 m to 1.35 m of 1.8 m, without a device: from a quarter to three quarters of the way, half of it.
    assert long(middle.unprotected[0]) == pytest.approx(long(middle.points) / 2, abs=0.05)
    assert middle.unprotected[0][0][0] > middle.points[0][0]


def test_pieces_of_a_way() -> None:
    way = ((0.0, 0.0), (10.0, 0.0), (10.0, 20.0), (40.0, 20.0))
    assert long(way) == 60
    assert piece(way, 5, 35) == ((5, 0), (10, 0), (10, 20), (15, 20))
    assert piece(way, 0, 60) == way
    assert tidy(((0, 0), (5, 0), (5, 0), (9, 0), (9, 4))) == ((0, 0), (9, 0), (9, 4))
    known = [(0.0, 0.0), (0.5, 20.0), (2.0, 60.0)]
    assert drawn_at(0.25, known, last=False) == 10  # half way to the device
    assert drawn_at(0.5, known, last=True) == 20
    assert drawn_at(1.25, known, last=False) == 40
    assert drawn_at(9.0, known, last=True) == 60
    at_end = [(0.0, 0.0), (2.0, 45.0), (2.0, 60.0)]  # a device at the very end
    assert drawn_at(2.0, at_end, last=False) == 45
    assert drawn_at(2.0, at_end, last=True) == 60


def test_defects_stand_at_their_places() -> None:
    places = {
        "start-pos": [1], "main": [2], "main.common": [3], "main:1-common": [4], "panel-feed.fuse": [5],
        "neg-bus": [6], "cabin.neg": [7], "radio": [8], "nowhere": [9], "radio.return": [10],
    }  # fmt: skip
    view = draw("four-position-switch", (), places)
    live, back = view.sheets

    def marks(found: DiagramBox | DiagramWire) -> list[str]:
        return [mark.text.text for mark in found.marks]

    assert marks(wire(live, "start-pos")) == ["1"]
    assert marks(box(live, "main")) == ["2", "3", "4"]
    assert marks(wire(live, "panel-feed")) == ["5"]
    assert marks(box(back, "neg-bus")) == ["6"]
    assert marks(box(back, "cabin")) == ["7"]
    assert marks(box(live, "cabin")) == []
    assert marks(box(live, "radio")) == ["8"]
    assert next(row for row in view.rows if row.id == "radio.return").defects == (10,)
    assert "Defects whose place is not on the drawing: 9." in view.summary
    assert (
        "Defects at parts: Cabin battery (7); Battery switch (2, 3, 4); Negative bus (6); VHF radio (8)."
        in view.summary
    )


def test_the_table_and_the_sentences() -> None:
    view = draw("four-position-switch", (Stretch("panel-feed", 0.0, 3.4), Stretch("start-pos", 0.0, 1.4)))
    assert len(view.rows) == 16
    assert [row.number for row in view.rows] == list(range(1, 17))
    row = next(row for row in view.rows if row.id == "panel-feed")
    assert (row.start, row.end) == ("Battery switch, common", "Panel")
    assert (row.size, row.length) == (f"10{NB}mm²", f"3.5{NB}m")
    assert row.devices.replace(NB, " ") == "50 A fuse (blade) at 3.4 m"
    assert row.unprotected.replace(NB, " ") == "3.4 m, from 0 m to 3.4 m"
    assert row.drawn
    assert not next(r for r in view.rows if r.id == "radio.return").drawn
    text = " ".join(view.summary).replace(NB, " ")
    assert "The installation has 3 sources: Cabin battery, Engine battery, alternator." in text
    assert "It has 5 loads" in text
    assert "2 conductors have lengths that no device protects against a solid short:" in text
    assert f"No. {row.number}, panel-feed: 3.4 m, from 0 m to 3.4 m." in text
    assert "4 conductors are in the table but not on the drawings" in text
    plate = wire(view.sheets[0], "panel-feed").plate
    assert plate is not None
    assert plate.text.text == str(row.number)


def test_nothing_is_claimed_where_nothing_was_computed() -> None:
    none = "No length is without protection beyond what the rules allow, by the calculation."
    assert none in draw("solar").summary
    assert none not in draw("solar", None).summary


def test_links_of_a_bank_are_told_at_the_bank() -> None:
    view = draw("split-negative", (Stretch("domestic.link-pos-1", 0.0, 0.35),), {"domestic.link-pos-1": [3]})
    bank = box(view.sheets[0], "domestic")
    assert "1 link not protected" in " ".join(lines(bank))
    assert bank.unprotected
    assert [mark.text.text for mark in bank.marks] == ["3"]
    assert next(row for row in view.rows if row.id == "domestic.link-pos-1").unprotected == "the whole length"


def test_a_gauge_keeps_its_feet() -> None:
    """7 in the file's feet is 2.1336 m; a metric length of a gauge stays in metres."""
    live = draw("two-alternators").sheets[0]
    assert lines(wire(live, "starter-pos")) == ["AWG 2/0", "6 ft"]
    assert [d.symbol for d in wire(live, "windlass.feed").devices] == ["breaker"]


def test_bonds_and_an_isolator_in_the_negative_are_on_the_return_side() -> None:
    live, back = draw("split-negative").sheets
    assert wire(back, "hull-bond").kind == "bond"
    assert {b.id for b in back.boxes} >= {"engine-isolator", "engine", "hull", "engine-bus", "domestic-bus"}
    assert "engine-isolator" not in {b.id for b in live.boxes}
    assert {"coil +", "a", "b"} <= set(lines(box(live, "splitter")))
    assert wire(live, "split-feed").kind == "fine"


def small(**parts: Any) -> dict[str, Any]:
    return {
        "system": "12 V",
        "nodes": [
            {
                "id": "bus",
                "title": "A bus with a name that is far too long to be written in two lines of a box",
            }
        ],
        "batteries": [{"id": "bat", "chemistry": "flooded"}],
        "conductors": [{"id": "c", "from": "bat.pos", "to": "bus", "area": "10 mm2", "length": "1 m"}],
        **parts,
    }


def test_no_return_side_where_there_is_nothing_to_say(tmp_path: Path) -> None:
    network = load_data(small(), tmp_path)
    view = compose_diagram(network, poles(network).back, (), {}, WORDS)
    assert [sheet.title for sheet in view.sheets] == ["The live side"]


def test_long_names_are_cut_on_the_drawing_and_whole_in_the_table(tmp_path: Path) -> None:
    network = load_data(small(), tmp_path)
    view = compose_diagram(network, poles(network).back, (), {}, WORDS)
    names = [text for text in box(view.sheets[0], "bus").texts if text.role == "name"]
    assert len(names) == 2
    assert names[-1].text.endswith("…")
    assert view.rows[0].end == network.nodes["bus"].title


def test_a_jumper_across_a_switch_is_drawn(tmp_path: Path) -> None:
    switch = {"switches": [{"id": "sw"}]}
    cables = [
        {"id": "c", "from": "bat.pos", "to": "sw.in", "area": "10 mm2", "length": "1 m"},
        {"id": "jumper", "from": "sw.in", "to": "sw.out", "area": "10 mm2", "length": "0.1 m"},
        {"id": "d", "from": "sw.out", "to": "bus", "area": "10 mm2", "length": "1 m"},
    ]
    network = load_data(small(**switch, conductors=cables), tmp_path)
    sheet = compose_diagram(network, poles(network).back, (), {}, WORDS).sheets[0]
    (x, y), (u, v) = wire(sheet, "jumper").points[0], wire(sheet, "jumper").points[-1]
    assert x == u
    assert y != v


def test_the_key_has_only_what_the_drawing_has() -> None:
    assert [line.sample for line in draw("four-position-switch").key] == ["device", "plate", "join", "direct"]
    marked = draw("split-negative", (Stretch("start-pos", 0.0, 0.5),), {"start-pos": [1]})
    assert [line.sample for line in marked.key] == [
        "unprotected", "device", "plate", "defect", "join", "bond", "direct",
    ]  # fmt: skip


def test_the_fuse_of_each_string_is_told_at_the_bank(tmp_path: Path) -> None:
    device = {"rating": "150 A", "type": "high-rupturing"}
    bank = {"id": "bat", "chemistry": "agm", "capacity": "100 Ah", "parallel": 2, "string_device": device}
    network = load_data(small(batteries=[bank | {"take_off": "bus bars"}]), tmp_path)
    sheet = compose_diagram(network, poles(network).back, (), {}, WORDS).sheets[0]
    assert {b.id for b in sheet.boxes} == {"bat", "bus"}
    assert " ".join(lines(box(sheet, "bat"))).startswith("bat 12 V 100 Ah 2 side by side a 150 A fuse each")

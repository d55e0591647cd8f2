"""Every drawing can be followed: over the boats and many random installations nothing lies on anything."""

from __future__ import annotations

import os
import random
from copy import deepcopy
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
import yaml
from diagram_cases import BOATS, NAMES, drawn, load, load_data, random_installation
from diagram_rules import faults

from lugbook.compose.diagram_cells import PITCH
from lugbook.model.network import Conductor

SEEDS = range(int(os.environ.get("DIAGRAM_SEEDS", "70")))  # `make soak` draws 1,000


@pytest.mark.parametrize("name", NAMES)
def test_nothing_lies_on_anything_in_the_boats(name: str) -> None:
    sheets = drawn(load(BOATS / f"{name}.yaml"), 5).sheets
    assert [faults(sheet) for sheet in sheets] == [[] for _ in sheets]
    plain = drawn(load(BOATS / f"{name}.yaml"), 5, marked=False).sheets
    assert all(sheet.type_points >= 6.5 for sheet in plain)
    assert [sheet.of for sheet in sheets] == [1, 1]


@pytest.mark.parametrize("tens", range(0, len(SEEDS), 10))
def test_nothing_lies_on_anything_in_random_installations(tens: int, tmp_path: Path) -> None:
    for seed in SEEDS[tens : tens + 10]:
        network = load_data(random_installation(seed), tmp_path)
        view = drawn(network, seed)
        for sheet in view.sheets:
            assert faults(sheet) == [], f"seed {seed}, {sheet.title}"
        shown = {wire.id for sheet in view.sheets for wire in sheet.wires}
        for edge in network.of(Conductor):
            left_out = edge.id.endswith(".return") or ".link" in edge.id
            assert (edge.id in shown) != left_out, f"seed {seed}: {edge.id}"


def shuffled(data: dict[str, Any], seed: int) -> dict[str, Any]:
    """The same installation, its lists and keys in another order."""
    chance, data = random.Random(seed), deepcopy(data)
    keys = list(data)
    chance.shuffle(keys)
    for value in data.values():
        if isinstance(value, list):
            chance.shuffle(value)
    return {key: data[key] for key in keys}


@pytest.mark.parametrize("name", NAMES)
def test_the_order_of_the_file_changes_nothing(name: str, tmp_path: Path) -> None:
    data = yaml.safe_load((BOATS / f"{name}.yaml").read_text(encoding="utf-8"))["installation"]
    first = drawn(load_data(data, tmp_path))
    assert first.sheets
    for seed in (1, 2):
        assert drawn(load_data(shuffled(data, seed), tmp_path)).model_dump() == first.model_dump()


def test_three_columns_and_ports_apart() -> None:
    for sheet in drawn(load(BOATS / "inverter-charger.yaml")).sheets:
        assert len({box.x for box in sheet.boxes}) == 3
        ends: dict[float, list[float]] = {}
        for wire in sheet.wires:
            for x, y in (wire.points[0], wire.points[-1]):
                ends.setdefault(x, []).append(y)
        for heights in ends.values():
            heights.sort()
            assert all(low - high >= PITCH for high, low in pairwise(heights))


def test_the_rules_see_faults() -> None:
    """The rules are not blind: a label, a box and a wire moved by hand are found."""
    sheet = drawn(load(BOATS / "solar.yaml")).sheets[0]
    wire = next(w for w in sheet.wires if w.texts)
    others = tuple(w for w in sheet.wires if w is not wire)

    text = wire.texts[0]
    doubled = wire.model_copy(update={"texts": (*wire.texts, text)})
    assert any("lies on" in f for f in faults(sheet.model_copy(update={"wires": (*others, doubled)})))

    copied = wire.model_copy(update={"id": "copy", "texts": (), "plate": None, "marks": (), "devices": ()})
    found = faults(sheet.model_copy(update={"wires": (*sheet.wires, copied)}))
    assert any("lie on each other" in f for f in found)

    (x, y), (u, v) = wire.points[0], others[0].points[0]
    short = copied.model_copy(update={"points": ((x, y), (x + 3, y)), "unprotected": ()})
    assert any(
        "lie on each other" in f for f in faults(sheet.model_copy(update={"wires": (*sheet.wires, short)}))
    )
    across = copied.model_copy(update={"points": ((0.0, y), (sheet.width, y)), "unprotected": ()})
    assert any("runs through" in f for f in faults(sheet.model_copy(update={"wires": (across,)})))
    joined = copied.model_copy(update={"points": ((u + 2, v), (u + 2, v + 5)), "unprotected": ()})
    assert any("joined" in f for f in faults(sheet.model_copy(update={"wires": (*sheet.wires, joined)})))

    box = sheet.boxes[0].model_copy(update={"id": "copy"})
    assert any("boxes" in f for f in faults(sheet.model_copy(update={"boxes": (*sheet.boxes, box)})))
    assert any("taller" in f for f in faults(sheet.model_copy(update={"height": 1100.0})))
    assert any("points" in f for f in faults(sheet.model_copy(update={"type_points": 5.4})))
    assert any("paper" in f for f in faults(sheet.model_copy(update={"width": 400.0})))


def with_circuits(count: int, folder: Path) -> Any:
    data = yaml.safe_load((BOATS / "three-batteries.yaml").read_text(encoding="utf-8"))["installation"]
    del data["states"]
    data["circuits"] = [
        {
            "id": f"circuit-{n:03}",
            "from": "panel",
            "to": "neg-bus",
            "current": "4 A",
            "area": "1.5 mm2",
            "length": "6 m",
        }
        for n in range(count)
    ]
    return drawn(load_data(data, folder))


def test_a_tall_drawing_is_first_printed_smaller_then_cut(tmp_path: Path) -> None:
    """14 circuits fit at full size, 22 are set smaller, 60 are cut; the panel then stands on every part."""
    full, smaller, cut = (with_circuits(count, tmp_path) for count in (14, 22, 60))
    assert [s.of for s in full.sheets if s.title.startswith("The live")] == [1]
    assert full.sheets[0].type_points == 6.56
    assert smaller.sheets[0].of == 1
    assert 5.5 <= smaller.sheets[0].type_points < 6.5
    live = [sheet for sheet in cut.sheets if sheet.title.startswith("The live")]
    assert len(live) == live[0].of > 1
    for sheet in live:
        panel = next(box for box in sheet.boxes if box.id == "panel")
        assert panel.repeated
        assert all(not box.repeated for box in sheet.boxes if box.id.startswith("circuit"))
    loads = [box.id for sheet in live for box in sheet.boxes if box.id.startswith("circuit")]
    assert sorted(loads) == [f"circuit-{n:03}" for n in range(60)]
    assert any("cut into several" in line for line in cut.summary)
    assert not any("cut into several" in line for line in full.summary)

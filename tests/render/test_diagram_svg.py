"""The SVG of the line diagram: well-formed, without ids or styles, escaped, and all that the view holds."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from xml.etree import ElementTree

import pytest
from diagram_cases import BOATS, NAMES, drawn, load, load_data, random_installation

from lugbook.model.diagram import DiagramSheet, DiagramView, Symbol
from lugbook.render import page
from lugbook.render.diagram import diagram_svg, key_svg
from lugbook.render.diagram_symbols import SYMBOLS
from lugbook.render.pdf import write_pdf


@pytest.fixture(scope="module")
def view() -> DiagramView:
    return drawn(load(BOATS / "split-negative.yaml"), 2)


@pytest.mark.parametrize("name", NAMES)
def test_each_sheet_is_whole(name: str) -> None:
    for sheet in drawn(load(BOATS / f"{name}.yaml"), 3).sheets:
        check(sheet)


def test_names_with_signs_are_escaped(tmp_path: Path) -> None:
    view = drawn(load_data(random_installation(3), tmp_path), 3)
    assert "&lt;radio&gt;" in "".join(diagram_svg(sheet) for sheet in view.sheets)
    for sheet in view.sheets:
        check(sheet)


def check(sheet: DiagramSheet) -> None:
    root = ElementTree.fromstring(str(diagram_svg(sheet)))
    assert root.tag == "svg"
    assert [child.tag for child in root][:2] == ["title", "desc"]
    assert root.findtext("title") == sheet.title
    assert root.get("font-family") == "Lugbook Label"
    for element in root.iter():
        assert not {"id", "style", "href"} & set(element.keys())
        if element.tag in ("path", "text", "rect", "circle"):
            assert element.get("fill"), "the PDF knows no style sheet inside a drawing"
            assert element.get("class")
    wanted = [head.text for head in sheet.heads]
    for box in sheet.boxes:
        wanted += [text.text for text in box.texts] + [mark.text.text for mark in box.marks]
    for wire in sheet.wires:
        wanted += [text.text for text in wire.texts] + [mark.text.text for mark in wire.marks]
        wanted += [wire.plate.text.text] if wire.plate else []
    assert sorted(text.text or "" for text in root.iter("text")) == sorted(wanted)
    bare = sum(len(wire.unprotected) for wire in sheet.wires) + sum(
        bool(box.unprotected) for box in sheet.boxes
    )
    for name in ("dg-bare", "dg-core"):
        assert sum(path.get("class") == name for path in root.iter("path")) == bare
    assert sum("translate" in (g.get("transform") or "") for g in root.iter("g")) == (
        sum(box.symbol is not None for box in sheet.boxes) + sum(len(wire.devices) for wire in sheet.wires)
    )


def test_an_unprotected_length_is_seen_without_colour(view: DiagramView) -> None:
    """Broader than any other line, and broken along its middle."""
    root = ElementTree.fromstring(str(diagram_svg(view.sheets[0])))
    widths: dict[str, set[float]] = {name: set() for name in ("dg-bare", "dg-core", "dg-line")}
    for path in root.iter("path"):
        if path.get("class") in widths:
            widths[path.get("class") or ""].add(float(path.get("stroke-width") or 0))
    assert min(widths["dg-bare"]) > 1.5 * max(widths["dg-line"])
    cores = [path for path in root.iter("path") if path.get("class") == "dg-core"]
    assert cores
    assert all(path.get("stroke-dasharray") for path in cores)


def test_every_symbol_is_drawn_and_used_by_name() -> None:
    assert set(SYMBOLS) == set(Symbol.__args__)
    for paths in SYMBOLS.values():
        assert paths
        assert all(kind in "lfpb" and d.startswith("M") for kind, d in paths)


def test_the_key(view: DiagramView) -> None:
    for line in view.key:
        root = ElementTree.fromstring(str(key_svg(line)))
        assert root.get("aria-hidden") == "true"
        assert len(list(root)) >= 1


def test_the_macros_make_a_pdf(view: DiagramView) -> None:
    body = page.environment().from_string(
        '{% import "diagram.html.j2" as d %}<h1>A</h1>{{ d.printed(v, svg) }}{{ d.key(v, key) }}{{ d.words(v) }}'
    )
    html = body.render(v=view, svg=diagram_svg, key=key_svg)
    for text in ("Several conductors on one terminal", "the whole length", *(row.name for row in view.rows)):
        assert text in html
    css = page._faces(lambda name: f"job:///{name}", "ttf") + page._sheet("report") + page._sheet("print")
    css += page._sheet("diagram")
    document = f'<!DOCTYPE html><html lang="en"><head><title>A</title><style>{css}</style></head><body>{html}</body></html>'
    pdf = write_pdf(document, resources=page.fonts(), created=datetime(2026, 1, 1, tzinfo=UTC))
    assert pdf.startswith(b"%PDF")

"""The line diagram: Network and what was found about it -> every coordinate and word of the drawing.

Three columns: sources, distribution, loads. The live side is one drawing, the return side a second. Each wire has a
track of its own in the channel between the columns; what stands on it stands beside its ports, where no track runs.
A drawing that would be taller than a page is printed a little smaller (from 6.6 down to 5.5 points), and what is
taller still is cut into several sheets: boxes at the cut then stand on both.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from lugbook.compose import diagram_table as table
from lugbook.compose.diagram_parts import Side, Wiring
from lugbook.compose.diagram_sheets import Drawer, Drawn, repeated
from lugbook.compose.diagram_stubs import Stubs
from lugbook.compose.diagram_texts import Texts
from lugbook.model.diagram import DiagramSheet, DiagramView
from lugbook.model.evidence import Stretch
from lugbook.model.network import Conductor, Inline, Join, Network
from lugbook.words.catalogue import Words

SIDES: tuple[Side, Side] = ("live", "return")


def compose_diagram(
    network: Network,
    back: frozenset[str],
    stretches: Sequence[Stretch] | None,
    defects: Mapping[str, Sequence[int]],
    words: Words,
) -> DiagramView:
    """Draw an installation.

    Parameters
    ----------
    network : the installation
    back : the nodes of the return pole
    stretches : lengths that no device protects; None if that was not computed
    defects : numbers of the defects by what they stand at: a node, an edge, a device or an element
    words : the language

    Returns
    -------
    The drawing. The same for every order of the arguments; a number whose place is unknown here is named in words.
    """
    texts = Texts(words)
    wiring = Wiring(network, texts)
    by_edge: dict[str, list[Stretch]] = {}
    for stretch in stretches or ():
        by_edge.setdefault(stretch.conductor, []).append(stretch)
    cables = [e for e in network.edges.values() if isinstance(e, Conductor | Join)]
    numbers = {edge.id: n for n, edge in enumerate(sorted(cables, key=lambda e: e.id), start=1)}
    at_runs, at_parts, lost = _places(wiring, back, defects)
    heads = (words("diagram.column.sources"), words("diagram.column.middle"), words("diagram.column.loads"))
    stubs, sheets = Stubs(texts, numbers, at_runs), list[DiagramSheet]()
    notes = {side: _bare_links(wiring, back, by_edge, side, words) for side in SIDES}
    for side in SIDES:
        plan = wiring.plan(side, back)
        if side == "return" and not plan.runs:
            continue
        drawer = Drawer(wiring, stubs, by_edge, at_parts[side], heads, notes[side])
        drawn = repeated(drawer.sheets(plan))
        sheets += [_sheet(sheet, side, n, len(drawn), words) for n, sheet in enumerate(drawn, start=1)]
    seen = frozenset(wire.id for sheet in sheets for wire in sheet.wires)
    found = table.rows(wiring, texts, numbers, by_edge, at_runs, seen)
    all_parts = {
        name: tuple(sorted({*at_parts["live"].get(name, ()), *at_parts["return"].get(name, ())}))
        for name in {**at_parts["live"], **at_parts["return"]}
    }
    lines = table.summary(
        wiring, texts, found, all_parts, sum(not row.drawn for row in found), computed=stretches is not None
    )
    if any(sheet.of > 1 for sheet in sheets):
        lines = (*lines, words("diagram.summary.cut"))
    if lost:
        lines = (*lines, words("diagram.summary.lost", numbers=", ".join(map(str, lost))))
    return DiagramView(
        sheets=tuple(sheets),
        summary=lines,
        key=table.key(texts, _used(sheets)),
        heads=tuple(words(f"diagram.head.{head}") for head in table.HEADS),
        caption=words("diagram.caption"),
        rows=found,
    )


def _places(
    wiring: Wiring, back: frozenset[str], defects: Mapping[str, Sequence[int]]
) -> tuple[dict[str, tuple[int, ...]], dict[Side, dict[str, tuple[int, ...]]], list[int]]:
    """Defect numbers by run, by part of either drawing, and those whose place is unknown."""
    network = wiring.network
    devices = {placed.device.id: edge.id for edge in network.conductors for placed in edge.devices}
    devices |= {e.device.id: e.id for e in network.of(Inline) if isinstance(e, Inline)}
    runs: dict[str, set[int]] = {}
    parts: dict[Side, dict[str, set[int]]] = {"live": {}, "return": {}}
    plans = {side: wiring.plan(side, back).parts for side in SIDES}
    lost: set[int] = set()
    for place, numbers in sorted(defects.items()):
        name = network.aliases.get(place) or devices.get(place, place)
        edge = network.edges.get(name)
        if isinstance(edge, Conductor | Join) and not wiring.inside(edge):
            runs.setdefault(name, set()).update(numbers)
            continue
        if isinstance(edge, Conductor | Join):
            runs.setdefault(name, set()).update(numbers)  # for the table; the drawing shows the bank
        part = wiring.part_of(edge) if edge and not isinstance(edge, Conductor | Join) else name
        if isinstance(edge, Conductor | Join):
            part = wiring.home(edge.a)
        wanted: Side = "return" if name in back else "live"
        if name in network.nodes:
            part = wiring.home(name)
        sides = [side for side in (wanted, *SIDES) if part in plans[side]]
        if sides:
            parts[sides[0]].setdefault(part, set()).update(numbers)
        else:
            lost.update(numbers)
    tidy = {side: {p: tuple(sorted(n)) for p, n in found.items()} for side, found in parts.items()}
    return {name: tuple(sorted(found)) for name, found in runs.items()}, tidy, sorted(lost)


def _bare_links(
    wiring: Wiring, back: frozenset[str], stretches: Mapping[str, Sequence[Stretch]], side: Side, words: Words
) -> dict[str, str]:
    """What the banks say whose links are not protected."""
    found: dict[str, int] = {}
    for edge in wiring.network.conductors:
        low = edge.a in back and edge.b in back
        if edge.id in stretches and wiring.inside(edge) and low == (side == "return"):
            found[wiring.home(edge.a)] = found.get(wiring.home(edge.a), 0) + 1
    return {bank: words.count("diagram.bare_links", count) for bank, count in found.items()}


def _sheet(drawn: Drawn, side: Side, n: int, count: int, words: Words) -> DiagramSheet:
    title = words(f"diagram.sheet.{side}")
    if count > 1:
        title = words("diagram.sheet.of", title=title, n=n, count=count)
    return DiagramSheet(
        title=title,
        of=count,
        description=words("diagram.sheet.description", title=title),
        width=drawn.width,
        height=drawn.height,
        type_points=drawn.type_points,
        heads=drawn.heads,
        boxes=drawn.boxes,
        wires=drawn.wires,
    )


def _used(sheets: Sequence[DiagramSheet]) -> frozenset[str]:
    """The signs that the drawing has."""
    wires = [wire for sheet in sheets for wire in sheet.wires]
    boxes = [box for sheet in sheets for box in sheet.boxes]
    signs = {
        "unprotected": any(wire.unprotected for wire in wires) or any(box.unprotected for box in boxes),
        "device": any(wire.devices for wire in wires),
        "plate": any(wire.plate for wire in wires),
        "defect": any(wire.marks for wire in wires) or any(box.marks for box in boxes),
        "join": any(box.dots for box in boxes),
        "bond": any(wire.kind == "bond" for wire in wires),
        "direct": any(wire.kind == "direct" for wire in wires),
        "repeated": any(box.repeated for box in boxes),
    }
    return frozenset(sign for sign, used in signs.items() if used)

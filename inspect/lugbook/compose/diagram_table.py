"""The line diagram in words: the paragraph and the table that stand in for the drawing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from lugbook.compose.diagram_parts import Wiring
from lugbook.compose.diagram_texts import Texts
from lugbook.model.diagram import DiagramKey, DiagramRow
from lugbook.model.evidence import Stretch
from lugbook.model.network import Conductor, Join

HEADS = ("number", "conductor", "from", "to", "size", "length", "devices", "unprotected", "defects")
KEY = ("unprotected", "device", "plate", "defect", "join", "bond", "direct", "repeated")


def rows(
    wiring: Wiring,
    texts: Texts,
    numbers: Mapping[str, int],
    stretches: Mapping[str, Sequence[Stretch]],
    defects: Mapping[str, Sequence[int]],
    drawn: frozenset[str],
) -> tuple[DiagramRow, ...]:
    """Every conductor and every join, in the order of their numbers."""
    found = []
    for name, number in numbers.items():
        edge = wiring.network.edges[name]
        assert isinstance(edge, Conductor | Join)
        cable = isinstance(edge, Conductor)
        found.append(
            DiagramRow(
                number=number,
                id=name,
                name=edge.title,
                start=end_name(edge.a, wiring, texts),
                end=end_name(edge.b, wiring, texts),
                size=texts.size(edge) if isinstance(edge, Conductor) else texts.words("diagram.joined"),
                length=texts.length(edge) if isinstance(edge, Conductor) else "",
                devices=_devices(edge, texts) if isinstance(edge, Conductor) else "",
                unprotected=_lengths(edge, stretches.get(name, ()), texts) if cable else "",
                defects=tuple(defects.get(name, ())),
                drawn=name in drawn,
            )
        )
    return tuple(found)


def end_name(node: str, wiring: Wiring, texts: Texts) -> str:
    """A terminal in words: the part, and which terminal of it."""
    part = wiring.parts.get(wiring.home(node))
    name = part.name if part else wiring.network.nodes[node].title
    letter = wiring.terminal(node)
    return texts.words("diagram.terminal", part=name, terminal=letter) if letter else name


def _devices(edge: Conductor, texts: Texts) -> str:
    lines = [
        texts.words(
            "diagram.device.placed",
            device=texts.device(placed.device),
            distance=texts.metres(placed.at, edge),
        )
        for placed in edge.devices
    ]
    return "; ".join(lines)


def _lengths(edge: Conductor | Join, found: Sequence[Stretch], texts: Texts) -> str:
    assert isinstance(edge, Conductor)
    whole = edge.length.max_case
    lines = []
    for stretch in sorted(found, key=lambda s: (s.start, s.end)):
        if stretch.start <= 0 and stretch.end >= whole:
            lines.append(texts.words("diagram.whole"))
        elif stretch.end > stretch.start:
            long, start, end = (
                texts.metres(v, edge) for v in (stretch.end - stretch.start, stretch.start, stretch.end)
            )
            lines.append(texts.words("diagram.part", length=long, start=start, end=end))
    return "; ".join(lines)


def summary(
    wiring: Wiring,
    texts: Texts,
    found: Sequence[DiagramRow],
    at_parts: Mapping[str, tuple[int, ...]],
    left_out: int,
    *,
    computed: bool,
) -> tuple[str, ...]:
    """The drawing in sentences."""
    words, parts = texts.words, wiring.parts.values()
    sources = [part.name for part in parts if part.column == 0]
    loads = [part.name for part in parts if part.column == 2]
    lines = [
        words.count("diagram.summary.sources", len(sources)) + _list(sources, words("diagram.summary.list")),
        words.count("diagram.summary.loads", len(loads)) + _list(loads, words("diagram.summary.list")),
    ]
    bare = [row for row in found if row.unprotected]
    if bare:
        lines.append(words.count("diagram.summary.unprotected", len(bare)))
        lines += [
            words("diagram.summary.length", n=row.number, name=row.name, length=row.unprotected)
            for row in bare
        ]
    elif computed:
        lines.append(words("diagram.summary.none"))
    marked = [
        words("diagram.summary.at", part=wiring.parts[name].name, numbers=", ".join(map(str, numbers)))
        for name, numbers in sorted(at_parts.items())
    ]
    if marked:
        lines.append(words("diagram.summary.marks", places="; ".join(marked)))
    if left_out:
        lines.append(words.count("diagram.summary.left_out", left_out))
    return tuple(lines)


def _list(names: Sequence[str], joined: str) -> str:
    return joined.format(names=", ".join(sorted(names))) if names else "."


def key(texts: Texts, used: frozenset[str]) -> tuple[DiagramKey, ...]:
    """What the signs of the drawing mean, those alone that it has."""
    return tuple(
        DiagramKey.model_validate({"sample": sample, "text": texts.words(f"diagram.key.{sample}")})
        for sample in KEY
        if sample in used
    )

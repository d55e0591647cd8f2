"""Two sides that gave one id to two different defects, or one name to two pictures: theirs gets another."""

from __future__ import annotations

import re
from collections.abc import Mapping

import yaml

from lugbook.load.merge_nodes import Node, Source, end_of, flow_text, same, scalars, source_of, start_of

NUMBER = re.compile(r"d([1-9][0-9]{0,4})")
# Ids of the installation and of readings are words of their own, even where one of them looks like a defect's.
NO_DEFECTS = frozenset({"installation", "readings", "report"})


def colliding(base: str, ours: str, theirs: str) -> dict[str, str]:
    """Ids of defects that both sides gave anew and to different things -> the id that theirs gets."""
    before, mine, other = (_defects(source_of(text)) for text in (base, ours, theirs))
    new = [name for name in other if name in mine and name not in before]
    twice = [name for name in new if not same(mine[name], other[name])]
    highest = max([_last(source_of(text)) for text in (ours, theirs)] + [_number(n) for n in (*mine, *other)])
    return {name: f"d{highest + n}" for n, name in enumerate(twice, 1)}


def renamed(text: str, defects: Mapping[str, str], photos: Mapping[str, str]) -> str:
    """The text with other ids and names of pictures, and nothing else changed."""
    if not defects and not photos:
        return text
    source = source_of(text)
    edits: list[tuple[int, int, str]] = []
    for path, node in scalars(source.root):
        new = None
        if node.value in defects and path and path[0] not in NO_DEFECTS:
            new = defects[node.value]
        elif node.value in photos and path and path[-1] in ("file", "image"):
            new = photos[node.value]
        if new is not None:
            node_text = flow_text(yaml.ScalarNode(node.tag, new))
            edits.append((start_of(node), end_of(node, source.body), node_text))
    body = source.body
    for begin, end, new in reversed(edits):
        body = body[:begin] + new + body[end:]
    return body


def pictures_named(text: str) -> frozenset[str]:
    """The names of all pictures that the findings speak of."""
    found = scalars(source_of(text).root)
    return frozenset(str(node.value) for path, node in found if path and path[-1] in ("file", "image"))


def _defects(source: Source) -> dict[str, Node]:
    """The defects by their ids."""
    root = _keys(source.root)
    nodes = [d for result in _items(root.get("results")) for d in _items(_keys(result).get("defects"))]
    nodes += _items(root.get("extra"))
    named = [(_keys(node).get("id"), node) for node in nodes]
    return {id_.value: node for id_, node in named if isinstance(id_, yaml.ScalarNode) and id_.value}


def _keys(node: Node | None) -> dict[str, Node]:
    return {key.value: value for key, value in node.value} if isinstance(node, yaml.MappingNode) else {}


def _items(node: Node | None) -> list[Node]:
    return list(node.value) if isinstance(node, yaml.SequenceNode) else []


def _number(name: str) -> int:
    match = NUMBER.fullmatch(name)
    return int(match[1]) if match else 0


def _last(source: Source) -> int:
    node = _keys(source.root).get("last_defect")
    return int(node.value) if isinstance(node, yaml.ScalarNode) and node.value.isdecimal() else 0

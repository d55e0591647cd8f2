"""Findings as nodes that know where they begin and end, for putting two versions together."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import yaml

from lugbook.load.tree import BOM, Loader

Block = yaml.SequenceNode | yaml.MappingNode
Node = yaml.ScalarNode | Block
# What makes an entry of a list the same entry in another version of the file, tried in this order.
IDENTITIES = (("id",), ("item",), ("item", "at"), ("file",), ("name",), ("mode",))
# Texts that stand without quotes inside brackets.
UNQUOTED = re.compile(
    r"""[^\s,\[\]{}\#:&*!|>'"%@`?-]([^,\[\]{}\#:\n]|(?<=[0-9]):(?=[0-9]))*|-?[0-9][0-9.A-Za-z ]*|[<>] ?[0-9][0-9.A-Za-z ]*"""
)


@dataclass(frozen=True, slots=True)
class Source:
    """A text and its nodes. `body` is the text without a byte order mark; places count in it."""

    body: str
    root: Node | None


def source_of(text: str) -> Source:
    """Compose a text that `tree.parse` found nothing wrong with: it has no tags, anchors or depth to fear."""
    body = text.removeprefix(BOM)
    root: Any = yaml.compose(body, Loader=Loader)
    return Source(body, root)


def bare(node: Node | None) -> Any:
    """The value without places: text, None for an empty one, lists and groups."""
    if node is None:
        return None
    if isinstance(node, yaml.ScalarNode):
        return None if not node.value and _is_plain(node) else node.value
    if isinstance(node, yaml.SequenceNode):
        return [bare(item) for item in node.value]
    return {key.value: bare(value) for key, value in node.value}


def lean(value: Any) -> Any:
    """The same without keys that hold nothing: an absent key, an empty value and an empty list mean the same."""
    if isinstance(value, dict):
        kept = {key: lean(inner) for key, inner in value.items()}
        return {key: inner for key, inner in kept.items() if inner is not None} or None
    if isinstance(value, list):
        return [lean(inner) for inner in value] or None
    return value


def same(one: Node | None, other: Node | None) -> bool:
    """Whether two nodes say the same."""
    return bool(lean(bare(one)) == lean(bare(other)))


def nothing(node: Node | None) -> bool:
    """Whether a node says nothing: absent, empty, or an empty list or group."""
    return lean(bare(node)) is None


def identities(*lists: Node | None) -> list[dict[str, Node]] | None:
    """Each list's entries by what they are, or None if one of the lists has entries that cannot be told apart.

    Texts in a list stand for themselves; figures do not: in a pair of limits the place says which is which.
    """
    items = [node.value if isinstance(node, yaml.SequenceNode) else [] for node in lists]
    for keys in (None, *IDENTITIES):
        found = [{_identity(item, keys): item for item in each} for each in items]
        if all("" not in one and len(one) == len(each) for one, each in zip(found, items, strict=True)):
            return found
    return None


def _identity(item: Node, keys: tuple[str, ...] | None) -> str:
    """What an entry is, as text; empty if it cannot be told."""
    if keys is None:
        text = isinstance(item, yaml.ScalarNode) and item.value[:1].isalpha()
        return item.value if text else ""
    if not isinstance(item, yaml.MappingNode):
        return ""
    given = {key.value: value.value for key, value in item.value if isinstance(value, yaml.ScalarNode)}
    values = [given.get(key, "") for key in keys]
    return " ".join(values) if all(values) else ""


def end_of(node: Node, body: str) -> int:
    """Where the last character of a node stands, plus one. A block ends with its last value, not with what follows."""
    if isinstance(node, yaml.ScalarNode):
        end: int = node.end_mark.index
        if node.style in ("|", ">"):
            return len(body[:end].rstrip())
        return end
    if node.flow_style or not node.value:
        return int(node.end_mark.index)
    last = node.value[-1]
    return end_of(last[1] if isinstance(node, yaml.MappingNode) else last, body)


def start_of(node: Node) -> int:
    """Where a node begins."""
    return int(node.start_mark.index)


def column_of(node: Node) -> int:
    """Its column, from 0."""
    return int(node.start_mark.column)


def flow_text(node: Node) -> str:
    """A node in one line, as it can stand inside brackets."""
    if isinstance(node, yaml.SequenceNode):
        return "[" + ", ".join(flow_text(item) for item in node.value) + "]"
    if isinstance(node, yaml.MappingNode):
        return "{" + ", ".join(f"{key.value}: {flow_text(value)}" for key, value in node.value) + "}"
    if _is_plain(node) and (not node.value or UNQUOTED.fullmatch(node.value)):
        return str(node.value)
    return json.dumps(node.value, ensure_ascii=False)


def _is_plain(node: yaml.ScalarNode) -> bool:
    return node.style is None or node.style == ""


def block_text(node: Node, body: str, column: int) -> str:
    """A node as its own file writes it, with every line but the first moved so that it stands at `column`."""
    lines = body[start_of(node) : end_of(node, body)].replace("\r\n", "\n").split("\n")
    by = column - column_of(node)
    return "\n".join([lines[0], *(_moved(line, by) for line in lines[1:])])


def hanging_text(node: Node, body: str, by: int) -> str:
    """A value that begins on the line of its key, with its further lines moved `by` columns."""
    lines = body[start_of(node) : end_of(node, body)].replace("\r\n", "\n").split("\n")
    return "\n".join([lines[0], *(_moved(line, by) for line in lines[1:])])


def _moved(line: str, by: int) -> str:
    bare_line = line.lstrip(" ")
    if not bare_line:
        return ""
    return " " * max(0, len(line) - len(bare_line) + by) + bare_line


def scalars(node: Node | None, path: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], Node]]:
    """Every scalar with the keys that lead to it; places in lists are left out."""
    if isinstance(node, yaml.ScalarNode):
        yield path, node
    elif isinstance(node, yaml.SequenceNode):
        for item in node.value:
            yield from scalars(item, path)
    elif isinstance(node, yaml.MappingNode):
        for key, value in node.value:
            yield from scalars(value, (*path, key.value))

"""Gives every defect without an id the next free one, touching nothing else in the file."""

from __future__ import annotations

import re

from lugbook.load.tree import Document, Mapping, Node, Scalar, Sequence, parse

NUMBER = re.compile(r"d([1-9]\d{0,4})")


def with_ids(document: Document) -> tuple[str, list[str]]:
    """The text of the findings with the missing ids, and those ids; the text as it was if none is missing.

    Raises ValueError if the file is written in a way that does not take the ids.
    """
    if not isinstance(document.root, Mapping):
        return document.text, []
    missing = [node for node in _defects(document.root) if _get(node, "id") is None and node.entries]
    if not missing:
        return document.text, []
    last = max([_last_defect(document), *_numbers(document.root)])
    ids = [f"d{last + n}" for n in range(1, len(missing) + 1)]
    text = _insert(document.text, list(zip(missing, ids, strict=True)))
    text = _with_last_defect(text, last + len(missing))
    again = parse(text, document.file)
    if not isinstance(again.root, Mapping) or any(_get(node, "id") is None for node in _defects(again.root)):
        raise ValueError("the ids cannot be added to this file; add them by hand, such as 'id: d1'")
    return text, ids


def _get(node: Node | None, key: str) -> Node | None:
    if isinstance(node, Mapping):
        for name, value in node.entries:
            if name.text == key:
                return value
    return None


def _items(node: Node | None) -> tuple[Node, ...]:
    return node.items if isinstance(node, Sequence) else ()


def _defects(root: Mapping) -> list[Mapping]:
    nodes = [d for result in _items(_get(root, "results")) for d in _items(_get(result, "defects"))]
    nodes += _items(_get(root, "extra"))
    return [node for node in nodes if isinstance(node, Mapping)]


def _numbers(root: Mapping) -> list[int]:
    ids = [_get(node, "id") for node in _defects(root)]
    matches = [NUMBER.fullmatch(node.text) for node in ids if isinstance(node, Scalar)]
    return [int(match[1]) for match in matches if match]


def _last_defect(document: Document) -> int:
    node = _get(document.root, "last_defect")
    return int(node.text) if isinstance(node, Scalar) and node.text.isdigit() else 0


def _insert(text: str, given: list[tuple[Mapping, str]]) -> str:
    lines = text.split("\n")
    for node, name in sorted(given, key=lambda pair: (-pair[0].mark.line, -pair[0].mark.column)):
        first = node.entries[0][0].mark
        at, column = first.line - 1, first.column - 1
        before, after = lines[at][:column], lines[at][column:]
        if node.flow:
            lines[at] = f"{before}id: {name}, {after}"
        else:
            lines[at : at + 1] = [f"{before}id: {name}", " " * column + after]
    return "\n".join(lines)


def _with_last_defect(text: str, last: int) -> str:
    """Count `last_defect` up, or add it under the first line that says the format."""
    new, count = re.subn(r"(?m)^last_defect:[ \t]*\d*", f"last_defect: {last}", text, count=1)
    return new if count else re.sub(r"(?m)^(format:.*)$", rf"\1\nlast_defect: {last}", text, count=1)

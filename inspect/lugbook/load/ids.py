"""Gives every defect without an id the next free one, touching nothing else in the file."""

from __future__ import annotations

import re
from dataclasses import dataclass

from lugbook.load.tree import BOM, Document, Mapping, Mark, Node, Scalar, Sequence, parse

NUMBER = re.compile(r"d([1-9][0-9]{0,4})")
DEFECTS = (("results", "defects"), ("extra",))


def with_ids(document: Document) -> tuple[str, list[str]]:
    """The text of the findings with the missing ids, and those ids.

    `last_defect` is counted up to the highest number ever given, so that no id is given twice. Every other byte
    stays as it was. Raises ValueError if the file is written in a way that does not take the ids.
    """
    root = document.root
    if not isinstance(root, Mapping) or document.errors:
        return document.text, []
    missing = [node for node in _defects(root) if node.entries and _lacks_id(node)]
    given = _last_defect(root)
    highest = max([given, *_numbers(root)])
    ids = [f"d{highest + n}" for n in range(1, len(missing) + 1)]
    last = highest + len(missing)
    edits = [_id_edit(node, name) for node, name in zip(missing, ids, strict=True)]
    if last > given:
        edits.append(_last_edit(root, last))
    text = _edited(document.text, edits)
    _insist_on_same(document, parse(text, document.file), last)
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


def _last_defect(root: Mapping) -> int:
    node = _get(root, "last_defect")
    return int(node.text) if isinstance(node, Scalar) and node.text.isdecimal() else 0


@dataclass(frozen=True, slots=True)
class _Edit:
    """At a mark: `removed` characters go, `text` comes; on a line of its own if `line`."""

    mark: Mark
    text: str
    removed: int = 0
    line: bool = False


def _lacks_id(node: Mapping) -> bool:
    value = _get(node, "id")
    return value is None or (isinstance(value, Scalar) and value.plain and not value.text)


def _id_edit(node: Mapping, name: str) -> _Edit:
    empty = _get(node, "id")
    if empty is not None:
        return _Edit(empty.mark, f" {name}")
    return _Edit(node.entries[0][0].mark, f"id: {name}{', ' if node.flow else ''}", line=not node.flow)


def _last_edit(root: Mapping, last: int) -> _Edit:
    """Write the number over the old one, or as a new key before the second one (after the format)."""
    node = _get(root, "last_defect")
    if isinstance(node, Scalar) and node.plain:
        return _Edit(node.mark, str(last) if node.text else f" {last}", removed=len(node.text))
    before = root.entries[min(1, len(root.entries) - 1)][0].mark
    return _Edit(before, f"last_defect: {last}{', ' if root.flow else ''}", line=not root.flow)


def _edited(text: str, edits: list[_Edit]) -> str:
    """The edits from the end to the beginning, so that no place moves before its turn."""
    bom = BOM if text.startswith(BOM) else ""
    lines = text.removeprefix(BOM).splitlines(keepends=True)
    for edit in sorted(edits, key=lambda edit: (edit.mark.line, edit.mark.column), reverse=True):
        at, column = edit.mark.line - 1, edit.mark.column - 1
        before, after = lines[at][:column], lines[at][column + edit.removed :]
        if edit.line:  # the key that stood here goes to a line of its own, with the same indent and line end
            end = after[len(after.rstrip("\r\n")) :] or "\n"
            lines[at] = f"{before}{edit.text}{end}{' ' * column}{after}"
        else:
            lines[at] = f"{before}{edit.text}{after}"
    return bom + "".join(lines)


def _insist_on_same(old: Document, new: Document, last: int) -> None:
    """Raise ValueError unless both hold the same, apart from the ids and the highest number."""
    told = "the ids cannot be added to this file; add them by hand, such as 'id: d1'"
    if not isinstance(new.root, Mapping) or not isinstance(old.root, Mapping):
        raise ValueError(told)
    lacking = any(node.entries and _lacks_id(node) for node in _defects(new.root))
    if lacking or _last_defect(new.root) != last or _bare(new.root) != _bare(old.root):
        raise ValueError(told)


def _bare(node: Node, path: tuple[str, ...] = ()) -> object:
    """The tree without places, ids of defects and the highest number."""
    if isinstance(node, Scalar):
        return node.text
    if isinstance(node, Sequence):
        return [_bare(item, path) for item in node.items]
    dropped = "last_defect" if not path else "id" if path in DEFECTS else None
    return [(key.text, _bare(value, (*path, key.text))) for key, value in node.entries if key.text != dropped]

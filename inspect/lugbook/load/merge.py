"""Putting two versions of a findings file together that both came of a third one.

What only one side changed is taken. What both changed alike is taken once. What both changed otherwise is a
conflict, and somebody chooses. The text of our side is kept as it is wherever their side changed nothing.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial
from typing import cast

import yaml

from lugbook.load.merge_edits import CannotEditError, Edits
from lugbook.load.merge_nodes import (
    Node,
    Source,
    bare,
    flow_text,
    identities,
    lean,
    nothing,
    same,
    source_of,
)
from lugbook.load.tree import parse
from lugbook.model.export import Choose, Conflict, Merged
from lugbook.model.problem import Path, dotted

SHOWN = 200


def merge(base: str, ours: str, theirs: str, choose: Choose) -> Merged:
    """Put `ours` and `theirs` together, which both came of `base`. All three must be readable findings."""
    mine, other = source_of(ours), source_of(theirs)
    merger = _Merger(mine, other, choose, Edits(mine, other))
    node = merger.slot(source_of(base).root, merger.ours.root, merger.theirs.root, (), None)
    if not merger.taken:
        return Merged(ours, (), tuple(merger.conflicts), False)
    text, relaid = _edited(merger, node), False
    if text is None:
        relaid = True
        text = yaml.serialize(node, Dumper=yaml.SafeDumper, allow_unicode=True, width=108)
        text = text.decode() if isinstance(text, bytes) else text
    return Merged(text, tuple(merger.taken), tuple(merger.conflicts), relaid)


def _edited(merger: _Merger, node: Node | None) -> str | None:
    """Our text with the changes; None unless it says exactly what was put together."""
    if not merger.laid_out:
        return None
    try:
        text = merger.edits.text()
    except CannotEditError:
        return None
    document = parse(text, "merged")
    if document.root is None or document.errors:
        return None
    return text if lean(bare(source_of(text).root)) == lean(bare(node)) else None


@dataclass(frozen=True, slots=True)
class _Place:
    """Where a value stands in our text: how to change it there. Nothing to do where it is not there yet."""

    replace: Callable[[Node], None] | None = None
    delete: Callable[[], None] | None = None


ABSENT = _Place()


@dataclass(slots=True)
class _Merger:
    ours: Source
    theirs: Source
    choose: Choose
    edits: Edits
    laid_out: bool = True
    """Whether all changes so far fit into our text."""
    taken: list[str] = field(default_factory=list)
    conflicts: list[Conflict] = field(default_factory=list)

    def slot(
        self, base: Node | None, ours: Node | None, theirs: Node | None, path: Path, place: _Place | None
    ) -> Node | None:
        """What one place holds afterwards. Changes of our text are noted on the way."""
        if same(ours, theirs) or same(theirs, base):
            return ours
        if path == ("last_defect",):
            return self._highest(ours, theirs, path, place)
        whole = [node for node in (base, ours, theirs) if not nothing(node)]
        both = not nothing(ours) and not nothing(theirs)
        if (
            both
            and all(isinstance(node, yaml.MappingNode) for node in whole)
            and not (same(ours, base) and _apart(_entries(ours), _entries(theirs)))
        ):
            return self._group(base, cast(yaml.MappingNode, ours), cast(yaml.MappingNode, theirs), path)
        if both and all(isinstance(node, yaml.SequenceNode) for node in whole):
            keyed = identities(base, ours, theirs)
            if (
                keyed is not None
                and _in_order(*keyed)
                and not (same(ours, base) and _apart(keyed[1], keyed[2]))
            ):
                return self._list(keyed, cast(yaml.SequenceNode, ours), path)
        if same(ours, base):
            return self._take(theirs, path, place)
        conflict = self._conflict(ours, theirs, path)
        self.conflicts.append(conflict)
        return self._take(theirs, path, place) if self.choose(conflict) == "theirs" else ours

    def _take(self, theirs: Node | None, path: Path, place: _Place | None) -> Node | None:
        self.taken.append(dotted(path))
        if place is None:
            self.laid_out = False  # the whole document
        elif theirs is None and place.delete is not None:
            self._edit(place.delete)
        elif theirs is not None and place.replace is not None:
            self._edit(partial(place.replace, theirs))
        return theirs

    def _edit(self, change: Callable[[], None]) -> None:
        try:
            change()
        except (CannotEditError, ValueError):
            self.laid_out = False

    def _highest(
        self, ours: Node | None, theirs: Node | None, path: Path, place: _Place | None
    ) -> Node | None:
        def number(node: Node | None) -> int:
            return int(node.value) if isinstance(node, yaml.ScalarNode) and node.value.isdecimal() else 0

        return ours if number(ours) >= number(theirs) else self._take(theirs, path, place)

    def _group(self, base: Node | None, ours: yaml.MappingNode, theirs: yaml.MappingNode, path: Path) -> Node:
        """Key by key."""
        before = _entries(base)
        mine = {key.value: (key, value) for key, value in ours.value}
        other = {key.value: (key, value) for key, value in theirs.value}
        kept: list[tuple[Node, Node]] = []
        for name, (key, value) in mine.items():
            place = _Place(
                partial(self.edits.replace_value, ours, key, value),
                partial(self.edits.delete_key, ours, name),
            )
            node = self.slot(
                before.get(name), value, other[name][1] if name in other else None, (*path, name), place
            )
            if node is not None:
                kept.append((key, node))
        last: str | None = None
        for name, (key, value) in other.items():
            if name in mine:
                last = name
                continue
            node = self.slot(before.get(name), None, value, (*path, name), ABSENT)
            if node is not None:
                kept.append((key, node))
                self._edit(partial(self.edits.insert_key, ours, last, name, value))
        return yaml.MappingNode(ours.tag, kept, flow_style=ours.flow_style)

    def _list(self, keyed: list[dict[str, Node]], ours: yaml.SequenceNode, path: Path) -> Node:
        """Entry by entry. New ones of their side come after the entry that they follow there."""
        before, mine, other = keyed
        kept: list[tuple[str, Node]] = []
        for name, item in mine.items():
            place = _Place(
                partial(self.edits.replace_item, ours, item), partial(self.edits.delete_item, ours, item)
            )
            node = self.slot(before.get(name), item, other.get(name), (*path, name), place)
            if node is not None:
                kept.append((name, node))
        last: str | None = None
        at = 0
        for name, item in other.items():
            if name in mine:
                last = name
                names = [one for one, _ in kept]
                at = names.index(name) + 1 if name in names else at
                continue
            node = self.slot(before.get(name), None, item, (*path, name), ABSENT)
            if node is not None:
                kept.insert(at, (name, node))
                at += 1
                anchor = mine[last] if last is not None else None
                self._edit(partial(self.edits.insert_item, ours, anchor, item))
        return yaml.SequenceNode(ours.tag, [node for _, node in kept], flow_style=ours.flow_style)

    def _conflict(self, ours: Node | None, theirs: Node | None, path: Path) -> Conflict:
        node = ours if ours is not None else self._above(path)
        mark = node.start_mark if node is not None else None
        line, column = (mark.line + 1, mark.column + 1) if mark is not None else (1, 1)
        return Conflict(dotted(path), line, column, _short(ours), _short(theirs))

    def _above(self, path: Path) -> Node | None:
        """The nearest thing above a place that our side has."""
        node = self.ours.root
        for step in path:
            inner: Node | None = None
            if isinstance(node, yaml.MappingNode):
                inner = _entries(node).get(str(step))
            elif isinstance(node, yaml.SequenceNode):
                keyed = identities(node)
                inner = keyed[0].get(str(step)) if keyed else None
            if inner is None:
                break
            node = inner
        return node


def _entries(node: Node | None) -> dict[str, Node]:
    return {key.value: value for key, value in node.value} if isinstance(node, yaml.MappingNode) else {}


def _apart(ours: dict[str, Node], theirs: dict[str, Node]) -> bool:
    """Whether nothing of ours is in theirs: then there is nothing to put together."""
    return not set(ours) & set(theirs)


def _in_order(base: dict[str, Node], ours: dict[str, Node], theirs: dict[str, Node]) -> bool:
    """Whether their side left the entries that were there in their order, or both sides have them alike."""
    common = [name for name in base if name in theirs]
    now = [name for name in theirs if name in base]
    if common == now:
        return True
    return [name for name in theirs if name in ours] == [name for name in ours if name in theirs]


def _short(node: Node | None) -> str:
    if nothing(node) or node is None:
        return "(nothing)"
    text = node.value if isinstance(node, yaml.ScalarNode) else flow_text(node)
    text = " ".join(str(text).split())
    return text if len(text) <= SHOWN else f"{text[: SHOWN - 3]}..."

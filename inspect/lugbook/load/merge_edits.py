"""Changes to a text at places of its nodes: what is not named stays as it is, comments and layout included."""

from __future__ import annotations

from dataclasses import dataclass, field

import yaml

from lugbook.load.merge_nodes import (
    Block,
    Node,
    Source,
    block_text,
    column_of,
    end_of,
    flow_text,
    hanging_text,
    start_of,
)


class CannotEditError(Exception):
    """The text is laid out in a way that this change does not fit into."""


@dataclass(slots=True)
class Edits:
    """Changes to `ours` with pieces of `theirs`."""

    ours: Source
    theirs: Source
    made: list[tuple[int, int, str]] = field(default_factory=list)

    def text(self) -> str:
        """The text with all changes. Raises CannotEditError if two of them touch each other."""
        out, at = [], 0
        for begin, end, new in sorted(self.made, key=lambda edit: edit[:2]):
            if begin < at:
                raise CannotEditError
            out += [self.ours.body[at:begin], new]
            at = end
        return "".join(out) + self.ours.body[at:]

    def _add(self, begin: int, end: int, new: str) -> None:
        ends = "\r\n" if "\r\n" in self.ours.body else "\n"
        self.made.append((begin, end, new.replace("\n", ends)))

    def replace_value(self, parent: Block, key: Node, value: Node, new: Node) -> None:
        """Another value for a key."""
        begin, end = self._after_colon(key), end_of(value, self.ours.body)
        if parent.flow_style:
            self._add(begin, end, f" {flow_text(new)}")
            return
        rest = self.ours.body[end : self._line_end(end)].strip()
        text = self._value(new, column_of(parent), one_line=bool(rest))
        self._add(begin, max(begin, end), text)

    def insert_key(self, parent: Block, before: str | None, key: str, new: Node) -> None:
        """A new key after the key `before`, or at the beginning."""
        entries = {name.value: value for name, value in parent.value}
        if parent.flow_style:
            text = f"{key}: {flow_text(new)}"
            if before is None:
                self._add(start_of(parent) + 1, start_of(parent) + 1, text + (", " if entries else ""))
            else:
                end = end_of(entries[before], self.ours.body)
                self._add(end, end, f", {text}")
            return
        pad = " " * column_of(parent)
        text = f"{key}:{self._value(new, column_of(parent), one_line=False)}"
        if before is None:
            self._insert_first(start_of(parent), pad, text)
        else:
            end = self._line_end(end_of(entries[before], self.ours.body))
            self._add(end, end, f"\n{pad}{text}")

    def delete_key(self, parent: Block, key: str) -> None:
        """A key less."""
        names = [name for name, _ in parent.value]
        at = next(i for i, name in enumerate(names) if name.value == key)
        body, value = self.ours.body, parent.value[at][1]
        if len(names) == 1:
            self._add(start_of(parent), end_of(parent, body), "{}")
        elif parent.flow_style and at == len(names) - 1:
            self._add(end_of(parent.value[at - 1][1], body), end_of(value, body), "")
        elif parent.flow_style or body[self._line_start(start_of(names[at])) : start_of(names[at])].strip():
            self._add(start_of(names[at]), start_of(names[at + 1]), "")
        else:
            self._delete_lines(start_of(names[at]), end_of(value, body))

    def replace_item(self, parent: Block, item: Node, new: Node) -> None:
        """Another entry of a list in place of this one."""
        begin, end = start_of(item), end_of(item, self.ours.body)
        flow = bool(parent.flow_style)
        text = flow_text(new) if flow else block_text(new, self.theirs.body, column_of(item))
        self._add(begin, end, text)

    def insert_item(self, parent: Block, before: Node | None, new: Node) -> None:
        """A new entry after the entry `before`, or at the beginning."""
        if parent.flow_style:
            at = start_of(parent) + 1 if before is None else end_of(before, self.ours.body)
            text = flow_text(new)
            self._add(at, at, (f"{text}, " if parent.value else text) if before is None else f", {text}")
            return
        pad = " " * column_of(parent)
        text = f"- {block_text(new, self.theirs.body, column_of(parent) + 2)}"
        if before is None:
            self._insert_first(start_of(parent), pad, text)
        else:
            at = self._line_end(end_of(before, self.ours.body))
            self._add(at, at, f"\n{pad}{text}")

    def _insert_first(self, at: int, pad: str, text: str) -> None:
        """Before what begins at a place: on a line of its own above it, or on its line if that begins earlier."""
        start = self._line_start(at)
        if self.ours.body[start:at].strip() or start == 0:
            self._add(at, at, f"{text}\n{pad}")
        else:
            above = self._line_end(start - 2 if self.ours.body[start - 2 : start] == "\r\n" else start - 1)
            self._add(above, above, f"\n{pad}{text}")

    def delete_item(self, parent: Block, item: Node) -> None:
        """An entry of a list less."""
        body, items = self.ours.body, parent.value
        at = next(i for i, one in enumerate(items) if one is item)
        if len(items) == 1:
            self._add(start_of(parent), end_of(parent, body), "[]")
        elif parent.flow_style:
            last = at == len(items) - 1
            begin = end_of(items[at - 1], body) if last else start_of(item)
            self._add(begin, end_of(item, body) if last else start_of(items[at + 1]), "")
        else:
            dash = body.rfind("-", 0, start_of(item))
            if body[self._line_start(dash) : dash].strip():
                raise CannotEditError
            self._delete_lines(dash, end_of(item, body))

    def _value(self, new: Node, column: int, *, one_line: bool) -> str:
        """What stands after the colon of a key at `column`."""
        if isinstance(new, yaml.ScalarNode):
            block, long = False, new.style in ("|", ">")
        else:
            block = long = not new.flow_style
        if one_line and long:
            return f" {flow_text(new)}"
        if block:
            pad = " " * (column + 2)
            return f"\n{pad}{block_text(new, self.theirs.body, column + 2)}"
        by = column - self._indent(self.theirs.body, start_of(new))
        text = hanging_text(new, self.theirs.body, by)
        return f" {text}" if text else ""

    @staticmethod
    def _indent(body: str, at: int) -> int:
        """The column of the key on the line of a place; a dash before it counts as space."""
        line = body[body.rfind("\n", 0, at) + 1 : at]
        return len(line) - len(line.lstrip(" -"))

    def _after_colon(self, key: Node) -> int:
        return self.ours.body.index(":", int(key.end_mark.index)) + 1

    def _line_start(self, at: int) -> int:
        return self.ours.body.rfind("\n", 0, at) + 1

    def _line_end(self, at: int) -> int:
        end = self.ours.body.find("\n", at)
        end = len(self.ours.body) if end < 0 else end
        return end - 1 if end > at and self.ours.body[end - 1] == "\r" else end

    def _delete_lines(self, begin: int, end: int) -> None:
        """Whole lines, with the line end before them: what is put after the last one still has its place."""
        start, last = self._line_start(begin), self._line_end(end)
        if start == 0:
            self._add(0, self.ours.body.find("\n", end) + 1, "")
        else:
            before = 2 if self.ours.body[start - 2 : start] == "\r\n" else 1
            self._add(start - before, last, "")

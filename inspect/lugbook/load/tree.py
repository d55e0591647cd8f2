"""YAML text -> a tree of nodes that know their line and column.

The tree is built from libyaml's events, never by a YAML constructor: no tag is ever acted upon, scalars
stay text until their declared type reads them, and aliases, the ammunition of expansion attacks, are refused.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import yaml

from lugbook.model.problem import Path, Problem, Severity, dotted

MAX_BYTES = 4_000_000
MAX_SCALAR = 50_000
MAX_DEPTH = 24
MAX_NODES = 150_000
MAX_ERRORS = 1000

Loader: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

# Characters that can make text read as something else than it is: controls, direction marks and overrides, line
# separators at which only some YAML readers break lines, characters without any shape, halves of pairs.
HIDDEN = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u061c\u180e\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f"
    "\ud800-\udfff\ufeff\ufff9-\ufffb\ufffe\uffff\U000e0000-\U000e007f]"
)
BOM = "\ufeff"
EATEN = re.compile(r"[ \t]+#[^ \t#-]")
# What libyaml says -> what an electrician can act on. Anything else is passed on as it is.
PLAIN_WORDS = {
    "found character that cannot start any token": "this character cannot stand here; put the text in quotes",
    "mapping values are not allowed in this context": "a colon stands where none is expected",
    "could not find expected ':'": "a key without its colon",
    "did not find expected key": "this line fits neither the list nor the keys above it",
    "did not find expected '-' indicator": "a list goes on here without its dash",
    "did not find expected ',' or ']'": "a list in [ ] lacks a comma or its end",
    "did not find expected ',' or '}'": "a group in { } lacks a comma or its end",
    "found unexpected end of stream": "a quote was opened and never closed",
    "found unexpected document indicator": "a quote was opened and never closed",
    "block sequence entries are not allowed in this context": "a dash stands where no list can begin",
    "found unknown escape character": "an unknown \\ sequence; in double quotes write \\\\, or use single quotes",
    "did not find expected whitespace or line break": "a space is missing here",
    "did not find expected <document start>": "this text belongs to no key",
    "did not find expected comment or line break": "text that begins with > or | must stand in quotes",
    "did not find expected node content": "a value is missing here",
}


@dataclass(frozen=True, slots=True)
class Mark:
    """Line and column, from 1."""

    line: int
    column: int


@dataclass(frozen=True, slots=True)
class Scalar:
    """A scalar as written. `plain` is True when it stands without quotes."""

    text: str
    plain: bool
    mark: Mark


@dataclass(frozen=True, slots=True)
class Sequence:
    """A list."""

    items: tuple[Node, ...]
    mark: Mark


@dataclass(frozen=True, slots=True)
class Mapping:
    """Keys and values in the order of the file, doubles included."""

    entries: tuple[tuple[Scalar, Node], ...]
    mark: Mark
    flow: bool = False


Node = Scalar | Sequence | Mapping


class Plain(str):
    """Text that stood without quotes, so that a type can notice what other YAML readers make of it."""

    __slots__ = ()


class TooManyError(Exception):
    """Reading stops: the document holds more faults than anyone would read. Its problems say so."""

    def __init__(self, document: Document) -> None:
        super().__init__(document.file)
        self.document = document


@dataclass(slots=True)
class Document:
    """One parsed file: its tree, its name for messages, its text and what is wrong with it so far."""

    file: str
    text: str
    root: Node | None = None
    problems: list[Problem] = field(default_factory=list)
    errors: int = 0

    def report(
        self,
        path: Path,
        code: str,
        message: str,
        hint: str = "",
        *,
        severity: Severity = "error",
        on_key: bool = False,
    ) -> None:
        """Record a problem at the place that `path` leads to."""
        mark = self.locate(path, on_key=on_key)
        self.add(Problem(self.file, mark.line, mark.column, dotted(path), code, severity, message, hint))

    def add(self, problem: Problem) -> None:
        """Record a problem. Raises TooManyError once there are so many that nobody would read them."""
        self.problems.append(problem)
        self.errors += problem.severity == "error"
        if self.errors > MAX_ERRORS:
            message = f"more than {MAX_ERRORS} faults; the rest is not shown"
            self.problems.append(Problem(self.file, 0, 0, "", "P008", "error", message, "mend these first"))
            raise TooManyError(self)

    def locate(self, path: Path, *, on_key: bool = False) -> Mark:
        """The mark of the value at `path`, or of the nearest thing above it that exists."""
        node, mark = self.root, Mark(1, 1)
        if node is not None:
            mark = node.mark
        for step in path:
            key, value = _step(node, step)
            if value is None:
                break
            mark = key.mark if on_key and key is not None else value.mark
            node = value
        return mark

    def plain(self) -> Any:
        """The tree as dicts, lists and text (None for an empty value); doubled keys are reported."""
        return None if self.root is None else _plain(self.root, (), self)


def _step(node: Node | None, step: str | int) -> tuple[Scalar | None, Node | None]:
    if isinstance(node, Mapping):
        for key, value in node.entries:
            if key.text == step:
                return key, value
    if isinstance(node, Sequence) and isinstance(step, int) and step < len(node.items):
        return None, node.items[step]
    return None, None


def _plain(node: Node, path: Path, document: Document) -> Any:
    if isinstance(node, Scalar):
        if node.plain:
            return None if node.text == "" else Plain(node.text)
        return node.text
    if isinstance(node, Sequence):
        return [_plain(item, (*path, i), document) for i, item in enumerate(node.items)]
    out: dict[str, Any] = {}
    for key, value in node.entries:
        if key.text in out:
            _report(
                document, key.mark, "P103", f"the key '{key.text}' stands twice here", "keep one of the two"
            )
        out[key.text] = _plain(value, (*path, key.text), document)
    return out


def parse(text: str, file: str) -> Document:
    """Parse one YAML document. Faults are on the document; its root is None when nothing can be read."""
    document = Document(file, text)
    body = text.removeprefix(BOM)
    hidden = HIDDEN.search(body)
    if hidden:
        lines = body[: hidden.start()].splitlines() or [""]
        at_start = body[: hidden.start()].endswith(("\n", "\r"))
        place = Mark(len(lines) + at_start, 1 if at_start else len(lines[-1]) + 1)
        message = f"a hidden character (U+{ord(hidden.group()):04X}) stands here"
        _report(document, place, "P009", message, "delete it; control and direction characters are refused")
        return document
    try:
        document.root = _document(yaml.parse(body, Loader=Loader), document)
    except yaml.MarkedYAMLError as error:
        _unreadable(error, body, document)
    except yaml.YAMLError as error:
        _report(document, Mark(1, 1), "P003", f"this is not readable YAML: {error}", YAML_HINT)
    except _Refused:
        document.root = None
    return document


def _unreadable(error: yaml.MarkedYAMLError, body: str, document: Document) -> None:
    """Say in plain words what the parser stumbled over, and where."""
    found = error.problem or error.context or ""
    message, hint = PLAIN_WORDS.get(found, found), YAML_HINT
    mark = error.problem_mark or error.context_mark
    if error.context_mark and ("end of stream" in found or "expected ':'" in found):
        mark = error.context_mark  # where the quote or the key begins, not where the parser gave up
    place = Mark(mark.line + 1, mark.column + 1) if mark else Mark(1, 1)
    if "nesting depth" in found:
        _report(document, place, "P007", f"more than {MAX_DEPTH} levels inside each other", DEPTH_HINT)
        return
    lines = body.splitlines()
    line = lines[place.line - 1] if place.line <= len(lines) else ""
    before = line[: place.column - 1].rstrip()
    if "\t" in line[: place.column]:
        message, hint = "a tab stands on this line", "indent with spaces only"
    elif "end of stream" in found:
        hint = "close it on the same line; an apostrophe inside single quotes is written twice"
    elif "expected ':'" in found:
        hint = KEY_HINT
    elif found.startswith("mapping values") and _lacks_colon(lines, place.line - 1):
        above = lines[place.line - 2]
        place = Mark(place.line - 1, 1 + len(above) - len(above.lstrip()))
        message, hint = "a key without its colon", KEY_HINT
    elif found.startswith("mapping values"):
        hint = "put text that holds ': ' in quotes, and indent the line like the keys beside it"
    elif found == "did not find expected key" and before.endswith(('"', "'")):
        message, hint = "text goes on after the closing quote", "put the whole text in one pair of quotes"
    elif found == "did not find expected key" and line.lstrip().startswith("- "):
        message = "a list entry among keys"
        hint = (
            "the lines above lack their dash, or this line is not indented like the list that it belongs to"
        )
    _report(document, place, "P003", f"this is not readable YAML: {message}", hint)


def _lacks_colon(lines: list[str], number: int) -> bool:
    """Whether a line (counted from 1) holds text, but no key: then it is the culprit, not the line after it."""
    text = lines[number - 1].strip() if number > 0 else ""
    return bool(text) and not text.startswith(("#", "-")) and ": " not in text and not text.endswith(":")


DEPTH_HINT = "a findings file needs about eight"
KEY_HINT = "write 'key: value', with a space after the colon"
YAML_HINT = (
    "look at the indent, the colons (a space after each) and the quotes on this line and the one before"
)


class _Refused(Exception):  # noqa: N818 - never leaves this module
    """Reading stops: the problem is on the document already."""


def _report(document: Document, mark: Mark, code: str, message: str, hint: str = "") -> None:
    document.add(Problem(document.file, mark.line, mark.column, "", code, "error", message, hint))


def _refuse(document: Document, mark: Mark, code: str, message: str, hint: str) -> _Refused:
    _report(document, mark, code, message, hint)
    return _Refused()


def _document(events: Iterator[Any], document: Document) -> Node | None:
    root: Node | None = None
    builder = _Builder(document)
    for event in events:
        if isinstance(event, yaml.DocumentStartEvent):
            if root is not None:
                raise _refuse(
                    document,
                    _mark(event),
                    "P004",
                    "a second document starts here",
                    "keep one document a file",
                )
        elif isinstance(event, yaml.NodeEvent):
            root = builder.node(event, events, 0)
    if root is None or (isinstance(root, Scalar) and root.text == ""):
        raise _refuse(
            document, Mark(1, 1), "P004", "the file is empty", "run 'lugbook start FOLDER' for a skeleton"
        )
    return root


def _mark(event: Any) -> Mark:
    return Mark(event.start_mark.line + 1, event.start_mark.column + 1)


class _Builder:
    """Turns events into nodes and refuses what no findings file needs."""

    def __init__(self, document: Document) -> None:
        self.document = document
        self.lines = document.text.removeprefix(BOM).splitlines()
        self.count = 0

    def node(self, event: Any, events: Iterator[Any], depth: int) -> Node:
        mark = _mark(event)
        self._guard(event, mark, depth)
        if isinstance(event, yaml.ScalarEvent):
            plain = event.style is None or event.style == ""
            if plain and event.value:
                self._warn_of_comment(event)
            return Scalar(event.value, plain, mark)
        if isinstance(event, yaml.SequenceStartEvent):
            items = []
            for inner in events:
                if isinstance(inner, yaml.SequenceEndEvent):
                    break
                items.append(self.node(inner, events, depth + 1))
            return Sequence(tuple(items), mark)
        return self._mapping(bool(event.flow_style), events, mark, depth)

    def _mapping(self, flow: bool, events: Iterator[Any], mark: Mark, depth: int) -> Mapping:
        entries = []
        for inner in events:
            if isinstance(inner, yaml.MappingEndEvent):
                break
            key = self.node(inner, events, depth + 1)
            if not isinstance(key, Scalar):
                raise _refuse(self.document, key.mark, "P104", "a key must be a word", "write 'key: value'")
            if key.plain and key.text == "<<":
                raise _refuse(
                    self.document, key.mark, "P005", "merge keys (<<) are not read", "write the keys out"
                )
            entries.append((key, self.node(next(events), events, depth + 1)))
        return Mapping(tuple(entries), mark, flow)

    def _warn_of_comment(self, event: Any) -> None:
        """`note: Panel #3 is loose` is read as `Panel`; a comment proper has a space after its sign."""
        end = event.end_mark
        if end.line < len(self.lines) and EATEN.match(self.lines[end.line], end.column):
            place = Mark(end.line + 1, end.column + 1)
            message = f"the text after '{event.value[-40:]}' is taken for a comment and left out"
            hint = "put text that holds ' #' in quotes; write a space after the # of a comment"
            self.document.add(
                Problem(self.document.file, place.line, place.column, "", "P405", "warning", message, hint)
            )

    def _guard(self, event: Any, mark: Mark, depth: int) -> None:
        self.count += 1
        if isinstance(event, yaml.AliasEvent) or event.anchor is not None:
            raise _refuse(
                self.document,
                mark,
                "P005",
                "anchors (&) and aliases (*) are not read",
                "write the value out; quote text that starts with & or *",
            )
        if event.tag is not None:
            raise _refuse(
                self.document,
                mark,
                "P006",
                f"the tag '{event.tag.replace('tag:yaml.org,2002:', '!!')}' is not read",
                "delete it; quote text that starts with !",
            )
        if depth > MAX_DEPTH:
            raise _refuse(
                self.document,
                mark,
                "P007",
                f"more than {MAX_DEPTH} levels inside each other",
                DEPTH_HINT,
            )
        if self.count > MAX_NODES:
            raise _refuse(self.document, mark, "P008", f"more than {MAX_NODES} values", "split the job")
        if isinstance(event, yaml.ScalarEvent) and len(event.value) > MAX_SCALAR:
            raise _refuse(
                self.document, mark, "P008", f"a text of more than {MAX_SCALAR} characters", "shorten it"
            )
        if isinstance(event, yaml.ScalarEvent):
            hidden = HIDDEN.search(event.value)
            if hidden:
                message = f"this text makes a hidden character (U+{ord(hidden.group()):04X}) by a \\ sequence"
                raise _refuse(
                    self.document,
                    mark,
                    "P009",
                    message,
                    "delete it; control and direction characters are refused",
                )

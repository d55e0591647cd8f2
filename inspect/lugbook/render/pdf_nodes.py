"""What the structure tree of a page is made of, between reading the page and writing the PDF."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

__all__ = ["Link", "Mark", "Node"]


@dataclass(eq=False)
class Mark:
    """One marked sequence in the content of a page."""

    page: int
    number: int
    text: str = ""
    artifact: str | None = None  # the kind of artifact, or None for content


@dataclass(eq=False)
class Link:
    """One rectangle of a link on a page; `annotation` is WeasyPrint's object for it."""

    page: int
    annotation: Any


@dataclass(eq=False)
class Node:
    """One structure element in the making."""

    type: str
    element: Any = None
    kids: "list[Node | Mark | Link]" = field(default_factory=list)
    attributes: dict[str, Any] = field(default_factory=dict)
    alt: str | None = None
    implicit: bool = False  # made to hold text that stands in a grouping element
    has_body: bool = False  # for a list item made of dt and dd

    def add(self, type_: str, element: Any = None, *, first: bool = False, implicit: bool = False) -> "Node":
        node = Node(type_, element, implicit=implicit)
        self.kids.insert(0 if first else len(self.kids), node)
        return node

    def text(self) -> str:
        """The words in this element, without those of artifacts."""
        return " ".join(self._words())

    def _words(self) -> Iterable[str]:
        if self.alt:
            yield self.alt
        for kid in self.kids:
            if isinstance(kid, Node):
                yield from kid._words()
            elif isinstance(kid, Mark) and kid.artifact is None:
                yield kid.text

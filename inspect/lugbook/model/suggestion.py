"""What the analyses would propose. None of it counts before a person has read it and taken it on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from lugbook.model.evidence import Evidence

SuggestionKind = Literal["fuse", "size", "lug", "rating"]


@dataclass(frozen=True, slots=True)
class Suggestion:
    """One change to one element, with the evidence that asked for it.

    `element` is a conductor or a circuit, `answers` are defect ids. A fuse has a `rating` [A] and stands `at` metres
    from the 'from' end; `fault` [A] at `volts` is what it must break, and `device` a class that could. A size has the
    new `size` as it is written. A lug has an `end` and a `hole` [m]. A rating has the `device`'s id and the new `rating`.
    """

    kind: SuggestionKind
    element: str
    answers: tuple[str, ...]
    because: tuple[Evidence, ...]
    rating: float = 0.0
    at: float = 0.0
    size: str = ""
    end: Literal["from", "to"] = "from"
    hole: float = 0.0
    device: str = ""
    fault: float | None = None
    volts: float | None = None

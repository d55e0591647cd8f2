"""Sentences of the analyses in another language: the English template is the key, as in message catalogues.

A template is a sentence with its changing parts numbered: 'fuse-1' loses 0.35 V is `{0} loses {1}`. A translation may
put the numbers in another order. A long sentence that has no entry of its own is taken apart at its joints. A part without an entry stays
as it is: it may be a text of the user's, such as where a reading was taken.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from string import Formatter as Fields
from typing import Literal, get_args

from lugbook.model.evidence import Amount

# What changes inside the text of a sentence: quoted ids, labels of states, exempting clauses, and figures as written.
ID = r"(?<!\w)'[a-z0-9][a-z0-9./:-]*'(?!\w)"
PLACED = re.compile(
    rf"(?P<name>{ID}(?:, {ID})*)"
    r"|(?<!\w)'(?P<state>[a-z0-9][a-z0-9 ,./:-]*)'(?!\w)"
    r"|(?<=[Ee]xempt by )(?P<clause>[^;]+?)(?=;|[.]$|[.] |$)"
    r"|(?P<size>\b\d+(?:[.]\d+)? mm2\b|\bAWG \d+(?:/0)?|(?<=stud )M?\d[\d./]*"
    r"|(?<=, row )[\d./]+|(?<= at )\d+(?:[.]\d+)? V(?= or more)|(?<=warm factor )[\d.]+|\b[\d.]+(?= times\b)|(?<=, string )\d+"
    r"|\d+(?:[.]\d+)?(?= % and \d+ digits)|(?<= % and )\d+(?= digits)|(?<=-earthed, at )[a-z0-9./-]+)"
)
JOINTS = re.compile(r"((?<!\bd[.]c)(?<!\ba[.]c)[.] |; |: |, and |[.]$)")
NUMBERED = re.compile(r"\{(\d+)\}")
WORD = re.compile(r"[a-z]{2}")


Kind = Literal["name", "state", "clause", "size"]
KINDS: tuple[Kind, ...] = get_args(Kind)


@dataclass(frozen=True, slots=True)
class Placed:
    """A changing part of a text: ids of elements, the label of a state, a clause, or a figure as written."""

    kind: Kind
    text: str


Value = Amount | Placed


def template(tokens: Iterable[str | Amount]) -> tuple[str, tuple[Value, ...]]:
    """A sentence with its changing parts numbered, and these parts in order."""
    parts: list[str] = []
    values: list[Value] = []
    for token in tokens:
        if isinstance(token, Amount):
            parts.append(f"{{{len(values)}}}")
            values.append(token)
            continue
        end = 0
        for match in PLACED.finditer(token):
            parts.append(_plain(token[end : match.start()]) + f"{{{len(values)}}}")
            kind = next(one for one in KINDS if match[one] is not None)
            values.append(Placed(kind, match[kind]))
            end = match.end()
        parts.append(_plain(token[end:]))
    return "".join(parts), tuple(values)


def _plain(text: str) -> str:
    """Text in which braces stand for themselves."""
    return text.replace("{", "{{").replace("}", "}}")


def translated(text: str, known: Mapping[str, str]) -> str:
    """A template in another language; what has no entry stays as it is."""
    if text in known:
        return known[text]
    return "".join(
        known.get(part, part) if n % 2 else _shifted(known.get(part, part), before)
        for n, part, before in _parts(text)
    )


def missing(text: str, known: Mapping[str, str]) -> tuple[str, ...]:
    """The parts of a template that have no entry."""
    if text in known:
        return ()
    return tuple(
        part for n, part, _ in _parts(text) if n % 2 == 0 and part not in known and WORD.search(part)
    )


def _parts(text: str) -> Iterator[tuple[int, str, int]]:
    """Parts and, at odd places, joints; each part numbered from 0, with the count of placeholders before it."""
    before = 0
    for n, part in enumerate(JOINTS.split(text)):
        yield n, _shifted(part, -before), before
        before += len(NUMBERED.findall(part))


def _shifted(text: str, by: int) -> str:
    return NUMBERED.sub(lambda match: f"{{{int(match[1]) + by}}}", text) if by else text


def places(text: str) -> frozenset[str]:
    """The placeholders of a text. Raises ValueError if a brace is open or a placeholder has no name."""
    found: set[str] = set()
    for _, name, form, conversion in Fields().parse(text):
        if name is None:
            continue
        if not re.fullmatch(r"[a-z_]+|\d+", name) or form or conversion:
            raise ValueError(f"'{{{name}}}' is no placeholder")
        found.add(name)
    return frozenset(found)

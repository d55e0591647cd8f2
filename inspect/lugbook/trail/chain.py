"""The chain: `trail.jsonl` holds one entry a line; each names the SHA-256 of the line before it."""

from __future__ import annotations

from dataclasses import dataclass

from pydantic import ValidationError

from lugbook.trail.canonical import canonical, digest, parse_canonical
from lugbook.trail.entries import ENTRY, Entry

TRAIL = "trail.jsonl"
HEAD = "trail.head"


@dataclass(frozen=True, slots=True)
class Link:
    """One entry with its bytes (without the line end)."""

    entry: Entry
    line: bytes

    @property
    def sum(self) -> str:
        """The entry's SHA-256: what the next entry and everybody else calls it."""
        return digest(self.line)


@dataclass(frozen=True, slots=True)
class Broken:
    """Where a chain does not hold. `number` counts the lines from 1."""

    number: int
    message: str


@dataclass(frozen=True, slots=True)
class Chain:
    """The entries that could be read, in order."""

    links: tuple[Link, ...] = ()

    @property
    def head(self) -> str | None:
        """The sum of the last entry."""
        return self.links[-1].sum if self.links else None

    @property
    def entries(self) -> tuple[Entry, ...]:
        """The entries alone."""
        return tuple(link.entry for link in self.links)

    def find(self, sum_: str) -> Link | None:
        """The entry of this sum."""
        return next((link for link in self.links if link.sum == sum_), None)

    def to_bytes(self) -> bytes:
        """The file's bytes."""
        return b"".join(link.line + b"\n" for link in self.links)


def make_link(entry: Entry) -> Link:
    """An entry with the bytes that will stand for it."""
    return Link(entry, canonical(entry.model_dump(mode="json")))


def parse_entry(line: bytes) -> Entry:
    """Read one entry. Raises ValueError, whose message says what is wrong."""
    value = parse_canonical(line)
    try:
        entry = ENTRY.validate_json(canonical(value))
    except ValidationError as error:
        first = error.errors(include_url=False, include_input=False)[0]
        place = ".".join(str(step) for step in first["loc"]) or "entry"
        raise ValueError(f"{place}: {first['msg'].lower()}") from error
    if make_link(entry).line != line:
        raise ValueError("a key is missing that every entry of this kind has")
    return entry


def parse_chain(data: bytes) -> tuple[Chain, tuple[Broken, ...]]:
    """Read the file. Every line that does not fit is reported, and reading goes on behind it."""
    broken: list[Broken] = []
    links: list[Link] = []
    lines = data.split(b"\n")
    if lines.pop() != b"":
        broken.append(Broken(len(lines) + 1, "the last line has no end: it was cut off"))
        lines = data.split(b"\n")
    previous: str | None = None
    for number, line in enumerate(lines, 1):
        try:
            entry = parse_entry(line)
        except ValueError as error:
            broken.append(Broken(number, str(error)))
        else:
            if entry.entry != number:
                broken.append(
                    Broken(
                        number, f"it calls itself entry {entry.entry}: lines were moved, added or taken out"
                    )
                )
            if entry.previous != previous:
                broken.append(
                    Broken(
                        number,
                        "it does not follow from the line before: that line was altered, moved or taken out",
                    )
                )
            links.append(Link(entry, line))
        previous = digest(line)
    return Chain(tuple(links)), tuple(broken)

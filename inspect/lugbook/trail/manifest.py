"""The manifest of a revision: what the report was made from, by SHA-256, and the head of the trail before it.

It covers the originals and `report.json`. It names no HTML and no PDF: they print its sum, and the issue entry names
them in turn.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from pydantic import ValidationError

from lugbook.trail.canonical import canonical, parse_canonical
from lugbook.trail.entries import FileSum, Record, Sum, Words

MANIFEST = "manifest.json"
FINDINGS_JSON = "findings.json"
SUMS = "SHA256SUMS"
ENTRY_FILE = "entry.json"


class Program(Record):
    """What made the report."""

    name: Literal["lugbook"] = "lugbook"
    version: str


class Manifest(Record):
    """The manifest. Paths are relative to the revision's folder."""

    format: Literal["lugbook-manifest-1"] = "lugbook-manifest-1"
    number: Words
    revision: int
    draft: bool
    program: Program
    previous: Sum
    """Head of the trail before this issue."""
    files: tuple[FileSum, ...]
    redacted_from: Sum | None = None
    """In a copy for third parties: the manifest of the original."""

    def to_bytes(self) -> bytes:
        """The file's bytes."""
        return canonical(self.model_dump(mode="json", exclude_none=True))


def parse_manifest(data: bytes) -> Manifest:
    """Read a manifest. Raises ValueError."""
    try:
        return Manifest.model_validate_json(canonical(parse_canonical(data)))
    except ValidationError as error:
        raise ValueError("this is not a manifest") from error


def sums_file(files: Iterable[FileSum]) -> bytes:
    """A list that `sha256sum -c` takes, in the order of the paths."""
    return "".join(f"{file.sha256}  {file.path}\n" for file in sorted(files, key=lambda f: f.path)).encode()

"""Canonical JSON (RFC 8785) and SHA-256 (FIPS 180-4): the bytes that are hashed, signed and compared."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path
from typing import Any

import rfc8785

from lugbook.errors import LugbookError


class TrailError(LugbookError):
    """The trail, or something that belongs to it, is not as it must be."""


def canonical(value: Any) -> bytes:
    """The one form of a JSON value: keys sorted, no spaces, UTF-8, no line end."""
    return rfc8785.dumps(value)


def parse_canonical(data: bytes) -> Any:
    """The value of canonical JSON. Raises ValueError if the bytes are JSON in any other form, or no JSON."""
    try:
        value = json.loads(data.decode("utf-8"))
        again = canonical(value)
    except (ValueError, RecursionError, rfc8785.CanonicalizationError) as error:
        raise ValueError("this is not JSON that can be read") from error
    if again != data:
        raise ValueError("this is JSON, but not in its canonical form")
    return value


def digest(data: bytes) -> str:
    """SHA-256 in hexadecimal."""
    return hashlib.sha256(data).hexdigest()


def file_digest(path: Path) -> str:
    """SHA-256 of a file, read in parts."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()

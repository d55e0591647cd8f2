"""Reading a folder that may have been tampered with: nothing outside of it, nothing but ordinary files."""

from __future__ import annotations

import os
import stat
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from lugbook.trail.canonical import digest
from lugbook.trail.chain import HEAD, TRAIL
from lugbook.trail.store import PENDING, happened

MAX_BYTES = 500_000_000
What = Literal["altered", "missing", "extra", "order", "unknown key", "cut short", "signature", "not checked"]


@dataclass(frozen=True, slots=True)
class Difference:
    """One thing that is not as it was recorded."""

    what: What
    place: str
    message: str

    def __str__(self) -> str:
        return f"{self.what}: {self.place}: {self.message}"


class Folder:
    """A folder to check. A change that has happened, but whose files wait in `.pending/`, is read from there."""

    def __init__(self, root: Path) -> None:
        self.root = root
        self.waiting = happened(root)
        self.state = (self.waiting, _state(root / TRAIL), _state(root / HEAD))
        self.real = root.resolve()

    def read(self, path: str) -> bytes | None:
        """The bytes of an ordinary file inside the folder, or None."""
        places = [self.root / PENDING / path, self.root / path] if self.waiting else [self.root / path]
        for place in places:
            try:
                if stat.S_ISREG(place.lstat().st_mode) and place.parent.resolve().is_relative_to(self.real):
                    with place.open("rb") as file:
                        return file.read(MAX_BYTES)
            except (OSError, ValueError):
                continue
        return None

    def names(self, below: str = "") -> set[str]:
        """Every path below a folder, links and odd things included.

        An empty folder is named too, unless files still have to be moved: then some are empty for a while.
        """
        found = _walk(self.root / below, self.root, empty=not self.waiting)
        if self.waiting:
            found |= _walk(self.root / PENDING / below, self.root / PENDING, empty=False)
        return found

    def compare(self, path: str, expected: str, shown: str | None = None) -> Difference | None:
        """Whether a file has this sum."""
        data = self.read(path)
        place = shown or path
        if data is None:
            return Difference("missing", place, "it is not there, or it is no ordinary file")
        found = digest(data)
        if found != expected:
            return Difference("altered", place, f"its sum is {found}, recorded was {expected}")
        return None


def _state(path: Path) -> tuple[int, int, int] | None:
    """What changes when a file is replaced."""
    try:
        found = path.lstat()
    except OSError:
        return None
    return found.st_ino, found.st_size, found.st_mtime_ns


def _walk(top: Path, root: Path, *, empty: bool) -> set[str]:
    found: set[str] = set()
    if top.is_symlink():
        return {top.relative_to(root).as_posix()}
    for folder, folders, files in os.walk(top):
        here = Path(folder)
        links = [name for name in folders if (here / name).is_symlink()]
        found |= {(here / name).relative_to(root).as_posix() for name in (*files, *links)}
        if empty and not folders and not files and here != top:
            found.add(here.relative_to(root).as_posix())
    return found

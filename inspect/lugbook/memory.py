"""What pictures gave, kept while their files stay the same, for a program that makes the same report again and again."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from pathlib import Path
from typing import TypeVar, cast

T = TypeVar("T")


class Memory:
    """Keeps results by file, its size and time of change, and what was wanted of it. Failures are not kept."""

    def __init__(self) -> None:
        self._kept: dict[Hashable, object] = {}

    def of(self, path: Path, wanted: Hashable, make: Callable[[], T]) -> T:
        """What `make` gave for this file and wish before, or gives now. The newest state of a file alone is kept."""
        try:
            found = path.stat()
        except OSError:
            return make()  # it says what is wrong
        state = (found.st_size, found.st_mtime_ns)
        kept = self._kept.get((path, wanted))
        if isinstance(kept, tuple) and kept[0] == state:
            return cast(T, kept[1])
        made = make()
        self._kept[path, wanted] = (state, made)
        return made

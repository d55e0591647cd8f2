"""What took long to make, kept while what it was made from stays the same, for a program that makes the same report again and again."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from pathlib import Path
from typing import TypeVar, cast

T = TypeVar("T")


class Memory:
    """Keeps what files gave by their size and time of change, and the last answer to a question. Failures are not kept."""

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

    def same(self, what: str, given: Hashable, make: Callable[[], T]) -> T:
        """What `make` gave last for `what`, if it was given the same; or what it gives now."""
        kept = self._kept.get(what)
        if isinstance(kept, tuple) and kept[0] == given:
            return cast(T, kept[1])
        made = make()
        self._kept[what] = (given, made)
        return made

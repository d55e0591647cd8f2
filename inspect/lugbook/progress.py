"""A progress bar on stderr for steps that take over a second."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Iterator
from typing import TypeVar

T = TypeVar("T")


class Progress:
    """Shows steps; says nothing when quiet or when stderr is no terminal."""

    def __init__(self, *, quiet: bool) -> None:
        self.shown = not quiet and sys.stderr.isatty()

    def each(self, things: Iterable[T], total: int, what: str) -> Iterator[T]:
        """Pass things on; a bar appears if they take longer than a second."""
        if not self.shown:
            yield from things
            return
        from tqdm import tqdm

        tqdm.monitor_interval = 0  # its thread would keep the workers on pictures from being forked
        ascii_only = None if "NO_COLOR" not in os.environ else True
        yield from tqdm(things, total=total, desc=what, delay=1, leave=False, ascii=ascii_only)

    def step(self, what: str) -> None:
        """Say what a long single step is doing."""
        if self.shown:
            print(f"\r{what} ...\033[K", end="\r", file=sys.stderr, flush=True)

    def done(self) -> None:
        """Clear the line of the last step."""
        if self.shown:
            print("\r\033[K", end="", file=sys.stderr, flush=True)

"""What this process opens, writes and asks of the network, told by the interpreter itself (PEP 578, audit events).

What libraries in C do by themselves is not seen; a listening socket and the bytes that come out show the rest.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

WRITES = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC
CHANGES = {
    "os.mkdir", "os.rename", "os.remove", "os.rmdir", "os.symlink", "os.link", "os.truncate", "os.chmod", "os.chown",
    "os.utime", "shutil.rmtree", "shutil.move",
}  # fmt: skip
NETWORK = ("socket.connect", "socket.getaddrinfo", "socket.sendto", "urllib.Request", "http.client.connect")


@dataclass
class Seen:
    """Paths that were opened to read, paths that were changed, and what was asked of the network."""

    read: list[str] = field(default_factory=list)
    changed: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)
    at_change: Callable[[int], object] | None = None

    def changed_outside(self, *allowed: Path) -> list[str]:
        """What was changed neither in one of these folders nor is one of them. Links are not followed."""
        roots = [os.path.abspath(root) for root in allowed]  # noqa: PTH100 - Path.resolve follows links
        within = tuple(root + os.sep for root in roots)
        return [path for path in self.changed if path not in roots and not path.startswith(within)]


_active: list[Seen] = []
_hooked: list[bool] = []


@contextmanager
def watched(at_change: Callable[[int], object] | None = None) -> Iterator[Seen]:
    """Everything that happens inside the block; `at_change` is called before the first, second, ... change."""
    if not _hooked:  # a hook stays for good: one is enough
        sys.addaudithook(_hook)
        _hooked.append(True)
    seen = Seen(at_change=at_change)
    _active.append(seen)
    try:
        yield seen
    finally:
        _active.remove(seen)


def _hook(event: str, arguments: tuple[Any, ...]) -> None:
    if not _active:
        return
    if event == "open":
        path, mode, flags = arguments
        if isinstance(path, str | bytes):
            writes = any(letter in (mode or "") for letter in "wax+") or bool((flags or 0) & WRITES)
            _note(path, "changed" if writes else "read")
    elif event in CHANGES:
        relative = event in ("os.remove", "os.rmdir", "os.mkdir", "os.chmod") and arguments[-1] not in (
            -1,
            None,
        )
        if not relative:  # named below a folder that is open: `shutil.rmtree` named that one
            for path in arguments[
                : 2 if event in ("os.rename", "os.link", "os.symlink", "shutil.move") else 1
            ]:
                _note(path, "changed")
    elif event in NETWORK:
        for seen in _active:
            seen.asked.append(f"{event} {arguments[1:]}")


def _note(path: Any, kind: str) -> None:
    if isinstance(path, int):
        return
    full = os.path.abspath(os.fsdecode(path))  # noqa: PTH100 - links are not followed
    for seen in _active:
        getattr(seen, kind).append(full)
        if kind == "changed" and seen.at_change is not None:
            seen.at_change(len(seen.changed))

"""What was made before, kept by what it was made from. The folder may be deleted at any time.

An entry's name is the SHA-256 of everything that its content depends on; its first bytes are the SHA-256 of the
rest, so that an entry that is cut short or spoilt is noticed, dropped and made anew. Entries appear whole, by a
rename, so several processes may share the folder. A full or read-only disk only means that nothing is kept.
"""

from __future__ import annotations

import hashlib
import json
import os
import tempfile
import time
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

LIMIT = 1_000_000_000
"""Bytes that `trim` leaves at most."""
LEFT_OVER = 3600
"""Seconds after which a file that never got its name is taken for left over."""
SUM = 32


@dataclass(frozen=True, slots=True)
class Cache:
    """Entries under `folder`; with None nothing is kept and nothing is found."""

    folder: Path | None
    limit: int = LIMIT

    def get(self, key: str) -> bytes | None:
        """The content of an entry, or None if it is not there or not what was put."""
        if self.folder is None:
            return None
        path = self._path(key)
        try:
            if not path.is_file():  # to open a pipe that somebody put there would wait for ever
                return None
            stored = path.read_bytes()
        except OSError:
            return None
        if stored[:SUM] != _sum(key, stored[SUM:]):
            with suppress(OSError):
                path.unlink()
            return None
        with suppress(OSError):
            os.utime(path)  # `trim` drops what was not used for longest
        return stored[SUM:]

    def put(self, key: str, data: bytes) -> None:
        """Keep an entry, if that is possible."""
        if self.folder is None:
            return
        path = self._path(key)
        with suppress(OSError):
            path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
            handle, name = tempfile.mkstemp(dir=path.parent, prefix="new-")
            try:
                with os.fdopen(handle, "wb") as file:
                    file.write(_sum(key, data) + data)
                os.replace(name, path)  # noqa: PTH105 - the one call that replaces atomically
            except BaseException:
                with suppress(OSError):
                    os.unlink(name)  # noqa: PTH108
                raise

    def trim(self) -> None:
        """Drop what was not used for longest until at most `limit` bytes are left, and left-over new files."""
        if self.folder is None:
            return
        found: list[tuple[float, int, Path]] = []
        entries: list[Path] = []
        with suppress(OSError):  # a folder that is not there, or may not be looked into
            entries = list(self.folder.glob("??/*"))
        for path in entries:
            with suppress(OSError):
                state = path.stat()
                found.append((state.st_mtime, state.st_size, path))
        total, now = sum(size for _, size, _ in found), time.time()
        for used, size, path in sorted(found):
            left_over = path.name.startswith("new-") and now - used > LEFT_OVER
            if total > self.limit or left_over:
                with suppress(OSError):
                    path.unlink()
                total -= size

    def _path(self, key: str) -> Path:
        assert self.folder is not None
        return self.folder / key[:2] / key


def key_of(*parts: object) -> str:
    """The name of what depends on `parts`: plain values, lists and dictionaries."""
    return hashlib.sha256(json.dumps(parts, sort_keys=True, ensure_ascii=True).encode()).hexdigest()


def usual_cache() -> Cache:
    """LUGBOOK_CACHE names the folder, `off` means none; otherwise it is where the desktop keeps caches."""
    named = os.environ.get("LUGBOOK_CACHE", "")
    if named == "off":
        return Cache(None)
    if named:
        return Cache(Path(named))
    base = os.environ.get("XDG_CACHE_HOME", "")
    if base and Path(base).is_absolute():  # the XDG base directory specification: a relative one is ignored
        return Cache(Path(base) / "lugbook")
    try:
        return Cache(Path.home() / ".cache" / "lugbook")
    except RuntimeError:
        return Cache(None)


def _sum(key: str, data: bytes) -> bytes:
    return hashlib.sha256(key.encode() + data).digest()

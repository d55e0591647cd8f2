"""Output: all files of a report appear together, or none does."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path

from lugbook.errors import OutputError


def write_files(folder: Path, files: Mapping[str, bytes]) -> tuple[Path, ...]:
    """Write files into `folder`: first all under a temporary name beside their places, then renamed.

    Raises OutputError if the folder cannot be written; nothing half-written is left then.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        waiting = Path(tempfile.mkdtemp(prefix=".lugbook-", dir=folder))
    except OSError as error:
        raise OutputError(f"cannot write into {folder}: {error.strerror}") from error
    try:
        for name, data in files.items():
            _write(waiting / name, data)
        for name in files:
            os.replace(waiting / name, folder / name)  # noqa: PTH105 - the one call that replaces atomically
    except OSError as error:
        raise OutputError(f"cannot write into {folder}: {error.strerror}") from error
    finally:
        shutil.rmtree(waiting, ignore_errors=True)
    return tuple(folder / name for name in files)


def write_file(path: Path, data: bytes) -> None:
    """Replace one file, whole or not at all."""
    write_files(path.parent, {path.name: data})


def _write(path: Path, data: bytes) -> None:
    with path.open("wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())

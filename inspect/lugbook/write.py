"""Output: all files of a report appear together, or none does."""

from __future__ import annotations

import os
import shutil
import signal
import tempfile
import threading
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from lugbook.errors import OutputError


def write_files(folder: Path, files: Mapping[str, bytes]) -> tuple[Path, ...]:
    """Write files into `folder`: first all under a temporary name beside their places, then renamed.

    Raises OutputError if the folder cannot be written; what was there before is there again then, and nothing
    half-written is left. Ctrl-C waits until all files are in place.
    """
    with _undisturbed():
        try:
            folder.mkdir(parents=True, exist_ok=True)
            waiting = Path(tempfile.mkdtemp(prefix=".lugbook-", dir=folder))
        except OSError as error:
            raise OutputError(f"cannot write into {folder}: {error.strerror}") from error
        try:
            for name, data in files.items():
                _write(waiting / name, data)
            _put_in_place(waiting, folder, files)
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


def _put_in_place(waiting: Path, folder: Path, names: Iterable[str]) -> None:
    """Rename all files; if one cannot be, put back what stood in the places of those before it."""
    done: list[tuple[Path, Path]] = []
    try:
        for name in names:
            place, before = folder / name, waiting / f".before-{name}"
            _keep(place, before)
            os.replace(waiting / name, place)  # noqa: PTH105 - the one call that replaces atomically
            done.append((place, before))
    except OSError:
        for place, before in done:
            with suppress(OSError):
                before.replace(place) if before.exists() else place.unlink()
        raise


def _keep(place: Path, before: Path) -> None:
    """A second name for what is there; a copy on disks that know no second names."""
    if not place.exists():
        return
    try:
        os.link(place, before)
    except OSError:
        shutil.copyfile(place, before)


@contextmanager
def _undisturbed() -> Iterator[None]:
    """Hold Ctrl-C back until the block is over; only the main thread ever hears of it."""
    before = signal.getsignal(signal.SIGINT)
    if threading.current_thread() is not threading.main_thread() or before is None:
        yield
        return
    held: list[int] = []
    signal.signal(signal.SIGINT, lambda number, _frame: held.append(number))
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
        if held:
            signal.raise_signal(signal.SIGINT)

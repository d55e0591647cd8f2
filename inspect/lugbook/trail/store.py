"""How the trail and what belongs to it are written: as before or as after, whatever happens in between.

A change is first laid out whole in `.pending/`, each file on the disk, `trail.head` last. Then one rename puts the
new `trail.jsonl` in place: that is the moment at which the change has happened. After it the other files move to
their places. Whoever comes next finishes the moving, or takes away what was laid out and never happened.
"""

from __future__ import annotations

import os
import shutil
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from lugbook.errors import OutputError
from lugbook.trail.canonical import TrailError, digest
from lugbook.trail.chain import HEAD, TRAIL, Chain, parse_chain
from lugbook.trail.manifest import ENTRY_FILE, MANIFEST
from lugbook.trail.people import PEOPLE, PeopleFile, parse_people

PENDING = ".pending"
LOCK = ".lugbook.lock"
REMOVALS = ".removals"
WAIT_SECONDS = 5.0
MAX_TRAIL = 50_000_000


def head_file(chain: Chain) -> bytes:
    """The bytes of `trail.head`: the sum of the last entry, and how many there are."""
    return f"{chain.head}  {len(chain.links)}\n".encode()


@dataclass(frozen=True, slots=True)
class Change:
    """What one command does: the chain as it will be, and files by their path inside the job.

    `copies` are originals that are copied, with the sum that each must have. `removals` are paths to delete.
    """

    chain: Chain
    files: Mapping[str, bytes] = field(default_factory=dict)
    copies: Mapping[str, tuple[Path, str]] = field(default_factory=dict)
    removals: tuple[str, ...] = ()


@contextmanager
def locked(folder: Path) -> Iterator[None]:
    """Hold the job's lock; one process at a time. Unfinished work of an earlier one is finished or taken away first.

    The lock is the operating system's, on an empty file: it ends with the process, however that ends.
    """
    if (folder / ENTRY_FILE).exists() and (folder / MANIFEST).exists():
        raise TrailError(
            f"{folder} is an issued revision, which is never changed; name the job that it lies in"
        )
    try:
        handle = os.open(folder / LOCK, os.O_RDWR | os.O_CREAT, 0o644)
    except OSError as error:
        raise OutputError(f"cannot write into {folder}: {error.strerror}") from error
    try:
        deadline = time.monotonic() + WAIT_SECONDS
        while not _try_lock(handle):
            if time.monotonic() > deadline:
                raise OutputError(f"another lugbook is writing into {folder}; try again when it is done")
            time.sleep(0.05)
        try:
            recover(folder)
        except OSError as error:
            raise OutputError(f"cannot write into {folder}: {error.strerror}") from error
        yield
    finally:
        os.close(handle)


def _try_lock(handle: int) -> bool:
    try:
        if os.name == "nt":
            import msvcrt

            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined,unused-ignore]
        else:
            import fcntl

            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def happened(folder: Path) -> bool:
    """Whether `.pending/` holds a change that has happened and only waits for its files to be moved."""
    try:
        wanted = (folder / PENDING / HEAD).read_bytes()
        trail = (folder / TRAIL).read_bytes()
    except OSError:
        return False
    last = trail.removesuffix(b"\n").rpartition(b"\n")[2]
    return wanted == f"{digest(last)}  {trail.count(bytes([10]))}\n".encode()


def recover(folder: Path) -> None:
    """Finish what has happened, take away what has not. Raises OSError."""
    pending = folder / PENDING
    if not pending.is_dir():
        return
    if happened(folder):
        _move_in(folder, pending)
    shutil.rmtree(pending)


def commit(folder: Path, change: Change) -> None:
    """Make a change, wholly or not at all. The lock must be held. Raises OutputError, TrailError."""
    pending = folder / PENDING
    done = False
    try:
        pending.mkdir()
        for path, data in change.files.items():
            _write(pending / path, data)
        for path, (source, expected) in change.copies.items():
            _copy(source, pending / path, expected)
        if change.removals:
            _write(pending / REMOVALS, "\n".join(change.removals).encode())
        _write(pending / TRAIL, change.chain.to_bytes())
        _write(pending / HEAD, head_file(change.chain))
        _sync_folders(pending)
        os.replace(pending / TRAIL, folder / TRAIL)  # noqa: PTH105 - here it happens
        done = True
        _sync(folder)
        _move_in(folder, pending)
        shutil.rmtree(pending)
    except OSError as error:
        if not done:
            shutil.rmtree(pending, ignore_errors=True)
            raise OutputError(f"cannot write into {folder}: {error.strerror}; nothing was changed") from error
        raise OutputError(
            f"the trail in {folder} was written, but its files could not all be put in place: {error.strerror}; "
            "the next command finishes that"
        ) from error
    except TrailError:
        shutil.rmtree(pending, ignore_errors=True)
        raise


def _move_in(folder: Path, pending: Path) -> None:
    """Move every file to its place, `trail.head` last. Can be repeated at any point."""
    removals = pending / REMOVALS
    if removals.exists():
        for name in removals.read_text(encoding="utf-8").split("\n"):
            (folder / name).unlink(missing_ok=True)
    files = sorted(path for path in pending.rglob("*") if path.is_file() and path.name != REMOVALS)
    head = pending / HEAD
    for path in [path for path in files if path != head] + [head]:
        if path.exists():
            place = folder / path.relative_to(pending)
            place.parent.mkdir(parents=True, exist_ok=True)
            os.replace(path, place)  # noqa: PTH105 - replaces atomically
            _sync(place.parent)


def _write(path: Path, data: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def _copy(source: Path, path: Path, expected: str) -> None:
    """Copy an original; it must still be what the report was made from."""
    data = source.read_bytes()
    if digest(data) != expected:
        raise TrailError(f"'{source}' was changed while the report was made; nothing was issued")
    _write(path, data)


def _sync_folders(pending: Path) -> None:
    for path in sorted(path for path in pending.rglob("*") if path.is_dir()):
        _sync(path)
    _sync(pending)


def _sync(folder: Path) -> None:
    """Make the names in a folder last. Windows has no such call."""
    if os.name == "nt":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def read_trail(folder: Path) -> Chain:
    """The job's chain; empty if there is none yet. Raises TrailError if it does not hold."""
    path = folder / TRAIL
    try:
        data = path.read_bytes()
    except FileNotFoundError:
        return Chain()
    except OSError as error:
        raise TrailError(f"{path} cannot be read: {error.strerror}") from error
    chain, broken = parse_chain(data)
    if broken:
        first = broken[0]
        raise TrailError(
            f"{path}:{first.number}: {first.message}; 'lugbook verify {folder}' says what differs"
        )
    head = folder / (f"{PENDING}/{HEAD}" if happened(folder) else HEAD)
    if not head.is_file() or head.read_bytes() != head_file(chain):
        raise TrailError(
            f"{head} does not name the last entry of {path}; 'lugbook verify {folder}' says what differs"
        )
    return chain


def read_people(folder: Path) -> PeopleFile:
    """The names that are kept; none if there is no such file. Raises TrailError."""
    path = folder / PEOPLE
    try:
        return parse_people(path.read_bytes())
    except FileNotFoundError:
        return PeopleFile(people={})
    except (OSError, ValueError) as error:
        raise TrailError(f"{path} cannot be read: {error}") from error

"""Whether a report has to be made again: a stamp in the cache names the sums of all that went in and came out.

The inputs are every file of the job's folder, the letterhead beside or above it, the options, and the program with its
libraries. The stamp stands in the cache alone: a report's bytes know nothing of it. Imports little, since a report
that is up to date is to cost little more than reading the files.
"""

from __future__ import annotations

import hashlib
import json
import os
import stat
import sys
import sysconfig
from collections.abc import Iterable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import asdict, dataclass
from pathlib import Path

from lugbook.cache import Cache, key_of
from lugbook.data import data_folder
from lugbook.model.problem import Problem

BUSINESS = "business.yaml"
WORDS = "words"


@dataclass(frozen=True, slots=True)
class Snapshot:
    """The inputs of a report at one moment: the sum of each file, and what the disk says of it without reading."""

    key: str
    sums: dict[str, str]
    states: dict[str, tuple[int, int, int]]


@dataclass(frozen=True, slots=True)
class Known:
    """A report that is up to date."""

    files: tuple[Path, ...]
    problems: tuple[Problem, ...]


def snapshot(folder: Path, out: Path, options: Iterable[object]) -> Snapshot | None:
    """The inputs of the report of `folder`, or None if they cannot all be told: a link or a device, a file that
    cannot be read."""
    try:
        inside = folder.resolve()
        found = _files(inside, out.resolve())
        with ThreadPoolExecutor() as readers:
            sums = dict(zip(found, readers.map(_sum, found), strict=True))
        name = key_of("report", str(inside), str(out.resolve()), list(options), program())
        return Snapshot(name, sums, {path: _state(path) for path in found})
    except OSError:
        return None


def known(cache: Cache, before: Snapshot | None) -> Known | None:
    """The report that stands there, if it was made from just these inputs and its files are as they were made."""
    kept = cache.get(before.key) if before is not None else None
    if before is None or kept is None:
        return None
    stamp = json.loads(kept)
    try:
        logo = {path: _sum(path) for path in stamp["logo"]}
        if (stamp["inputs"], stamp["logo"]) != (before.sums, logo):
            return None
        if any(_sum(path) != sum_ for path, sum_ in stamp["outputs"].items()):
            return None
    except OSError:
        return None
    return Known(
        tuple(Path(path) for path in stamp["shown"]),
        tuple(Problem(**problem) for problem in stamp["problems"]),
    )


def remember(
    cache: Cache,
    before: Snapshot | None,
    logo: Path | None,
    files: Iterable[Path],
    problems: Iterable[Problem],
) -> None:
    """Note that `files` were made from `before`, unless an input has changed meanwhile."""
    files = list(files)
    try:
        if before is None or any(_state(path) != state for path, state in before.states.items()):
            return
        stamp = {
            "inputs": before.sums,
            "logo": {str(logo): _sum(str(logo))} if logo is not None else {},
            "outputs": {str(path.resolve()): _sum(str(path.resolve())) for path in files},
            "shown": [str(path) for path in files],
            "problems": [asdict(problem) for problem in problems],
        }
    except OSError:
        return
    cache.put(before.key, json.dumps(stamp).encode())


def program() -> str:
    """This program's files and what is installed beside it, by sum and name."""
    here = Path(__file__).parent
    folders = (here, data_folder("templates"), data_folder("checklists"))
    files = sorted(path for folder in folders for path in folder.rglob("*") if path.suffix != ".pyc")
    sums = [_sum(str(path)) for path in files if path.is_file()]
    installed = sorted(
        path.name for path in Path(sysconfig.get_path("purelib")).iterdir() if path.name.endswith("-info")
    )
    return key_of(sums, installed, sys.version)


def _files(folder: Path, out: Path) -> list[str]:
    """Every file of the job, and the letterhead above it; what is written itself is no input."""
    found: list[str] = []
    for place, folders, names in os.walk(folder):
        folders[:] = [name for name in folders if Path(place, name) != out]
        found += [str(Path(place, name)) for name in names]
        if any(Path(place, name).is_symlink() for name in folders):
            raise OSError("a link to a folder is not followed")
    beside = (folder.parent / BUSINESS, *(folder.parent / WORDS).rglob("*"))
    found += [str(path) for path in beside if path.exists() and not path.is_dir()]
    return sorted(found)


def _state(path: str) -> tuple[int, int, int]:
    state = Path(path).lstat()
    if not stat.S_ISREG(state.st_mode):
        raise OSError("no ordinary file")
    return state.st_size, state.st_mtime_ns, state.st_ino


def _sum(path: str) -> str:
    _state(path)
    with Path(path).open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()

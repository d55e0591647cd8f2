"""The index of the overview: what was read of each job, and of which files. It can be thrown away at any time.

A job is not read again while its files have the size and the time of change that the index holds; where these differ
but the SHA-256 sum does not, neither. A file that was changed within two seconds before the index was written is
always summed: a later change could have left it with the same size and time.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from lugbook import __version__
from lugbook.data import data_folder
from lugbook.errors import OutputError
from lugbook.model.history import DefectRecord, JobRecord
from lugbook.write import write_file

INDEX = ".lugbook-index.json"
FORMAT = "lugbook-index-1"
FRESH_NS = 2_000_000_000
Stamp = tuple[int, int, str]


@dataclass(frozen=True, slots=True)
class Entry:
    """What was read of a job: its files (None: not there), what it holds, and what is wrong with it."""

    files: Mapping[str, Stamp | None]
    record: JobRecord | None
    problem: str | None


def made_with() -> str:
    """What the records depend on besides the jobs: the program and the lists that ship with it."""
    lists = data_folder("checklists")
    found = [
        (path.relative_to(lists).as_posix(), path.stat().st_size, path.stat().st_mtime_ns)
        for path in sorted(lists.rglob("*.yaml"))
    ]
    return f"{__version__} {hashlib.sha256(repr(found).encode()).hexdigest()}"


def read_index(path: Path) -> tuple[dict[str, Entry], int]:
    """The entries by folder, and when the index was written. An index that does not fit is as good as none."""
    try:
        written = path.stat().st_mtime_ns
        data = json.loads(path.read_bytes())
        if data["format"] != FORMAT or data["made_with"] != made_with():
            return {}, 0
        return {folder: _entry(folder, raw) for folder, raw in data["jobs"].items()}, written
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return {}, 0


def _entry(folder: str, raw: dict[str, Any]) -> Entry:
    files = {name: (stamp[0], stamp[1], stamp[2]) if stamp else None for name, stamp in raw["files"].items()}
    kept = raw["record"]
    record = None
    if kept is not None:
        defects = tuple(DefectRecord(*values) for values in kept["defects"])
        record = JobRecord(
            folder,
            kept["report"],
            kept["boat"],
            kept["identification"],
            kept["day"],
            defects,
            kept["questions"],
        )
    return Entry(files, record, raw["problem"])


def write_index(path: Path, entries: Mapping[str, Entry]) -> str | None:
    """Write the index. Returns why it could not be written, if so: the overview does without."""
    jobs = {folder: _raw(entry) for folder, entry in sorted(entries.items())}
    data = {"format": FORMAT, "made_with": made_with(), "jobs": jobs}
    try:
        write_file(path, json.dumps(data, ensure_ascii=False, separators=(",", ":")).encode())
    except OutputError as error:
        return str(error)
    return None


def _raw(entry: Entry) -> dict[str, Any]:
    record = None
    if entry.record is not None:
        kept = entry.record
        record = {
            "report": kept.report,
            "boat": kept.boat,
            "identification": kept.identification,
            "day": kept.day,
            "defects": [list(asdict(defect).values()) for defect in kept.defects],
            "questions": kept.questions,
        }
    return {"files": entry.files, "record": record, "problem": entry.problem}


def stamp(path: Path) -> Stamp | None:
    """Size, time of change and sum of a file; None if it is not there."""
    try:
        data = path.read_bytes()
        state = path.stat()
    except OSError:
        return None
    return state.st_size, state.st_mtime_ns, hashlib.sha256(data).hexdigest()


def unchanged(folder: str, entry: Entry, written: int) -> Entry | None:
    """The entry if the job's files are still those, with their new times; None if the job must be read again."""
    files: dict[str, Stamp | None] = {}
    for name, old in entry.files.items():
        path = os.path.join(folder, name)  # noqa: PTH118 - a Path for each of many files takes longer than the rest
        try:
            state = os.stat(path)  # noqa: PTH116
        except OSError:
            if old is not None:
                return None
            files[name] = None
            continue
        if old is None:
            return None
        if (state.st_size, state.st_mtime_ns) == old[:2] and state.st_mtime_ns < written - FRESH_NS:
            files[name] = old
            continue
        new = stamp(Path(path)) if state.st_size == old[0] else None
        if new is None or new[2] != old[2]:
            return None
        files[name] = new
    return Entry(files, entry.record, entry.problem)

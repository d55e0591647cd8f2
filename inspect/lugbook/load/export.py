"""An export of the capture page -> its files, checked and laid out in a folder, or every fault that it holds.

Nothing of the archive is trusted: names, sizes and sums are what it claims until they are found to be true. The
directory is judged first, as a whole; no byte is unpacked while one name or size in it is refused.
"""

from __future__ import annotations

import hashlib
import os
import stat
import struct
import zipfile
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import IO

from pydantic import ValidationError

from lugbook.load.export_names import FINDINGS, TEXT_FILES, clashes, is_expected, name_fault
from lugbook.load.files import read_document
from lugbook.load.tree import MAX_BYTES
from lugbook.model.export import CAPTURE_FILE, CAPTURE_FORMAT, Capture, Export
from lugbook.model.notice import NOTICE_FILE
from lugbook.model.problem import Problem, dotted

MAX_ENTRIES = 2_000
MAX_PICTURE = 40_000_000
MAX_CAPTURE = 16_000_000
MAX_TOTAL = 8_000_000_000
MAX_DIRECTORY = 2_000_000
"""Bytes of the archive's directory: 2,000 entries need some 300 kB."""
MAX_RATIO = 100
"""Pictures hardly shrink; a findings file shrinks to a tenth."""
RATIO_FREE = 1_000_000
"""Bytes from which on the ratio is looked at."""
PART = 1 << 20
ENCRYPTED = 0x1 | 0x40 | 0x2000
DOS_FOLDER, DOS_LINK = 0x10, 0x400
AGAIN = "export the visit again"
# What the reader of archives raises on broken ones.
UNREADABLE = (
    zipfile.BadZipFile,
    zipfile.LargeZipFile,
    zlib.error,
    struct.error,
    EOFError,
    ValueError,
    RuntimeError,
)
Report = Callable[[str, str, str], None]


def read_export(archive: Path, into: Path) -> tuple[Export | None, tuple[Problem, ...]]:
    """Check an archive and lay its files out in the empty folder `into`. The export is None if anything is refused.

    Problems that are about a file inside carry its path; those about the archive itself an empty one.
    """
    problems: list[Problem] = []

    def report(code: str, message: str, hint: str = "") -> None:
        problems.append(Problem("", 0, 0, "", code, "error", message, hint))

    try:
        if archive.exists() and not archive.is_file():  # to open a pipe would wait for ever
            raise zipfile.BadZipFile("it is no ordinary file")
        _insist_on_small_directory(archive)
        with zipfile.ZipFile(archive) as opened:
            entries = _directory(opened, archive.stat().st_size, report)
            capture = None if problems else _capture(opened, entries, report)
            if capture is None or problems:
                return None, tuple(problems)
            _compare(capture, entries, report)
            for name, entry in entries.items():
                if name != CAPTURE_FILE and name in capture.files:
                    _lay_out(opened, entry, into / name, capture.files[name].sha256, report)
            (into / CAPTURE_FILE).write_bytes(_small(opened, entries[CAPTURE_FILE], MAX_CAPTURE))
    except FileNotFoundError:
        report("P001", "there is no such file", "name the file that the capture page saved")
    except UNREADABLE as error:
        report("P701", f"this archive cannot be read: {_said(error)}", f"copy it again, or {AGAIN}")
    except OSError as error:
        report("P001", f"the file cannot be read: {error.strerror}", "check who may read it")
    if not problems:
        document = read_document(into / FINDINGS, FINDINGS)
        problems += [problem for problem in document.problems if problem.severity == "error"]
    if problems or capture is None:
        return None, tuple(problems)
    photos = tuple(sorted(name for name in capture.files if name.startswith("photos/")))
    return Export(capture, into, photos, NOTICE_FILE in capture.files), ()


def _said(error: Exception) -> str:
    return str(error)[:200] or type(error).__name__


def _insist_on_small_directory(archive: Path) -> None:
    """Refuse a huge directory before it is read: the reader would make an object of each of its entries."""
    with archive.open("rb") as file:
        size = file.seek(0, os.SEEK_END)
        file.seek(max(0, size - 65_557))
        tail = file.read(65_557)
    at = tail.rfind(b"PK\5\6")
    if at >= 0 and int.from_bytes(tail[at + 12 : at + 16], "little") > MAX_DIRECTORY:
        raise zipfile.BadZipFile(f"it lists more than the {MAX_ENTRIES} files that a visit may have")


def _directory(opened: zipfile.ZipFile, size: int, report: Report) -> dict[str, zipfile.ZipInfo]:
    """The entries that are files, by name. Every fault of names, kinds and declared sizes is reported."""
    infos = opened.infolist()
    if len(infos) > MAX_ENTRIES:
        report("P704", f"it holds {len(infos)} files; at most {MAX_ENTRIES} are read", "split the visit")
    for info in infos:
        _name_and_kind(info, report)
        _declared(info, report)
    names = [info.orig_filename for info in infos if not info.orig_filename.endswith("/")]
    for one, other in clashes(names):
        told = f"'{one}' stands in it twice" if one == other else f"'{one}' and '{other}' would be one file"
        report("P705", told, "some disks know neither capitals nor how accents are coded; rename one")
    if sum(info.file_size for info in infos) > MAX_TOTAL:
        report("P704", f"it unpacks to more than {MAX_TOTAL // 1_000_000_000} GB", "split the visit")
    if sum(info.compress_size for info in infos) > size:
        report("P704", "its files overlap: together they are larger than the archive", AGAIN)
    return {info.orig_filename: info for info in infos if not info.orig_filename.endswith("/")}


def _name_and_kind(info: zipfile.ZipInfo, report: Report) -> None:
    name = info.orig_filename
    folder = name.endswith("/")
    refused = name_fault(name)
    if refused:
        report("P702", f"the name '{name}' {refused}", AGAIN)
    elif not folder and not is_expected(name):
        report("P707", f"'{name}' is no file of a job", "findings.yaml, notice.yaml and pictures in photos/")
    mode = stat.S_IFMT(info.external_attr >> 16)
    plain = mode in (0, stat.S_IFDIR if folder else stat.S_IFREG)
    dos = 0 if folder else info.external_attr & (DOS_FOLDER | DOS_LINK)
    if not plain or dos or (folder and info.file_size):
        report("P703", f"'{name}' is a link, a folder or a device, not an ordinary file", AGAIN)
    if info.flag_bits & ENCRYPTED:
        report("P703", f"'{name}' is encrypted", "export without a password")
    if info.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        report("P701", f"'{name}' is packed by a method that is not read here", AGAIN)


def _limit(name: str) -> int:
    if name == CAPTURE_FILE:
        return MAX_CAPTURE
    return MAX_BYTES if name in TEXT_FILES else MAX_PICTURE


def _declared(info: zipfile.ZipInfo, report: Report) -> None:
    limit = _limit(info.orig_filename)
    if info.file_size > limit:
        report("P704", f"'{info.orig_filename}' is larger than {limit // 1_000_000} MB", "save it smaller")
    elif info.file_size > RATIO_FREE and info.file_size > MAX_RATIO * info.compress_size:
        told = f"'{info.orig_filename}' unpacks to more than {MAX_RATIO} times its packed size"
        report("P704", told, "no findings and no picture do that")


def _small(opened: zipfile.ZipFile, entry: zipfile.ZipInfo, limit: int) -> bytes:
    with opened.open(entry) as source:
        data = source.read(limit + 1)
    if len(data) > limit:
        raise zipfile.BadZipFile(f"'{entry.orig_filename}' is larger than it says")
    return data


def _capture(opened: zipfile.ZipFile, entries: dict[str, zipfile.ZipInfo], report: Report) -> Capture | None:
    """The facts of the export."""
    if CAPTURE_FILE not in entries:
        report("P706", f"it holds no {CAPTURE_FILE}: it was not made by the capture page", AGAIN)
        return None
    data = _small(opened, entries[CAPTURE_FILE], MAX_CAPTURE)
    try:
        return Capture.model_validate_json(data)
    except ValidationError as error:
        first = error.errors(include_url=False, include_input=False)[0]
        path = tuple(step for step in first["loc"] if isinstance(step, str | int))
        if path == ("format",):
            told = f"its format is not {CAPTURE_FORMAT}"
            report("P706", told, "it was made by another version; open it with that, or update lugbook")
        else:
            place = f"{dotted(path)}: " if path else ""
            report("P706", f"{CAPTURE_FILE} cannot be used: {place}{first['msg'][:200]}", AGAIN)
        return None
    except RecursionError:
        report("P706", f"{CAPTURE_FILE} cannot be used: nested too deep", AGAIN)
        return None


def _compare(capture: Capture, entries: dict[str, zipfile.ZipInfo], report: Report) -> None:
    """What the facts list against what is there."""
    if FINDINGS not in capture.files:
        report("P707", f"{CAPTURE_FILE} lists no {FINDINGS}", AGAIN)
    for name in sorted(set(capture.files) - set(entries)):
        report("P707", f"'{name}' is missing; {CAPTURE_FILE} lists it", AGAIN)
    for name in sorted(set(entries) - set(capture.files) - {CAPTURE_FILE}):
        report("P707", f"'{name}' is in it, but {CAPTURE_FILE} does not list it", AGAIN)
    if CAPTURE_FILE in capture.files:
        report("P707", f"{CAPTURE_FILE} lists itself, which no sum can cover", AGAIN)
    for name in sorted(set(entries) & set(capture.files)):
        said, found = capture.files[name].bytes, entries[name].file_size
        if said != found:
            report("P708", f"'{name}' has {found} bytes; {CAPTURE_FILE} says {said}", AGAIN)


def _lay_out(
    opened: zipfile.ZipFile, entry: zipfile.ZipInfo, place: Path, expected: str, report: Report
) -> None:
    """Unpack one file, at most as many bytes as it declares, and compare its sum."""
    place.parent.mkdir(parents=True, exist_ok=True)
    try:
        with opened.open(entry) as source, place.open("xb") as target:
            sum_, count = _copied(source, target, entry.file_size)
    except UNREADABLE as error:
        report("P701", f"'{entry.orig_filename}' cannot be unpacked: {_said(error)}", AGAIN)
        return
    if count != entry.file_size or sum_ != expected:
        report("P708", f"'{entry.orig_filename}' is not what {CAPTURE_FILE} says: its sum differs", AGAIN)


def _copied(source: IO[bytes], target: IO[bytes], limit: int) -> tuple[str, int]:
    """Copy at most `limit` bytes and one more; gives the sum and how many there were."""
    sum_, count = hashlib.sha256(), 0
    while count <= limit:
        data = source.read(min(PART, limit + 1 - count))
        if not data:
            break
        sum_.update(data)
        target.write(data)
        count += len(data)
    target.flush()
    os.fsync(target.fileno())
    return sum_.hexdigest(), count

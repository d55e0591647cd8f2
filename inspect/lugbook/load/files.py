"""Reading files of a job, and paths that stay inside it."""

from __future__ import annotations

import re
import stat
from pathlib import Path

from lugbook.load.tree import MAX_BYTES, Document, parse
from lugbook.model.problem import Problem

WINDOWS = re.compile(r"^[A-Za-z]:|\\")
REMOTE = re.compile(r"^[A-Za-z][A-Za-z0-9+.-]*:")


def read_document(path: Path, name: str) -> Document:
    """Read and parse a YAML file. `name` is what messages call it. Faults are on the document."""
    document = Document(name, "")
    try:
        if not stat.S_ISREG(path.stat().st_mode):
            return _failed(document, "P001", "this is not an ordinary file", "name a YAML file")
        if path.stat().st_size > MAX_BYTES:
            return _failed(
                document, "P008", f"the file is larger than {MAX_BYTES // 1_000_000} MB", "split the job"
            )
        with path.open("rb") as file:
            raw = file.read(MAX_BYTES)
    except FileNotFoundError:
        return _failed(document, "P001", "there is no such file", "run 'lugbook start FOLDER' for a skeleton")
    except OSError as error:
        return _failed(
            document, "P001", f"the file cannot be read: {error.strerror}", "check who may read it"
        )
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        return _failed(document, "P002", "this is UTF-16 text", "save the file as UTF-8", 1, 1)
    try:
        return parse(raw.decode("utf-8"), name)
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        column = error.start - (raw.rfind(b"\n", 0, error.start) + 1) + 1
        return _failed(
            document, "P002", "this byte is not UTF-8 text", "save the file as UTF-8", line, column
        )


def _failed(
    document: Document, code: str, message: str, hint: str, line: int = 0, column: int = 0
) -> Document:
    document.problems.append(Problem(document.file, line, column, "", code, "error", message, hint))
    return document


def path_inside(folder: Path, name: str) -> tuple[Path | None, str]:
    """The file `name` inside `folder`, links followed; or None and why it is refused."""
    if REMOTE.match(name) and not WINDOWS.match(name):
        return None, f"'{name}' is an address; pictures are never fetched"
    if name.startswith(("/", "~")) or WINDOWS.search(name) or ".." in Path(name).parts or "\0" in name:
        return None, f"'{name}' leads out of the folder"
    path = folder / name
    try:
        inside = path.resolve().is_relative_to(folder.resolve())
        path.exists()  # raises where a name is longer than the disk allows
    except (OSError, RuntimeError, ValueError):
        return None, f"'{name}' cannot be followed"
    return (path, "") if inside else (None, f"'{name}' is a link that leads out of the folder")

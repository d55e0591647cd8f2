"""Single files of a job, read by themselves, and ids given to new defects."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from lugbook.errors import InputRefusedError, OutputError
from lugbook.load.export_names import is_expected, name_fault
from lugbook.load.faults import build
from lugbook.load.files import read_document
from lugbook.load.ids import with_ids
from lugbook.load.job import FINDINGS
from lugbook.load.tree import parse
from lugbook.model.notice import NoticeFile
from lugbook.pipeline.checking import refused
from lugbook.write import write_file


def give_ids(folder: Path) -> list[str]:
    """Write the missing defect ids into the findings; returns those given. A file that cannot be read is left alone."""
    document = read_document(folder / FINDINGS, FINDINGS)
    try:
        text, ids = with_ids(document)
    except ValueError as error:
        raise OutputError(str(error)) from error
    if text != document.text:
        write_file(folder / FINDINGS, text.encode("utf-8"))
    return ids


def readable(text: str) -> bool:
    """Whether a text is YAML without faults of form."""
    return not parse(text, "text").problems


def read_notice(source: Path | dict[str, object]) -> NoticeFile:
    """A notice from its file, or from what the command line gave. Raises InputRefusedError."""
    if isinstance(source, Path):
        document = read_document(source, source.as_posix())
    else:
        document = parse(json.dumps(source, ensure_ascii=False), "options")
    notice = build(NoticeFile, document)
    if notice is None:
        raise InputRefusedError(tuple(document.problems))
    return notice


def known_electrician(folder: Path) -> str | None:
    """The inspector's name, as far as the findings can be read."""
    document = read_document(folder / FINDINGS, FINDINGS)
    data = document.plain() if document.root is not None else None
    for key in ("report", "electrician", "name"):
        data = data.get(key) if isinstance(data, dict) else None
    return str(data) if isinstance(data, str) and data.strip() else None


def raw_findings(folder: Path) -> Any:
    """The findings as plain data, every scalar as the text that was written. Raises InputRefusedError."""
    document = read_document(folder / FINDINGS, FINDINGS)
    data = document.plain() if document.root is not None else None
    faults = tuple(p for p in document.problems if p.severity == "error")
    if faults or data is None:
        raise refused(folder, faults)
    return data


def is_picture(path: str) -> bool:
    """Whether a path of a job is that of a picture with a name that every disk can hold."""
    return path.startswith("photos/") and is_expected(path) and not name_fault(path)

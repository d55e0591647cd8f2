"""Names inside an archive: only what a job holds, and only what every disk can hold."""

from __future__ import annotations

import re
from collections.abc import Iterable
from unicodedata import normalize

from lugbook.load.pictures import PICTURE_ENDINGS
from lugbook.load.tree import HIDDEN
from lugbook.model.export import CAPTURE_FILE
from lugbook.model.notice import NOTICE_FILE

FINDINGS = "findings.yaml"
TEXT_FILES = (FINDINGS, NOTICE_FILE, CAPTURE_FILE)
MAX_NAME = 200

# Names that Windows keeps for devices, whatever their ending. Source: Microsoft, "Naming Files, Paths, and
# Namespaces" (recalled, not read again).
RESERVED = re.compile(r"(CON|PRN|AUX|NUL|CONIN\$|CONOUT\$|(COM|LPT)[0-9¹²³])[ ]*(\..*)?", re.IGNORECASE)
FORBIDDEN = re.compile(r'[<>"|?*]')


def name_fault(name: str) -> str:
    """Why a name is refused, in words that follow it; empty if it is not."""
    if "\0" in name or HIDDEN.search(name) or re.search(r"[\t\r\n]", name):
        return "holds a control or direction character"
    if "\\" in name:
        return "holds a backslash, which leads elsewhere on some computers"
    if name.startswith(("/", "~")) or ":" in name:
        return "leads out of the job's folder"
    parts = name.removesuffix("/").split("/")
    if ".." in parts:
        return "leads out of the job's folder"
    if not name or "" in parts or "." in parts:
        return "is no plain path"
    if len(name.encode("utf-8", "surrogatepass")) > MAX_NAME:
        return f"is longer than {MAX_NAME} bytes"
    for part in parts:
        if RESERVED.fullmatch(part):
            return "is a name that Windows keeps for a device"
        if FORBIDDEN.search(part) or part.endswith((".", " ")):
            return "is a name that not every disk can hold"
    return ""


def is_expected(name: str) -> bool:
    """Whether a job has such a file: findings, notice, the facts, or a picture below photos/."""
    if name in TEXT_FILES:
        return True
    ending = "." + name.rpartition(".")[2].lower()
    return name.startswith("photos/") and ending in PICTURE_ENDINGS


def folded(name: str) -> str:
    """What a name comes down to on a disk that knows neither capitals nor how accents are coded."""
    return normalize("NFC", normalize("NFC", name).casefold())


def clashes(names: Iterable[str]) -> list[tuple[str, str]]:
    """Pairs of names that would be one file, or a file and a folder of one name."""
    first: dict[str, str] = {}
    found = []
    every = list(names)
    for name in every:
        key = folded(name)
        if key in first:
            found.append((first[key], name))
        first.setdefault(key, name)
    for name in every:
        parts = folded(name).split("/")
        for depth in range(1, len(parts)):
            above = first.get("/".join(parts[:depth]))
            if above is not None:
                found.append((above, name))
    return found

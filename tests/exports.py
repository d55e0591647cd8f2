"""Exports of the capture page for tests: sound ones, and ones that somebody tampered with."""

from __future__ import annotations

import hashlib
import io
import json
import stat
import struct
import zipfile
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from PIL import Image

VISIT = "0b8f6c1e-5d2a-4c7b-9a31-7f2e4d6c8b90"
OTHER_VISIT = "7c1d2e3f-0a1b-4c2d-8e3f-112233445566"
FINDINGS = """format: lugbook-findings-1
last_defect: 1
report:
  number: R1
  checklists: [small-craft-dc]
  electrician: {name: Ina Spector}
results:
  - item: battery-restraint
    result: defect
    extent: whole, tested
    defects:
      - id: d1
        title: The strap is torn
        place: Locker
        seen: It hangs by a thread.
        photos:
          - {file: one.jpg, caption: The strap, alt: A torn strap}
"""
Twist = Callable[["Parts"], None]


def picture(colour: str = "#884422", kind: str = "JPEG") -> bytes:
    """A small picture."""
    out = io.BytesIO()
    Image.new("RGB", (48, 36), colour).save(out, kind)
    return out.getvalue()


def files(findings: str = FINDINGS) -> dict[str, bytes]:
    """The files of a small visit."""
    return {"findings.yaml": findings.encode(), "photos/one.jpg": picture()}


class Parts:
    """What an archive will hold: entries in order, facts, and bytes that are changed at the end."""

    def __init__(self, files: Mapping[str, bytes], facts: dict[str, Any]) -> None:
        self.entries: list[tuple[zipfile.ZipInfo, bytes]] = [
            (info(name), data) for name, data in files.items()
        ]
        self.facts: dict[str, Any] | None = facts
        self.after: Callable[[bytes], bytes] = lambda data: data

    def add(self, entry: zipfile.ZipInfo | str, data: bytes, *, listed: bool = True) -> None:
        """One more entry, named in the facts if `listed`."""
        made = info(entry) if isinstance(entry, str) else entry
        self.entries.append((made, data))
        if listed and self.facts is not None:
            self.facts["files"][made.filename] = facts_of(data)


def info(name: str, mode: int = stat.S_IFREG | 0o644) -> zipfile.ZipInfo:
    """An entry as the page makes it, or of another kind."""
    made = zipfile.ZipInfo(name, (2026, 6, 2, 15, 30, 0))
    made.external_attr = mode << 16
    return made


def facts_of(data: bytes) -> dict[str, Any]:
    """Sum and length as capture.json lists them."""
    return {"sha256": hashlib.sha256(data).hexdigest(), "bytes": len(data)}


def write_export(
    path: Path,
    files: Mapping[str, bytes],
    *,
    export: int = 1,
    visit: str = VISIT,
    twist: Twist | None = None,
    **more: Any,
) -> Path:
    """Write an archive as the capture page does. `twist` may tamper with it; `more` goes into the facts."""
    parts = Parts(files, {**told_of(files, export, visit), **more})
    if twist is not None:
        twist(parts)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as made:
        for entry, data in parts.entries:
            made.writestr(entry, data)
        if parts.facts is not None:
            made.writestr(info("capture.json"), json.dumps(parts.facts).encode())
    path.write_bytes(parts.after(out.getvalue()))
    return path


def told_of(files: Mapping[str, bytes], export: int = 1, visit: str = VISIT) -> dict[str, Any]:
    """capture.json for these files."""
    return {
        "format": "lugbook-capture/1",
        "visit": visit,
        "export": export,
        "program": "0.1.0",
        "checklist": [{"id": "own", "edition": "1"}],
        "files": {name: facts_of(data) for name, data in files.items()},
        "clock": {
            "phone": "2026-06-02T15:41:12+01:00",
            "zone": "Europe/London",
            "started": "2026-06-02T09:10:00+01:00",
            "offset_s": 4,
        },
        "events": [{"at": "2026-06-02T09:10:00+01:00", "what": "begun"}],
    }


# --- What somebody may do to an archive ------------------------------------------------------------------------------


def named(name: str) -> Twist:
    """One more picture under this name, exactly as given, also where the writer would mend it."""

    def twist(parts: Parts) -> None:
        entry = info("photos/x.jpg")
        entry.filename = name
        parts.add(entry, picture())

    return twist


def of_kind(mode: int, target: bytes = b"/etc/passwd") -> Twist:
    """A picture that is really a link, a folder or a device."""
    return lambda parts: parts.add(info("photos/link.jpg", mode), target)


def encrypted(parts: Parts) -> None:
    """The flag of encryption on the findings, in both places where it stands."""

    def flagged(data: bytes) -> bytes:
        local, central = data.index(b"PK\3\4"), data.index(b"PK\1\2")
        return data[: local + 6] + b"\1" + data[local + 7 : central + 8] + b"\1" + data[central + 9 :]

    parts.after = flagged


def cut(share: float) -> Twist:
    """Only the first part of the archive."""

    def twist(parts: Parts) -> None:
        parts.after = lambda data: data[: int(len(data) * share)]

    return twist


def bomb(parts: Parts) -> None:
    """Ten million blanks in a picture, packed to some kilobytes."""
    entry = info("photos/bomb.jpg")
    entry.compress_type = zipfile.ZIP_DEFLATED
    parts.add(entry, b"\xff\xd8\xff" + b" " * 10_000_000)


def understated(parts: Parts) -> None:
    """A bomb whose directory says that it is small."""
    entry = info("photos/bomb.jpg")
    entry.compress_type = zipfile.ZIP_DEFLATED
    data = b"\xff\xd8\xff" + b" " * 10_000_000
    parts.entries.append((entry, data))
    assert parts.facts is not None
    parts.facts["files"]["photos/bomb.jpg"] = facts_of(data[:1000])
    parts.after = lambda made: made.replace(struct.pack("<L", len(data)), struct.pack("<L", 1000))


def crowd(parts: Parts) -> None:
    """More entries than a visit has."""
    for number in range(2_100):
        parts.add(f"photos/{number}.jpg", b"\xff\xd8\xff")


def damaged(parts: Parts) -> None:
    """One byte of a picture is another, and the sum of the archive is made to fit."""
    entry, data = parts.entries[-1]
    assert entry.filename.startswith("photos/")
    parts.entries[-1] = (entry, data[:-3] + bytes([data[-3] ^ 1]) + data[-2:])


def facts(**changed: Any) -> Twist:
    """Other facts; None takes one away."""

    def twist(parts: Parts) -> None:
        assert parts.facts is not None
        for key, value in changed.items():
            if value is None:
                del parts.facts[key]
            else:
                parts.facts[key] = value

    return twist


def no_facts(parts: Parts) -> None:
    """An archive without capture.json."""
    parts.facts = None


def unlisted(parts: Parts) -> None:
    """A picture that capture.json does not name."""
    parts.add("photos/more.jpg", picture(), listed=False)


def missing(parts: Parts) -> None:
    """A picture that only capture.json names."""
    assert parts.facts is not None
    parts.facts["files"]["photos/gone.jpg"] = facts_of(b"gone")


def program(parts: Parts) -> None:
    """A file that no job has."""
    parts.add("install.sh", b"#!/bin/sh\n")


def no_picture(parts: Parts) -> None:
    """A picture that is a web page."""
    parts.add("photos/page.jpg", b"<!doctype html><html></html>")


def twice(parts: Parts) -> None:
    """One name for two files."""
    parts.add("photos/one.jpg", picture("#111111"))


# What the acceptance cases may name.
TWISTS: dict[str, Twist] = {
    "none": facts(),
    "cut short": cut(0.6),
    "leads out": named("photos/../../x.jpg"),
    "a link": of_kind(stat.S_IFLNK | 0o777),
    "a bomb": bomb,
    "capitals": named("photos/ONE.jpg"),
    "no facts": no_facts,
    "a program": program,
    "damaged": damaged,
    "another visit": facts(visit=OTHER_VISIT),
}

"""Archives as `lugbook unpack` gets them, written field by field so that every field can lie."""

from __future__ import annotations

import json
import random
import struct
import zlib
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any

import mutate
import seeds
from exports import FINDINGS, OTHER_VISIT, picture, told_of

NOTICE = b"format: lugbook-notice-1\nhazard: Gas.\nplace: Bilge\ntold: {role: skipper, name: Sam}\nhow: by telephone\n"
NAMES = (
    "../x.jpg", "photos/../../x.jpg", "/tmp/x.jpg", "photos\\..\\x.jpg", "C:/x.jpg", "photos/con.jpg", "photos/one.jpg",
    "photos/ONE.JPG", "photos/e\u0301.jpg", "photos/\u00e9.jpg", "photos/one.jpg/x.jpg", "photos/", "photos", "",
    "findings.yaml", "Findings.yaml", "notice.yaml", "capture.json", "trail.jsonl", "people.json", ".lugbook.lock",
    ".capture/1/state.json", ".pending", "photos/.capture/x.jpg", "photos/x\0.jpg", "photos/\u202egpj.exe",
    "photos/" + "x" * 190 + ".jpg", "photos/" + "x/" * 80 + "x.jpg", "photos/x.svg", "=1+1", "photos/*.jpg", "./x.jpg",
)  # fmt: skip
NUMBERS = (0, 1, 7, 0xFFFF, 0x7FFFFFFF, 0xFFFFFFFE, 0xFFFFFFFF, 1_000_000_000)
FLAGS = (0x1, 0x8, 0x20, 0x40, 0x800, 0x2000, 0x2001, 0xFFFF)
MODES = (0o120777, 0o010644, 0o020644, 0o060644, 0o140755, 0o040755, 0o104755, 0)
EXTRA = (
    struct.pack("<HHQQ", 1, 16, 1 << 40, 1 << 40),  # sizes beyond four bytes
    struct.pack("<HHQQQ", 1, 24, 5, 5, 0),
    struct.pack("<HH", 1, 60000),
    struct.pack("<HH", 0x7075, 9) + b"\1\0\0\0\0../x",  # another name in UTF-8
    struct.pack("<HHB", 0x5455, 1, 3),
    b"\xff",
)
# Field of an entry -> what it may become. Each may differ between the entry and the directory.
CLAIMS: dict[str, tuple[int, ...]] = {
    "flags": FLAGS,
    "method": (0, 8, 9, 12, 14, 93, 99, 0xFFFF),
    "crc": NUMBERS,
    "packed": NUMBERS,
    "size": NUMBERS,
    "mode": MODES,
    "attributes": (0x10, 0x400, 0x20, 0xFFFF),
    "system": (0, 3, 11, 255),
    "offset": NUMBERS,
    "version": (0, 45, 63, 255),
}


@dataclass(frozen=True)
class Entry:
    """A file in an archive. `local` and `central` say what the two places where it is described claim instead."""

    name: str
    data: bytes
    deflate: bool = False
    extra: bytes = b""
    local: dict[str, int] = field(default_factory=dict)
    central: dict[str, int] = field(default_factory=dict)


def packed(entries: list[Entry], end: dict[str, int] | None = None, comment: bytes = b"") -> bytes:
    """The bytes of an archive. Source of the layout: PKWARE, APPNOTE.TXT 6.3, sections 4.3.7, 4.3.12 and 4.3.16."""
    out, directory = bytearray(), bytearray()
    for entry in entries:
        name = entry.name.encode("utf-8", "surrogatepass")
        coder = zlib.compressobj(9, zlib.DEFLATED, -15)
        body = coder.compress(entry.data) + coder.flush() if entry.deflate else entry.data
        true = {
            "version": 20,
            "flags": 0x800,
            "method": 8 * entry.deflate,
            "crc": zlib.crc32(entry.data),
            "packed": len(body),
            "size": len(entry.data),
            "mode": 0o100644,
            "attributes": 0,
            "system": 3,
            "offset": len(out),
        }
        here, there = {**true, **entry.local}, {**true, **entry.central}
        out += b"PK\3\4" + _common(here, name, entry.extra) + name + entry.extra + body
        directory += struct.pack("<4sBB", b"PK\1\2", 20, there["system"]) + _common(there, name, entry.extra)
        attributes = (there["mode"] << 16 | there["attributes"]) & 0xFFFFFFFF
        directory += struct.pack("<HHHII", 0, 0, 0, attributes, there["offset"]) + name + entry.extra
    last = {"count": len(entries), "length": len(directory), "start": len(out), **(end or {})}
    count = last["count"] & 0xFFFF
    tail = struct.pack("<4sHHHHII", b"PK\5\6", 0, 0, count, count, last["length"], last["start"])
    return bytes(out + directory + tail + struct.pack("<H", len(comment) & 0xFFFF) + comment)


def _common(claims: dict[str, int], name: bytes, extra: bytes) -> bytes:
    head = struct.pack("<HHHI", claims["version"], claims["flags"], claims["method"], 0x5CC27BC0)
    return head + struct.pack(
        "<IIIHH", claims["crc"], claims["packed"], claims["size"], len(name) & 0xFFFF, len(extra)
    )


@lru_cache
def visits() -> tuple[dict[str, bytes], ...]:
    """The files of small visits: one made by hand, pieces of the demo, a boat without results."""
    one = {"findings.yaml": FINDINGS.encode(), "photos/one.jpg": picture()}
    made = [one, {**one, "photos/two.png": picture("#336699", "PNG"), "notice.yaml": NOTICE}]
    for number, tree in enumerate(seeds.trees()[:-1:5]):
        small = seeds.pictures()[number % len(seeds.pictures())]
        made.append({"findings.yaml": seeds.dump(tree).encode(), "photos/one.jpg": small})
    return tuple(made)


def sound(files: dict[str, bytes]) -> bytes:
    """The archive of these files as the capture page writes it."""
    told = json.dumps(told_of(files)).encode()
    return packed([Entry(name, data) for name, data in (*files.items(), ("capture.json", told))])


def bundle(rng: random.Random) -> bytes:
    """A spoilt archive: in its files, its facts, its entries, its directory or its bytes; now and then a sound one."""
    files = _files(dict(rng.choice(visits())), rng)
    claimed: Any = told_of(files, rng.choice((1, 2, 2, 3)))
    text = None
    if rng.random() < 0.3:
        claimed = mutate.tree(claimed, rng)
    elif rng.random() < 0.2:
        claimed["visit"] = OTHER_VISIT
    if rng.random() < 0.1:
        text = mutate.text(json.dumps(claimed), rng)
    told = (json.dumps(claimed) if text is None else text).encode("utf-8", "surrogatepass")
    entries = [Entry(name, data, rng.random() < 0.4) for name, data in files.items()]
    entries.append(Entry("capture.json", told, rng.random() < 0.4))
    if rng.random() < 0.5:
        entries = _entries(entries, rng)
    end = {}
    if rng.random() < 0.1:
        end = {rng.choice(("count", "length", "start")): rng.choice(NUMBERS)}
    made = packed(entries, end, rng.choice((b"", b"", b"", b"PK\5\6" + b"\0" * 18, b"x" * 200)))
    return mutate.data(made, rng) if rng.random() < 0.25 else made


def _files(files: dict[str, bytes], rng: random.Random) -> dict[str, bytes]:
    """Files with other names or contents, which capture.json then tells truly."""
    if rng.random() < 0.3:
        spoilt = mutate.text(files["findings.yaml"].decode(), rng)
        files["findings.yaml"] = spoilt.encode("utf-8", "surrogatepass")
    if rng.random() < 0.2:
        files["photos/one.jpg"] = mutate.data(files["photos/one.jpg"], rng)
    if rng.random() < 0.2:
        files[rng.choice((*NAMES, *mutate.NASTY))] = rng.choice((picture(), b"", b"<svg/>", NOTICE))
    if rng.random() < 0.05:
        files[rng.choice(list(files))] = b"\xff\xd8\xff" + b" " * rng.choice((10, 3_000_000))
    if rng.random() < 0.05:
        del files[rng.choice(list(files))]
    return files or {"findings.yaml": b""}


def _entries(entries: list[Entry], rng: random.Random) -> list[Entry]:
    """Entries that lie, stand twice, lack or come in another order."""
    made = list(entries)
    for _ in range(rng.choice((1, 1, 2, 4))):
        at = rng.randrange(len(made))
        one, turn = made[at], rng.randrange(8)
        key = rng.choice(list(CLAIMS))
        claim = {key: rng.choice(CLAIMS[key])}
        if turn == 0:
            made[at] = replace(one, name=rng.choice((*NAMES, *mutate.NASTY)))
        elif turn == 1:
            made[at] = replace(one, local={**one.local, **claim})
        elif turn in (2, 3):
            made[at] = replace(one, central={**one.central, **claim})
        elif turn == 4:
            made[at] = replace(one, local={**one.local, **claim}, central={**one.central, **claim})
        elif turn == 5:
            made[at] = replace(one, extra=rng.choice(EXTRA))
        elif turn == 6:
            made.insert(
                rng.randrange(len(made) + 1), replace(one, name=rng.choice((one.name, one.name.upper())))
            )
        elif len(made) > 1:
            del made[at]
    return made

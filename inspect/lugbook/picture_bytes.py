"""What a picture file holds, read from its bytes alone: the kind, and the two EXIF fields that matter.

The decoder is given only what it needs. Of JPEG and PNG, text, EXIF, previews, further pictures and anything
appended never reach it, so a bomb in them is never unpacked.
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

Kind = Literal["JPEG", "PNG", "WebP", "HEIC"]

PARTS_LIMIT = 20_000
"""Segments or chunks in one file; a phone's picture has some dozens, a large PNG some thousands."""
SCANS_LIMIT = 50
"""Scans of a JPEG; the usual progressive one has ten. Each costs a pass over the whole picture."""

PNG_SIGN = b"\x89PNG\r\n\x1a\n"
PNG_NEEDED = frozenset({b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"iCCP"})
HEIC_BRANDS = frozenset({b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1"})
HEIC_EXIF = re.compile(rb"Exif\0\0(?=II\*\0|MM\0\*)")
OTHERS: tuple[tuple[bytes, str], ...] = (
    (b"GIF8", "a GIF picture"),
    (b"%PDF", "a PDF document"),
    (b"II*\0", "a TIFF or raw camera picture"),
    (b"MM\0*", "a TIFF or raw camera picture"),
    (b"BM", "a BMP picture"),
    (b"\0\0\0\x0cjP  ", "a JPEG 2000 picture"),
    (b"\0\0\0\x0cJXL ", "a JPEG XL picture"),
    (b"\xff\x0a", "a JPEG XL picture"),
    (b"8BPS", "a layered drawing file"),
    (b"\0\0\x01\0", "an icon"),
    (b"PK\x03\x04", "a ZIP archive"),
)


class PictureFault(Exception):  # noqa: N818 - a fault in the input, reported as data, not an error of the program
    """A picture that cannot be used: the code of the problem, a sentence, and what to do about it."""

    def __init__(self, code: str, message: str, hint: str = "") -> None:
        super().__init__(code, message, hint)
        self.code, self.message, self.hint = code, message, hint


@dataclass(frozen=True, slots=True)
class Contents:
    """A picture file taken apart."""

    kind: Kind
    data: bytes
    """What the decoder gets."""
    exif: bytes = b""
    """The EXIF block, beginning with its byte order."""
    streamed: bool = False
    """Decoded row by row in small memory: true only of a JPEG with one scan."""


def take_apart(data: bytes) -> Contents:
    """The contents of a picture file; a PictureFault if it is no picture of a kind that is read here."""
    if data.startswith(b"\xff\xd8\xff"):
        return _jpeg(data)
    if data.startswith(PNG_SIGN):
        return _png(data)
    if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        return _webp(data)
    brands = _brands(data)
    if brands & HEIC_BRANDS and b"avif" not in brands:
        found = HEIC_EXIF.search(data)
        return Contents("HEIC", data, data[found.end() :] if found else b"")
    raise PictureFault("P304", f"is {_describe(data, brands)}", "save it as JPEG, PNG, WebP or HEIC")


def _brands(data: bytes) -> frozenset[bytes]:
    """The brands of an ISO base media file: the first box says what the file is."""
    if data[4:8] != b"ftyp":
        return frozenset()
    box = data[8 : min(int.from_bytes(data[:4]), 256)]
    return frozenset(box[i : i + 4] for i in range(0, len(box), 4) if i != 4)


def _describe(data: bytes, brands: frozenset[bytes]) -> str:
    """What a refused file seems to be, in words."""
    if not data.strip(b"\0"):
        return "an empty file" if not data else "a file of zeros"
    if brands:
        return "an AVIF picture" if b"avif" in brands else "a film"
    for sign, words in OTHERS:
        if data.startswith(sign):
            return words
    head = data[:2000].lower()
    if b"<svg" in head:
        return "an SVG drawing"
    if b"<html" in head or b"<!doctype html" in head:
        return "a web page"
    text = not re.search(rb"[\x00-\x08\x0e-\x1f]", head)
    return "a text file" if text else "of a kind that is not known here"


def _broken(what: str) -> PictureFault:
    return PictureFault("P305", f"is broken: {what}", "copy it from the camera again")


def _too_many(what: str) -> PictureFault:
    return PictureFault("P306", f"has too many {what}", "save a copy with an ordinary picture program")


def _animated(kind: Kind) -> PictureFault:
    return PictureFault("P304", f"is an animated {kind} picture", "save one frame of it as JPEG or PNG")


def _segments(data: bytes) -> Iterator[tuple[int, int, int]]:
    """Marker, begin and end of each JPEG segment up to the first scan, which runs to the end of the data."""
    at = 2
    for _ in range(PARTS_LIMIT):
        at = data.find(b"\xff", at)
        if at < 0 or at + 4 > len(data):
            raise _broken("the file ends before the picture begins")
        marker = data[at + 1]
        if marker in (0x00, 0x01, 0xFF) or 0xD0 <= marker <= 0xD9:
            at += 1 if marker == 0xFF else 2
            continue
        end = at + 2 + int.from_bytes(data[at + 2 : at + 4])
        if end < at + 4 or end > len(data):
            raise _broken("the file ends before the picture begins")
        if marker == 0xDA:
            yield marker, at, len(data)
            return
        yield marker, at, end
        at = end
    raise _too_many("segments")


def _jpeg(data: bytes) -> Contents:
    kept, exif, progressive, scans = [b"\xff\xd8"], b"", False, 1
    for marker, begin, end in _segments(data):
        body = begin + 4
        if marker == 0xDA:
            # In a scan FF is followed by 00, so this is the true end; what comes after is not this picture.
            stop = data.find(b"\xff\xd9", begin)
            if stop < 0:
                raise _broken("the end of the picture is missing")
            kept.append(data[begin : stop + 2])
            scans = kept[-1].count(b"\xff\xda")
        elif marker == 0xE1 and not exif and data.startswith(b"Exif\0\0", body):
            exif = data[body + 6 : end]
        elif not (0xE0 <= marker <= 0xEF or marker == 0xFE) or _is_needed(marker, data[body : body + 12]):
            progressive |= marker in (0xC2, 0xCA)
            kept.append(data[begin:end])
    if scans > SCANS_LIMIT:
        raise _too_many("scans")
    return Contents("JPEG", b"".join(kept), exif, streamed=not progressive and scans == 1)


def _is_needed(marker: int, body: bytes) -> bool:
    """Whether an application segment says how the colours are meant."""
    signs = {0xE0: b"JFIF\0", 0xE2: b"ICC_PROFILE\0", 0xEE: b"Adobe"}
    return marker in signs and body.startswith(signs[marker])


def _chunks(data: bytes, at: int, *, big_endian: bool) -> Iterator[tuple[bytes, bytes, int]]:
    """Name, body and end of each chunk of a PNG (big-endian, with check sum) or a WebP file."""
    for _ in range(PARTS_LIMIT):
        if at == len(data):
            return
        if big_endian:
            size, name, end = int.from_bytes(data[at : at + 4]), data[at + 4 : at + 8], 12
        else:
            size, name, end = int.from_bytes(data[at + 4 : at + 8], "little"), data[at : at + 4], 8
        end += at + size + (size % 2 if not big_endian else 0)
        if end > len(data) + (not big_endian):  # the last odd WebP chunk may lack its padding
            raise _broken("the file is cut short")
        yield name, data[at + 8 : at + 8 + size], end
        at = min(end, len(data))
    raise _too_many("chunks")


def _png(data: bytes) -> Contents:
    kept, exif, name = [PNG_SIGN], b"", b""
    for name, body, end in _chunks(data, len(PNG_SIGN), big_endian=True):
        if name in PNG_NEEDED:
            if zlib.crc32(name + body) != int.from_bytes(data[end - 4 : end]):
                raise _broken("a check sum is wrong")
            kept.append(data[end - 12 - len(body) : end])
        elif name == b"acTL" and int.from_bytes(body[:4]) > 1:
            raise _animated("PNG")
        elif name == b"eXIf" and not exif:
            exif = body
        if name == b"IEND":
            return Contents("PNG", b"".join(kept), exif)
    raise _broken("the end of the picture is missing")


def _webp(data: bytes) -> Contents:
    size = int.from_bytes(data[4:8], "little") + 8
    if size > len(data):
        raise _broken("the file is cut short")
    exif = b""
    for name, body, _ in _chunks(data[:size], 12, big_endian=False):
        if name in (b"ANIM", b"ANMF"):
            raise _animated("WebP")
        if name == b"EXIF" and not exif:
            exif = body.removeprefix(b"Exif\0\0")
    return Contents("WebP", data[:size], exif)


def orientation(exif: bytes) -> int:
    """How the picture is to be turned, 1 to 8 as EXIF numbers it; 1 if nothing sensible is said."""
    value = _field(exif, _offset(exif, 4), 0x0112)[:2]
    number = int.from_bytes(value, _order(exif)) if value else 1
    return number if 1 <= number <= 8 else 1


def taken(exif: bytes) -> datetime | None:
    """DateTimeOriginal, the camera's clock without a time zone; None if it is missing or no date."""
    inner = _field(exif, _offset(exif, 4), 0x8769)
    place = _field(exif, int.from_bytes(inner, _order(exif)), 0x9003) if inner else b""
    at = int.from_bytes(place, _order(exif))
    if not 0 < at < len(exif):
        return None
    try:
        return datetime.strptime(exif[at : at + 19].decode("ascii"), "%Y:%m:%d %H:%M:%S")
    except ValueError:
        return None


def _order(exif: bytes) -> Literal["little", "big"]:
    return "little" if exif.startswith(b"II") else "big"


def _offset(exif: bytes, at: int) -> int:
    return int.from_bytes(exif[at : at + 4], _order(exif))


def _field(exif: bytes, directory: int, tag: int) -> bytes:
    """The four value bytes of a field in one directory; empty if it is not there. Follows nothing."""
    order = _order(exif)
    count = int.from_bytes(exif[directory : directory + 2], order)
    if directory < 8:
        return b""
    for at in range(directory + 2, min(directory + 2 + 12 * count, len(exif) - 11), 12):
        if int.from_bytes(exif[at : at + 2], order) == tag:
            return exif[at + 8 : at + 12]
    return b""

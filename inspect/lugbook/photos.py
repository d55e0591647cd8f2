"""Pictures: looked at in full before use, and made ready for the page. Originals are only ever read.

Importing this module imports Pillow (some 0.1 s); the steps that need no pictures do not import it.
"""

from __future__ import annotations

import difflib
import os
import stat
import warnings
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import datetime
from io import BytesIO
from pathlib import Path

from PIL import Image, ImageCms, ImageFile

from lugbook.data import data_file
from lugbook.marks import draw_marks
from lugbook.model.findings import Box, Mark
from lugbook.picture_bytes import Contents, Kind, PictureFault, orientation, take_apart, taken

__all__ = [
    "Examined", "PictureFault", "Prepared", "capture_time", "examine", "examined_with", "kind_of", "prepare", "read",
    "time_taken",
]  # fmt: skip

FILE_LIMIT = 40_000_000
SIDE_LIMIT = 20_000
STREAMED_LIMIT = 100_000_000
"""Pixels of a JPEG that is decoded row by row at reduced size."""
HELD_LIMIT = 50_000_000
"""Pixels of any other picture: it is in memory as a whole, four bytes a pixel, twice while it is scaled."""
PROFILE_LIMIT = 4_000_000
COLOURS_LIMIT = 4096
"""A PNG with more colours than this after scaling is no line drawing."""
FONT = "fonts/label-bold.woff2"
AGAIN = "copy it from the camera again"
SMALLER = "save a smaller copy"
TURNS = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}


@dataclass(frozen=True, slots=True)
class Examined:
    """A picture that decodes from begin to end: its upright size in pixels and its kind."""

    width: int
    height: int
    format: Kind


@dataclass(frozen=True, slots=True)
class Prepared:
    """A picture ready for the page, without any metadata."""

    data: bytes
    media_type: str
    width: int
    height: int


def examine(path: Path, data: bytes | None = None) -> Examined:
    """Decode the whole picture and give its upright size; a PictureFault if it cannot be used.

    `data` are the file's bytes, if they have been read already.
    """
    with _as_faults(path):
        contents = _contents(path, data)
        image = _opened(contents)
        found = _size(contents, image)
        image.draft(None, (1, 1))  # a JPEG is read to its end, but only every eighth pixel is worked out
        image.load()
        return found


def examined_with(path: Path, data: bytes) -> Examined:
    """The same for a picture that `prepare` has just decoded to its end: nothing is decoded again."""
    with _as_faults(path):
        contents = _contents(path, data)
        return _size(contents, _opened(contents))


def _size(contents: Contents, image: Image.Image) -> Examined:
    width, height = image.size
    turned = orientation(contents.exif) > 4
    return Examined(height, width, contents.kind) if turned else Examined(width, height, contents.kind)


def prepare(
    path: Path,
    *,
    data: bytes | None = None,
    long_edge: int,
    marks: tuple[Mark, ...] = (),
    quality: int = 80,
    aspect: float | None = None,
    cover: tuple[Box, ...] = (),
) -> Prepared:
    """The picture upright, in sRGB on white, at most `long_edge` pixels long, with its marks; never enlarged.

    With `aspect` (width divided by height) the middle of that shape is cut out, for small pictures in a list.
    Each box of `cover` becomes a solid block before anything else is drawn or cut.
    The result is a progressive JPEG, or a PNG where the original is a PNG of few colours and that is smaller.
    The same file gives the same bytes. `data` are the file's, if they have been read already.
    """
    with _as_faults(path):
        contents = _contents(path, data)
        image = _srgb(_scaled(_opened(contents), long_edge))
        turn = TURNS.get(orientation(contents.exif))
        image = image.transpose(turn) if turn is not None else image
        for box in cover:
            _block(image, box)
        if aspect is not None:
            image = _cut(image, aspect)
        if marks:
            image = draw_marks(image, marks, data_file("templates", FONT))
        made, media_type = _encoded(image, contents.kind, quality, sharp_colour=bool(marks))
        return Prepared(made, media_type, *image.size)


def kind_of(path: Path) -> Kind:
    """What kind of picture a file is, by its bytes and without decoding it; a PictureFault if it is none."""
    with _as_faults(path):
        return take_apart(_read(path)).kind


def capture_time(path: Path) -> datetime | None:
    """When the picture was taken by the camera's own clock; None if it does not say, or on any fault."""
    try:
        return time_taken(_read(path))
    except PictureFault:
        return None


def time_taken(data: bytes) -> datetime | None:
    """The same of the bytes of a file."""
    try:
        return taken(take_apart(data).exif)
    except PictureFault:
        return None


def read(path: Path) -> bytes:
    """The bytes of a picture file, or a PictureFault that names it."""
    with _as_faults(path):
        return _read(path)


def _block(image: Image.Image, box: Box) -> None:
    """Paint a box over, a little larger than drawn: pixels are lost, not hidden."""
    (x1, y1), (x2, y2) = box
    left, right = sorted((x1 * image.width, x2 * image.width))
    top, bottom = sorted((y1 * image.height, y2 * image.height))
    image.paste((0x17, 0x23, 0x2E), (int(left) - 2, int(top) - 2, int(right) + 3, int(bottom) + 3))


def _cut(image: Image.Image, aspect: float) -> Image.Image:
    """The largest middle part of the wanted shape."""
    width = min(image.width, round(image.height * aspect))
    height = min(image.height, round(image.width / aspect))
    left, top = (image.width - width) // 2, (image.height - height) // 2
    return image.crop((left, top, left + width, top + height))


@contextmanager
def _as_faults(path: Path) -> Iterator[None]:
    """Give every failure inside as a PictureFault that names the file."""
    lenient = ImageFile.LOAD_TRUNCATED_IMAGES
    ImageFile.LOAD_TRUNCATED_IMAGES = False  # other libraries of the process may have turned it on
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # Pillow warns of sizes that are judged here by `_sized`
            yield
    except PictureFault as fault:
        raise PictureFault(fault.code, f"'{path.name}' {fault.message}", fault.hint) from None
    except (MemoryError, Image.DecompressionBombError):
        raise PictureFault("P306", f"'{path.name}' is too large to decode", SMALLER) from None
    except Exception as exc:  # decoders raise whatever they like on broken data
        if "too large" in str(exc) or "Too much memory" in str(exc):
            raise PictureFault("P306", f"'{path.name}' unpacks to too much data", SMALLER) from None
        raise PictureFault("P305", f"'{path.name}' is broken or cut short", AGAIN) from None
    finally:
        ImageFile.LOAD_TRUNCATED_IMAGES = lenient


def _read(path: Path) -> bytes:
    """The bytes of an ordinary file. Nothing else is opened; a pipe put in its place cannot block."""
    try:
        _insist_on_file(path.stat().st_mode)
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
        with os.fdopen(handle, "rb") as file:
            state = os.fstat(handle)
            _insist_on_file(state.st_mode)
            if state.st_size > FILE_LIMIT:
                raise PictureFault("P306", f"is larger than {FILE_LIMIT // 1_000_000} MB", SMALLER)
            return file.read(state.st_size)
    except (FileNotFoundError, NotADirectoryError, ValueError):
        raise PictureFault("P301", "is not there", _nearest(path)) from None
    except OSError as exc:
        code = "P001" if isinstance(exc, PermissionError) else "P301"
        message = f"cannot be read: {exc.strerror}"
        raise PictureFault(code, message, "check the name and who may read it") from None


def _insist_on_file(mode: int) -> None:
    if not stat.S_ISREG(mode):
        what = "a folder" if stat.S_ISDIR(mode) else "a pipe" if stat.S_ISFIFO(mode) else "a device or socket"
        raise PictureFault("P303", f"is {what}, not an ordinary file", "copy the picture itself into photos/")


def _nearest(path: Path) -> str:
    near: list[str] = []
    with suppress(OSError, ValueError):
        near = difflib.get_close_matches(path.name, sorted(entry.name for entry in path.parent.iterdir()), 1)
    return f"did you mean '{near[0]}'?" if near else "check the name"


def _contents(path: Path, data: bytes | None = None) -> Contents:
    contents = take_apart(_read(path) if data is None else data)
    # The decoder of HEIC turns the picture itself, as that format demands; EXIF must not turn it again.
    return Contents("HEIC", contents.data) if contents.kind == "HEIC" else contents


def _opened(contents: Contents) -> Image.Image:
    """The picture with its size judged; decoded later, except HEIC."""
    if contents.kind == "HEIC":
        return _heic(contents.data)
    image = Image.open(BytesIO(contents.data), formats=[contents.kind.upper()])
    _sized(image.size, STREAMED_LIMIT if contents.streamed else HELD_LIMIT)
    return image


def _heic(data: bytes) -> Image.Image:
    try:
        import pillow_heif
    except ImportError:
        message = "is a HEIC picture, which needs an extra part of the program"
        raise PictureFault("P307", message, "pip install 'lugbook[heic]', or save it as JPEG") from None
    heif = pillow_heif.open_heif(BytesIO(data), convert_hdr_to_8bit=True)
    _sized(heif.size, HELD_LIMIT)
    image = Image.frombytes(heif.mode, heif.size, heif.data, "raw", heif.mode, heif.stride)
    image.info["icc_profile"] = heif.info.get("icc_profile")
    return image


def _sized(size: tuple[int, int], pixels: int) -> None:
    width, height = size
    if max(size) > SIDE_LIMIT or width * height > pixels:
        shown = f"measures {width} x {height} pixels; at most {pixels // 1_000_000} million are read"
        raise PictureFault("P306", f"{shown}, {SIDE_LIMIT} along a side", SMALLER)


def _scaled(image: Image.Image, long_edge: int) -> Image.Image:
    """At most `long_edge` long, in a mode that scales well: L, RGB, CMYK or one with alpha."""
    profile = image.info.get("icc_profile")
    factor = min(1.0, long_edge / max(image.size))
    width, height = (max(1, round(side * factor)) for side in image.size)
    image.draft(None, (width, height))
    image.load()
    if image.mode.startswith("I"):  # sixteen bits of grey
        image = image.point(lambda value: value / 256).convert("L")
    elif image.mode == "P" or "transparency" in image.info:
        image = image.convert("RGBA" if "transparency" in image.info else "RGB")
    elif image.mode == "1":
        image = image.convert("L")
    if image.size != (width, height):
        image = image.resize((width, height), Image.Resampling.LANCZOS, reducing_gap=2.0)
    image.info["icc_profile"] = profile
    return image


def _srgb(image: Image.Image) -> Image.Image:
    """On white, in sRGB, in a new picture that carries nothing else."""
    profile = image.info.get("icc_profile")
    if image.mode in ("RGBA", "LA"):
        opaque = Image.new(image.mode[:-1], image.size, "white")
        opaque.paste(image.convert(image.mode[:-1]), mask=image.getchannel("A"))
        image = opaque
    if profile and len(profile) <= PROFILE_LIMIT:
        # A profile that is broken or meant for other channels is left aside; the picture is worth showing.
        with suppress(ImageCms.PyCMSError, OSError, ValueError, TypeError):
            source = ImageCms.ImageCmsProfile(BytesIO(profile))
            target = ImageCms.createProfile("sRGB")
            turned = ImageCms.profileToProfile(image, source, target, outputMode="RGB")
            image = turned if turned is not None else image
    plain = Image.new("RGB", image.size)
    plain.paste(image.convert("RGB"))
    return plain


def _encoded(image: Image.Image, kind: Kind, quality: int, *, sharp_colour: bool) -> tuple[bytes, str]:
    """The bytes for the page. Coloured marks keep their edges only without colour subsampling."""
    jpeg = BytesIO()
    subsampling = "4:4:4" if sharp_colour else "4:2:0"
    image.save(jpeg, "JPEG", quality=quality, optimize=True, progressive=True, subsampling=subsampling)
    if kind == "PNG" and image.getcolors(COLOURS_LIMIT) is not None:
        png = BytesIO()
        image.save(png, "PNG", optimize=True)
        if png.tell() < jpeg.tell():
            return png.getvalue(), "image/png"
    return jpeg.getvalue(), "image/jpeg"

"""Pictures: every kind that is read, every fault, nothing private in what leaves, originals untouched."""

from __future__ import annotations

import hashlib
import os
import pickle
import random
import struct
import sys
import threading
import tracemalloc
import zlib
from collections.abc import Callable, Iterator
from contextlib import suppress
from datetime import datetime
from io import BytesIO
from pathlib import Path
from time import process_time

import pytest
from PIL import Image, ImageCms, ImageDraw, ImageFile

from lugbook import photos
from lugbook.model.findings import Mark
from lugbook.photos import Examined, PictureFault, capture_time, examine, prepare
from lugbook.picture_bytes import PNG_SIGN, take_apart
from lugbook.pipeline.studio import MANY, long_edge
from lugbook.progress import Progress

pillow_heif = pytest.importorskip("pillow_heif")

SIZE = (64, 40)
CORNERS = {(0, 0): (220, 30, 30), (1, 0): (30, 200, 30), (0, 1): (30, 30, 220), (1, 1): (230, 220, 30)}
TAKEN = datetime(2026, 3, 14, 9, 26, 53)


def asymmetric(size: tuple[int, int] = SIZE) -> Image.Image:
    """Red, green, blue and yellow quarters: no turn or mirror leaves it as it was."""
    image = Image.new("RGB", size)
    draw = ImageDraw.Draw(image)
    for (x, y), colour in CORNERS.items():
        left, top = x * size[0] // 2, y * size[1] // 2
        draw.rectangle((left, top, left + size[0] // 2, top + size[1] // 2), fill=colour)
    return image


def scenery(size: tuple[int, int], seed: int = 3) -> Image.Image:
    """Soft forms with fine grain, about as hard to pack as a photograph."""
    dice = random.Random(seed)
    coarse = Image.frombytes("RGB", (40, 30), dice.randbytes(3600)).resize(size, Image.Resampling.BICUBIC)
    grain = Image.frombytes("L", (512, 512), dice.randbytes(512 * 512))
    tiled = Image.new("L", size)
    for x in range(0, size[0], 512):
        for y in range(0, size[1], 512):
            tiled.paste(grain, (x, y))
    return Image.blend(coarse, tiled.convert("RGB"), 0.08)


def exif(turn: int | None = None, moment: str | None = None, private: str = "") -> bytes:
    block = Image.Exif()
    if turn is not None:
        block[0x0112] = turn
    if private:
        block[0x010F] = block[0x0110] = private
        block.get_ifd(0x8825)[2] = (50.0, 12.0, 34.0)
    if moment is not None:
        block.get_ifd(0x8769)[0x9003] = moment
    return block.tobytes()


def encoded(image: Image.Image, kind: str, **options: object) -> bytes:
    out = BytesIO()
    if kind == "HEIC":
        pillow_heif.from_pillow(image).save(out, quality=90, **options)
    else:
        defaults: dict[str, object] = {"JPEG": {"quality": 92}, "WebP": {"quality": 92}}.get(kind, {})
        image.save(out, kind, **{**defaults, **options})
    return out.getvalue()


def kept(folder: Path, data: bytes, name: str = "picture.jpg") -> Path:
    path = folder / name
    path.write_bytes(data)
    return path


def shown(data: bytes) -> Image.Image:
    image = Image.open(BytesIO(data))
    image.load()
    return image


def quarters(image: Image.Image) -> list[str]:
    """The names of the colours in reading order."""
    names = dict(zip(CORNERS.values(), ("red", "green", "blue", "yellow"), strict=True))
    found = []
    for y in (1, 3):
        for x in (1, 3):
            pixel = image.convert("RGB").getpixel((image.width * x // 4, image.height * y // 4))
            assert isinstance(pixel, tuple)
            found.append(
                min(names, key=lambda colour: sum(abs(a - b) for a, b in zip(colour, pixel, strict=True)))
            )
    return [names[colour] for colour in found]


def chunk(name: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))


def png_of(width: int, height: int, rows: bytes, *extra: bytes) -> bytes:
    head = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0))
    return PNG_SIGN + head + b"".join(extra) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


def segment(marker: int, body: bytes) -> bytes:
    return bytes([0xFF, marker]) + struct.pack(">H", len(body) + 2) + body


def fault_of(path: Path) -> PictureFault:
    """The fault, which checking and preparing must agree on."""
    with pytest.raises(PictureFault) as checked:
        examine(path)
    with pytest.raises(PictureFault) as prepared:
        prepare(path, long_edge=100)
    assert (checked.value.code, checked.value.message) == (prepared.value.code, prepared.value.message)
    assert capture_time(path) is None
    assert repr(path.name) in checked.value.message
    return checked.value


# --- what is read


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WebP", "HEIC"])
def test_each_kind_is_read_whatever_its_name(tmp_path: Path, kind: str) -> None:
    path = kept(tmp_path, encoded(asymmetric(), kind), "picture.txt")
    assert examine(path) == Examined(64, 40, kind)  # type: ignore[arg-type]
    ready = prepare(path, long_edge=1000)
    assert (ready.width, ready.height) == SIZE == shown(ready.data).size
    assert quarters(shown(ready.data)) == ["red", "green", "blue", "yellow"]


ORIENTATIONS = [
    # turn, the quarters of the stored picture as they are to be seen, and whether the sides are exchanged
    # SOURCE: EXIF 2.3, tag 0x0112: which side the stored row 0 and column 0 are (recalled)
    (1, ["red", "green", "blue", "yellow"], False),
    (2, ["green", "red", "yellow", "blue"], False),
    (3, ["yellow", "blue", "green", "red"], False),
    (4, ["blue", "yellow", "red", "green"], False),
    (5, ["red", "blue", "green", "yellow"], True),
    (6, ["blue", "red", "yellow", "green"], True),
    (7, ["yellow", "green", "blue", "red"], True),
    (8, ["green", "yellow", "red", "blue"], True),
]


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WebP"])
@pytest.mark.parametrize(("turn", "expected", "exchanged"), ORIENTATIONS)
def test_pictures_stand_upright(
    tmp_path: Path, kind: str, turn: int, expected: list[str], exchanged: bool
) -> None:
    path = kept(tmp_path, encoded(asymmetric(), kind, exif=exif(turn)))
    ready = prepare(path, long_edge=1000)
    assert quarters(shown(ready.data)) == expected
    size = SIZE[::-1] if exchanged else SIZE
    assert (ready.width, ready.height) == shown(ready.data).size == size
    assert examine(path) == Examined(*size, kind)  # type: ignore[arg-type]


def test_heic_is_turned_once(tmp_path: Path) -> None:
    """HEIC says it in the picture's own properties; the same number in EXIF is not to be obeyed again."""
    turned = asymmetric().transpose(Image.Transpose.ROTATE_90)
    path = kept(tmp_path, encoded(turned, "HEIC", exif=exif(6)))
    upright = pillow_heif.open_heif(path).size
    assert upright == SIZE
    ready = prepare(path, long_edge=1000)
    assert (ready.width, ready.height) == upright
    assert examine(path) == Examined(*upright, "HEIC")
    assert quarters(shown(ready.data)) == ["red", "green", "blue", "yellow"]


@pytest.mark.parametrize("turn", [0, 9, 255, 65535])
def test_a_turn_that_does_not_exist_is_passed_over(tmp_path: Path, turn: int) -> None:
    assert examine(kept(tmp_path, encoded(asymmetric(), "JPEG", exif=exif(turn)))).width == 64


def big_endian_exif() -> bytes:
    return b"Exif\0\0MM\0*" + struct.pack(">IHHHIHHI", 8, 1, 0x0112, 3, 1, 6, 0, 0)


def test_big_endian_exif_is_read(tmp_path: Path) -> None:
    assert examine(kept(tmp_path, encoded(asymmetric(), "JPEG", exif=big_endian_exif()))).width == 40


MODES: list[tuple[str, Callable[[], bytes], tuple[int, int, int]]] = [
    ("grey", lambda: encoded(Image.new("L", SIZE, 90), "PNG"), (90, 90, 90)),
    ("grey JPEG", lambda: encoded(Image.new("L", SIZE, 90), "JPEG"), (90, 90, 90)),
    ("one bit", lambda: encoded(Image.new("1", SIZE, 1), "PNG"), (255, 255, 255)),
    ("sixteen bits", lambda: encoded(Image.new("I;16", SIZE, 90 * 257), "PNG"), (90, 90, 90)),
    ("palette", lambda: encoded(asymmetric().quantize(8).crop((0, 0, 10, 10)), "PNG"), (220, 30, 30)),
    ("CMYK", lambda: encoded(Image.new("CMYK", SIZE, (0, 255, 255, 0)), "JPEG"), (255, 0, 0)),
    ("clear", lambda: encoded(Image.new("RGBA", SIZE, (9, 9, 9, 0)), "PNG"), (255, 255, 255)),
    ("half clear", lambda: encoded(Image.new("RGBA", SIZE, (0, 0, 0, 128)), "PNG"), (127, 127, 127)),
    ("grey, clear", lambda: encoded(Image.new("LA", SIZE, (0, 0)), "PNG"), (255, 255, 255)),
    ("clear WebP", lambda: encoded(Image.new("RGBA", SIZE, (9, 9, 9, 0)), "WebP"), (255, 255, 255)),
    ("clear HEIC", lambda: encoded(Image.new("RGBA", SIZE, (9, 9, 9, 0)), "HEIC"), (255, 255, 255)),
    (
        "one clear colour",
        lambda: encoded(Image.new("RGB", SIZE, (9, 9, 9)), "PNG", transparency=(9, 9, 9)),
        (255,) * 3,
    ),
    ("clear in palette", lambda: encoded(Image.new("P", SIZE, 0), "PNG", transparency=0), (255, 255, 255)),
]


@pytest.mark.parametrize(("name", "make", "expected"), MODES, ids=[mode[0] for mode in MODES])
@pytest.mark.parametrize("edge", [1000, 20])
def test_every_mode_becomes_rgb_on_white(
    tmp_path: Path, name: str, make: Callable[[], bytes], expected: tuple[int, int, int], edge: int
) -> None:
    assert name
    ready = shown(prepare(kept(tmp_path, make()), long_edge=edge, quality=95).data)
    assert ready.mode == "RGB"
    assert max(ready.size) <= edge
    middle = ready.getpixel((ready.width // 2, ready.height // 2))
    assert isinstance(middle, tuple)
    assert max(abs(a - b) for a, b in zip(middle, expected, strict=True)) <= 4


def test_a_colour_profile_is_applied_and_dropped(tmp_path: Path) -> None:
    """A profile with red and blue exchanged shows whether it was used."""
    profile = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    red, blue = profile.index(b"rXYZ"), profile.index(b"bXYZ")
    profile[red : red + 4], profile[blue : blue + 4] = b"bXYZ", b"rXYZ"
    picture = Image.new("RGB", SIZE, (220, 30, 30))
    path = kept(tmp_path, encoded(picture, "JPEG", icc_profile=bytes(profile)))
    ready = shown(prepare(path, long_edge=100, quality=95).data)
    red_part, _, blue_part = ready.getpixel((5, 5))  # type: ignore[misc]
    assert blue_part > 180 > 60 > red_part
    assert "icc_profile" not in ready.info


@pytest.mark.parametrize("profile", [b"rubbish", b"\0" * 200, os.urandom(0) + b"x" * 5000])
def test_a_broken_profile_is_left_aside(tmp_path: Path, profile: bytes) -> None:
    path = kept(tmp_path, encoded(asymmetric(), "JPEG", icc_profile=profile))
    assert quarters(shown(prepare(path, long_edge=100).data)) == ["red", "green", "blue", "yellow"]


def test_a_profile_for_other_channels_is_left_aside(tmp_path: Path) -> None:
    grey = encoded(
        Image.new("L", SIZE, 90),
        "PNG",
        icc_profile=ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes(),
    )
    assert shown(prepare(kept(tmp_path, grey), long_edge=100).data).getpixel((1, 1)) == pytest.approx(
        (90,) * 3, abs=2
    )


@pytest.mark.parametrize("size", [(4000, 3000), (3000, 4000), (1100, 10), (10, 1100), (3, 2)])
def test_scaling_keeps_the_shape_and_never_enlarges(tmp_path: Path, size: tuple[int, int]) -> None:
    path = kept(tmp_path, encoded(asymmetric(size), "JPEG"))
    ready = prepare(path, long_edge=550)
    factor = min(1.0, 550 / max(size))
    assert (ready.width, ready.height) == tuple(max(1, round(side * factor)) for side in size)
    assert max(ready.width, ready.height) <= 550
    assert examine(path) == Examined(*size, "JPEG")


def test_line_drawings_stay_png_and_photographs_do_not(tmp_path: Path) -> None:
    drawing = Image.new("RGB", (400, 300), "white")
    ImageDraw.Draw(drawing).line((10, 10, 390, 290), fill="black", width=2)
    ready = prepare(kept(tmp_path, encoded(drawing, "PNG")), long_edge=1000)
    assert (ready.media_type, ready.data[:8]) == ("image/png", PNG_SIGN)
    assert shown(ready.data).tobytes() == drawing.tobytes()
    photo = prepare(kept(tmp_path, encoded(scenery((400, 300)), "PNG")), long_edge=1000)
    assert (photo.media_type, photo.data[:2]) == ("image/jpeg", b"\xff\xd8")


def test_marks_are_drawn_on_the_upright_picture(tmp_path: Path) -> None:
    path = kept(tmp_path, encoded(Image.new("RGB", (600, 400), "white"), "JPEG", exif=exif(6)))
    mark = Mark.model_validate({"mark": "ring", "at": ["0.5", "0.25"], "size": "0.2"})
    plain, marked = prepare(path, long_edge=600), prepare(path, long_edge=600, marks=(mark,))
    assert (marked.width, marked.height) == (400, 600)
    image = shown(marked.data)
    assert min(image.crop((0, 300, 400, 600)).convert("L").getextrema()) > 245  # type: ignore[type-var]
    assert image.getpixel((round(399 * 0.5 + 40), round(599 * 0.25))) == pytest.approx((181, 0, 110), abs=20)
    assert plain.data != marked.data


# --- what leaves

SECRETS = [
    b"SECRETMAKER",
    b"SECRETXMP",
    b"SECRETNOTE",
    b"SECRETCAPTION",
    b"Exif",
    b"ICC_PROFILE",
    b"photoshop",
    b"xpacket",
]


def laden(kind: str) -> bytes:
    """A picture with everything in it that a telephone and a picture program leave behind."""
    srgb = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    block = exif(1, "2026:03:14 09:26:53", "SECRETMAKER")
    picture = scenery((300, 200))
    xmp = b"<?xpacket begin='' ?><x>SECRETXMP</x>"
    if kind == "PNG":
        text = chunk(b"tEXt", b"Comment\0SECRETNOTE") + chunk(b"iTXt", b"XML:com.adobe.xmp\0\0\0\0\0" + xmp)
        data = encoded(picture, "PNG", exif=block, icc_profile=srgb, dpi=(300, 300))
        return data[:33] + text + data[33:]
    if kind == "JPEG":
        caption = segment(0xED, b"Photoshop 3.0\x008BIM\x04\x04\0\0\0\0\0\x0dSECRETCAPTION\0")
        preview = segment(0xE2, b"MPF\0SECRETMAKER")
        data = encoded(
            picture, "JPEG", exif=block, icc_profile=srgb, xmp=xmp, comment=b"SECRETNOTE", dpi=(300, 300)
        )
        return data[:2] + caption + preview + data[2:] + b"SECRETNOTE"
    if kind == "HEIC":
        return encoded(picture, "HEIC", exif=block, xmp=xmp, icc_profile=srgb)
    return encoded(picture, "WebP", exif=block, xmp=xmp, icc_profile=srgb)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WebP", "HEIC"])
def test_no_metadata_leaves(tmp_path: Path, kind: str) -> None:
    data = laden(kind)
    assert b"SECRETMAKER" in data
    assert b"SECRETXMP" in data
    ready = prepare(kept(tmp_path, data), long_edge=150)
    assert [secret for secret in SECRETS if secret.lower() in ready.data.lower()] == []
    assert jpeg_markers(ready.data) <= {0xC2, 0xC4, 0xDA, 0xDB, 0xE0}
    image = shown(ready.data)
    assert set(image.info) <= {
        "jfif",
        "jfif_version",
        "jfif_unit",
        "jfif_density",
        "progressive",
        "progression",
    }
    assert image.info["jfif_unit"] == 0
    assert image.info["progressive"]


def jpeg_markers(data: bytes) -> set[int]:
    return {
        data[i + 1] for i in range(2, len(data) - 2) if data[i] == 0xFF and data[i + 1] not in (0, 0xFF)
    } - set(range(0xD0, 0xD8))


def test_a_png_that_stays_png_has_no_metadata_either(tmp_path: Path) -> None:
    drawing = Image.new("RGB", (200, 100), "white")
    srgb = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    data = encoded(drawing, "PNG", exif=exif(1, None, "SECRETMAKER"), icc_profile=srgb, dpi=(72, 72))
    data = data[:33] + chunk(b"tEXt", b"Comment\0SECRETNOTE") + data[33:]
    ready = prepare(kept(tmp_path, data), long_edge=150)
    assert ready.media_type == "image/png"
    names = {ready.data[i : i + 4] for i in (12, 37, len(ready.data) - 8)}
    assert names == {b"IHDR", b"IDAT", b"IEND"}
    assert shown(ready.data).info == {}


def test_a_page_hidden_in_a_picture_is_gone(tmp_path: Path) -> None:
    page = b"<html><script>alert(1)</script></html>"
    data = encoded(asymmetric(), "JPEG", comment=page) + page
    ready = prepare(kept(tmp_path, data, "picture.html"), long_edge=100)
    assert b"<script" in data
    assert b"<script" not in ready.data
    assert b"html" not in ready.data
    assert quarters(shown(ready.data)) == ["red", "green", "blue", "yellow"]


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WebP", "HEIC"])
def test_originals_are_untouched_and_results_repeat(tmp_path: Path, kind: str) -> None:
    path = kept(tmp_path, laden(kind))
    path.chmod(0o444)
    before = (hashlib.sha256(path.read_bytes()).hexdigest(), path.stat().st_mtime_ns)
    examine(path)
    mark = Mark.model_validate({"mark": "label", "at": ["0.5", "0.5"], "text": "Here"})
    once, twice = (prepare(path, long_edge=150, marks=(mark,)) for _ in range(2))
    assert once == twice
    assert (hashlib.sha256(path.read_bytes()).hexdigest(), path.stat().st_mtime_ns) == before
    assert [entry.name for entry in tmp_path.iterdir()] == [path.name]


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WebP", "HEIC"])
def test_capture_time(tmp_path: Path, kind: str) -> None:
    assert capture_time(kept(tmp_path, laden(kind))) == TAKEN
    assert capture_time(kept(tmp_path, encoded(asymmetric(), kind))) is None


@pytest.mark.parametrize(
    "moment",
    ["", "0000:00:00 00:00:00", "    :  :     :  :  ", "2026:13:41 99:00:00", "yesterday", "\xff" * 19],
)
def test_rubbish_for_a_time_is_no_time(tmp_path: Path, moment: str) -> None:
    assert capture_time(kept(tmp_path, encoded(asymmetric(), "JPEG", exif=exif(1, moment)))) is None


def test_size_and_time_for_twelve_megapixels(tmp_path: Path) -> None:
    """A loose limit of processor time, which a busy machine does not stretch."""
    path = kept(tmp_path, encoded(scenery((4000, 3000)), "JPEG", quality=90))
    begin = process_time()
    ready = prepare(path, long_edge=1100)
    assert process_time() - begin < 2
    assert (ready.width, ready.height) == (1100, 825)
    assert 50_000 < len(ready.data) < 250_000


# --- what is refused


def test_a_missing_picture(tmp_path: Path) -> None:
    kept(tmp_path, b"", "bilge-pump.jpg")
    fault = fault_of(tmp_path / "bilge-pmp.jpg")
    assert fault.code == "P301"
    assert "bilge-pump.jpg" in fault.hint
    assert fault_of(tmp_path / "bilge-pump.jpg" / "inside.jpg").code == "P301"
    assert fault_of(tmp_path / ("x" * 5000)).code == "P301"
    assert fault_of_examine(tmp_path / "nul\0l.jpg").code == "P301"


def test_a_picture_that_may_not_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> int:
        raise PermissionError(13, "Permission denied")

    path = kept(tmp_path, encoded(asymmetric(), "JPEG"))
    monkeypatch.setattr(os, "open", refuse)
    assert fault_of(path).code == "P001"


def test_things_that_are_not_files(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.jpg")
    (tmp_path / "folder.jpg").mkdir()
    (tmp_path / "device.jpg").symlink_to("/dev/null")
    (tmp_path / "endless.jpg").symlink_to("/dev/zero")
    (tmp_path / "loop.jpg").symlink_to("loop.jpg")
    for name, word in (("pipe", "pipe"), ("folder", "folder"), ("device", "device"), ("endless", "device")):
        fault = fault_of(tmp_path / f"{name}.jpg")
        assert fault.code == "P303"
        assert word in fault.message.split("'")[-1]
    assert fault_of(tmp_path / "loop.jpg").code == "P301"


def test_a_pipe_that_takes_the_place_of_a_file_does_not_block(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    os.mkfifo(tmp_path / "pipe.jpg")
    monkeypatch.setattr(Path, "stat", lambda *_, **__: os.stat_result([0o100644] + [0] * 9))
    with pytest.raises(PictureFault, match="pipe"):
        examine(tmp_path / "pipe.jpg")


REFUSED: list[tuple[str, bytes, str]] = [
    ("empty", b"", "an empty file"),
    ("zeros", b"\0" * 5000, "zeros"),
    ("text", b"just some words\n", "text"),
    ("svg", b"<?xml version='1.0'?><svg xmlns='http://www.w3.org/2000/svg' onload='x()'/>", "SVG"),
    ("html", b"<!DOCTYPE html><p>", "web page"),
    ("gif", encoded(asymmetric(), "GIF"), "GIF"),
    ("pdf", b"%PDF-1.7\n", "PDF"),
    ("tiff", encoded(asymmetric(), "TIFF"), "TIFF"),
    ("bmp", encoded(asymmetric(), "BMP"), "BMP"),
    ("zip", b"PK\x03\x04" + b"\0" * 30, "ZIP"),
    ("avif", b"\0\0\0\x1cftypavif\0\0\0\0avifmif1miaf", "AVIF"),
    ("film", b"\0\0\0\x18ftypisom\0\0\0\0isommp42", "film"),
    ("noise", bytes(range(1, 200)), "not known"),
    ("postscript", b"%!PS-Adobe-3.0\n", "text"),
]


@pytest.mark.parametrize(("name", "data", "word"), REFUSED, ids=[row[0] for row in REFUSED])
def test_other_files_in_disguise(tmp_path: Path, name: str, data: bytes, word: str) -> None:
    fault = fault_of(kept(tmp_path, data, f"{name}.jpg"))
    assert fault.code == "P304"
    assert word in fault.message
    assert "JPEG" in fault.hint


@pytest.mark.parametrize("kind", ["PNG", "WebP"])
def test_animated_pictures_are_refused(tmp_path: Path, kind: str) -> None:
    frames = [asymmetric(), Image.new("RGB", SIZE, "white")]
    fault = fault_of(
        kept(tmp_path, encoded(frames[0], kind, save_all=True, append_images=frames[1:], duration=100))
    )
    assert fault.code == "P304"
    assert "animated" in fault.message


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WebP", "HEIC"])
@pytest.mark.parametrize("progressive", [False, True])
@pytest.mark.parametrize("share", [0.1, 0.3, 0.5, 0.8, 0.95, 0.999])
def test_truncated_pictures(tmp_path: Path, kind: str, progressive: bool, share: float) -> None:
    options = {"progressive": True} if progressive and kind == "JPEG" else {}
    data = encoded(scenery((300, 200)), kind, **options)
    assert fault_of(kept(tmp_path, data[: int(len(data) * share)])).code == "P305"


@pytest.mark.parametrize("lost", [1, 2, 3, 10])
def test_the_last_bytes_of_a_jpeg_count(tmp_path: Path, lost: int) -> None:
    data = encoded(scenery((300, 200)), "JPEG")
    assert fault_of(kept(tmp_path, data[:-lost])).code == "P305"
    fault = fault_of(kept(tmp_path, data[:-lost] + b"\0" * 4000))
    assert fault.code == "P305"
    assert "the end" in fault.message


def test_a_changed_byte_in_a_png_is_found(tmp_path: Path) -> None:
    data = bytearray(encoded(scenery((300, 200)), "PNG"))
    data[len(data) // 2] ^= 0x10
    assert fault_of(kept(tmp_path, bytes(data))).code == "P305"
    palette = bytearray(encoded(asymmetric().quantize(8), "PNG"))
    palette[palette.index(b"PLTE") + 5] ^= 0x10  # the decoder would show another colour without a word
    fault = fault_of(kept(tmp_path, bytes(palette)))
    assert fault.code == "P305"
    assert "check sum" in fault.message


def test_a_file_that_is_too_large(tmp_path: Path) -> None:
    path = kept(tmp_path, encoded(asymmetric(), "JPEG"))
    with path.open("r+b") as file:
        file.truncate(photos.FILE_LIMIT)
    assert examine(path).width == 64
    with path.open("r+b") as file:
        file.truncate(photos.FILE_LIMIT + 1)
    fault = fault_of(path)
    assert fault.code == "P306"
    assert "40 MB" in fault.message


def jpeg_claiming(width: int, height: int, *, progressive: bool = False) -> bytes:
    data = bytearray(encoded(asymmetric(), "JPEG", progressive=progressive))
    at = data.index(b"\xff\xc2" if progressive else b"\xff\xc0")
    data[at + 5 : at + 9] = struct.pack(">HH", height, width)
    return bytes(data)


HUGE: list[tuple[str, bytes]] = [
    ("PNG of 60,000 a side", png_of(60_000, 60_000, zlib.compress(b"\0" * 1000))),
    ("PNG of 2**31 - 1 a side", png_of(2**31 - 1, 2**31 - 1, b"")),
    ("PNG, one side", png_of(20_001, 1, zlib.compress(b"\0" * 20_002))),
    ("PNG of 51 megapixels", png_of(10_200, 5_000, zlib.compress(b"\0"))),
    ("PNG that unpacks to 3.6 GB", png_of(60_000, 60_000, zlib.compress(b"\0" * 30_000_000, 9))),
    ("JPEG of 60,000 a side", jpeg_claiming(60_000, 60_000)),
    ("JPEG of 101 megapixels", jpeg_claiming(10_100, 10_000)),
    ("progressive JPEG of 51 megapixels", jpeg_claiming(10_200, 5_000, progressive=True)),
    (
        "PNG with a profile that unpacks to 50 MB",
        png_of(1, 1, zlib.compress(b"\0\0"), chunk(b"iCCP", b"x\0\0" + zlib.compress(bytes(50_000_000), 9))),
    ),
    (
        "JPEG of many segments",
        b"\xff\xd8\xff\xe1\0\2" + b"\xff\xfe\0\2" * 40_000 + encoded(asymmetric(), "JPEG")[2:],
    ),
    ("PNG of many chunks", PNG_SIGN + chunk(b"teSt", b"") * 40_000),
    (
        "JPEG of many scans",
        encoded(asymmetric(), "JPEG", progressive=True)[:-2]
        + b"\xff\xda\0\x08\x01\x01\0\x01\x05\0" * 5000
        + b"\xff\xd9",
    ),
]


@pytest.mark.parametrize(("name", "data"), HUGE, ids=[row[0] for row in HUGE])
def test_bombs_are_refused_quickly_and_in_little_memory(tmp_path: Path, name: str, data: bytes) -> None:
    assert name
    path = kept(tmp_path, data)
    begin = process_time()
    tracemalloc.start()
    fault = fault_of(path)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert fault.code == "P306"
    assert process_time() - begin < 3
    assert peak < 60_000_000


def test_a_bomb_in_the_metadata_is_never_unpacked(tmp_path: Path) -> None:
    """EXIF whose 5,000 fields claim the same 60,000 bytes; PNG text that unpacks to 100 MB; circles."""
    fields = b"".join(struct.pack("<HHII", 0x9000 + n, 7, 60_000, 8) for n in range(5000))
    bomb = b"Exif\0\0II*\0" + struct.pack("<IH", 8, 5000) + fields + b"\0" * 4
    loop = b"Exif\0\0II*\0" + struct.pack("<IHHHIII", 8, 1, 0x8769, 4, 1, 8, 8)
    text = chunk(b"zTXt", b"Comment\0\0" + zlib.compress(bytes(100_000_000), 9))
    plain = encoded(asymmetric(), "JPEG")
    png = encoded(asymmetric(), "PNG")
    for data in (
        plain[:2] + segment(0xE1, bomb) + plain[2:],
        plain[:2] + segment(0xE1, loop) * 50 + plain[2:],
        png[:33] + text * 20 + png[33:],
    ):
        path = kept(tmp_path, data)
        tracemalloc.start()
        begin = process_time()
        assert examine(path).width == 64
        assert capture_time(path) is None
        assert process_time() - begin < 1
        assert tracemalloc.get_traced_memory()[1] < 20_000_000
        tracemalloc.stop()


def test_a_second_picture_in_the_file_is_passed_over(tmp_path: Path) -> None:
    path = kept(tmp_path, encoded(asymmetric(), "MPO", save_all=True, append_images=[Image.new("RGB", SIZE)]))
    with Image.open(path) as image:
        assert image.format == "MPO"
    assert examine(path) == Examined(64, 40, "JPEG")
    assert quarters(shown(prepare(path, long_edge=100).data)) == ["red", "green", "blue", "yellow"]


def test_heic_without_its_decoder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = kept(tmp_path, encoded(asymmetric(), "HEIC"))
    monkeypatch.setitem(sys.modules, "pillow_heif", None)
    with pytest.raises(PictureFault) as caught:
        examine(path)
    assert caught.value.code == "P307"
    assert "lugbook[heic]" in caught.value.hint


def test_memory_that_runs_out_is_a_fault_of_the_picture(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def exhausted(*_: object, **__: object) -> Iterator[None]:
        raise MemoryError

    path = kept(tmp_path, encoded(asymmetric(), "JPEG"))
    monkeypatch.setattr(Image, "open", exhausted)
    assert fault_of_examine(path).code == "P306"


def fault_of_examine(path: Path) -> PictureFault:
    with pytest.raises(PictureFault) as caught:
        examine(path)
    return caught.value


def test_a_fault_travels_between_processes() -> None:
    fault = pickle.loads(pickle.dumps(PictureFault("P305", "'a.jpg' is broken", "again")))
    assert (fault.code, fault.message, fault.hint) == ("P305", "'a.jpg' is broken", "again")


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WebP", "HEIC"])
def test_two_hundred_mutations_end_well(tmp_path: Path, kind: str) -> None:
    dice = random.Random(f"mutations of {kind}")
    original = (
        laden(kind)
        if kind != "HEIC"
        else encoded(scenery((64, 64)), "HEIC", exif=exif(3, "2026:03:14 09:26:53"))
    )
    endings, codes = {"fine": 0, "fault": 0}, set()
    for number in range(200):
        data = bytearray(original)
        reach = len(data) if number % 2 else min(len(data), 1200)  # heads hold the structure
        for _ in range(dice.choice((1, 1, 2, 8, 40))):
            data[dice.randrange(reach)] = dice.randrange(256)
        if number % 10 == 0:
            del data[dice.randrange(len(data)) :]
        path = kept(tmp_path, bytes(data))
        begin = process_time()
        capture_time(path)
        try:
            examine(path)
            prepare(path, long_edge=50)
            endings["fine"] += 1
        except PictureFault as fault:
            codes.add(fault.code)
            endings["fault"] += 1
        assert process_time() - begin < 5
    assert min(endings.values()) > 0
    assert codes <= {"P304", "P305", "P306"}


@pytest.mark.parametrize(
    "head", [b"\xff\xd8\xff", PNG_SIGN, b"RIFF\x40\0\0\0WEBP", b"\0\0\0\x18ftypheic\0\0\0\0heicmif1"]
)
def test_random_bytes_behind_a_good_head(head: bytes) -> None:
    dice = random.Random(head)
    for _ in range(300):
        with suppress(PictureFault):
            assert take_apart(head + dice.randbytes(dice.randrange(300))).data.startswith(head[:2])


@pytest.mark.parametrize(
    ("size", "aspect", "expected"),
    [((800, 400), 4 / 3, (533, 400)), ((300, 600), 4 / 3, (300, 225)), ((400, 300), 4 / 3, (400, 300))],
)
def test_a_small_picture_is_cut_to_its_middle(
    tmp_path: Path, size: tuple[int, int], aspect: float, expected: tuple[int, int]
) -> None:
    image = Image.new("RGB", size, "white")
    image.paste((200, 0, 0), (size[0] // 2 - 20, size[1] // 2 - 20, size[0] // 2 + 20, size[1] // 2 + 20))
    path = tmp_path / "wide.jpg"
    image.save(path)
    found = prepare(path, long_edge=1000, aspect=aspect)
    assert (found.width, found.height) == expected
    middle = Image.open(BytesIO(found.data)).convert("RGB").getpixel((expected[0] // 2, expected[1] // 2))
    assert isinstance(middle, tuple)
    assert middle[0] > 150
    assert middle[1] < 60


def test_a_library_that_turns_leniency_on_changes_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The PDF engine lets Pillow accept truncated files for the whole process; here they stay faults."""
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", True)
    path = tmp_path / "whole.png"
    Image.effect_noise((200, 200), 60).save(path)
    path.write_bytes(path.read_bytes()[:20_000])
    with pytest.raises(PictureFault) as caught:
        examine(path)
    assert caught.value.code == "P305"
    assert ImageFile.LOAD_TRUNCATED_IMAGES is True


@pytest.mark.parametrize("quiet", [True, False])
def test_progress_starts_no_thread(quiet: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """A process with threads does not fork, so that one worker would be left for all pictures."""
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
    before = threading.active_count()
    seen = [
        threading.active_count() for _ in Progress(quiet=quiet).each(range(3), 3, "looking into pictures")
    ]
    assert seen == [before] * 3


def test_pictures_keep_150_dpi_at_their_largest_printed_width() -> None:
    """A picture is at most 105 mm wide in print; among many each has fewer pixels."""
    inches = 105 / 25.4
    assert long_edge(MANY) / inches > 240
    assert 150 <= long_edge(MANY + 1) / inches < 240

"""From a raw render to a camera-like JPEG: falling-off corners, grain, orientation and EXIF data."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image
from PIL.TiffImagePlugin import IFDRational

DESCRIPTION = "Illustration rendered for this project"
# To store a picture so that EXIF orientation N shows it upright, apply the inverse of N.
STORE = {3: Image.Transpose.ROTATE_180, 6: Image.Transpose.ROTATE_90, 8: Image.Transpose.ROTATE_270}
ORIENTATION, DESCRIBE, MAKE, MODEL, DATE, GPS, PHOTO = 0x0112, 0x010E, 0x010F, 0x0110, 0x0132, 0x8825, 0x8769


def develop(raw: Path, target: Path, row: dict[str, Any]) -> None:
    """Write the finished picture described by a row of pictures.yaml."""
    with Image.open(raw) as opened:
        image = _film(opened.convert("RGB"))
    orientation = row.get("orientation", 1)
    if orientation in STORE:
        image = image.transpose(STORE[orientation])
    image.save(target, quality=85, optimize=True, exif=_exif(row, orientation))


def _film(image: Image.Image) -> Image.Image:
    """Slight vignetting and sensor grain; the seed is fixed so the bytes repeat."""
    pixels = np.asarray(image, dtype=np.float32)
    height, width, _ = pixels.shape
    y, x = np.mgrid[-1 : 1 : height * 1j, -1 : 1 : width * 1j]
    shade = 1.0 - 0.22 * (0.5 * (x**2 + y**2)) ** 1.5
    grain = np.random.default_rng(7).normal(0.0, 2.4, (height, width, 1))
    return Image.fromarray(np.clip(pixels * shade[..., None] + grain, 0, 255).astype(np.uint8))


def _exif(row: dict[str, Any], orientation: int) -> Image.Exif:
    exif = Image.Exif()
    exif[DESCRIBE] = DESCRIPTION
    exif[ORIENTATION] = orientation
    taken = f"2026:06:02 {row['taken']}"
    exif[DATE] = taken
    exif.get_ifd(PHOTO)[0x9003] = taken
    if row.get("tracking"):
        exif[MAKE] = "Example Camera"
        exif[MODEL] = "Example Camera"
        exif.get_ifd(PHOTO)[0xA431] = "EX-0000017"
        _add_gps(exif.get_ifd(GPS))
    return exif


def _add_gps(gps: dict[int, Any]) -> None:
    """An invented place in the open sea, so that stripping can be seen to work."""
    gps[1], gps[2] = "N", (IFDRational(48), IFDRational(30), IFDRational(0))
    gps[3], gps[4] = "W", (IFDRational(11), IFDRational(15), IFDRational(0))

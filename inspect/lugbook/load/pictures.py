"""Which files in photos/ the findings use, and which they do not."""

from __future__ import annotations

from pathlib import Path

from lugbook.load.faults import nearest
from lugbook.load.files import path_inside
from lugbook.load.tree import Document
from lugbook.model.findings import Findings
from lugbook.model.job import photos_of
from lugbook.model.problem import Path as KeyPath

PHOTOS = "photos"
PICTURE_ENDINGS = {".jpg", ".jpeg", ".png", ".webp", ".heic", ".heif"}


def find_pictures(
    findings: Findings, folder: Path, document: Document
) -> tuple[dict[str, Path], tuple[Path, ...]]:
    """The pictures used (name -> file) and the unused ones. Missing and escaping ones are reported."""
    photos = folder / PHOTOS
    present = _present(photos)
    used: dict[str, Path] = {}
    wanted: list[tuple[KeyPath, str]] = [((*path, "file"), photo.file) for path, photo in photos_of(findings)]
    if findings.report.signature.image is not None:
        wanted.append((("report", "signature", "image"), findings.report.signature.image))
    for path, name in wanted:
        inside, refused = path_inside(photos, name)
        if inside is None:
            document.report(path, "P302", refused, "copy the picture into photos/")
        elif not inside.exists() and not inside.is_symlink():
            hint = nearest(name, present) or "copy it into the folder photos/"
            document.report(path, "P301", f"there is no picture '{name}' in photos/", hint)
        else:
            used[name] = inside
    unused = tuple(path for name, path in present.items() if name not in used)
    for file in unused:
        name = file.relative_to(photos).as_posix()
        message = f"nothing uses the picture '{name}'"
        document.report((), "P401", message, "use it, or see 'lugbook pictures'", severity="warning")
    return used, unused


def _present(photos: Path) -> dict[str, Path]:
    """The picture files in the folder, by their names relative to it."""
    if not photos.is_dir():
        return {}
    files = sorted(path for path in photos.rglob("*") if path.suffix.lower() in PICTURE_ENDINGS)
    return {path.relative_to(photos).as_posix(): path for path in files if path.is_file()}

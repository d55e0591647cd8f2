"""Which files in photos/ the findings use, and which they do not."""

from __future__ import annotations

from pathlib import Path
from unicodedata import normalize

from lugbook.load.faults import nearest
from lugbook.load.files import path_inside
from lugbook.load.tree import Document
from lugbook.model.findings import Findings
from lugbook.model.job import photos_of
from lugbook.model.problem import Path as KeyPath
from lugbook.model.problem import Problem

PHOTOS = "photos"
PICTURE_ENDINGS = {".jpg", ".jpeg", ".png", ".webp", ".heic", ".heif"}


def find_pictures(
    findings: Findings, folder: Path, document: Document
) -> tuple[dict[str, Path], tuple[Path, ...]]:
    """The pictures used (name -> file) and the unused ones. Missing and escaping ones are reported."""
    photos = folder / PHOTOS
    _, refused = path_inside(folder, PHOTOS)
    if refused:
        document.report((), "P302", refused, "copy the pictures into a folder photos/ of this job")
        return {}, ()
    present = _present(photos)
    alike: dict[str, list[Path]] = {}
    for key, file in present.items():
        alike.setdefault(normalize("NFC", key), []).append(file)
    used: dict[str, Path] = {}
    wanted: list[tuple[KeyPath, str]] = [((*path, "file"), photo.file) for path, photo in photos_of(findings)]
    if findings.report.signature.image is not None:
        wanted.append((("report", "signature", "image"), findings.report.signature.image))
    for path, name in wanted:
        found = _find(name, photos, alike, path, document)
        if found is not None:
            used[name] = found
    taken = set(used.values())
    unused = tuple(path for path in present.values() if path not in taken)
    for file in unused:
        name = file.relative_to(photos).as_posix()
        hint = "use it, or see 'lugbook pictures'"
        document.add(
            Problem(f"{PHOTOS}/{name}", 0, 0, "", "P401", "warning", "nothing uses this picture", hint)
        )
    return used, unused


def _find(
    name: str, photos: Path, alike: dict[str, list[Path]], path: KeyPath, document: Document
) -> Path | None:
    """The file that a name means, or a report of why there is none.

    Disks differ in how they code accents, so names are compared in one form (Unicode NFC): a job that was copied
    from one kind of computer to another still finds its pictures, and two names that look the same are refused.
    """
    inside, refused = path_inside(photos, name)
    files = alike.get(normalize("NFC", name), [])
    if inside is None:
        document.report(path, "P302", refused, "copy the picture into photos/")
    elif len(files) > 1:
        message = f"two pictures in photos/ have names that look like '{name}'"
        document.report(path, "P308", message, "rename one of them")
    elif files:
        return files[0]
    elif inside.exists() or inside.is_symlink():
        return inside
    else:
        hint = nearest(name, alike) or "copy it into the folder photos/"
        if any(name.casefold() == other.casefold() for other in alike):
            hint += " Capital letters count in names of files."
        document.report(path, "P301", f"there is no picture '{name}' in photos/", hint)
    return None


def _present(photos: Path) -> dict[str, Path]:
    """The picture files in the folder, by their names relative to it."""
    if not photos.is_dir():
        return {}
    files = sorted(path for path in photos.rglob("*") if path.suffix.lower() in PICTURE_ENDINGS)
    named = {path.relative_to(photos).as_posix(): path for path in files if path.is_file()}
    return {name: path for name, path in named.items() if path_inside(photos, name)[0] is not None}

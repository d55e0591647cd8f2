"""Packing a job for the capture page: the same form of archive that the page exports, and the base of a later merge."""

from __future__ import annotations

import os
import tempfile
import zipfile
from dataclasses import dataclass
from pathlib import Path

from lugbook import __version__
from lugbook.errors import OutputError
from lugbook.issuing.capture_state import FINDINGS, NOTICE, STATE, State, next_folder, pictures_in, states
from lugbook.model.export import CAPTURE_FILE, CAPTURE_FORMAT
from lugbook.pipeline.lists import lists_of
from lugbook.pipeline.reading import is_picture, raw_findings
from lugbook.trail.canonical import canonical, digest, file_digest
from lugbook.trail.clock import new_visit
from lugbook.trail.store import locked
from lugbook.write import write_files

EARLY = (1980, 1, 1, 0, 0, 0)  # the first time that an archive can hold: the same job gives the same bytes


@dataclass(frozen=True, slots=True)
class Packed:
    """What came of it. `left` are files in photos/ that the page cannot take."""

    archive: Path
    pictures: int
    left: tuple[str, ...]


def pack(job: Path, archive: Path) -> Packed:
    """Write a job as an archive that the capture page loads. Raises InputRefusedError, OutputError, TrailError.

    What was packed is noted in the job, so that an export of the page that was loaded from it can be merged.
    """
    findings = raw_findings(job)
    with locked(job):
        kept = states(job)
        text = (job / FINDINGS).read_bytes()
        pictures = pictures_in(job)
        wanted = {path: sum_ for path, sum_ in pictures.items() if is_picture(path)}
        last = kept[-1].state if kept else None
        notice = (job / NOTICE).read_bytes() if (job / NOTICE).is_file() else None
        state = State(
            kind="pack",
            visit=last.visit if last else new_visit(),
            export=last.export if last else 0,
            findings=digest(text),
            pictures=wanted,
            defects={},
            photos={},
        )
        texts = {FINDINGS: text, **({NOTICE: notice} if notice is not None else {})}
        facts = {
            "format": CAPTURE_FORMAT,
            "visit": state.visit,
            "export": state.export,
            "program": __version__,
            "checklist": [{"id": name, "edition": edition} for name, edition in lists_of(job)],
            "files": {
                **{name: {"sha256": digest(data), "bytes": len(data)} for name, data in texts.items()},
                **{
                    path: {"sha256": sum_, "bytes": (job / path).stat().st_size}
                    for path, sum_ in wanted.items()
                },
            },
            "clock": None,
            "events": [],
            "findings": findings,
        }
        _write(archive, {**texts, CAPTURE_FILE: canonical(facts)}, job, wanted)
        if last is None or (last.findings, last.pictures, last.kind) != (state.findings, wanted, "pack"):
            place = job / next_folder(kept)
            write_files(place, {**texts, STATE: state.to_bytes()})
    return Packed(archive, len(wanted), tuple(sorted(set(pictures) - set(wanted))))


def _write(archive: Path, texts: dict[str, bytes], job: Path, pictures: dict[str, str]) -> None:
    """The archive appears whole."""
    try:
        archive.resolve().parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(prefix=f".{archive.name}-", dir=archive.resolve().parent)
        os.close(handle)
        waiting = Path(name)
        waiting.chmod(0o644)
        try:
            with zipfile.ZipFile(waiting, "w") as made:
                for path, data in texts.items():
                    made.writestr(zipfile.ZipInfo(path, EARLY), data, zipfile.ZIP_DEFLATED)
                for path in pictures:
                    with (
                        made.open(zipfile.ZipInfo(path, EARLY), "w") as target,
                        (job / path).open("rb") as source,
                    ):
                        while part := source.read(1 << 20):
                            target.write(part)
            changed = [path for path, sum_ in pictures.items() if file_digest(job / path) != sum_]
            if changed:
                raise OutputError(f"'{changed[0]}' was changed meanwhile; nothing was packed")
            os.replace(waiting, archive)  # noqa: PTH105 - replaces atomically
        finally:
            waiting.unlink(missing_ok=True)
    except OSError as error:
        raise OutputError(f"cannot write {archive}: {error.strerror}; nothing was packed") from error

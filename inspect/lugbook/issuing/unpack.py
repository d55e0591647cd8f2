"""Taking in an export of the capture page: a new job of it, or a later state of one that is there."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path, PurePosixPath

from lugbook import __version__
from lugbook.errors import InputRefusedError, OutputError, UsageError
from lugbook.issuing.capture_state import (
    CAPTURE,
    FINDINGS,
    NOTICE,
    STATE,
    Kept,
    State,
    base_of,
    next_folder,
    pictures_in,
    states,
)
from lugbook.issuing.report import begin_trail
from lugbook.model.export import Choose, Conflict, Export, Merged, clock_words
from lugbook.model.findings import Findings
from lugbook.model.problem import Problem
from lugbook.model.schema import SCHEMA, schema_json
from lugbook.pipeline.exchange import (
    folded_name,
    merged_findings,
    opened_export,
    other_ids,
    pictures_of,
    with_other_names,
)
from lugbook.pipeline.reading import known_electrician, raw_findings
from lugbook.progress import Progress
from lugbook.trail.canonical import digest
from lugbook.trail.clock import recorded_now
from lugbook.trail.entries import CaptureBody, FileSum
from lugbook.trail.events import begin
from lugbook.trail.recording import Recording
from lugbook.trail.store import locked
from lugbook.write import write_files

NOBODY = "not recorded"


@dataclass(frozen=True, slots=True)
class Unpacked:
    """What came of it. `merged` is None for a new job; `renamed` are ids and pictures that got other names."""

    folder: Path
    export: Export
    merged: Merged | None
    pictures: tuple[str, ...]
    renamed: tuple[tuple[str, str], ...]
    head: str | None
    nothing_new: bool = False


def unpack(
    archive: Path, job: Path, progress: Progress, *, recorded_by: str | None, choose: Choose | None
) -> Unpacked:
    """Check an export in full, then make the job of it, or put it together with the job that is there.

    Without `choose` a value that both sides changed refuses the whole. Raises InputRefusedError, UsageError,
    TrailError, OutputError; nothing was written then.
    """
    there = job.is_dir() and any(job.iterdir())
    if job.exists() and not job.is_dir():
        raise UsageError(f"'{job}' is a file; name a folder")
    with _waiting(job, beside=not there) as waiting:
        export = opened_export(archive, waiting, progress)
        if there:
            return _join(export, archive, job, recorded_by, choose)
        return _create(export, waiting, job, recorded_by)


@contextmanager
def _waiting(job: Path, *, beside: bool) -> Iterator[Path]:
    """An empty folder on the same disk, which is gone afterwards unless it was renamed."""
    parent = job.resolve().parent if beside else job
    try:
        if beside:
            parent.mkdir(parents=True, exist_ok=True)
        prefix = f".{job.name}-unpacking-"
        for left in parent.glob(f"{prefix}*"):  # what a run that was killed left behind
            shutil.rmtree(left, ignore_errors=True)
        waiting = Path(tempfile.mkdtemp(prefix=prefix, dir=parent))
    except OSError as error:
        raise OutputError(f"cannot write into {parent}: {error.strerror}; nothing was made") from error
    try:
        yield waiting
    except OSError as error:
        raise OutputError(f"cannot write into {parent}: {error.strerror}; nothing was made") from error
    finally:
        shutil.rmtree(waiting, ignore_errors=True)


def _create(export: Export, waiting: Path, job: Path, recorded_by: str | None) -> Unpacked:
    """The job appears whole: it is finished under another name, its trail included."""
    waiting.chmod(0o755)  # a folder for passing use is made for its owner alone
    (waiting / "photos").mkdir(exist_ok=True)
    place = f"{next_folder([])}"
    kept = _kept_files(export, place, {}, {})
    write_files(waiting, {SCHEMA: schema_json(Findings)})
    for path, data in kept.items():
        (waiting / path).parent.mkdir(parents=True, exist_ok=True)
        (waiting / path).write_bytes(data)
    (waiting / CAPTURE).unlink()  # it lies in .capture/ now
    who = recorded_by or known_electrician(waiting) or NOBODY
    head = begin_trail(waiting, recorded_by=who, clock_offset=clock_words(export.capture))
    if job.is_dir():
        job.rmdir()
    waiting.rename(job)
    return Unpacked(job, replace(export, folder=job), None, export.photos, (), head)


def _kept_files(
    export: Export, place: str, defects: dict[str, str], photos: dict[str, str]
) -> dict[str, bytes]:
    """What a job keeps of an export, by path."""
    names = [FINDINGS, CAPTURE, *([NOTICE] if export.notice else [])]
    files = {f"{place}/{name}": (export.folder / name).read_bytes() for name in names}
    capture = export.capture
    state = State(
        kind="export",
        visit=capture.visit,
        export=capture.export,
        findings=capture.files[FINDINGS].sha256,
        pictures={path: capture.files[path].sha256 for path in export.photos},
        defects=defects,
        photos=photos,
    )
    return {**files, f"{place}/{STATE}": state.to_bytes()}


def _join(
    export: Export, archive: Path, job: Path, recorded_by: str | None, choose: Choose | None
) -> Unpacked:
    """Put a later export of the same visit together with the job."""
    with locked(job):
        kept = states(job)
        base = _base(export, archive, job, kept)
        if base is None:
            return Unpacked(job, export, Merged("", (), (), False), (), (), None, nothing_new=True)
        raw_findings(job)  # raises if they cannot be read
        ours = _text(job / FINDINGS)
        theirs = _text(export.folder / FINDINGS)
        defects, photos = dict(base.state.defects), dict(base.state.photos)
        before = with_other_names(base.findings(), defects, photos)
        defects |= other_ids(before, ours, with_other_names(theirs, defects, photos))
        present = pictures_in(job)
        photos |= _other_pictures(export, base, present, photos)
        chosen: list[Conflict] = []
        merged = merged_findings(
            before, ours, with_other_names(theirs, defects, photos), _listening(choose, chosen)
        )
        notice = _notice(export, base, job, _listening(choose, chosen))
        if choose is None and chosen:
            raise InputRefusedError(tuple(_refused(conflict, job) for conflict in chosen))
        new = _new_pictures(export, base, present, photos, pictures_of(merged.text))
        recording = Recording(job, recorded_by or known_electrician(job) or NOBODY)
        begin(recording, __version__)
        came = [recording.file(FINDINGS, merged.text.encode("utf-8"))]
        if notice is not None:
            recording.file(NOTICE, notice)
        came += [
            recording.file(path, data)
            for path, data in _kept_files(export, next_folder(kept), defects, photos).items()
        ]
        for path, target in new.items():
            sum_ = export.capture.files[path].sha256
            recording.copy(target, export.folder / path, sum_)
            came.append(FileSum(path=target, sha256=sum_))
        body = CaptureBody(
            program=__version__,
            visit=export.capture.visit,
            export=export.capture.export,
            captured=tuple(came),
            clock_offset=clock_words(export.capture),
        )
        link = recording.add(body, recorded_now()[:10])
        recording.commit()
        names = {**defects, **{f"photos/{a}": f"photos/{b}" for a, b in photos.items()}}
        old = {**base.state.defects, **{f"photos/{a}": f"photos/{b}" for a, b in base.state.photos.items()}}
        fresh = tuple(pair for pair in names.items() if pair[0] not in old)
        merged = replace(merged, conflicts=tuple(chosen))
        return Unpacked(job, export, merged, tuple(new.values()), fresh, link.sum)


def _text(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise UsageError(f"'{path}' cannot be read; nothing was changed") from error


def _listening(choose: Choose | None, chosen: list[Conflict]) -> Choose:
    """Note every conflict. Where nobody chooses, ours stays until the whole is refused."""

    def ask(conflict: Conflict) -> str:
        chosen.append(conflict)
        return "ours" if choose is None else choose(conflict)

    return ask  # type: ignore[return-value]


def _refused(conflict: Conflict, job: Path) -> Problem:
    place = (job / (NOTICE if conflict.path == NOTICE else FINDINGS)).as_posix()
    told = f"changed on both sides: here '{conflict.ours}', on the phone '{conflict.theirs}'"
    hint = "run it in a terminal to be asked for each, or say '--ours' or '--theirs' for all"
    return Problem(place, conflict.line, conflict.column, conflict.path, "P710", "error", told, hint)


def _base(export: Export, archive: Path, job: Path, kept: list[Kept]) -> Kept | None:
    """What both sides know; None if this very export is in the job already. Raises InputRefusedError, UsageError."""
    if not kept:
        raise UsageError(
            f"'{job}' is a job that was not made from the capture page; unpack into a new folder, or name another"
        )
    capture = export.capture
    last = kept[-1].state

    def refuse(told: str, hint: str) -> InputRefusedError:
        return InputRefusedError((Problem(archive.as_posix(), 0, 0, "", "P709", "error", told, hint),))

    base = base_of(kept, capture)
    if base is None and all(one.state.visit != capture.visit for one in kept):
        told = f"this is an export of another visit ({capture.visit}) than that of '{job}' ({last.visit})"
        raise refuse(told, "unpack it into a folder of its own")
    if base is None:
        told = "the page does not say that it was loaded from a pack of this job"
        raise refuse(told, "unpack it into a folder of its own, and compare")
    exported = [one.state for one in kept if one.state.kind == "export" and one.state.visit == capture.visit]
    if exported and exported[-1].export >= capture.export:
        again = [s for s in exported if s.export == capture.export]
        if again and again[0].findings == capture.files[FINDINGS].sha256:
            return None
        told = (
            f"this is export {capture.export} of the visit; export {exported[-1].export} was unpacked already"
        )
        raise refuse(told, "export again from the phone, or unpack it into a folder of its own")
    return base


def _other_pictures(
    export: Export, base: Kept, present: dict[str, str], photos: dict[str, str]
) -> dict[str, str]:
    """Names (below photos/) that mean another picture in the job -> the names that theirs get."""
    taken = {folded_name(path): path for path in present}
    found: dict[str, str] = {}
    for path in export.photos:
        name, sum_ = path.removeprefix("photos/"), export.capture.files[path].sha256
        if name in photos or base.state.pictures.get(path) == sum_:
            continue
        there = taken.get(folded_name(path))
        if there is None or (there == path and present[path] == sum_):
            taken[folded_name(path)] = path
            continue
        new = _free(path, lambda other: folded_name(other) in taken)
        taken[folded_name(new)] = new
        found[name] = new.removeprefix("photos/")
    return found


def _free(path: str, used: Callable[[str], bool]) -> str:
    """`photos/p1-2.jpg`, or the next number that is free."""
    pure = PurePosixPath(path)
    number = 2
    while used(pure.with_name(f"{pure.stem}-{number}{pure.suffix}").as_posix()):
        number += 1
    return pure.with_name(f"{pure.stem}-{number}{pure.suffix}").as_posix()


def _new_pictures(
    export: Export, base: Kept, present: dict[str, str], photos: dict[str, str], named: frozenset[str]
) -> dict[str, str]:
    """What to copy where. A picture that the job had and dropped stays dropped, unless the findings name it."""
    new = {}
    for path in export.photos:
        name = path.removeprefix("photos/")
        target = f"photos/{photos.get(name, name)}"
        dropped = base.state.pictures.get(path) == export.capture.files[path].sha256
        if target not in present and (not dropped or photos.get(name, name) in named):
            new[path] = target
    return new


def _notice(export: Export, base: Kept, job: Path, choose: Choose) -> bytes | None:
    """The notice to write, if theirs is to be followed. It is taken as a whole."""
    theirs = (export.folder / NOTICE).read_bytes() if export.notice else None
    ours = (job / NOTICE).read_bytes() if (job / NOTICE).is_file() else None
    before = base.notice()
    if theirs is None or theirs in (before, ours):
        return None
    if ours == before:
        return theirs
    short = [f"{len(one or b'')} bytes, sum {digest(one or b'')[:12]}" for one in (ours, theirs)]
    return theirs if choose(Conflict(NOTICE, 0, 0, short[0], short[1])) == "theirs" else None

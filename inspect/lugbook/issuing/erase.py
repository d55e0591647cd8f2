"""Erasing a person: out of people.json, out of the findings and, if asked, out of what was issued."""

from __future__ import annotations

import html
import re
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from lugbook.errors import UsageError
from lugbook.model.decided import Role
from lugbook.model.findings import Person as Named
from lugbook.pipeline.checking import check_job
from lugbook.pipeline.reading import readable
from lugbook.progress import Progress
from lugbook.trail.canonical import TrailError, file_digest
from lugbook.trail.chain import TRAIL
from lugbook.trail.check_job import EXPORTS
from lugbook.trail.clock import recorded_now
from lugbook.trail.entries import (
    CaptureEntry,
    EraseBody,
    FileSum,
    IssueEntry,
    NoticeEntry,
    StartEntry,
    persons,
)
from lugbook.trail.erased import copy_name
from lugbook.trail.events import recorder
from lugbook.trail.keys import Signer
from lugbook.trail.manifest import MANIFEST, parse_manifest
from lugbook.trail.recording import Recording
from lugbook.trail.store import locked, read_people

PLACES = ("client", "owner", "electrician")
WORKING = ("findings.yaml", "notice.yaml")
TEXTS = (".yaml", ".json", ".html")
GONE = "(erased)"


@dataclass(frozen=True, slots=True)
class Erased:
    """What came of it. `still` are issued files that hold the name; `hints` lines where a part of it may stand."""

    people: tuple[str, ...]
    files: tuple[str, ...]
    changed: tuple[str, ...]
    still: tuple[str, ...]
    hints: tuple[str, ...]
    head: str


def erase(
    folder: Path,
    who: str,
    progress: Progress,
    *,
    reason: str,
    asked_by: Role,
    issued: bool,
    more: Iterable[str],
    recorded_by: str | None,
    signer: Signer | None,
) -> Erased:
    """Erase a person and record that. Raises UsageError, TrailError, OutputError."""
    with locked(folder):
        job = check_job(folder, progress).job
        known = job.findings.report.electrician.name if job else None
        recording = Recording(folder, recorder(folder, recorded_by, known), signer)
        if not recording.chain.links:
            raise UsageError("this job has no trail yet; edit findings.yaml, nothing else holds the name")
        found = _find(recording, who, getattr(job.findings.report, who) if job and who in PLACES else None)
        if any(text in reason for text in found.texts):
            raise UsageError("the reason stays for ever; write it without the name")
        holding = _holding(recording, found.texts)
        files = [*(holding if issued else ()), *(_named(recording, path) for path in more)]
        changed = _changed(folder, found.texts)
        if not found.keys and not files and not changed:
            raise UsageError(f"nothing of '{who}' is kept: neither in people.json nor in findings.yaml")
        body = EraseBody(people=found.keys, files=tuple(files), reason=reason, asked_by=asked_by)
        for key in found.keys:
            recording.erase_person(key)
        link = recording.add(body, recorded_now()[:10])
        for path, data in changed.items():
            recording.file(path, data)
        signature = recording.sign_entry(link)
        for place in _places(recording, files):
            recording.file(f"{place}/{copy_name(link.entry.entry)}", link.line)
            if signature is not None:
                recording.file(f"{place}/{copy_name(link.entry.entry)}.sig", signature)
        recording.commit(removals=[file.path for file in files])
        gone = {file.path for file in files}
        return Erased(
            found.keys,
            tuple(sorted(gone)),
            tuple(changed),
            tuple(file.path for file in holding if file.path not in gone),
            _hints(folder, found.texts),
            link.sum,
        )


@dataclass(frozen=True, slots=True)
class _Found:
    """Who is meant: numbers in people.json, and the texts that tell who it is."""

    keys: tuple[str, ...]
    texts: tuple[str, ...]


def _find(recording: Recording, who: str, named: Named | None) -> _Found:
    people = read_people(recording.folder).people
    mentioned = [person for entry in recording.chain.entries for person in persons(entry)]
    keys = {p.person for p in mentioned if p.role == who and p.person in people}
    texts: set[str] = set()
    if who in people:
        keys.add(who)
    elif re.fullmatch(r"p[0-9]+", who):
        raise UsageError(f"there is no '{who}' in people.json")
    if named is not None:
        texts |= {text for text in (named.name, named.address, named.contact) if text}
        keys |= {key for key, record in people.items() if named.name and record.name == named.name}
    for key in keys:
        texts |= {people[key].name, people[key].contact}
    parts = {part.strip() for text in texts for part in re.split(r"[,;\n]", text)}
    kept = sorted((text for text in parts | texts if len(text) >= 4 and text != GONE), key=len, reverse=True)
    order = sorted((key for key in keys), key=lambda key: int(key[1:]))
    return _Found(tuple(order), tuple(kept))


def _pattern(texts: Iterable[str]) -> re.Pattern[str] | None:
    spelled = [r"\s+".join(re.escape(word) for word in text.split()) for text in texts]
    return re.compile(rf"(?<!\w)(?:{'|'.join(spelled)})(?!\w)") if spelled else None


def _changed(folder: Path, texts: tuple[str, ...]) -> dict[str, bytes]:
    """The files that are worked on, without the texts. Raises UsageError if one could not be read any more."""
    pattern, changed = _pattern(texts), {}
    for name in WORKING:
        path = folder / name
        if pattern is None or not path.is_file():
            continue
        old = path.read_text(encoding="utf-8")
        new = pattern.sub(GONE, old)
        if new != old:
            if readable(old) and not readable(new):
                raise UsageError(
                    f"the name cannot be taken out of '{path}' by itself; edit the file, then repeat"
                )
            changed[name] = new.encode("utf-8")
    return changed


def _holding(recording: Recording, texts: tuple[str, ...]) -> list[FileSum]:
    """Issued files that hold one of the texts. A PDF cannot be searched: it goes with its HTML."""
    found: list[FileSum] = []
    for entry in recording.chain.entries:
        if isinstance(entry, IssueEntry):
            base = f"{entry.body.folder}/"
            files = [
                FileSum(path=base + f.path, sha256=f.sha256) for f in _covered(recording.folder, base, entry)
            ]
        elif isinstance(entry, NoticeEntry):
            files = list(entry.body.outputs)
        elif isinstance(entry, StartEntry | CaptureEntry):
            files = [file for file in entry.body.captured if file.path.startswith(EXPORTS)]
        else:
            continue
        there = [file for file in files if (recording.folder / file.path).is_file()]
        hits = {file.path for file in there if _holds(recording.folder / file.path, texts)}
        pages = any(path.endswith(".html") for path in hits)
        found += [f for f in there if f.path in hits or (pages and f.path.endswith((".pdf", ".pdf.sig")))]
    return found


def _covered(folder: Path, base: str, entry: IssueEntry) -> list[FileSum]:
    try:
        manifest = parse_manifest((folder / base / MANIFEST).read_bytes())
    except (OSError, ValueError) as error:
        raise TrailError(
            f"{folder / base / MANIFEST} cannot be read; 'lugbook verify' says what differs"
        ) from error
    return [*manifest.files, *entry.body.outputs]


def _holds(path: Path, texts: tuple[str, ...]) -> bool:
    if path.suffix not in TEXTS:
        return False
    text = path.read_text(encoding="utf-8", errors="replace")
    pattern = _pattern([*texts, *(html.escape(one) for one in texts)])
    return pattern is not None and bool(pattern.search(text))


def _named(recording: Recording, path: str) -> FileSum:
    """A file that an entry names, such as a piece of evidence."""
    for entry in recording.chain.entries:
        for _, value in entry.body:
            values = value if isinstance(value, tuple) else (value,)
            for file in values:
                if isinstance(file, FileSum) and file.path == path and (recording.folder / path).is_file():
                    if file_digest(recording.folder / path) != file.sha256:
                        raise TrailError(f"'{path}' was altered; 'lugbook verify' says what differs")
                    return file
    raise UsageError(f"no entry names a file '{path}' that is still there")


def _places(recording: Recording, files: Iterable[FileSum]) -> list[str]:
    """The revisions that lose something."""
    paths = [file.path for file in files]
    folders = [entry.body.folder for entry in recording.chain.entries if isinstance(entry, IssueEntry)]
    return [place for place in folders if any(path.startswith(f"{place}/") for path in paths)]


def _hints(folder: Path, texts: tuple[str, ...]) -> tuple[str, ...]:
    """Lines of the working files and of the trail where a part of the name still stands."""
    words = {word for text in texts for word in re.findall(r"[^\W\d_]{4,}", text) if word[0].isupper()}
    pattern = _pattern(sorted(words))
    hints = []
    for name in (*WORKING, TRAIL):
        path = folder / name
        if pattern is None or not path.is_file():
            continue
        for number, line in enumerate(path.read_text(encoding="utf-8", errors="replace").splitlines(), 1):
            if pattern.search(line):
                hints.append(f"{name}:{number}")
    return tuple(hints)

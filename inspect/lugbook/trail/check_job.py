"""Checks a job: the chain, every file that it names, every signature, and that there is nothing besides."""

from __future__ import annotations

from dataclasses import dataclass, field

from lugbook.trail.canonical import TrailError
from lugbook.trail.chain import HEAD, TRAIL, Chain, Link, parse_chain
from lugbook.trail.check_revision import check_notice, check_revision
from lugbook.trail.check_signature import Signatures
from lugbook.trail.entries import (
    CaptureEntry,
    EraseEntry,
    FileSum,
    ImportEntry,
    IssueEntry,
    NoticeEntry,
    StartEntry,
    persons,
)
from lugbook.trail.erased import copies_in
from lugbook.trail.manifest import MANIFEST, parse_manifest
from lugbook.trail.people import PEOPLE, parse_people
from lugbook.trail.reading import Difference, Folder
from lugbook.trail.recording import EVIDENCE, SIGNATURES, TOKENS, signature_path
from lugbook.trail.sshsig import ENTRY_NAMESPACE
from lugbook.trail.store import head_file
from lugbook.trail.token import TokenError, read_token

GOVERNED = ("issued", "notices", SIGNATURES, EVIDENCE, TOKENS)
WORKING = ("findings.yaml", "photos")
EXPORTS = ".capture/"


@dataclass(slots=True)
class Checked:
    """What was found. `notes` are no differences: work that went on since, and what was erased on purpose."""

    chain: Chain
    differences: list[Difference] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)


def check_job(folder: Folder, signatures: Signatures, head: str | None) -> Checked:
    """Everything that differs in a job. `head` is a sum that was kept elsewhere."""
    data = folder.read(TRAIL)
    if data is None:
        return Checked(Chain(), [Difference("missing", TRAIL, "there is no trail")])
    chain, broken = parse_chain(data)
    result = Checked(chain)
    result.differences += [
        Difference("order" if "line" in b.message else "altered", f"{TRAIL}:{b.number}", b.message)
        for b in broken
    ]
    result.differences += _heads(folder, chain, head, result.notes)
    result.differences += _people(folder, chain, result.notes)
    erased = frozenset(f.path for e in chain.entries if isinstance(e, EraseEntry) for f in e.body.files)
    known: set[str] = set()
    places: dict[str, int] = {}
    for link in chain.links:
        result.differences += _entry(folder, chain, link, signatures, erased, known, places)
    for path in sorted({p for top in GOVERNED for p in folder.names(top)} - known):
        if not any(path.startswith(f"{place}/") for place in places):  # inside a revision it was said already
            result.differences.append(Difference("extra", path, "no entry names it"))
    result.differences += [
        Difference("extra", path, "it is there, though an entry says that it was erased")
        for path in sorted(erased)
        if not folder.waiting and folder.read(path) is not None
    ]
    differences, notes = _working(folder, chain)
    result.differences += differences
    result.notes += notes
    result.notes += [f"erased, as an entry records: {path}" for path in sorted(erased)]
    if folder.waiting:
        result.notes.append(
            "a change was interrupted after it was recorded; the next command puts its files in place"
        )
    unsigned = [str(entry.entry) for entry in chain.entries if entry.signed_by is None]
    if unsigned and (signatures.good or signatures.signers is not None):
        result.notes.append(f"not signed: entries {', '.join(unsigned)}")
    return result


def _heads(folder: Folder, chain: Chain, head: str | None, notes: list[str]) -> list[Difference]:
    found = []
    stored = folder.read(HEAD)
    if stored is None:
        found.append(Difference("missing", HEAD, "the record of the last entry is not there"))
    elif stored != head_file(chain):
        found.append(
            Difference(
                "cut short",
                TRAIL,
                f"its last entry is not the one that {HEAD} names: it was altered, or entries were taken from the end or added",
            )
        )
    if head is not None:
        place = next((n for n, link in enumerate(chain.links, 1) if link.sum == head), None)
        if place is None:
            found.append(
                Difference(
                    "cut short",
                    TRAIL,
                    f"no entry has the sum {head}: entries were taken from the end, or altered",
                )
            )
        elif place < len(chain.links):
            notes.append(f"the sum that you gave is entry {place}; {len(chain.links) - place} came after it")
    return found


def _people(folder: Folder, chain: Chain, notes: list[str]) -> list[Difference]:
    """Names against the salted sums; those that an entry erased may be gone, and must be."""
    mentioned: dict[str, set[str]] = {}
    for entry in chain.entries:
        for person in persons(entry):
            mentioned.setdefault(person.person, set()).add(person.commitment)
    erased = {key for e in chain.entries if isinstance(e, EraseEntry) for key in e.body.people}
    data = folder.read(PEOPLE)
    if data is None:
        gone = sorted(set(mentioned) - erased)
        return [Difference("missing", PEOPLE, f"it held the names of {', '.join(gone)}")] if gone else []
    try:
        people = parse_people(data).people
    except ValueError as error:
        return [Difference("altered", PEOPLE, str(error))]
    found = []
    for key, sums in sorted(mentioned.items()):
        if key in people and sums != {people[key].commitment}:
            found.append(
                Difference(
                    "altered",
                    f"{PEOPLE}: {key}",
                    "name or contact are not those that the trail was made with",
                )
            )
        elif key not in people and key not in erased:
            found.append(
                Difference(
                    "missing",
                    f"{PEOPLE}: {key}",
                    "the name is not there, and no entry says that it was erased",
                )
            )
        elif key in people and key in erased:
            message = "the name is there, though an entry says that it was erased"
            found.append(Difference("extra", f"{PEOPLE}: {key}", message))
        elif key not in people:
            notes.append(f"the name of {key} was erased, as an entry records")
    found += [
        Difference("extra", f"{PEOPLE}: {key}", "no entry mentions this person")
        for key in sorted(set(people) - set(mentioned))
    ]
    return found


def _entry(
    folder: Folder,
    chain: Chain,
    link: Link,
    signatures: Signatures,
    erased: frozenset[str],
    known: set[str],
    places: dict[str, int],
) -> list[Difference]:
    """One entry: its signature and the files that it names. What it names is added to `known` and `places`."""
    entry, found = link.entry, []
    if entry.signed_by is not None:
        path = signature_path(entry.entry)
        known.add(path)
        found += signatures.check(folder.read(path), link.line, ENTRY_NAMESPACE, path, entry.signed_by)
    if isinstance(entry, IssueEntry):
        body = entry.body
        if body.folder in places or not body.folder.startswith("issued/"):
            return [
                *found,
                Difference("order", TRAIL, f"entry {entry.entry} names a folder that is not its own"),
            ]
        places[body.folder] = entry.entry
        copies = copies_in(folder, chain, body.folder)
        return found + check_revision(folder, body.folder, link, body, signatures, erased, copies)
    if isinstance(entry, NoticeEntry):
        known.update(file.path for file in entry.body.outputs)
        return found + check_notice(folder, link, entry.body, signatures, erased)
    named = [value for _, value in entry.body if isinstance(value, FileSum)]
    for file in named:
        known.add(file.path)
        difference = folder.compare(file.path, file.sha256)
        if difference is not None and not (difference.what == "missing" and file.path in erased):
            found.append(difference)
    of = getattr(entry.body, "of", None)
    if of is not None and not any(
        other.sum == of for other in chain.links if other.entry.entry < entry.entry
    ):
        found.append(
            Difference("order", TRAIL, f"entry {entry.entry} is about an entry that is not before it")
        )
    if isinstance(entry, ImportEntry) and not erased & {file.path for file in named}:
        found += _token(folder, entry)
    return found


def _token(folder: Folder, entry: ImportEntry) -> list[Difference]:
    body = entry.body
    data = folder.read(body.file.path)
    certificate = folder.read(body.authority_certificate.path) if body.authority_certificate else None
    if data is None or (body.authority_certificate and certificate is None):
        return []  # said when the sums are compared
    try:
        token = read_token(data, certificate)
    except TokenError as error:
        return [Difference("signature", body.file.path, f"the time stamp is not good: {error}")]
    except TrailError as error:
        return [Difference("not checked", body.file.path, str(error))]
    if (token.imprint, token.time) != (body.of, body.time):
        return [Difference("altered", body.file.path, "the time stamp says something else than the entry")]
    return []


def _working(folder: Folder, chain: Chain) -> tuple[list[Difference], list[str]]:
    """The files that are worked on: findings may go on changing, but a picture that was issued never does."""
    captured: dict[str, str] = {}
    issued: dict[str, str] = {}
    erased = {f.path for e in chain.entries if isinstance(e, EraseEntry) for f in e.body.files}
    for entry in chain.entries:
        if isinstance(entry, StartEntry | CaptureEntry):
            captured |= {file.path: file.sha256 for file in entry.body.captured}
        elif isinstance(entry, IssueEntry):
            try:
                manifest = parse_manifest(folder.read(f"{entry.body.folder}/{MANIFEST}") or b"")
            except ValueError:
                continue
            issued |= {file.path: file.sha256 for file in manifest.files if file.path.startswith(WORKING)}
    found, notes = [], []
    for path, sum_ in sorted((captured | issued).items()):
        difference = folder.compare(path, sum_)
        if difference is None:
            continue
        picture = path.startswith("photos/")
        if path.startswith(EXPORTS):
            if difference.what == "altered" or path not in erased:
                message = (
                    "the export as it came from the phone is not the one that was recorded, or not there"
                )
                found.append(Difference(difference.what, path, message))
        elif picture and (difference.what == "altered" or path in issued):
            message = "the original picture is not the one that was recorded, or not there"
            found.append(Difference(difference.what, path, message))
        else:
            gone = (
                "is no longer there"
                if difference.what == "missing"
                else "has changed since it was recorded last"
            )
            notes.append(f"{path} {gone}")
    return found, notes

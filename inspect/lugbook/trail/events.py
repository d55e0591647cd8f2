"""What happens around a report and is only recorded: begin, deliver, receive, decide, take in a time stamp."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from difflib import get_close_matches
from pathlib import Path

from lugbook.errors import UsageError
from lugbook.model.decided import Decided, DecisionWord, Role
from lugbook.trail.canonical import TrailError, canonical, digest, file_digest
from lugbook.trail.chain import Chain, Link
from lugbook.trail.clock import latest_day, recorded_now
from lugbook.trail.entries import (
    Carried,
    DecisionBody,
    DecisionEntry,
    DeliveryBody,
    FileSum,
    ImportBody,
    IssueBody,
    IssueEntry,
    NoticeBody,
    NoticeEntry,
    Person,
    ReceiptBody,
    StartBody,
)
from lugbook.trail.recording import TOKENS, Recording
from lugbook.trail.store import read_people, read_trail
from lugbook.trail.token import Token, TokenError, read_token

FINDINGS, PHOTOS, CAPTURED = "findings.yaml", "photos", ".capture"
MAX_EVIDENCE = 50_000_000


@dataclass(frozen=True, slots=True)
class Who:
    """Somebody as the command line names them."""

    role: Role
    name: str
    contact: str = ""


def begin(
    recording: Recording, program: str, clock_offset: str | None = None, carries: Carried | None = None
) -> None:
    """Start the trail with the sums of what is there, if it has not been started yet."""
    if recording.chain.links:
        return
    folder = recording.folder
    photos = folder / PHOTOS
    paths = [folder / FINDINGS, *sorted(photos.rglob("*")), *sorted((folder / CAPTURED).rglob("*"))]
    captured = tuple(
        FileSum(path=path.relative_to(folder).as_posix(), sha256=file_digest(path))
        for path in paths
        if path.is_file() and not path.is_symlink()
    )
    body = StartBody(program=program, captured=captured, clock_offset=clock_offset, carries=carries)
    recording.add(body, recorded_now()[:10])


def recorder(folder: Path, given: str | None, known: str | None = None) -> str:
    """The name of who records: as given, as the findings say, or as in the last entry. Raises UsageError."""
    if given or known:
        return str(given or known)
    chain, people = read_trail(folder), read_people(folder).people
    last = people.get(chain.links[-1].entry.recorded_by.person) if chain.links else None
    if last is None:
        raise UsageError("nobody is known who records this; add '--recorded-by NAME'")
    return last.name


def issues(chain: Chain) -> tuple[tuple[Link, IssueBody], ...]:
    """The issue entries, oldest first."""
    return tuple((link, link.entry.body) for link in chain.links if isinstance(link.entry, IssueEntry))


def notices_in(chain: Chain) -> tuple[tuple[str, NoticeBody], ...]:
    """The notices of danger with the days on which they were given, oldest first."""
    return tuple(
        (link.entry.date, link.entry.body) for link in chain.links if isinstance(link.entry, NoticeEntry)
    )


def shown(chain: Chain, revision: int | None) -> tuple[Link, IssueBody]:
    """The issue of a revision, the last one unless told otherwise. Raises UsageError."""
    found = [pair for pair in issues(chain) if revision in (None, pair[1].revision)]
    if not found:
        what = f"revision {revision} was never issued" if revision else "no report was issued yet"
        raise UsageError(f"{what}; 'lugbook issue' does that first")
    return found[-1]


def decide(
    recording: Recording,
    *,
    defect: str,
    decision: DecisionWord,
    by: Who,
    authority: str,
    channel: str,
    day: str,
    revision: int | None,
    evidence: Path | None,
    note: str | None,
) -> DecisionBody:
    """Record what somebody decided about a defect of an issued report. Raises UsageError, TrailError."""
    link, issue = shown(recording.chain, revision)
    _insist_on_day(day, link)
    path = recording.folder / issue.folder / "report.json"
    try:
        report = json.loads(path.read_bytes())
        texts = {entry["id"]: entry for entry in report["defects"]}
    except (OSError, ValueError, KeyError, TypeError) as error:
        raise TrailError(f"{path} cannot be read; 'lugbook verify' says what differs") from error
    if defect not in texts:
        raise UsageError(f"revision {issue.revision} has no defect '{defect}'; {_nearest(defect, texts)}")
    text = texts[defect]
    body = DecisionBody(
        defect=defect,
        title=text["title"],
        decision=decision,
        revision=issue.revision,
        of=link.sum,
        text=digest(canonical(text)),
        by=_person(recording, by),
        authority=authority,
        channel=channel,
        evidence=_evidence(recording, evidence),
        note=note,
    )
    recording.add(body, day)
    return body


def _nearest(wanted: str, known: Iterable[str]) -> str:
    ids = sorted(known, key=lambda name: (not name[1:].isdigit(), len(name), name))  # computed ones last
    close = get_close_matches(wanted, ids, n=1, cutoff=0.3)
    return f"did you mean '{close[0]}'?" if close else f"it has {', '.join(ids) or 'none'}"


def insist_on_past(day: str) -> None:
    """Nothing that is recorded lies ahead. Raises UsageError."""
    if day > latest_day():
        raise UsageError(
            f"{day} lies ahead: by this computer's clock it is {recorded_now()[:10]}. "
            "Write the day on which it happened, or set the clock"
        )


def _insist_on_day(day: str, of: Link) -> None:
    """What is recorded about a document happened after the document's own day, and not ahead of today."""
    insist_on_past(day)
    entry = of.entry
    if day < entry.date:
        if isinstance(entry, IssueEntry):
            what = f"revision {entry.body.revision}"
            hint = "name the revision that they had with '--revision', or correct the day"
        else:
            what, hint = f"entry {entry.entry} ({entry.kind})", "correct the day"
        raise UsageError(f"{day} is before {what}, which is of {entry.date}; {hint}")


def _person(recording: Recording, who: Who) -> Person:
    return recording.person(who.name, who.contact, who.role)


def _evidence(recording: Recording, path: Path | None) -> FileSum | None:
    if path is None:
        return None
    if not path.is_file():
        raise UsageError(f"there is no file '{path}'")
    if path.stat().st_size > MAX_EVIDENCE:
        raise UsageError(f"'{path}' is larger than {MAX_EVIDENCE // 1_000_000} MB")
    return recording.evidence(path)


def delivered(
    recording: Recording, *, to: Who, channel: str, day: str, of: Link, evidence: Path | None
) -> DeliveryBody:
    """Record that a report or a notice was sent or handed over. Raises UsageError."""
    _insist_on_day(day, of)
    body = DeliveryBody(
        of=of.sum, to=_person(recording, to), channel=channel, evidence=_evidence(recording, evidence)
    )
    recording.add(body, day)
    return body


def received(
    recording: Recording, *, by: Who, channel: str, day: str, of: Link, evidence: Path | None
) -> ReceiptBody:
    """Record that somebody says that they have it. Raises UsageError."""
    _insist_on_day(day, of)
    body = ReceiptBody(
        of=of.sum, by=_person(recording, by), channel=channel, evidence=_evidence(recording, evidence)
    )
    recording.add(body, day)
    return body


def document(chain: Chain, *, revision: int | None, notice: int | None) -> Link:
    """The entry of a revision or a notice. Raises UsageError."""
    if notice is None:
        return shown(chain, revision)[0]
    for link in chain.links:
        if isinstance(link.entry, NoticeEntry) and link.entry.body.notice == notice:
            return link
    raise UsageError(f"there is no notice {notice}")


def take_in_token(recording: Recording, path: Path, certificate: Path | None) -> tuple[Token, Link]:
    """Keep a time-stamp token that names an entry of this trail. Raises UsageError, TrailError."""
    try:
        data = path.read_bytes()
        issued_by = certificate.read_bytes() if certificate else None
    except OSError as error:
        raise UsageError(f"'{error.filename}' cannot be read: {error.strerror}") from error
    try:
        token = read_token(data, issued_by)
    except TokenError as error:
        raise TrailError(f"'{path}' was not taken in: {error}") from error
    link = recording.chain.find(token.imprint)
    if link is None:
        raise TrailError(
            f"'{path}' was not taken in: it names {token.imprint}, which is no entry of this trail"
        )
    body = ImportBody(
        what="time-stamp token",
        of=link.sum,
        file=recording.evidence(path, under=TOKENS),
        time=token.time,
        authority_certificate=recording.evidence(certificate, under=TOKENS) if certificate else None,
    )
    recording.add(body, token.time[:10])
    return token, link


def decisions_in(chain: Chain) -> dict[str, Decided]:
    """Defect id -> the last decision about it."""
    found: dict[str, Decided] = {}
    for entry in chain.entries:
        if isinstance(entry, DecisionEntry):
            body = entry.body
            found[body.defect] = Decided(
                defect=body.defect,
                title=body.title,
                decision=body.decision,
                role=body.by.role,
                day=date.fromisoformat(entry.date),
                authority=body.authority,
                channel=body.channel,
                revision=body.revision,
                evidence=body.evidence.sha256 if body.evidence else None,
                note=body.note,
            )
    return found


def decisions(folder: Path) -> dict[str, Decided]:
    """Defect id -> the last decision about it, from a job's trail; none if it has no trail. Raises TrailError."""
    return decisions_in(read_trail(folder))

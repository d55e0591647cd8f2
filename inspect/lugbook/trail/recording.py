"""Adding entries: gathers what one command adds, and writes it all at once."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from lugbook.model.decided import Role
from lugbook.trail.canonical import TrailError, digest
from lugbook.trail.chain import Chain, Link, make_link
from lugbook.trail.clock import new_salt, recorded_now
from lugbook.trail.entries import ENTRY, KINDS, Body, FileSum, Person, persons
from lugbook.trail.keys import Signer
from lugbook.trail.people import PEOPLE, PeopleFile, PersonRecord, find_person, reference
from lugbook.trail.store import Change, commit, read_people, read_trail

SIGNATURES, EVIDENCE, TOKENS = "signatures", "evidence", "tokens"


def signature_path(number: int) -> str:
    """Where the signature of an entry lies."""
    return f"{SIGNATURES}/{number:04}.sig"


class Recording:
    """One command's additions to a trail. The job's lock must be held from making it to `commit`."""

    def __init__(self, folder: Path, recorded_by: str, signer: Signer | None = None) -> None:
        self.folder = folder
        self.chain: Chain = read_trail(folder)
        self._people = dict(read_people(folder).people)
        self._known = dict(self._people)
        self._used = {p.person for entry in self.chain.entries for p in persons(entry)} | set(self._people)
        self._signer = signer
        self._erased: set[str] = set()
        self._files: dict[str, bytes] = {}
        self._copies: dict[str, tuple[Path, str]] = {}
        self.recorder = self.person(recorded_by, "", "inspector")

    @property
    def fingerprint(self) -> str | None:
        """The key that signs, if one does."""
        return self._signer.fingerprint if self._signer else None

    def person(self, name: str, contact: str, role: Role) -> Person:
        """Mention somebody: a number is given and the name goes into people.json. Numbers are never given again."""
        key = find_person(self._people, name, contact)
        if key is None:
            key = f"p{1 + max((int(used[1:]) for used in self._used), default=0)}"
            self._used.add(key)
            self._people[key] = PersonRecord(name=name, contact=contact, salt=new_salt())
        return reference(key, self._people[key], role)

    def erase_person(self, key: str) -> None:
        """Take somebody out of people.json. The entry that says so is for the caller to add."""
        self._people.pop(key, None)
        self._erased.add(key)

    def add(self, body: Body, date: str) -> Link:
        """Append an entry, signed if there is a key."""
        entry = ENTRY.validate_python(
            {
                "format": "lugbook-entry-1",
                "kind": KINDS[type(body)],
                "entry": len(self.chain.links) + 1,
                "previous": self.chain.head,
                "date": date,
                "recorded_at": recorded_now(),
                "recorded_by": self.recorder,
                "signed_by": self.fingerprint,
                "body": body,
            }
        )
        link = make_link(entry)
        self.chain = Chain((*self.chain.links, link))
        signature = self.sign_entry(link)
        if signature is not None:
            self._files[signature_path(entry.entry)] = signature
        return link

    def sign_entry(self, link: Link) -> bytes | None:
        """The signature of an entry, or None without a key."""
        return self._signer.sign_entry(link.line) if self._signer else None

    def sign_report(self, pdf: bytes) -> bytes | None:
        """The signature of a PDF, or None without a key."""
        return self._signer.sign_report(pdf) if self._signer else None

    def file(self, path: str, data: bytes) -> FileSum:
        """Put a file into the job."""
        self._files[path] = data
        return FileSum(path=path, sha256=digest(data))

    def copy(self, path: str, source: Path, sha256: str) -> None:
        """Copy an original into the job; it must have this sum."""
        self._copies[path] = (source, sha256)

    def evidence(self, path: Path, *, under: str = EVIDENCE) -> FileSum:
        """Keep a file under its sum: its own name may tell who somebody is."""
        data = path.read_bytes()
        if b"PRIVATE KEY-----" in data:
            raise TrailError(f"'{path}' holds a private key; it was not copied into the job")
        ending = path.suffix.lower()
        kept = ending if ending[1:].isascii() and ending[1:].isalnum() and len(ending) <= 6 else ""
        return self.file(f"{under}/{digest(data)}{kept}", data)

    def commit(self, removals: Iterable[str] = ()) -> None:
        """Write everything, or nothing. People are kept only if an entry mentions them."""
        mentioned = {p.person for entry in self.chain.entries for p in persons(entry)}
        people = {key: record for key, record in self._people.items() if key in mentioned}
        if people != self._known:
            self._files[PEOPLE] = PeopleFile(people=people).to_bytes()
        commit(self.folder, Change(self.chain, self._files, self._copies, tuple(removals)))

"""What was erased on purpose, as entries record it.

A revision from which files were erased holds a copy of the entry that says so, so that it can be checked by itself.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from lugbook.trail.chain import Chain, Link, parse_entry
from lugbook.trail.check_signature import Signatures
from lugbook.trail.entries import EraseEntry, IssueEntry
from lugbook.trail.reading import Difference, Folder
from lugbook.trail.recording import signature_path
from lugbook.trail.sshsig import ENTRY_NAMESPACE

COPY = re.compile(r"erased-[0-9]{4,9}\.json")


def copy_name(number: int) -> str:
    """The name of an erase entry's copy inside a revision."""
    return f"erased-{number:04}.json"


def erase_links(chain: Chain) -> tuple[Link, ...]:
    """The entries that say what was erased."""
    return tuple(link for link in chain.links if isinstance(link.entry, EraseEntry))


def files_erased(link: Link) -> frozenset[str]:
    """The paths that an entry says were erased, inside the job."""
    entry = link.entry
    return frozenset(f.path for f in entry.body.files) if isinstance(entry, EraseEntry) else frozenset()


def copies_in(folder: Folder, chain: Chain, place: str) -> Mapping[str, bytes]:
    """The copies that a revision of a job must hold, by name, with their bytes."""
    made: dict[str, bytes] = {}
    for link in erase_links(chain):
        if any(path.startswith(f"{place}/") for path in files_erased(link)):
            name = copy_name(link.entry.entry)
            made[name] = link.line
            if link.entry.signed_by is not None:
                made[f"{name}.sig"] = folder.read(signature_path(link.entry.entry)) or b""
    return made


@dataclass(frozen=True, slots=True)
class Alone:
    """What a revision by itself says of what was erased from it. `erased` are paths inside the revision."""

    erased: frozenset[str]
    copies: Mapping[str, bytes]
    differences: tuple[Difference, ...]


def erased_alone(folder: Folder, issue: Link, signatures: Signatures) -> Alone:
    """Read the copies in a revision's own folder. If the revision is signed, these must be signed as well."""
    entry = issue.entry
    assert isinstance(entry, IssueEntry), "a revision belongs to an issue"
    erased: set[str] = set()
    copies: dict[str, bytes] = {}
    wrong: list[Difference] = []
    for name in sorted(name for name in folder.names() if COPY.fullmatch(name)):
        line = folder.read(name) or b""
        try:
            found = parse_entry(line)
        except ValueError as error:
            wrong.append(Difference("altered", name, str(error)))
            copies[name] = line
            continue
        if not isinstance(found, EraseEntry) or found.entry <= entry.entry or name != copy_name(found.entry):
            wrong.append(Difference("order", name, "it is no later entry about an erasure"))
            copies[name] = line
            continue
        copies[name] = line
        if found.signed_by is not None:
            signature = folder.read(f"{name}.sig")
            copies[f"{name}.sig"] = signature or b""
            wrong += signatures.check(signature, line, ENTRY_NAMESPACE, f"{name}.sig", found.signed_by)
        elif entry.signed_by is not None:
            wrong.append(Difference("signature", name, "the revision is signed, and this is not"))
        if (
            found.signed_by != entry.signed_by
            and entry.signed_by
            and found.signed_by
            and signatures.signers is None
        ):
            message = f"signed by {found.signed_by}, the revision by {entry.signed_by}; name signers if both are known"
            wrong.append(Difference("unknown key", name, message))
        prefix = f"{entry.body.folder}/"
        own = {file.path.removeprefix(prefix) for file in found.body.files if file.path.startswith(prefix)}
        erased |= own
    return Alone(frozenset(erased), copies, tuple(wrong))

"""Checks a copy for third parties: its manifest and its sums. Nothing in it vouches for where it comes from."""

from __future__ import annotations

import re

from lugbook.trail.canonical import digest
from lugbook.trail.check_revision import check_pdf_signature
from lugbook.trail.check_signature import Signatures
from lugbook.trail.manifest import MANIFEST, SUMS, Manifest, parse_manifest
from lugbook.trail.reading import Difference, Folder

LINE = re.compile(r"([0-9a-f]{64})  ([^/\\\0]{1,200})")
PAGES = ("report.html", "report.pdf")


def read_redacted(folder: Folder) -> Manifest | None:
    """The manifest of a copy for third parties; None if this is none."""
    try:
        manifest = parse_manifest(folder.read(MANIFEST) or b"")
    except ValueError:
        return None
    return manifest if manifest.redacted_from is not None else None


def check_redacted(folder: Folder, manifest: Manifest, signatures: Signatures) -> list[Difference]:
    """Everything that differs in the copy."""
    wrong: list[Difference] = []
    for file in manifest.files:
        difference = folder.compare(file.path, file.sha256)
        if difference is not None:
            wrong.append(difference)
    listed = _listed(folder)
    if listed is None:
        return [*wrong, Difference("missing", SUMS, "the list of sums is not there, or is none")]
    for path, sum_ in sorted(listed.items()):
        difference = folder.compare(path, sum_)
        if difference is not None:
            wrong.append(difference)
    wanted = {MANIFEST, *PAGES, *(file.path for file in manifest.files)}
    wrong += [
        Difference("missing", path, f"{SUMS} does not name it") for path in sorted(wanted - set(listed))
    ]
    wrong += [
        Difference("extra", path, f"{SUMS} does not name it")
        for path in sorted(folder.names() - {*listed, SUMS})
    ]
    page = folder.read(PAGES[0])
    sum_ = digest(folder.read(MANIFEST) or b"")
    if page is not None and sum_.encode() not in page:
        wrong.append(Difference("altered", PAGES[0], "it does not print the sum of this manifest"))
    if "report.pdf.sig" in listed:
        wrong += check_pdf_signature(folder, PAGES[1], signatures, None)
    else:
        wrong += signatures.expect(PAGES[1])
    return wrong


def _listed(folder: Folder) -> dict[str, str] | None:
    data = folder.read(SUMS)
    if data is None:
        return None
    lines = data.decode("utf-8", "replace").split("\n")
    found = [LINE.fullmatch(line) for line in lines[:-1]]
    if lines[-1] or not all(found):
        return None
    return {match[2]: match[1] for match in found if match}

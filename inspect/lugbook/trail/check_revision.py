"""Checks a frozen revision against its entry: manifest, originals, outputs, and nothing besides."""

from __future__ import annotations

from collections.abc import Mapping

from lugbook.trail.canonical import digest
from lugbook.trail.chain import Link
from lugbook.trail.check_signature import Signatures
from lugbook.trail.entries import FileSum, IssueBody, NoticeBody
from lugbook.trail.manifest import ENTRY_FILE, MANIFEST, SUMS, Manifest, parse_manifest, sums_file
from lugbook.trail.reading import Difference, Folder
from lugbook.trail.sshsig import ENTRY_NAMESPACE, REPORT_NAMESPACE


def check_revision(
    folder: Folder,
    place: str,
    link: Link,
    body: IssueBody,
    signatures: Signatures,
    erased: frozenset[str],
    copies: Mapping[str, bytes],
) -> list[Difference]:
    """Everything that differs in the revision that lies at `place` inside the folder ('' for the folder itself).

    `erased` are the paths that may be gone, `copies` the copies of the entries that say so.
    """
    base = f"{place}/" if place else ""
    wrong: list[Difference] = []
    manifest, found = _manifest(folder, base, link, body)
    wrong += found
    expected = {MANIFEST: body.manifest, **_sums(body.outputs)}
    if manifest is not None:
        expected |= _sums(manifest.files)
    derived = {ENTRY_FILE: link.line}
    signed = link.entry.signed_by
    if signed is not None:
        wrong += signatures.check(
            folder.read(f"{base}{ENTRY_FILE}.sig"),
            link.line,
            ENTRY_NAMESPACE,
            f"{base}{ENTRY_FILE}.sig",
            signed,
        )
        wrong += check_pdf_signature(folder, f"{base}report.pdf", signatures, signed)
        derived[f"{ENTRY_FILE}.sig"] = folder.read(f"{base}{ENTRY_FILE}.sig") or b""
    else:
        wrong += signatures.expect(f"{base}{ENTRY_FILE}")
    listed = [FileSum(path=path, sha256=sum_) for path, sum_ in expected.items()]
    listed += [FileSum(path=path, sha256=digest(data)) for path, data in derived.items()]
    if manifest is not None:
        derived[SUMS] = sums_file(listed)
    for path, sum_ in sorted(expected.items()):
        difference = folder.compare(base + path, sum_)
        if difference is not None and not (difference.what == "missing" and base + path in erased):
            wrong.append(difference)
    for path, data in derived.items():
        difference = folder.compare(base + path, digest(data))
        if difference is not None and path != f"{ENTRY_FILE}.sig":
            wrong.append(difference)
    for path, data in copies.items():
        difference = folder.compare(base + path, digest(data))
        if difference is not None:
            wrong.append(difference)
    known = {base + path for path in (*expected, *derived, *copies, SUMS)}
    if manifest is not None:
        for path in sorted(folder.names(place) - known):
            wrong.append(Difference("extra", path, "neither manifest nor entry names it"))
    return wrong


def _sums(files: tuple[FileSum, ...]) -> dict[str, str]:
    return {file.path: file.sha256 for file in files}


def _manifest(
    folder: Folder, base: str, link: Link, body: IssueBody
) -> tuple[Manifest | None, list[Difference]]:
    """The manifest, if it is the one that the entry names, and whether it says the same as the entry."""
    place = base + MANIFEST
    data = folder.read(place)
    if data is None or digest(data) != body.manifest:
        return None, []  # said when its sum is compared
    try:
        manifest = parse_manifest(data)
    except ValueError as error:
        return None, [Difference("altered", place, str(error))]
    said = (manifest.number, manifest.revision, manifest.draft, manifest.previous)
    if said != (body.number, body.revision, body.draft, link.entry.previous):
        return manifest, [
            Difference("order", place, "it belongs to another entry or to another place in the trail")
        ]
    return manifest, []


def check_pdf_signature(
    folder: Folder, path: str, signatures: Signatures, stated: str | None
) -> list[Difference]:
    """The signature that lies beside a PDF."""
    pdf = folder.read(path)
    if pdf is None:
        return []  # said when its sum is compared
    return signatures.check(folder.read(f"{path}.sig"), pdf, REPORT_NAMESPACE, f"{path}.sig", stated)


def check_notice(
    folder: Folder, link: Link, body: NoticeBody, signatures: Signatures, erased: frozenset[str]
) -> list[Difference]:
    """The pages of a notice; their paths are those inside the job."""
    wrong = []
    for file in body.outputs:
        difference = folder.compare(file.path, file.sha256)
        if difference is not None and not (difference.what == "missing" and file.path in erased):
            wrong.append(difference)
    if link.entry.signed_by is not None:
        pdf = next((file.path for file in body.outputs if file.path.endswith(".pdf")), None)
        if pdf is not None:
            wrong += check_pdf_signature(folder, pdf, signatures, link.entry.signed_by)
    else:
        wrong += signatures.expect(f"notice {body.notice}")
    return wrong

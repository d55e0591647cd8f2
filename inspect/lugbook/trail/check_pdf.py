"""Checks a PDF by itself. What is attached can be compared; the pages cannot, without an entry or a signature."""

from __future__ import annotations

import io
import logging
from dataclasses import dataclass, field
from pathlib import Path

from lugbook.trail.canonical import TrailError, digest
from lugbook.trail.chain import Link, parse_entry
from lugbook.trail.check_signature import Signatures
from lugbook.trail.entries import IssueEntry
from lugbook.trail.manifest import ENTRY_FILE, FINDINGS_JSON, MANIFEST, Manifest, parse_manifest
from lugbook.trail.reading import MAX_BYTES, Difference
from lugbook.trail.sshsig import NEEDS_EXTRA, REPORT_NAMESPACE

ATTACHED = (FINDINGS_JSON, MANIFEST)
MAX_ATTACHED = 50_000_000


@dataclass(slots=True)
class CheckedPdf:
    """What was found. `covered` says what vouches for the pages: 'entry' and 'signature', or nothing."""

    differences: list[Difference] = field(default_factory=list)
    manifest: Manifest | None = None
    manifest_sum: str = ""
    covered: list[str] = field(default_factory=list)


def check_pdf(path: Path, entry: Path | None, signatures: Signatures, head: str | None) -> CheckedPdf:
    """Check the attachments, and the whole file against an entry and a signature if they are there.

    An `entry.json` and a `NAME.pdf.sig` in the same folder are taken by themselves. Raises TrailError if the PDF
    cannot be read as one.
    """
    pdf = _read(path)
    result = CheckedPdf()
    attached = attachments(pdf)
    for name in ATTACHED:
        if name not in attached:
            result.differences.append(Difference("missing", name, "it is not attached"))
    for name in sorted(set(attached) - set(ATTACHED)):
        result.differences.append(
            Difference("extra", name, "it is attached, and was not when the report was issued")
        )
    _attached(attached, result)
    beside = path.with_name(ENTRY_FILE)
    if entry is not None or beside.is_file():
        _entry(pdf, path.name, entry or beside, signatures, head, result)
    elif head is not None:
        result.differences.append(
            Difference("not checked", "--head", "a PDF says nothing about it without the entry")
        )
    signature = path.with_name(path.name + ".sig")
    if signature.is_file():
        wrong = signatures.check(_read(signature), pdf, REPORT_NAMESPACE, signature.name, None)
        result.differences += wrong
        if not wrong:
            result.covered.append("signature")
    else:
        result.differences += signatures.expect(path.name)
    return result


def _read(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            return file.read(MAX_BYTES)
    except OSError as error:
        raise TrailError(f"'{path}' cannot be read: {error.strerror}") from error


def _attached(attached: dict[str, bytes], result: CheckedPdf) -> None:
    data = attached.get(MANIFEST)
    if data is None:
        return
    try:
        result.manifest = parse_manifest(data)
    except ValueError as error:
        result.differences.append(Difference("altered", MANIFEST, str(error)))
        return
    result.manifest_sum = digest(data)
    sums = {file.path: file.sha256 for file in result.manifest.files}
    if FINDINGS_JSON in attached and sums.get(FINDINGS_JSON) != digest(attached[FINDINGS_JSON]):
        result.differences.append(
            Difference("altered", FINDINGS_JSON, "it is not the one that the manifest names")
        )


def _entry(
    pdf: bytes, name: str, path: Path, signatures: Signatures, head: str | None, result: CheckedPdf
) -> None:
    line = _read(path).removesuffix(b"\n")
    try:
        entry = parse_entry(line)
    except ValueError as error:
        result.differences.append(Difference("altered", path.name, str(error)))
        return
    if not isinstance(entry, IssueEntry):
        result.differences.append(
            Difference("order", path.name, f"it is an entry about a {entry.kind}, not about an issue")
        )
        return
    link = Link(entry, line)
    wrong: list[Difference] = []
    outputs = {file.path: file.sha256 for file in entry.body.outputs}
    if outputs.get("report.pdf") != digest(pdf):
        wrong.append(Difference("altered", name, "it is not the file that the entry names"))
    if result.manifest_sum and result.manifest_sum != entry.body.manifest:
        wrong.append(Difference("altered", MANIFEST, "it is not the one that the entry names"))
    if head is not None and head != link.sum:
        wrong.append(Difference("altered", path.name, f"its sum is {link.sum}, not {head}"))
    if entry.signed_by is not None:
        from lugbook.trail.sshsig import ENTRY_NAMESPACE

        signature = path.with_name(path.name + ".sig")
        data = _read(signature) if signature.is_file() else None
        wrong += signatures.check(data, line, ENTRY_NAMESPACE, signature.name, entry.signed_by)
    result.differences += wrong
    if not wrong:
        result.covered.append("entry")


def attachments(pdf: bytes) -> dict[str, bytes]:
    """The files that are attached to a PDF. Raises TrailError, whatever the bytes are."""
    try:
        from pypdf import PdfReader
    except ImportError as error:
        raise TrailError(NEEDS_EXTRA.replace("signatures need", "looking into a PDF needs")) from error
    logging.getLogger("pypdf").setLevel(logging.CRITICAL)
    try:
        if not pdf.startswith(b"%PDF-"):
            raise TrailError("this is not a PDF")
        found: dict[str, bytes] = {}
        for attachment in PdfReader(io.BytesIO(pdf), strict=False).attachment_list:
            content = bytes(attachment.content)
            if attachment.name in found or len(content) > MAX_ATTACHED:
                raise TrailError(
                    f"the PDF has two attachments '{attachment.name}', or one too large to look into"
                )
            found[attachment.name] = content
        return found
    except TrailError:
        raise
    except Exception as error:  # a reader of foreign bytes can run into anything
        raise TrailError("the PDF is damaged: its attachments cannot be read") from error

"""`lugbook verify`: what differs from what was issued and recorded. It writes nothing."""

from __future__ import annotations

import argparse
import os
import re
import sys
from collections.abc import Iterable
from pathlib import Path

from lugbook.commands.common import printable
from lugbook.errors import UsageError
from lugbook.trail.chain import HEAD, TRAIL, Link, parse_entry
from lugbook.trail.check_job import check_job
from lugbook.trail.check_pdf import check_pdf
from lugbook.trail.check_redacted import check_redacted, read_redacted
from lugbook.trail.check_revision import check_revision
from lugbook.trail.check_signature import Signatures
from lugbook.trail.entries import IssueEntry
from lugbook.trail.erased import erased_alone
from lugbook.trail.keys import read_signers
from lugbook.trail.manifest import ENTRY_FILE, MANIFEST, Manifest
from lugbook.trail.people import PEOPLE
from lugbook.trail.reading import Difference, Folder

TRIES = 5
SAMENESS = "this shows that the files are the same as recorded; it does not show who made them, or when"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "what", metavar="FOLDER|PDF", help="a job, one issued revision of it, or a PDF by itself"
    )
    parser.add_argument(
        "--head",
        type=_sum,
        metavar="SUM",
        help="a head of the trail that was kept elsewhere: the trail must hold it",
    )
    parser.add_argument(
        "--signers", metavar="FILE", help="whose keys you know: lines as 'lugbook key' prints them"
    )
    parser.add_argument("--entry", metavar="FILE", help="with a PDF: the entry.json that belongs to it")


def run(arguments: argparse.Namespace) -> int:
    path = Path(arguments.what)
    signatures = Signatures(_signers(arguments.signers))
    if not path.exists():
        raise UsageError(f"there is no folder or file '{path}'")
    if arguments.entry and path.is_dir():
        raise UsageError("'--entry' goes with a PDF; a folder has its own")
    if not path.is_dir():
        return _pdf(arguments, path, signatures)
    folder = Folder(path)
    if any(os.path.lexists(path / name) for name in (ENTRY_FILE, MANIFEST)):
        return _revision(arguments, folder, signatures)
    if any(os.path.lexists(path / name) for name in (TRAIL, HEAD, PEOPLE, "issued", "notices")):
        return _job(arguments, folder, signatures)
    raise UsageError(
        f"'{path}' holds neither a {TRAIL} nor an {ENTRY_FILE}: it is no job with a trail and no issued revision"
    )


def _job(arguments: argparse.Namespace, folder: Folder, signatures: Signatures) -> int:
    checked = check_job(folder, signatures, arguments.head)
    for _ in range(TRIES):
        now = Folder(folder.root)
        if not checked.differences or now.state == folder.state:
            break
        folder = now  # another command was writing meanwhile: what was read does not belong together
        checked = check_job(folder, signatures, arguments.head)
    kinds = [entry.kind for entry in checked.chain.entries]
    say = [f"{len(kinds)} entries: {', '.join(kinds)}", f"head of the trail: {checked.chain.head}"]
    return _result(arguments, folder.root, checked.differences, [*say, *checked.notes], signatures)


def _revision(arguments: argparse.Namespace, folder: Folder, signatures: Signatures) -> int:
    line = folder.read(ENTRY_FILE)
    redacted = read_redacted(folder) if line is None else None
    if redacted is not None:
        return _redacted(arguments, folder, redacted, signatures)
    if line is None:
        gone = Difference("missing", ENTRY_FILE, "the entry of this revision is not there")
        return _result(arguments, folder.root, [gone], [], signatures)
    try:
        entry = parse_entry(line)
        if not isinstance(entry, IssueEntry):
            raise ValueError(f"it is an entry about a {entry.kind}, not about an issue")
    except ValueError as error:
        return _result(
            arguments, folder.root, [Difference("altered", ENTRY_FILE, str(error))], [], signatures
        )
    link = Link(entry, line)
    alone = erased_alone(folder, link, signatures)
    differences = check_revision(folder, "", link, entry.body, signatures, alone.erased, alone.copies)
    differences += alone.differences
    if arguments.head not in (None, link.sum):
        differences.append(Difference("altered", ENTRY_FILE, f"its sum is {link.sum}, not {arguments.head}"))
    say = [
        f"report {entry.body.number}, revision {entry.body.revision}{', a draft' if entry.body.draft else ''}",
        f"sum of its entry, the head of the trail when it was issued: {link.sum}",
        "the entries before it are not here; only the job's own folder has them",
        *(f"erased, as the copy of an entry says: {path}" for path in sorted(alone.erased)),
    ]
    if alone.erased:
        say.append("only the job's own folder can show that this entry belongs to its trail")
    return _result(arguments, folder.root, differences, say, signatures)


def _redacted(
    arguments: argparse.Namespace, folder: Folder, manifest: Manifest, signatures: Signatures
) -> int:
    say = [
        f"a copy for third parties of revision {manifest.revision}",
        f"made from the report whose manifest has the sum {manifest.redacted_from}",
        "only whoever holds that report can say whether this copy was made from it",
    ]
    return _result(arguments, folder.root, check_redacted(folder, manifest, signatures), say, signatures)


def _pdf(arguments: argparse.Namespace, path: Path, signatures: Signatures) -> int:
    entry = Path(arguments.entry) if arguments.entry else None
    if entry is not None and not entry.is_file():
        raise UsageError(f"there is no file '{entry}'")
    checked = check_pdf(path, entry, signatures, arguments.head)
    say = []
    if checked.manifest is not None:
        say.append(
            f"report {checked.manifest.number}, revision {checked.manifest.revision}; sum of its manifest: {checked.manifest_sum}"
        )
    if not checked.differences:
        if checked.covered:
            say.append(
                f"attachments intact; the whole file, pages included, is what {' and '.join(f'the {c}' for c in checked.covered)} covers"
            )
        else:
            say.append("attachments intact; pages not covered without the entry or report.pdf.sig")
    # Of a PDF alone too little is known to say more than the lines above.
    return _result(arguments, path, checked.differences, say, signatures, whole=bool(checked.covered))


def _result(
    arguments: argparse.Namespace,
    path: Path,
    differences: Iterable[Difference],
    say: Iterable[str],
    signatures: Signatures,
    *,
    whole: bool = True,
) -> int:
    wrong = list(dict.fromkeys(differences))
    for difference in wrong:
        print(f"{printable(path)}: {printable(difference)}", file=sys.stderr)
    if not arguments.quiet:
        for line in say:
            print(printable(line))
        for fingerprint, name in signatures.good.items():
            print(f"signed by {fingerprint}: {printable(name)}")
        if wrong:
            print(f"{printable(path)}: {len(wrong)} difference{'s' if len(wrong) != 1 else ''}")
        elif whole:
            print(f"{printable(path)}: nothing differs")
            print(SAMENESS)
    return 1 if wrong else 0


def _sum(text: str) -> str:
    if not re.fullmatch(r"[0-9a-fA-F]{64}", text):
        raise argparse.ArgumentTypeError("a sum has 64 digits from 0-9 and a-f")
    return text.lower()


def _signers(name: str | None) -> dict[str, str] | None:
    if name is None:
        return None
    try:
        return read_signers(Path(name).read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError) as error:
        raise UsageError(f"the file of signers '{name}' cannot be read") from error

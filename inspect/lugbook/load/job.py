"""A job's folder -> a checked Job, or every fault that it holds.

What reads an installation, a remedy, rates or another language is imported once a job holds them.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from lugbook.load import crosscheck
from lugbook.load.checklists import checklist_files, load_checklists, shipped_items
from lugbook.load.faults import build
from lugbook.load.files import path_inside, read_document
from lugbook.load.language import load_language
from lugbook.load.pictures import PHOTOS, find_pictures
from lugbook.load.tree import Document, TooManyError
from lugbook.model.business import BusinessFile
from lugbook.model.findings import Findings
from lugbook.model.job import Business, Job, Proposed
from lugbook.model.problem import Problem, has_errors
from lugbook.words.catalogue import ENGLISH

if TYPE_CHECKING:
    from lugbook.model.basis import Basis
    from lugbook.model.network import Network
    from lugbook.model.rates import RatesFile

FINDINGS = "findings.yaml"
BUSINESS = "business.yaml"
LANGUAGE = ("report", "language")


def load_job(folder: Path, language: str | None = None) -> tuple[Job | None, tuple[Problem, ...]]:
    """Load a job. The job is None if any problem is an error; problems come in the order of the file.

    `language` is that of the report, where it is not to be the one that the findings name.
    """
    document = read_document(folder / FINDINGS, FINDINGS)
    extra: list[Problem] = []
    try:
        business, extra = _business(folder)
        findings = build(Findings, document)
        if findings is None:
            return None, _sorted([*document.problems, *extra])
        spoken = load_language(language or findings.report.language, folder, document, LANGUAGE)
        checklist = load_checklists(findings.report.checklists, folder, document)
        others = shipped_items() if findings.installation is not None else {}
        if spoken.code != ENGLISH:
            from lugbook.load.translations import load_translations

            known = {**others, **shipped_items(), **{item.id: item for item in checklist.items}}
            translations = load_translations(spoken, known, document)
            checklist = translations.checklist(checklist)
            others = {name: translations.item(item) for name, item in others.items()}
        pictures, unused = find_pictures(findings, folder, document)
        network, bases = _installation(findings, folder, document)
        accepted, suggested = _remedy(findings, document, network)
        rates, rate_problems = _rates(findings, folder, document)
        extra += rate_problems
        unanswered = crosscheck.check(findings, checklist, network, document)
    except TooManyError as many:  # in the findings, or in a file beside them
        beside = many.document.problems if many.document is not document else []
        return None, _sorted([*document.problems, *extra, *beside])
    problems = _sorted([*document.problems, *extra])
    if has_errors(problems):
        return None, problems
    name = folder.resolve().name
    digests = (*_digests(folder, findings, pictures), *_sums(spoken.own.items()))
    job = Job(
        name,
        folder,
        findings,
        checklist,
        pictures,
        unused,
        unanswered,
        business,
        digests,
        network,
        bases,
        others,
        accepted,
        suggested,
        rates,
        spoken,
    )
    return job, problems


def _installation(
    findings: Findings, folder: Path, document: Document
) -> tuple[Network | None, tuple[Basis, ...]]:
    """The installation expanded and its bases; nothing if none was entered."""
    installation = findings.installation
    if installation is None:
        return None, ()
    from lugbook.load.bases import load_bases
    from lugbook.load.installation import load_installation

    bases = load_bases(installation.bases, folder, document, ("installation", "bases"))
    return load_installation(installation, document), bases


def _remedy(
    findings: Findings, document: Document, network: Network | None
) -> tuple[Proposed | None, Proposed | None]:
    """The installation with what was accepted, and with all that is proposed; None where nothing changes."""
    if not findings.remedy:
        return None, None
    from lugbook.load.remedy import load_remedy

    return load_remedy(findings, document, network)


def _rates(findings: Findings, folder: Path, document: Document) -> tuple[RatesFile | None, list[Problem]]:
    """The user's own prices, and what is wrong with their file; nothing if none is named."""
    if findings.rates is None:
        return None, []
    from lugbook.load.rates import load_rates

    return load_rates(findings.rates, folder, document)


def _digests(folder: Path, findings: Findings, pictures: dict[str, Path]) -> tuple[tuple[str, str], ...]:
    """SHA-256 of every file that the report is made from."""
    files = [(FINDINGS, folder / FINDINGS)]
    files += [(path.name, path) for path in checklist_files(findings.report.checklists, folder)]
    if findings.installation is not None:
        from lugbook.load.bases import basis_files

        files += [(f"bases/{path.name}", path) for path in basis_files(findings.installation.bases, folder)]
    if findings.rates is not None:
        files.append((findings.rates, folder / findings.rates))
    files += [(f"{PHOTOS}/{name}", path) for name, path in sorted(pictures.items()) if path.is_file()]
    return _sums(files)


def _sums(files: Iterable[tuple[str, Path]]) -> tuple[tuple[str, str], ...]:
    return tuple((name, hashlib.sha256(path.read_bytes()).hexdigest()) for name, path in files)


def _sorted(problems: list[Problem]) -> tuple[Problem, ...]:
    return tuple(
        sorted(set(problems), key=lambda problem: (problem.file != FINDINGS, problem.place, problem.message))
    )


def _business(folder: Path) -> tuple[Business, list[Problem]]:
    """The letterhead beside the findings or in the folder above; none is fine."""
    for place, name in ((folder, BUSINESS), (folder.resolve().parent, f"../{BUSINESS}")):
        path = place / BUSINESS
        if not path.exists() and not path.is_symlink():
            continue
        document = read_document(path, name)
        loaded = build(BusinessFile, document)
        if loaded is None:
            return Business(), document.problems
        logo = None
        if loaded.logo is not None:
            logo, refused = path_inside(place, loaded.logo)
            if logo is None:
                document.report(("logo",), "P302", refused, "copy the logo beside business.yaml")
            elif not logo.exists():
                document.report(
                    ("logo",), "P301", f"there is no picture '{loaded.logo}' beside business.yaml"
                )
            if loaded.logo_alt is None:
                document.report((), "P102", "a logo needs the key 'logo_alt': what it shows, in words")
        return Business(loaded.name, loaded.lines[:5], logo, loaded.logo_alt or ""), document.problems
    return Business(), []

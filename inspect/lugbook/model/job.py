"""A loaded job: everything that the later stages need, checked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from lugbook.model.checklist import Checklist, Item
from lugbook.model.findings import DefectBase, Findings, Photo
from lugbook.model.language import Language

if TYPE_CHECKING:
    from lugbook.model.basis import Basis
    from lugbook.model.installation import Installation
    from lugbook.model.network import Network
    from lugbook.model.rates import RatesFile


@dataclass(frozen=True, slots=True)
class Proposed:
    """The installation as it would be: as written, and expanded."""

    written: Installation
    network: Network


@dataclass(frozen=True, slots=True)
class Job:
    """`pictures` maps the name of each picture used to its file; `unused` are the other pictures in photos/.

    `network` is the installation expanded, None if none was entered; `bases` are what it is judged against.
    `language` is that of the report; the checklist and the others are in it already.
    `others` are the shipped items by id, for what is computed and not in the job's lists; empty without an installation.
    `accepted` is the installation with the proposals that somebody accepted, `suggested` with all of them; None if there
    are none. `rates` are the user's own prices.
    `digests` are the SHA-256 sums of what the report is made from: findings, lists and original pictures.
    """

    name: str
    folder: Path
    findings: Findings
    checklist: Checklist
    pictures: dict[str, Path]
    unused: tuple[Path, ...]
    unanswered: tuple[str, ...]
    business: Business
    digests: tuple[tuple[str, str], ...]
    network: Network | None = None
    bases: tuple[Basis, ...] = ()
    others: Mapping[str, Item] = field(default_factory=dict)
    accepted: Proposed | None = None
    suggested: Proposed | None = None
    rates: RatesFile | None = None
    language: Language = field(default_factory=lambda: Language("en", "en_GB", {}))


@dataclass(frozen=True, slots=True)
class PictureFacts:
    """What is known of an original: its upright size in pixels, and when the camera says that it was taken."""

    width: int
    height: int
    taken: datetime | None = None


@dataclass(frozen=True, slots=True)
class Business:
    """The letterhead: the user's own, from business.yaml beside or above the job."""

    name: str = ""
    lines: tuple[str, ...] = ()
    logo: Path | None = None
    logo_alt: str = ""


def photos_of(findings: Findings) -> list[tuple[tuple[str | int, ...], Photo]]:
    """Every picture that the findings use, with the path to it, in the order of the file."""
    found: list[tuple[tuple[str | int, ...], Photo]] = []
    if findings.report.craft.photo is not None:
        found.append((("report", "craft", "photo"), findings.report.craft.photo))
    for i, result in enumerate(findings.results):
        found += [(("results", i, "photos", n), photo) for n, photo in enumerate(result.photos)]
        for j, defect in enumerate(result.defects):
            found += _photos_of(defect, ("results", i, "defects", j))
    for i, extra in enumerate(findings.extra):
        found += _photos_of(extra, ("extra", i))
    return found


def _photos_of(defect: DefectBase, path: tuple[str | int, ...]) -> list[tuple[tuple[str | int, ...], Photo]]:
    """The pictures of a defect: those of today, and those carried over."""
    found = [((*path, "photos", n), photo) for n, photo in enumerate(defect.photos)]
    if defect.carried is not None:
        found += [((*path, "carried", "photos", n), p) for n, p in enumerate(defect.carried.photos)]
    return found

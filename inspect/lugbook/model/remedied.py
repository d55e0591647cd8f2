"""A remedy as it was assessed: the proposals, the installation after them, the parts and the estimate."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from lugbook.model.assessed import JudgedDefect
from lugbook.model.evidence import Analysis, Evidence, Stretch, Verdict
from lugbook.model.network import Device
from lugbook.model.parts import Estimate, PartsList
from lugbook.model.remedy import Proposal

Lacks = Literal["fault current", "breaking capacity", "too weak", "equipment limit", "place", "voltage"]
LimitWhy = Literal["maker", "maker sets none", "several"]


@dataclass(frozen=True, slots=True)
class Figures:
    """A device that is proposed, and what has to be known before its figures are given.

    `fault` is the largest current of a short through it at `volts` [A, V], `breaks` what it is marked to break there.
    `limit` is the largest fuse that the makers of what hangs on it allow, None with `why_limit` or if it is missing.
    `edge` is what it stands in, `at` metres from its end a, in the `space`. With anything in `lacks` nothing is given.
    """

    device: Device
    edge: str
    at: float | None
    space: str | None
    fault: float | None
    volts: float | None
    breaks: float | None
    limit: float | None
    why_limit: LimitWhy | None
    loads: tuple[str, ...]
    lacks: tuple[Lacks, ...]


@dataclass(frozen=True, slots=True)
class JudgedProposal:
    """A proposal, the defects that it answers, the ids that name none, and its devices."""

    proposal: Proposal
    answers: tuple[JudgedDefect, ...]
    unknown: tuple[str, ...]
    figures: tuple[Figures, ...]


@dataclass(frozen=True, slots=True)
class Compared:
    """The worst verdict of an analysis on one subject before and after; None where it says nothing."""

    analysis: Analysis
    subject: str
    before: Verdict | None
    after: Verdict | None
    said_before: Evidence | None
    said_after: Evidence | None


@dataclass(frozen=True, slots=True)
class Remedied:
    """Everything about the remedy. `evidence`, `back` and `bare` are those of the installation as accepted.

    `counts` are the departures and the undecided before, and after; None if nothing accepted changes the installation.
    """

    proposals: tuple[JudgedProposal, ...]
    evidence: tuple[Evidence, ...]
    back: frozenset[str]
    bare: tuple[Stretch, ...]
    compared: tuple[Compared, ...]
    counts: tuple[tuple[int, int], tuple[int, int]] | None
    parts: PartsList | None
    estimate: Estimate | None

    @property
    def accepted(self) -> tuple[JudgedProposal, ...]:
        """The proposals that a named person has accepted."""
        return tuple(one for one in self.proposals if one.proposal.accepted)

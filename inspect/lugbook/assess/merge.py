"""Evidence -> computed defects, and these with what the inspector saw.

A computed defect's identity is what it was computed by and where it stands. A computed and a seen defect are one if
and only if they speak to the same checklist item and stand at the same node or edge (`at`). A computed defect of high
or serious level stays as high as it was computed, unless the inspector records `disagree` with a reason; then the
inspector's level counts and both are printed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Generic, Protocol, TypeVar

from lugbook.assess.risk import LEVELS, risk_level
from lugbook.model.checklist import Item
from lugbook.model.evidence import Analysis, Evidence, Sentence
from lugbook.model.network import Network
from lugbook.model.vocabulary import Exposure, Level, ProbabilityWord, SeverityWord

# Levels that cannot be lowered or dropped without a word.
KEPT: frozenset[Level] = frozenset({"high", "serious"})


class Seen(Protocol):
    """What the merge needs of a defect that the inspector wrote down.

    `level` is the one that counts by the inspector, `disagree` why it may be lower than the computed one.
    """

    @property
    def item(self) -> str | None:
        """The checklist item."""

    @property
    def at(self) -> str | None:
        """The node or edge that it stands at; None if only described in words."""

    @property
    def level(self) -> Level:
        """The inspector's level."""

    @property
    def disagree(self) -> str | None:
        """Why the inspector disagrees with the computed level."""


S = TypeVar("S", bound=Seen)


@dataclass(frozen=True, slots=True)
class Computed:
    """A departure that was computed: where, for which item, by what, and how grave.

    `evidence` holds every piece that says so, over all bases and sources; `says` are their sentences without repeats.
    """

    item: str
    at: str
    analyses: tuple[Analysis, ...]
    evidence: tuple[Evidence, ...]
    exposure: Exposure
    severity: SeverityWord
    probability: ProbabilityWord
    level: Level

    @property
    def key(self) -> tuple[str, str]:
        """What it is merged by."""
        return self.item, self.at

    @property
    def says(self) -> tuple[Sentence, ...]:
        """What the evidence says."""
        return tuple(dict.fromkeys(one.says for one in self.evidence))


@dataclass(frozen=True, slots=True)
class Dropped:
    """The inspector's word that a computed defect is none, with the reason."""

    item: str
    at: str
    reason: str


@dataclass(frozen=True, slots=True)
class Merged(Generic[S]):
    """One defect with its origins: seen, computed, or both. Several seen ones of the same thing stay apart.

    `level` counts. `raised` tells that the computed level replaced a lower one of the inspector's. `disagree` is the
    inspector's reason; then `level` is the inspector's (the computed one still if the defect was dropped outright,
    `dropped`), and both levels are printed.
    """

    seen: tuple[S, ...]
    computed: Computed | None
    level: Level
    raised: bool = False
    disagree: str | None = None
    dropped: bool = False


def departures(evidence: Iterable[Evidence], item: Callable[[str], Item | None]) -> tuple[Computed, ...]:
    """The computed defects, in the order of item and place.

    `item` gives a checklist item by its id, None if the job's list does not hold it: such departures take the severity
    and probability of a critical, occasional one, so that none is lost.
    """
    found: dict[tuple[str, str], list[Evidence]] = {}
    for one in evidence:
        if one.verdict == "departure":
            found.setdefault((one.item, one.at), []).append(one)
    made = []
    for (name, at), pieces in sorted(found.items()):
        known, exposure = item(name), pieces[0].exposure
        severity: SeverityWord = known.severity if known else "critical"
        probability: ProbabilityWord = known.usual_probability(exposure) if known else "occasional"
        made.append(
            Computed(
                name, at, tuple(dict.fromkeys(one.analysis for one in pieces)), tuple(pieces), exposure, severity,
                probability, risk_level(severity, probability),
            )
        )  # fmt: skip
    return tuple(made)


def merge(
    seen: Sequence[S], computed: Iterable[Computed], dropped: Iterable[Dropped] = ()
) -> tuple[Merged[S], ...]:
    """Join what was seen and what was computed: seen ones first in their order, then what is computed alone."""
    rest = {one.key: one for one in computed}
    no = {(one.item, one.at): one.reason for one in dropped}
    groups: dict[tuple[str, str], list[S]] = {}
    for one in seen:
        groups.setdefault(_key(one), []).append(one)
    made: list[Merged[S]] = []
    for one in seen:
        both = rest.get(_key(one))
        if both is None:
            made.append(Merged((one,), None, one.level))
        else:
            made.append(_joined(one, groups[_key(one)], both, no.get(_key(one))))
    for key, alone in rest.items():
        if key not in groups:
            reason = no.get(key)
            made.append(Merged((), alone, alone.level, disagree=reason, dropped=reason is not None))
    return tuple(made)


def place(network: Network, name: str) -> str:
    """The node or edge that a defect's `at` means: a device stands in its conductor, a terminal may sit on a node.

    Both sides of a merge go through here, so that it does not matter whether the fuse or its cable was named.
    """
    if name in network.aliases:
        return network.aliases[name]
    for one in network.conductors:
        if any(placed.device.id == name for placed in one.devices):
            return one.id
    return name


def unused(computed: Iterable[Computed], dropped: Iterable[Dropped]) -> tuple[Dropped, ...]:
    """Words of disagreement that speak of nothing that was computed: a fault to report."""
    keys = {one.key for one in computed}
    return tuple(one for one in dropped if (one.item, one.at) not in keys)


def _key(one: Seen) -> tuple[str, str]:
    return one.item or "", one.at or ""


def _joined(one: S, group: Sequence[S], computed: Computed, reason: str | None) -> Merged[S]:
    """One seen defect with what was computed of the same thing.

    It is raised if the computed level must not be lowered, no other seen defect of the same thing is as high, and
    nobody says why. A reason counts for the defect that it was written for; one for the whole thing for all.
    """
    disagree = one.disagree or reason
    lower = LEVELS.index(one.level) > LEVELS.index(computed.level)
    reached = any(LEVELS.index(other.level) <= LEVELS.index(computed.level) for other in group)
    if lower and not reached and disagree is None and computed.level in KEPT:
        return Merged((one,), computed, computed.level, raised=True)
    return Merged((one,), computed, one.level, disagree=disagree)

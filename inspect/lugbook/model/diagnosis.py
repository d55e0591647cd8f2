"""What readings say about the cause of a fault: causes by weight, what is excluded, and what to measure next."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Cause = Literal[
    "none", "contact open", "no control feed", "no reference earth", "threshold", "delay", "fuse blown",
    "joint", "undersized", "no output", "slipping", "stuck high", "sulphated", "shorted cell", "mismatch",
    "drain", "meter lead", "two",
]  # fmt: skip
Phase = Literal["", "early", "late"]
CautionId = Literal[
    "battery-acid-gas", "short-circuit", "battery-switch-running", "rotating-machinery", "prove-dead",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Change:
    """What a hypothesis changes: `what` of `target`, somewhere from `low` to `high`; in SI, or as a ratio."""

    what: Literal["ohms", "factor", "limit", "volts", "emf", "inner", "drain", "meter"]
    target: str
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """A named patch to the installation, with a prior.

    `open` are elements that no longer conduct. `place` is the element that it speaks of, `end` which end of it.
    `parts` are the two of a pair. `early`: only in readings taken before the relay's delay has elapsed.
    """

    id: str
    cause: Cause
    place: str
    prior: float
    end: str = ""
    open: frozenset[str] = frozenset()
    changes: tuple[Change, ...] = ()
    parts: tuple[Hypothesis, ...] = ()
    early: bool = False

    @property
    def section(self) -> bool:
        """Whether it speaks of the resistance of a section: judged only with a simultaneous current."""
        return self.cause in ("joint", "undersized") or any(part.section for part in self.parts)


@dataclass(frozen=True, slots=True)
class Point:
    """Something that can be measured in a state: a voltage from `a` to `b`, or a current in `a` (`b` is empty)."""

    a: str
    b: str = ""


@dataclass(frozen=True, slots=True)
class Moment:
    """When readings were taken together: the installation's state, and whether a delay had elapsed."""

    state: str
    phase: Phase = ""


@dataclass(frozen=True, slots=True)
class Measured:
    """A reading that counts: its value and standard uncertainty [V or A].

    `place` is where, in the inspector's words. `timed`: a current was read at the same time and in the same state, so that it counts for a section.
    """

    id: str
    moment: Moment
    point: Point
    value: float
    u: float
    instrument: str
    timed: bool
    place: str = ""


@dataclass(frozen=True, slots=True)
class Ranked:
    """A hypothesis that is left: its share of the weight, how far its best prediction lies off [standard uncertainties].

    `low` and `high` bound what the readings leave of its first parameter; None without one.
    """

    hypothesis: Hypothesis
    weight: float
    off: float
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True)
class Excluded:
    """A hypothesis beyond 4 sigma, and the reading that lies furthest from what it predicts."""

    hypothesis: Hypothesis
    off: float
    reading: str
    place: str
    predicted: float
    value: float
    unit: str


@dataclass(frozen=True, slots=True)
class Next:
    """A measurement that would separate what is left: expected information [bit] and the predictions of the best."""

    moment: Moment
    point: Point
    bits: float
    predictions: tuple[tuple[str, float, float], ...]
    with_current: str
    cautions: tuple[CautionId, ...]


@dataclass(frozen=True, slots=True)
class Bridge:
    """Whether a relay may be bridged for a test, or what stands against it or has to be read first."""

    relay: str
    verdict: Literal["may", "read first", "difference too large", "never"]
    difference: float | None


@dataclass(frozen=True, slots=True)
class Stop:
    """A stop along the charging path: where the two leads stand, and the section before it.

    `name` is a conductor, contact or lug, empty at the source. `least` and `most` are what the section loses [V].
    """

    plus: str
    minus: str
    name: str
    least: float
    most: float


@dataclass(frozen=True, slots=True)
class Seen:
    """A voltage that was read at a stop [V], with the half width of its bar.

    `chained`: a drop was read, from this stop to one whose voltage is known.
    """

    stop: int
    value: float
    half: float
    reading: str
    chained: bool = False


@dataclass(frozen=True, slots=True)
class Drop:
    """A voltage that was read between two stops [V], with the half width of its bar and what was expected."""

    start: int
    end: int
    value: float
    half: float
    low: float
    high: float
    reading: str


@dataclass(frozen=True, slots=True)
class Along:
    """The voltage along the charging path in one moment; `band` is what is expected at each stop, low and high [V]."""

    moment: Moment
    source: str
    battery: str
    stops: tuple[Stop, ...]
    band: tuple[tuple[float, float], ...]
    seen: tuple[Seen, ...]
    drops: tuple[Drop, ...]


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """The whole answer. `undecided` are ids of readings without a simultaneous current; `decided` if one group stands out.

    `unplaced` are ids of readings whose state or place is not in the installation; `together` are ids that fit so alike that the readings cannot tell them from the best.
    """

    ranked: tuple[Ranked, ...]
    excluded: tuple[Excluded, ...]
    together: tuple[str, ...]
    undecided: tuple[str, ...]
    unplaced: tuple[str, ...]
    decided: bool
    used: tuple[Measured, ...]
    next: tuple[Next, ...]
    bridges: tuple[Bridge, ...]
    unsolved: tuple[Hypothesis, ...]
    along: Along | None = None

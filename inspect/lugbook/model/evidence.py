"""Evidence: a computed value with everything that it comes from, and what it says.

Values are SI floats with their unit beside them; sentences are tokens, so that compose formats every number. One
piece of evidence stands for one rule of one basis at one place, in the state that governs it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from lugbook.model.basis import Label
    from lugbook.model.defaults import Assumption
    from lugbook.model.problem import Path
    from lugbook.model.vocabulary import Exposure, Known

# Results this near to a limit are equal to it: they differ by the rounding of units alone.
SAME = 1e-9

Analysis = Literal[
    "ampacity",
    "coordination",
    "voltage drop",
    "coverage",
    "terminations",
    "fault current",
    "breaking capacity",
    "fault heating",
    "batteries",
    "shore power",
]
Verdict = Literal["within", "departure", "cannot be decided"]
Origin = Literal["entered", "assumed", "table", "computed"]
Relation = Literal["at most", "at least"]


@dataclass(frozen=True, slots=True)
class Amount:
    """A number to be printed: `value` in SI, `unit` one of A, V, W, m, m2, ohm, degC, Nm, s, A√s/mm², ratio, count.

    `%` is a share, printed as per cent. `V read` and `SG read` are volts and relative density whose fourth digit counts.
    """

    value: float
    unit: str


Sentence = tuple[str | Amount, ...]


@dataclass(frozen=True, slots=True)
class Input:
    """A value that went in. `high` differs from `low` only where the value is not known better.

    `source` is where it comes from: the default's sentence, the table's clause, or how it was computed.
    """

    symbol: str
    name: str
    low: float
    high: float
    unit: str
    origin: Origin
    source: str = ""


@dataclass(frozen=True, slots=True)
class Alternative:
    """One of two values that a rule could use; the one `used` governs, both are printed."""

    name: str
    value: float
    unit: str
    used: bool


@dataclass(frozen=True, slots=True)
class Bound:
    """The limit that counted. `basis` is the id of the basis that it stands in, empty for common practice alone."""

    value: float
    unit: str
    relation: Relation
    basis: str
    clause: str
    label: Label
    known: Known
    note: str = ""


@dataclass(frozen=True, slots=True)
class Stretch:
    """A length of a conductor, in metres from its end a, that no device protects against a solid short."""

    conductor: str
    start: float
    end: float


@dataclass(frozen=True, slots=True)
class Evidence:
    """One computed value against one limit.

    `subject` is a conductor, device, load or node, and `path` its entry in the file; `at` is the node or edge that
    a defect stands at. `low` and `high` span the result over what was assumed. `wants` is the datum that would
    decide. `margin` is the share of the limit that is left, negative past it, at the worse end of the result.
    `exempt` is the clause that exempts the subject. `state` governs, `state_named` if the file names it.
    `brief` is what a table shows beside the subject's name. `reading` is the id of the reading that was judged, if one was.
    """

    analysis: Analysis
    rule: str
    subject: str
    path: Path
    at: str
    item: str
    basis: str
    low: float
    high: float
    unit: str
    inputs: tuple[Input, ...]
    formula: str
    numbers: Sentence
    limit: Bound | None
    alternatives: tuple[Alternative, ...]
    verdict: Verdict
    wants: tuple[str, ...]
    margin: float | None
    assumptions: tuple[Assumption, ...]
    state: str
    state_named: bool
    says: Sentence
    notes: tuple[Sentence, ...] = ()
    exempt: str = ""
    stretches: tuple[Stretch, ...] = ()
    exposure: Exposure = "usual"
    brief: Sentence = ()
    reading: str = ""

    @property
    def identity(self) -> tuple[str, str, str, str]:
        """What makes two runs speak of the same thing."""
        return self.analysis, self.rule, self.subject, self.basis


@dataclass(frozen=True, slots=True)
class Circumstances:
    """What decides how a departure is labelled: the day, the year of build, and the bases that bind this boat."""

    on: date
    built: int | None = None
    bound: frozenset[str] = frozenset()

"""Risk level and urgency.

References
----------
[1] MIL-STD-882E, System Safety, 11 May 2012, Table III: risk assessment matrix (severity x probability).
"""

from __future__ import annotations

from typing import get_args

from lugbook.model.vocabulary import ActBy, Danger, Level, ProbabilityWord, SeverityWord

SEVERITIES: tuple[SeverityWord, ...] = get_args(SeverityWord)
PROBABILITIES: tuple[ProbabilityWord, ...] = get_args(ProbabilityWord)
LEVELS: tuple[Level, ...] = get_args(Level)
ACT_BY: tuple[ActBy, ...] = get_args(ActBy)

# [1] Table III. Rows by probability, columns by severity from catastrophic to negligible.
MATRIX: dict[ProbabilityWord, tuple[Level, Level, Level, Level]] = {
    "frequent": ("high", "high", "serious", "medium"),
    "probable": ("high", "high", "serious", "medium"),
    "occasional": ("high", "serious", "medium", "low"),
    "remote": ("serious", "medium", "medium", "low"),
    "improbable": ("medium", "medium", "medium", "low"),
    "eliminated": ("eliminated", "eliminated", "eliminated", "eliminated"),
}

# Own rule, common practice without a source: a danger that is there now comes one step before one that waits
# for something else to fail.
USUAL_ACT_BY: dict[Level, tuple[ActBy, ActBy]] = {  # (present, latent)
    "high": ("make safe now", "before the next trip"),
    "serious": ("before the next trip", "this season"),
    "medium": ("this season", "this season"),
    "low": ("at the next refit", "at the next refit"),
}


def risk_level(severity: SeverityWord, probability: ProbabilityWord) -> Level:
    """The level of a risk [1]."""
    return MATRIX[probability][SEVERITIES.index(severity)]


def act_by(level: Level, danger: Danger, *, service: bool) -> ActBy | None:
    """By when to act, in the owner's words; None for a risk that has been eliminated.

    What is needed to keep the boat afloat or seen is due one step sooner, but no sooner than the next trip
    on that ground alone: it only matters once the boat is used or left afloat.
    """
    if level == "eliminated":
        return None
    usual = USUAL_ACT_BY[level][0 if danger == "present" else 1]
    if not service:
        return usual
    return ACT_BY[min(ACT_BY.index(usual), max(1, ACT_BY.index(usual) - 1))]

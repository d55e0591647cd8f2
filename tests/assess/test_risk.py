"""The published risk matrix, the urgency and the order."""

from __future__ import annotations

from typing import get_args

import pytest

from lugbook.assess.risk import ACT_BY, LEVELS, PROBABILITIES, SEVERITIES, act_by, risk_level
from lugbook.model.vocabulary import ActBy, Danger, Level, ProbabilityWord, SeverityWord

# MIL-STD-882E (11 May 2012, public), Table III, typed from the standard's table, not from the program. Two public
# copies agree in every cell; others misprint improbable/marginal as low.
TABLE_III = """
              catastrophic critical   marginal   negligible
frequent      high         high       serious    medium
probable      high         high       serious    medium
occasional    high         serious    medium     low
remote        serious      medium     medium     low
improbable    medium       medium     medium     low
eliminated    eliminated   eliminated eliminated eliminated
"""
ROWS = [line.split() for line in TABLE_III.strip().splitlines()]
CELLS = [
    (row[0], severity, level) for row in ROWS[1:] for severity, level in zip(ROWS[0], row[1:], strict=True)
]


def test_the_table_has_24_cells() -> None:
    assert len(CELLS) == 24
    assert {cell[0] for cell in CELLS} == set(get_args(ProbabilityWord))


@pytest.mark.parametrize(("probability", "severity", "level"), CELLS)
def test_every_cell(probability: ProbabilityWord, severity: SeverityWord, level: Level) -> None:
    assert risk_level(severity, probability) == level


def test_counts_of_levels() -> None:
    # Distribution in the published table: 5 high, 4 serious, 8 medium, 3 low, 4 eliminated.
    found = [risk_level(s, p) for s in SEVERITIES for p in PROBABILITIES]
    assert [found.count(level) for level in LEVELS] == [5, 4, 8, 3, 4]


# Own rule (common practice, no source), written out by hand.
URGENCY = [
    ("high", "present", False, "make safe now"),
    ("high", "latent", False, "before the next trip"),
    ("serious", "present", False, "before the next trip"),
    ("serious", "latent", False, "this season"),
    ("medium", "present", False, "this season"),
    ("medium", "latent", False, "this season"),
    ("low", "present", False, "at the next refit"),
    ("low", "latent", False, "at the next refit"),
    ("high", "present", True, "make safe now"),
    ("high", "latent", True, "before the next trip"),
    ("serious", "present", True, "before the next trip"),
    ("serious", "latent", True, "before the next trip"),
    ("medium", "present", True, "before the next trip"),
    ("medium", "latent", True, "before the next trip"),
    ("low", "present", True, "this season"),
    ("low", "latent", True, "this season"),
    ("eliminated", "present", True, None),
    ("eliminated", "latent", False, None),
]


@pytest.mark.parametrize(("level", "danger", "service", "expected"), URGENCY)
def test_act_by(level: Level, danger: Danger, service: bool, expected: ActBy | None) -> None:
    assert act_by(level, danger, service=service) == expected


def test_a_needed_service_is_never_due_later() -> None:
    for level in LEVELS[:-1]:
        for danger in get_args(Danger):
            usual, needed = act_by(level, danger, service=False), act_by(level, danger, service=True)
            assert usual is not None
            assert needed is not None
            assert ACT_BY.index(needed) <= ACT_BY.index(usual)

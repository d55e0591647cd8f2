"""The finished section on what the readings say of the charging path."""

from __future__ import annotations

from lugbook.model.chart import Chart
from lugbook.model.view_base import View


class NextView(View):
    """A proposed measurement."""

    what: str
    """What to measure, and in which state."""
    expect: tuple[str, ...]
    """What each cause would show."""
    cautions: tuple[str, ...]
    """The cautions for taking it."""


class ExcludedView(View):
    """What one reading excludes."""

    reading: str
    """The reading, and what would have been read."""
    causes: tuple[str, ...]
    """The causes with which that would have been read."""


class DiagnosisView(View):
    """What the readings say, in the order in which it is printed."""

    verdict: str
    """Whether one cause stands out."""
    best: tuple[str, ...]
    """The causes that fit best."""
    alike: bool
    """Whether the readings cannot tell these apart."""
    others: tuple[str, ...]
    """What is also possible."""
    excluded: tuple[ExcludedView, ...]
    """What each reading excludes."""
    undecided: tuple[str, ...]
    """Readings without a current at the same time."""
    unplaced: tuple[str, ...]
    """Readings that are not used."""
    next: tuple[NextView, ...]
    """What to measure next."""
    bridges: tuple[str, ...]
    """Whether a relay may be bridged for a test."""
    unsolved: str
    """Causes for which no solution was found; empty if none."""
    chart: Chart | None = None
    """The voltage along the charging path; none where the readings give no such line."""

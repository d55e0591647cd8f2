"""How closely the owner's page must be set to stay one page: an estimate, so that one layout is mostly enough.

`pdf_engine` looks at the page that comes out and takes the next closer setting if the estimate was too bold. The
millimetres are measured on the demo at the roomiest setting; templates/print.css holds the settings.
"""

from __future__ import annotations

from math import ceil

from lugbook.model.view import FirstPage, ReportView
from lugbook.render.page import Paper

HEIGHT = {"a4": 271.0, "letter": 253.4}  # of the first page, within its margins
SCALE = (1.0, 0.96, 0.885, 0.83, 0.74, 0.66)  # how high each setting is, the roomiest first


def fits(view: ReportView, paper: Paper) -> range:
    """The settings to try, the roomiest that should do first."""
    needed = height(view)
    first = next((n for n, scale in enumerate(SCALE) if needed * scale <= HEIGHT[paper]), len(SCALE) - 1)
    return range(first, len(SCALE))


def height(view: ReportView) -> float:
    """Roughly, the height of the owner's page in millimetres at the roomiest setting."""
    first = view.first
    head = 16 * ceil(len(view.boat) / 30) - 7 + max(16, 3.5 * (1 + len(view.letterhead.lines)))
    first_line = 5 * ceil(len(first.said_first) / 90) if first.said_first else 0
    also = 3.9 * ceil((len(first.also_until) + 30) / 118) if first.also_until else 0
    cost = 3.9 * (ceil((len(first.cost) + 20) / 118) - 1)
    facts = first_line + also + cost + sum(4.3 * ceil(len(fact.text) / 52) for fact in first.facts) / 2 + 4
    said = 12 + 5 * ceil(len(first.verdict[0]) / 84) + 4.3 * ceil(len(" ".join(first.verdict[1:])) / 104)
    care = 10 + 3.3 * sum(ceil(len(line) / 42) for line in first.caution_lines) / 3
    decide = 22 + 3.4 * ceil((len(first.decide) + len(first.ask)) / 140)
    return (
        head + facts + said + _urgent(first) + _sides(first) + care * bool(first.caution_lines) + decide + 42
    )


def _urgent(first: FirstPage) -> float:
    rows = 0.0
    for one in first.urgent:
        below = len(one.until_then) + 12 if one.until_then else len(one.place)
        lines = 4.2 * ceil((len(one.title) + 6) / 54) + 3.9 * ceil(below / 60)
        rows += max(lines, 11.4 if one.thumb else 8.4) + 1.4
    return rows


def _sides(first: FirstPage) -> float:
    unseen = sum(ceil(len(question) / 74) for question in first.not_seen)
    unseen += ceil(len(first.not_seen_intro) / 76) + bool(first.not_seen_more) + bool(first.limits)
    terms = sum(ceil((len(term.label) + len(term.text)) / 50) for term in first.glossary)
    return 8 + 3.6 * max(unseen, terms)

"""Evidence -> the calculations of the view: in full for programs, and folded for the page.

On the page, pieces about one thing under one analysis are one; what is not decided stands by the datum that would
decide it; shorts stand by their place; clauses and assumptions are written out once, under a mark.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence

from lugbook.compose.chart_time import time_chart
from lugbook.compose.common import Phrases
from lugbook.compose.evidence import Names, assumption, evidence_view, input_text, says
from lugbook.model.assessed import Assessed, JudgedDefect
from lugbook.model.basis import Basis
from lugbook.model.evidence import Bound, Evidence
from lugbook.model.view import (
    BasisView,
    CalculationsView,
    OpenView,
    PieceView,
    ShortsView,
    SideBySide,
    WithinView,
)

OPEN = ("departure", "cannot be decided")
# What a battery's part of a short was computed from; written out once for all shorts.
INSIDE = ("Ri", "E")


class Marks:
    """Long texts that recur, each under a mark such as L3."""

    def __init__(self, letter: str) -> None:
        self._letter = letter
        self._found: dict[str, str] = {}

    def of(self, text: str) -> str:
        """The mark of a text."""
        return self._found.setdefault(text, f"{self._letter}{len(self._found) + 1}")

    @property
    def legend(self) -> tuple[tuple[str, str], ...]:
        """Marks and texts."""
        return tuple((mark, text) for text, mark in self._found.items())


class Page:
    """What is folded for the page, with the marks that it uses."""

    def __init__(self, names: Names, phrases: Phrases) -> None:
        self.names, self.phrases = names, phrases
        self.limits, self.assumed = Marks("L"), Marks("A")

    def departures(self, evidence: Iterable[Evidence]) -> tuple[PieceView, ...]:
        """A piece for each thing and analysis."""
        return tuple(self._piece(pieces) for pieces in _groups(evidence, lambda one: one.subject))

    def undecided(self, evidence: Iterable[Evidence]) -> tuple[OpenView, ...]:
        """A list for each analysis, in it a part for each set of data that would decide."""
        by_analysis: dict[str, list[Evidence]] = {}
        for one in evidence:
            by_analysis.setdefault(one.analysis, []).append(one)
        return tuple(self._open(pieces) for pieces in by_analysis.values())

    def _open(self, pieces: Sequence[Evidence]) -> OpenView:
        """What every part wants is said once."""
        groups = _groups(pieces, lambda one: one.wants)
        common = [
            want for want in pieces[0].wants if len(groups) > 1 and all(want in g[0].wants for g in groups)
        ]
        return OpenView(
            analysis=self._words(f"evidence.analysis.{pieces[0].analysis}"),
            formula="; ".join(dict.fromkeys(self.names.within(one.formula) for one in pieces)),
            assumed=self._assumed(pieces),
            common=self._wants(common),
            groups=tuple(
                (
                    self._wants(want for want in group[0].wants if want not in common),
                    tuple(dict.fromkeys((self.names.of(one.subject), self._short(one)) for one in group)),
                )
                for group in groups
            ),
        )

    def _wants(self, wants: Iterable[str]) -> str:
        return "; ".join(self.names.within(want) for want in wants)

    def within(
        self, evidence: Iterable[Evidence], seen: Mapping[str, Sequence[JudgedDefect]]
    ) -> tuple[WithinView, ...]:
        """A table for each analysis, with a row for things of which the same is said.

        `seen` are the defects at a thing: what was seen or measured there may speak against the row.
        """
        tables: dict[str, dict[tuple[str, str], list[str]]] = {}
        for pieces in _groups(evidence, lambda one: one.subject):
            subject = self.names.of(pieces[0].subject)
            said = self._text(pieces[0]).removeprefix(f"{self.names.quoted(subject)} ")
            at = seen.get(pieces[0].subject, ())
            if there := [one.number for one in at if _speaks_to(one, pieces[0].analysis)]:
                told = ", ".join(map(str, there))
                said = f"{said} {self.phrases.words('evidence.but_see', numbers=told)}"
            row = (said, self._limits(pieces))
            tables.setdefault(pieces[0].analysis, {}).setdefault(row, []).append(subject)
        return tuple(
            WithinView(
                analysis=self._words(f"evidence.analysis.{analysis}"),
                rows=tuple((" · ".join(subjects), *row) for row, subjects in rows.items()),
            )
            for analysis, rows in tables.items()
        )

    def shorts(self, evidence: Sequence[Evidence]) -> ShortsView | None:
        """The currents of shorts by place, and what the batteries' parts come from."""
        if not evidence:
            return None
        rows = []
        for pieces in _groups(evidence, lambda one: one.subject):
            strongest = max(pieces, key=lambda one: one.high)
            currents = "; ".join(dict.fromkeys(self.names.sentence(one.brief) for one in pieces))
            rows.append((self.names.of(strongest.subject), currents, self._shares(strongest)))
        inside = (one for piece in evidence for one in piece.inputs if one.symbol in INSIDE)
        return ShortsView(
            rows=tuple(rows),
            inputs=tuple(dict.fromkeys(input_text(one, self.names, self.phrases) for one in inside)),
            formula=self.names.within(evidence[0].formula),
            assumed=self._assumed(evidence),
        )

    def _words(self, key: str) -> str:
        return self.phrases.words(key)

    def _text(self, one: Evidence) -> str:
        return self.names.sentence(one.says)

    def _short(self, one: Evidence) -> str:
        return self.names.sentence(one.brief or one.says)

    def _shares(self, one: Evidence) -> str:
        shares = (
            (each.name.partition("'")[2].rstrip("'"), each.high) for each in one.inputs if each.symbol == "Is"
        )
        return "; ".join(
            f"{self.names.of(name)} {self.phrases.format.amount(amperes, 'A')}" for name, amperes in shares
        )

    def _assumed(self, pieces: Iterable[Evidence]) -> str:
        texts = dict.fromkeys(assumption(a, self.names) for one in pieces for a in one.assumptions)
        return ", ".join(self.assumed.of(text) for text in texts)

    def _limits(self, pieces: Iterable[Evidence]) -> str:
        found = dict.fromkeys(self._limit(one.limit) for one in pieces if one.limit is not None)
        return "; ".join(found) or "–"

    def _limit(self, bound: Bound) -> str:
        words = self.phrases.words
        source = f"{self.phrases.said(bound.clause)}; {words(f'evidence.label.{bound.label}')}; {words(f'defect.{bound.known}')}"
        value = self.phrases.format.amount(bound.value, bound.unit)
        return words(f"evidence.short_limit.{bound.relation}", value=value, mark=self.limits.of(source))

    def _piece(self, pieces: Sequence[Evidence]) -> PieceView:
        names, phrases, first = self.names, self.phrases, pieces[0]
        views = [evidence_view(one, names, phrases) for one in pieces]
        formulas = dict.fromkeys(view.formula for view in views)
        numbers = dict.fromkeys(view.numbers for view in views)
        rows = (
            ("evidence.limit_head", self._limits(pieces)),
            ("evidence.formula", "; ".join((*formulas, *numbers))),
            ("evidence.both", "; ".join(dict.fromkeys(text for view in views for text in view.alternatives))),
            ("evidence.inputs", "; ".join(dict.fromkeys(text for view in views for text in view.inputs))),
            ("evidence.assumed", self._assumed(pieces)),
            ("evidence.state", "; ".join(dict.fromkeys(view.state for view in views if view.state))),
            ("evidence.note", " ".join(dict.fromkeys(note for view in views for note in view.notes))),
        )
        return PieceView(
            analysis=views[0].analysis,
            subject=names.of(first.subject),
            says=tuple(dict.fromkeys(self._text(one) for one in pieces)),
            rows=tuple((phrases.words(label), text) for label, text in rows if text),
        )


def _seen(assessed: Assessed) -> dict[str, list[JudgedDefect]]:
    """The defects that an inspector found at each thing."""
    found: dict[str, list[JudgedDefect]] = {}
    for defect in assessed.defects:
        if defect.at is not None and (defect.seen is not None or defect.readings):
            found.setdefault(defect.at, []).append(defect)
    return found


def _speaks_to(defect: JudgedDefect, analysis: str) -> bool:
    """Whether a defect may contradict what an analysis says of its thing: not if another analysis computed it."""
    computed = {one.analysis for one in defect.evidence}
    return bool(defect.readings) or not computed or analysis in computed


def compose_calculations(assessed: Assessed, phrases: Phrases) -> CalculationsView:
    """Everything that was computed of an installation, or of readings of the mains side."""
    network, shore = assessed.job.network, assessed.job.findings.shore
    names = Names(network, phrases, shore)
    by_verdict: dict[str, list[Evidence]] = {"departure": [], "cannot be decided": [], "within": []}
    for one in assessed.evidence:
        by_verdict[one.verdict].append(one)
    departures, undecided, within = by_verdict.values()
    shorts = [one for one in within if one.analysis == "fault current" and one.limit is None and one.brief]
    page = Page(names, phrases)
    full = {
        verdict: tuple(evidence_view(one, names, phrases) for one in pieces)
        for verdict, pieces in by_verdict.items()
    }
    return CalculationsView(
        bases=tuple(_basis(basis, phrases) for basis in assessed.job.bases),
        departures=full["departure"],
        undecided=full["cannot be decided"],
        within=full["within"],
        departing=page.departures(departures),
        open=page.undecided(undecided),
        shorts=page.shorts(shorts),
        in_short=page.within((one for one in within if one not in shorts), _seen(assessed)),
        limits=page.limits.legend,
        assumed=page.assumed.legend,
        beside=_side_by_side(assessed, names, phrases),
        overruled=tuple(
            phrases.words(
                "evidence.overruled",
                place=names.of(one.at),
                says=" ".join(says(one.evidence, names)),
                level=phrases.words(f"level_short.{one.level}"),
                reason=one.reason,
            )
            for one in assessed.overruled
        ),
        idle=tuple(phrases.words("evidence.idle", text=text) for text in assessed.idle),
        charts=tuple(time_chart(curve, n, names.of, phrases) for n, curve in enumerate(assessed.curves, 1)),
    )


def _groups(evidence: Iterable[Evidence], key: Callable[[Evidence], Hashable]) -> list[list[Evidence]]:
    """Pieces of one analysis with the same key, in the order of the first of each."""
    found: dict[tuple[str, Hashable], list[Evidence]] = {}
    for one in evidence:
        found.setdefault((one.analysis, key(one)), []).append(one)
    return list(found.values())


def _basis(basis: Basis, phrases: Phrases) -> BasisView:
    words = phrases.words
    dates = [phrases.format.day(day) for day in (basis.since, basis.to) if day is not None]
    return BasisView(
        id=basis.id,
        title=phrases.said(basis.title),
        edition=phrases.said(basis.edition),
        kind=words(f"evidence.kind.{basis.kind}"),
        in_force=" – ".join(dates) or words("evidence.no_dates"),
        binds=phrases.said(basis.binds),
        overridden=tuple(
            words("evidence.overridden", key=one.key.replace("_", " "), basis=one.basis, by=one.by)
            for one in basis.overridden
        ),
    )


def _side_by_side(assessed: Assessed, names: Names, phrases: Phrases) -> SideBySide | None:
    """The same boat under each basis: a row for each thing that they judge differently, or by another limit."""
    bases = assessed.job.bases
    if len(bases) < 2:
        return None
    found: dict[tuple[str, str, str], dict[str, Evidence]] = {}
    for one in assessed.evidence:
        found.setdefault((one.analysis, one.subject, one.rule), {})[one.basis] = one
    rows = []
    for (analysis, subject, rule), by_basis in sorted(found.items()):
        if not any(one.verdict in OPEN for one in by_basis.values()):
            continue
        what = f"{phrases.words(f'evidence.analysis.{analysis}')}, {names.rule(rule)}"
        cells = tuple(_cell(by_basis.get(basis.id) or by_basis.get(""), phrases) for basis in bases)
        if len(set(cells)) > 1:
            rows.append((names.of(subject), what, cells))
    return SideBySide(bases=tuple(phrases.said(basis.title) for basis in bases), rows=tuple(rows))


def _cell(one: Evidence | None, phrases: Phrases) -> str:
    if one is None:
        return "–"
    verdict = phrases.words(f"evidence.verdict.{one.verdict}")
    if one.limit is None:
        return verdict
    return f"{verdict} ({phrases.format.amount(one.limit.value, one.limit.unit)})"

"""Evidence -> the calculations of the view: every number in the reader's units, every id by its name."""

from __future__ import annotations

import re
from collections.abc import Iterable

from lugbook.compose.chart_time import time_chart
from lugbook.compose.common import Phrases
from lugbook.model.assessed import Assessed, JudgedDefect
from lugbook.model.basis import Basis
from lugbook.model.evidence import Alternative, Bound, Evidence, Input, Sentence
from lugbook.model.network import Network
from lugbook.model.shore import ShoreVisit
from lugbook.model.view import BasisView, CalculationsView, EvidenceView, SideBySide

QUOTED = re.compile(r"'([a-z0-9][a-z0-9./-]*)'")
LINK = re.compile(r"^(.*)[.]link(?:-(pos|neg))?-?([0-9-]*)$")
ENDING = re.compile(r"^(.*?)[.](feed|return|fuse|breaker|coil|pos|neg)$")
OPEN = ("departure", "cannot be decided")


class Names:
    """What the elements of an installation are called."""

    def __init__(self, network: Network | None, phrases: Phrases, shore: Iterable[ShoreVisit] = ()) -> None:
        self._phrases = phrases
        self._titles: dict[str, str] = {one.id: one.place for visit in shore for one in visit.readings}
        if network is not None:
            self._titles |= {one.bank: one.bank_title for one in network.batteries if one.bank_title}
            for part in (network.nodes, network.edges, network.switches, network.converters):
                self._titles |= {name: one.title for name, one in part.items() if one.title}
            for conductor in network.conductors:
                self._titles |= {d.device.id: d.device.title for d in conductor.devices if d.device.title}

    def of(self, name: str) -> str:
        """The title of an element; its id where it has none."""
        title = self._titles.get(name, name)
        if title != name:
            return title
        link = LINK.match(name)
        if link is not None:
            key = f"evidence.link.{link[2] or 'series'}"
            return self._phrases.words(key, name=self.of(link[1]), n=link[3]).rstrip()
        parts = ENDING.match(name)
        if parts is None:
            return name
        return self._phrases.words(f"evidence.ending.{parts[2]}", name=self.of(parts[1]))

    def within(self, text: str) -> str:
        """A text with quoted ids replaced by titles."""
        return QUOTED.sub(lambda match: f"‘{self.of(match[1])}’", text).replace(" mm2", " mm²")


def compose_calculations(assessed: Assessed, phrases: Phrases) -> CalculationsView | None:
    """Everything that was computed; None without an installation and readings of the mains side."""
    network, shore = assessed.job.network, assessed.job.findings.shore
    if network is None and not shore:
        return None
    names = Names(network, phrases, shore)
    views = [(one, _evidence(one, names, phrases)) for one in assessed.evidence]
    return CalculationsView(
        bases=tuple(_basis(basis, phrases) for basis in assessed.job.bases),
        departures=tuple(view for one, view in views if one.verdict == "departure"),
        undecided=tuple(view for one, view in views if one.verdict == "cannot be decided"),
        within=tuple(view for one, view in views if one.verdict == "within"),
        within_rows=_in_short([view for one, view in views if one.verdict == "within"]),
        beside=_side_by_side(assessed, names, phrases),
        overruled=tuple(
            phrases.words(
                "evidence.overruled",
                place=names.of(one.at),
                says=" ".join(says(one.evidence, names, phrases)),
                level=phrases.words(f"level_short.{one.level}"),
                reason=one.reason,
            )
            for one in assessed.overruled
        ),
        idle=tuple(phrases.words("evidence.idle", text=text) for text in assessed.idle),
        charts=tuple(time_chart(curve, n, names.of, phrases) for n, curve in enumerate(assessed.curves, 1)),
    )


def _in_short(within: list[EvidenceView]) -> tuple[tuple[str, str, str, str], ...]:
    """A row for each subject and analysis; the limits of all rules and bases together."""
    found: dict[tuple[str, str], list[EvidenceView]] = {}
    for view in within:
        found.setdefault((view.subject, view.analysis), []).append(view)
    return tuple(
        (
            subject,
            analysis,
            views[0].says,
            "; ".join(dict.fromkeys(view.limit for view in views if view.limit)) or "–",
        )
        for (subject, analysis), views in found.items()
    )


def says(evidence: Iterable[Evidence], names: Names, phrases: Phrases) -> tuple[str, ...]:
    """What the evidence says, each sentence once."""
    return tuple(dict.fromkeys(_sentence(one.says, names, phrases) for one in evidence))


def headline(defect: JudgedDefect, names: Names, phrases: Phrases) -> str:
    """The headline of a defect that was computed and not seen."""
    analysis = defect.evidence[0].analysis
    return phrases.words(f"evidence.headline.{analysis}", name=names.of(defect.at or ""))


def _sentence(tokens: Sentence, names: Names, phrases: Phrases) -> str:
    made = (names.within(t) if isinstance(t, str) else phrases.format.amount(t.value, t.unit) for t in tokens)
    return "".join(made)


def _evidence(one: Evidence, names: Names, phrases: Phrases) -> EvidenceView:
    words = phrases.words
    return EvidenceView(
        analysis=words(f"evidence.analysis.{one.analysis}"),
        rule=names.within(one.rule),
        subject=names.of(one.subject),
        item=one.item,
        basis=one.basis,
        verdict=words(f"evidence.verdict.{one.verdict}"),
        verdict_key=one.verdict.replace(" ", "-"),
        says=_sentence(one.says, names, phrases),
        formula=one.formula,
        numbers=_sentence(one.numbers, names, phrases),
        limit=_limit(one.limit, phrases),
        margin=phrases.format.percent(one.margin) if one.margin is not None else None,
        inputs=tuple(_input(each, names, phrases) for each in one.inputs),
        alternatives=tuple(_alternative(each, phrases) for each in one.alternatives),
        assumptions=tuple(f"{a.default.sentence} ({a.default.source})" for a in one.assumptions),
        wants=tuple(one.wants),
        state=names.within(one.state),
        notes=tuple(_sentence(note, names, phrases) for note in one.notes),
        exempt=one.exempt or None,
    )


def _limit(limit: Bound | None, phrases: Phrases) -> str | None:
    if limit is None:
        return None
    return phrases.words(
        f"evidence.limit.{limit.relation}",
        value=phrases.format.amount(limit.value, limit.unit),
        clause=limit.clause,
        label=phrases.words(f"evidence.label.{limit.label}"),
        known=phrases.words(f"defect.{limit.known}"),
    )


def _input(one: Input, names: Names, phrases: Phrases) -> str:
    low, high = (phrases.format.amount(value, one.unit) for value in (one.low, one.high))
    value = low if low == high else phrases.words("evidence.range", low=low, high=high)
    origin = phrases.words(f"evidence.origin.{one.origin}")
    source = f"; {names.within(one.source)}" if one.source else ""
    return f"{one.symbol} = {value}: {one.name} ({origin}{source})"


def _alternative(one: Alternative, phrases: Phrases) -> str:
    key = "evidence.used" if one.used else "evidence.not_used"
    return phrases.words(key, name=one.name, value=phrases.format.amount(one.value, one.unit))


def _basis(basis: Basis, phrases: Phrases) -> BasisView:
    words = phrases.words
    dates = [phrases.format.day(day) for day in (basis.since, basis.to) if day is not None]
    return BasisView(
        id=basis.id,
        title=basis.title,
        edition=basis.edition,
        kind=words(f"evidence.kind.{basis.kind}"),
        in_force=" – ".join(dates) or words("evidence.no_dates"),
        binds=basis.binds,
        overridden=tuple(
            words("evidence.overridden", key=one.key.replace("_", " "), basis=one.basis, by=one.by)
            for one in basis.overridden
        ),
    )


def _side_by_side(assessed: Assessed, names: Names, phrases: Phrases) -> SideBySide | None:
    """The same boat under each basis: a row for each thing judged under more than one."""
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
        what = f"{phrases.words(f'evidence.analysis.{analysis}')}, {names.within(rule)}"
        cells = tuple(_cell(by_basis.get(basis.id) or by_basis.get(""), phrases) for basis in bases)
        rows.append((names.of(subject), what, cells))
    return SideBySide(bases=tuple(basis.title for basis in bases), rows=tuple(rows))


def _cell(one: Evidence | None, phrases: Phrases) -> str:
    if one is None:
        return "–"
    verdict = phrases.words(f"evidence.verdict.{one.verdict}")
    if one.limit is None:
        return verdict
    return f"{verdict} ({phrases.format.amount(one.limit.value, one.limit.unit)})"

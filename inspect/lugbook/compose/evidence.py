"""Evidence -> sentences and views: every number in the reader's units, every id by its name."""

from __future__ import annotations

import re
from collections.abc import Iterable
from itertools import pairwise
from typing import TYPE_CHECKING

from lugbook.compose.common import Phrases
from lugbook.model.assessed import JudgedDefect
from lugbook.model.evidence import Alternative, Amount, Bound, Evidence, Input, Sentence
from lugbook.model.view import EvidenceView
from lugbook.words.numbers import NO_BREAK
from lugbook.words.sentences import Placed, Value, template

if TYPE_CHECKING:
    from lugbook.model.defaults import Assumption
    from lugbook.model.network import Network
    from lugbook.model.shore import ShoreVisit

# The position of a switch in the label of a state.
POSITION = re.compile(r"on|off|open|closed|both")
LINK = re.compile(r"^(.*)[.]link(?:-(pos|neg))?-?([0-9-]*)$")
# A post of one block of a bank: people say which pole, not how the program calls it.
POST = re.compile(r"^(.*)[.](pos|neg)-([0-9]+)$")
ENDING = re.compile(r"^(.*?)[.](feed|return|fuse|breaker|coil|pos|neg)$")
# A rule that ends in the id of its place.
PLACED_RULE = re.compile(r"(.+?)(, | at )(\S+)$")
# Currents of shorts are not known better than to two digits; owners are not shown a third.
ROUGH = frozenset({"fault current", "fault heating"})


class Names:
    """What the elements of an installation are called."""

    def __init__(self, network: Network | None, phrases: Phrases, shore: Iterable[ShoreVisit] = ()) -> None:
        self._phrases = phrases
        self._titles: dict[str, str] = {one.id: one.place for visit in shore for one in visit.readings}
        if network is not None:
            self._titles |= {one.bank: one.bank_title for one in network.batteries if one.bank_title}
            for part in (network.nodes, network.edges, network.switches, network.converters):
                self._titles |= {name: one.title for name, one in part.items() if one.title}
            batteries = {one.bank for one in network.batteries}
            for node in network.nodes.values():
                if node.owner in batteries:  # named by pole and block
                    self._titles.pop(node.id, None)
            self._titles |= {one.id: one.title for one in (*network.states, *network.reachable) if one.title}
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
        post = POST.match(name)
        if post is not None:
            words = self._phrases.words
            pole = words(f"diagnosis.pole.{post[2]}")
            return words("diagnosis.post_of_block", part=self.of(post[1]), pole=pole, n=post[3])
        parts = ENDING.match(name)
        if parts is None:
            return name
        return self._phrases.words(f"evidence.ending.{parts[2]}", name=self.of(parts[1]))

    def state(self, name: str) -> str:
        """A state: its title, or the positions of its switches, such as 'Battery switch both'."""
        if name in self._titles and self._titles[name] != name:
            return self._titles[name]
        parts = (part.rpartition(" ") for part in name.split(", "))
        return ", ".join(
            f"{self.of(switch)}{gap}{self._position(position)}" for switch, gap, position in parts
        )

    def _position(self, word: str) -> str:
        return self._phrases.words(f"evidence.position.{word}") if POSITION.fullmatch(word) else word

    def rule(self, rule: str) -> str:
        """The rule of an analysis; the element that it ends with by its name."""
        text, values = template((rule,))
        said = self._phrases.words.sentence
        match = PLACED_RULE.match(text)
        if match is not None and said(text) == text:
            key = f"{match[1]}{match[2]}{{{len(values)}}}"
            return said(key).format(*map(self._placed, values), self.of(match[3]))
        return self.within(rule)

    def within(self, text: str) -> str:
        """A text with quoted ids replaced by titles."""
        told, values = template((text,))
        said = self._phrases.words.sentence(told)
        return said.format(*map(self._placed, values)).replace(" mm2", " mm²")

    def sentence(self, tokens: Sentence, *, rough: bool = False) -> str:
        """A sentence with its numbers and names. `rough`: currents from 100 A up with two digits."""
        text, values = template(tokens)
        shown = [
            self._amount(one, rough=rough) if isinstance(one, Amount) else self._placed(one) for one in values
        ]
        for n, (low, high) in enumerate(pairwise(values)):
            if isinstance(low, Amount) and isinstance(high, Amount) and f"{{{n}}} to {{{n + 1}}}" in text:
                shown[n] = without_unit(shown[n], shown[n + 1])
        return self._phrases.words.sentence(text).format(*shown).replace(" mm2", " mm²")

    def _amount(self, token: Amount, *, rough: bool) -> str:
        count = 2 if rough and token.unit == "A" and token.value >= 100 else 3
        return self._phrases.format.amount(token.value, token.unit, count)

    def _placed(self, value: Value) -> str:
        assert isinstance(value, Placed), "a text holds no amounts"
        if value.kind == "size":
            return self._phrases.format.written(value.text)
        if value.kind == "clause":
            return self._phrases.said(value.text)
        if value.kind == "state":
            return self.quoted(self.state(value.text))
        return ", ".join(self.quoted(self.of(name.strip("'"))) for name in value.text.split(", "))

    def quoted(self, name: str) -> str:
        """A name in the quotation marks of the language."""
        return self._phrases.words("evidence.quoted", name=name)


def without_unit(low: str, high: str) -> str:
    """The lower end of a range: its unit stands at the upper end, if that is the same."""
    number, gap, unit = low.rpartition(NO_BREAK)
    return number if gap and high.endswith(gap + unit) else low


def says(evidence: Iterable[Evidence], names: Names) -> tuple[str, ...]:
    """What the evidence says to an owner, each sentence once."""
    return tuple(
        dict.fromkeys(
            names.sentence(one.says, rough=one.analysis in ROUGH and one.limit is not None)
            for one in evidence
        )
    )


def headline(defect: JudgedDefect, names: Names, phrases: Phrases) -> str:
    """The headline of a defect that was computed and not seen."""
    analysis = defect.evidence[0].analysis
    return phrases.words(f"evidence.headline.{analysis}", name=names.of(defect.at or ""))


def evidence_view(one: Evidence, names: Names, phrases: Phrases) -> EvidenceView:
    """One piece of evidence in full."""
    words = phrases.words
    return EvidenceView(
        analysis=words(f"evidence.analysis.{one.analysis}"),
        rule=names.rule(one.rule),
        subject=names.of(one.subject),
        item=one.item,
        basis=one.basis,
        verdict=words(f"evidence.verdict.{one.verdict}"),
        verdict_key=one.verdict.replace(" ", "-"),
        says=names.sentence(one.says),
        formula=names.within(one.formula),
        numbers=names.sentence(one.numbers),
        limit=limit(one.limit, phrases),
        margin=phrases.format.percent(one.margin) if one.margin is not None else None,
        inputs=tuple(input_text(each, names, phrases) for each in one.inputs),
        alternatives=tuple(_alternative(each, names, phrases) for each in one.alternatives),
        assumptions=tuple(dict.fromkeys(assumption(each, names) for each in one.assumptions)),
        wants=tuple(names.within(want) for want in one.wants),
        state=names.state(one.state),
        notes=tuple(names.sentence(note) for note in one.notes),
        exempt=phrases.said(one.exempt) or None,
    )


def assumption(one: Assumption, names: Names) -> str:
    """An assumption with its source."""
    return f"{names.within(one.default.sentence)} ({names.within(one.default.source)})"


def limit(bound: Bound | None, phrases: Phrases) -> str | None:
    """A limit with its clause, label and how well it is known."""
    if bound is None:
        return None
    return phrases.words(
        f"evidence.limit.{bound.relation}",
        value=phrases.format.amount(bound.value, bound.unit),
        clause=phrases.said(bound.clause),
        label=phrases.words(f"evidence.label.{bound.label}"),
        known=phrases.words(f"defect.{bound.known}"),
    )


def input_text(one: Input, names: Names, phrases: Phrases) -> str:
    """An input with its value, name and origin."""
    low, high = (phrases.format.amount(value, one.unit) for value in (one.low, one.high))
    value = low
    if low != high:
        value = phrases.words("evidence.range", low=without_unit(low, high), high=high)
    origin = phrases.words(f"evidence.origin.{one.origin}")
    source = f"; {names.within(one.source)}" if one.source else ""
    return f"{one.symbol} = {value}: {names.within(one.name)} ({origin}{source})"


def _alternative(one: Alternative, names: Names, phrases: Phrases) -> str:
    key = "evidence.used" if one.used else "evidence.not_used"
    return phrases.words(key, name=names.within(one.name), value=phrases.format.amount(one.value, one.unit))

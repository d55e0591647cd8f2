"""What several parts of the view need: the words, the formatter and small phrases made with them."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from decimal import Decimal

from lugbook.model.checklist import Source
from lugbook.model.extent import Extent
from lugbook.model.findings import Instrument, Reading
from lugbook.model.view import Fact, LevelView
from lugbook.model.vocabulary import ActBy, Level
from lugbook.words.catalogue import Words
from lugbook.words.numbers import Formatter
from lugbook.words.sentences import Placed, template

# What stands for the extent of results that have none.
NO_EXTENT = {"not applicable": "extent.does_not_apply", "not inspected": "extent.none"}


class Phrases:
    """Words and formatter of one language, with the phrases that recur."""

    def __init__(self, words: Words) -> None:
        self.words = words
        self.format = Formatter(words.locale)

    def or_not_recorded(self, text: str | None) -> str:
        """The text, or 'not recorded'."""
        return text or self.words("not_recorded")

    def day(self, day: date | None) -> str:
        """A date in words, or 'not recorded'."""
        return self.format.day(day) if day else self.words("not_recorded")

    def fact(self, label: str, text: str | None, *, markdown: bool = False) -> Fact:
        """A labelled text; the label is a key of the catalogue."""
        return Fact(
            label=self.words(label), text=self.or_not_recorded(text), markdown=markdown and bool(text)
        )

    def level(self, level: Level) -> LevelView:
        """A level with its words."""
        words = self.words
        return LevelView(
            level=level,
            words=words(f"level.{level}"),
            short=words(f"level_short.{level}"),
            mark_alt=words(f"level_mark.{level}"),
        )

    def act_by(self, act_by: ActBy | None) -> str:
        """By when to act."""
        return self.words(f"act_by.{act_by}") if act_by else self.words("no_act_by")

    def extent(self, extent: Extent | None, result: str | None) -> str:
        """How far an item was looked at."""
        if extent is None:
            return self.words(NO_EXTENT.get(result or "", "extent.recorded_none"))
        parts = []
        if extent.look == "sample":
            parts.append(self.words("extent.sample", n=extent.seen, m=extent.total))
        elif extent.look is not None:
            parts.append(self.words(f"extent.{extent.look}"))
        if extent.tested is not None:
            parts.append(self.words("extent.tested" if extent.tested else "extent.not tested"))
        return ", ".join(parts)

    def instrument(self, instrument: Instrument, day: date | None) -> str:
        """An instrument's name, marked if it was past its date on the day."""
        overdue = bool(day and instrument.due and instrument.due < day)
        return self.words("readings.overdue_name", name=instrument.name) if overdue else instrument.name

    def reading(self, reading: Reading, *, stated: bool = True) -> str:
        """A reading in one line: value, place and, if wanted, the state of the boat."""
        state = f" ({reading.state})" if reading.state and stated else ""
        return f"{reading.place}: {self.format.quantity(reading.value)}{state}"

    def statements(
        self,
        *,
        seen: str | None,
        readings: Iterable[Reading],
        told: str | None,
        opinion: str | None = None,
        computed: str | None = None,
        reason: str | None = None,
        seen_key: str,
        stated: bool = True,
    ) -> tuple[Fact, ...]:
        """Observed, measured, told and opinion, marked apart. `stated`: with the state of the boat at each reading."""
        lines = (self.reading(reading, stated=stated) for reading in readings)
        measured = "; ".join(dict.fromkeys(lines))  # read again: once
        found = [
            ("looked.reason", reason, True),
            (seen_key, seen, True),
            ("defect.measured", measured, False),
            ("defect.computed", computed, False),
            ("defect.told", told, True),
            ("defect.opinion", opinion, True),
        ]
        return tuple(
            Fact(label=self.words(label), text=text, markdown=md) for label, text, md in found if text
        )

    def marked(self, value: float, unit: str) -> str:
        """A value as it is marked on a thing, such as 32 V or 6 kA: no digits that nobody stamped."""
        scale, name = (1000.0, f"k{unit}") if unit == "A" and value >= 1000 else (1.0, unit)
        scale, name = (0.001, "mm") if unit == "m" and value < 1 else (scale, name)
        return f"{self.format.number(Decimal(f'{value / scale:.4g}'))}\u00a0{name}"

    def source(self, source: Source) -> str:
        """Where a judgement comes from and how its figure is known."""
        subject = f": {source.subject}" if source.subject else ""
        known = f" ({self.words(f'defect.{source.known}')})" if source.known else ""
        return f"{self.said(source.document)}{subject}{known}"

    def said(self, text: str) -> str:
        """A shipped text by its English, such as a clause of a basis; a user's own stays as it is."""
        told, values = template((text,))
        shown = (value.text if isinstance(value, Placed) else "" for value in values)
        return self.words.sentence(told).format(*map(self.format.written, shown))

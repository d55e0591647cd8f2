"""The small texts of the line diagram: sizes, lengths, ratings and what a part is."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from lugbook.model.network import Battery, Conductor, Device, Load, Source
from lugbook.words.catalogue import Words
from lugbook.words.numbers import NO_BREAK, SYMBOLS, Formatter

DIGITS, LENGTH_DIGITS = 4, 3
FOOT = 0.3048  # m


class Texts:
    """Makes the texts in one language."""

    def __init__(self, words: Words) -> None:
        self.words = words
        self.format = Formatter(words.locale)

    def number(self, value: float, digits: int = DIGITS) -> str:
        """A number with no more digits than it needs."""
        return self.format.number(plain(value, digits))

    def amount(self, value: float, unit: str) -> str:
        """A number with its unit."""
        return f"{self.number(value)}{NO_BREAK}{SYMBOLS.get(unit, unit)}"

    def amperes(self, value: float) -> str:
        """A current."""
        return self.amount(value, "A")

    def size(self, conductor: Conductor) -> str:
        """Size as it was written, and how many lie side by side."""
        number, _, unit = conductor.size.partition(" ")
        size = conductor.size if conductor.awg else self.amount(float(number), unit)
        size = size.replace(" ", NO_BREAK)
        return f"{conductor.parallel}{NO_BREAK}×{NO_BREAK}{size}" if conductor.parallel > 1 else size

    def length(self, conductor: Conductor) -> str:
        """Length, or a question mark where it was not entered."""
        if not conductor.length.given:
            return self.words("diagram.length_not_known")
        return self.metres(conductor.length.max_case, conductor)

    def metres(self, value: float, conductor: Conductor) -> str:
        """A length of a conductor. Feet if its size is a gauge and feet give the rounder figure, as entered so."""
        feet, metres = plain(value / FOOT, DIGITS), plain(value, DIGITS)
        if conductor.awg and len(str(feet)) < len(str(metres)):
            return f"{self.number(value / FOOT, LENGTH_DIGITS)}{NO_BREAK}ft"
        return f"{self.number(value, LENGTH_DIGITS)}{NO_BREAK}m"

    def device(self, device: Device) -> str:
        """A fuse or breaker in full."""
        kind = self.words(f"diagram.device.{device.kind}")
        sort = "" if device.type == "not known" else self.words(f"diagram.class.{device.type}")
        return self.words(
            "diagram.device.line", kind=kind, sort=sort, rating=self.amperes(device.rating)
        ).strip()

    def source(self, source: Source) -> tuple[str, ...]:
        """The greatest current of a source."""
        return (self.amperes(source.current),)

    def load(self, load: Load) -> tuple[str, ...]:
        """What a load draws."""
        if load.power is not None:
            return (self.amount(load.power, "W"),)
        return (self.amperes(load.current.max_case),) if load.current is not None else ()

    def battery(self, blocks: Sequence[Battery], device: Device | None) -> tuple[str, ...]:
        """Voltage and charge of a block, and how the blocks are joined."""
        block = blocks[0]
        facts = [self.amount(block.volts, "V")]
        if block.capacity is not None:
            facts.append(self.amount(block.capacity / 3600, "Ah"))
        strings = len({b.string for b in blocks})
        series = len(blocks) // strings
        joined = []
        if series > 1:
            joined.append(self.words("diagram.in_series", n=series))
        if strings > 1:
            joined.append(self.words("diagram.side_by_side", n=strings))
        if device is not None:
            joined.append(self.words(f"diagram.string.{device.kind}", rating=self.amperes(device.rating)))
        return (" ".join(facts), *joined)


def plain(value: float, digits: int) -> Decimal:
    """A number rounded to so many figures, without noughts at its end and without an exponent."""
    return Decimal(f"{Decimal(f'{value:.{digits}g}').normalize():f}")

"""The parts list in words: what to buy, how much of it is spare or waste, and where it goes."""

from __future__ import annotations

from decimal import Decimal

from lugbook.compose.common import Phrases
from lugbook.compose.evidence import Names
from lugbook.model.parts import Part, PartsList, Use, Wanting
from lugbook.model.remedy_view import PartsView, PartView

FIRST_USES = 8


def compose_parts(listed: PartsList, names: Names, phrases: Phrases) -> PartsView:
    """The list by drawer, and what could not be put on it."""
    words = phrases.words
    return PartsView(
        rows=tuple(_row(part, names, phrases) for part in listed.parts),
        missing=tuple(_wanting(one, names, phrases) for one in listed.wanting),
        notes=(words("parts.rules", waste=phrases.format.percent(float(listed.waste))), words("parts.heat")),
    )


def what_of(part: Part, phrases: Phrases) -> str:
    """What a part is, so that it can be bought."""
    words, amount = phrases.words, phrases.marked
    said: dict[str, object] = {
        "size": phrases.format.written(part.size).replace(" mm²", "\u00a0mm²"),
        "colour": _colour(part.colour, phrases),
        "stud": part.stud,
    }
    if part.kind in ("element", "other"):
        return part.what
    if part.kind == "cable" and part.insulation is not None:
        return words("parts.what.cable", insulation=f"{part.insulation:g} °C", **said)
    if part.kind == "cable":
        return words("parts.what.cable_plain", **said)
    if part.kind == "lug" and part.hole is not None:
        return words("parts.what.lug", hole=amount(part.hole, "m"), **said)
    if part.kind in ("fuse", "breaker", "holder"):
        text = words(
            f"parts.what.{part.kind}",
            type=words(f"remedy.type.{part.what}"),
            rating=amount(part.rating, "A") if part.rating is not None else "",
            volts=amount(part.volts, "V") if part.volts is not None else "",
        )
        pairs = [
            words("parts.breaks", amps=amount(amps, "A"), volts=amount(volts, "V"))
            for volts, amps in part.breaks
        ]
        return ", ".join([text, *pairs])
    return words(f"parts.what.{part.kind}", **said)


def _colour(colour: str, phrases: Phrases) -> str:
    known = ("red", "black", "green-yellow")
    return phrases.words(f"parts.colour.{colour}") if colour in known else colour


def _row(part: Part, names: Names, phrases: Phrases) -> PartView:
    words = phrases.words
    spare = "waste" if part.metres else "spare"
    return PartView(
        group=words(f"parts.group.{part.kind}"),
        what=what_of(part, phrases),
        quantity=quantity(part.total, phrases, metres=part.metres),
        of_which=words(f"parts.{spare}", n=quantity(part.spare, phrases, metres=part.metres))
        if part.spare
        else "–",
        uses=_uses(part, names, phrases),
    )


def quantity(number: Decimal, phrases: Phrases, *, metres: bool) -> str:
    """Pieces, or metres with a digit for the decimetre and more where they are needed."""
    if not metres:
        return phrases.words("parts.pieces", n=phrases.format.number(number.to_integral_value()))
    value = number / 1000
    shown = value.quantize(Decimal("0.1")) if value == value.quantize(Decimal("0.1")) else value.normalize()
    return f"{phrases.format.number(shown)}\u00a0m"


def _uses(part: Part, names: Names, phrases: Phrases) -> str:
    if part.kind == "other":
        return phrases.words("parts.for", name=part.uses[0].element)
    found: dict[str, None] = dict.fromkeys(_use(part, use, names, phrases) for use in part.uses)
    shown = list(found)[:FIRST_USES]
    if len(found) > FIRST_USES:
        shown.append(phrases.words("parts.more", n=len(found) - FIRST_USES))
    return "; ".join(shown)


def _use(part: Part, use: Use, names: Names, phrases: Phrases) -> str:
    name = names.of(use.element)
    if part.kind == "cable":
        return f"{name} {quantity(Decimal(use.count), phrases, metres=True)}"
    if use.at and part.kind != "sleeve":
        return phrases.words("parts.at", name=name, at=names.of(use.at))
    return name


def _wanting(one: Wanting, names: Names, phrases: Phrases) -> str:
    return phrases.words(
        "parts.wanting",
        name=names.of(one.element) if not one.at else phrases.words("parts.at", name=names.of(one.element), at=names.of(one.at)),
        why=phrases.words(f"remedy.lacks.{one.why}"),
    )  # fmt: skip

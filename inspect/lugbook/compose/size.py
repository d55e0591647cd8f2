"""The answer of `lugbook size` -> lines for a terminal, and data for programs."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Decimal
from typing import Any

from lugbook.compose.size_data import size_data
from lugbook.model.evidence import SAME, Evidence
from lugbook.model.sizing import Answer, Bounding, Choice, FarEnd, Lug, Placing, Question, Rejected
from lugbook.words.catalogue import Words
from lugbook.words.numbers import SYMBOLS, Formatter

WIDTH, LABEL = 98, 15
ROUND = {"near": ROUND_HALF_EVEN, "up": ROUND_CEILING, "down": ROUND_FLOOR}
# Unit in SI -> factor and unit in print.
PRINTED = {"m2": (1e6, "mm2"), "ratio": (1.0, ""), "count": (1.0, "")}


@dataclass(frozen=True, slots=True)
class SizeView:
    """The finished answer."""

    lines: tuple[str, ...]
    data: dict[str, Any]


def compose_size(answer: Answer, words: Words) -> SizeView:
    """Put the answer into words."""
    return SizeView(tuple(_Text(answer, words).lines()), size_data(answer, words("size.precedence")))


def printed(value: float, unit: str, words: Words, way: str = "near", digits: int = 3) -> str:
    """A value with its unit to three figures, such as `69.7 A` or `2.8 kA`; holes in tenths of a millimetre.

    `way`: what bounds something is rounded to the side that promises less, limits and what a thing stands `down`,
    what is needed or may come `up`. Then no figure in print meets a limit that the computed one misses.
    """
    factor, symbol = PRINTED.get(unit, (1.0, unit))
    value *= factor
    if unit in ("A", "W") and abs(value) >= 1000:
        value, symbol = value / 1000, f"k{unit}"
    elif unit == "m" and abs(value) < (1 if digits > 3 else 0.1):
        value, symbol = value * 1000, "mm"
    elif unit == "ohm" and abs(value) < 1:
        value, symbol = value * 1000, "mohm"
    exact = Decimal(repr(round(value, 9)))
    if exact:
        step = Decimal(1).scaleb(exact.adjusted() - digits + 1)
        exact = exact.quantize(min(step, Decimal(1)), ROUND[way])
    exact = exact.quantize(Decimal(1)) if exact == exact.to_integral() else exact.normalize()
    number = Formatter(words.locale).number(exact)
    sign = SYMBOLS.get(symbol, symbol)
    return f"{number} {sign}" if sign else number


class _Text:
    def __init__(self, answer: Answer, words: Words) -> None:
        self.answer, self.words = answer, words

    def say(self, key: str, **values: object) -> str:
        return self.words(f"size.{key}", **values)

    def amount(self, value: float, unit: str, way: str = "near") -> str:
        return printed(value, unit, self.words, way)

    def lines(self) -> Iterator[str]:
        """Everything that is printed, line by line."""
        if self.answer.missing:
            yield self.say("undecided")
            for missing in self.answer.missing:
                yield from self.row("", self.say(f"missing.{missing.what}", give=missing.give))
            yield from self.row("", self.say("no_figures"))
            return
        choices = self.answer.choices
        for choice in choices:
            yield self.headline(choice)
        yield ""
        yield from self.row(self.say("label.asked"), self.asked())
        for n, choice in enumerate(choices):
            yield ""
            yield f"{choice.basis}: {choice.title}"
            yield from self.block(choice, n)
        yield ""
        yield from self.common()

    def row(self, label: str, text: str) -> Iterator[str]:
        yield from textwrap.wrap(
            text,
            WIDTH,
            initial_indent=f"  {label:{LABEL}}",
            subsequent_indent=" " * (LABEL + 2),
            break_long_words=False,
            break_on_hyphens=False,
        )

    def size(self, label: str) -> str:
        return label.replace(" mm2", " mm²")

    def headline(self, choice: Choice) -> str:
        end = f"   [{choice.basis}]"
        if choice.blocked == "no fuse":
            low, high = self.tightest(choice)
            return self.say("no_fuse", low=low, high=high) + end
        if choice.blocked:
            last = choice.rejected[-1]
            return self.say("no_size", size=self.size(last.size), why=self.why(last)) + end
        text = self.say("answer", size=self.size(choice.size), fuse=self.amount(choice.rating, "A"))
        if len(choice.ratings) > 1:
            last_rating = self.amount(choice.ratings[-1], "A")
            text += self.say("range", low=self.amount(choice.ratings[0], "A"), high=last_rating)
        return text + end

    def tightest(self, choice: Choice) -> tuple[str, str]:
        low = max(choice.least, key=lambda b: b.value)
        others = [b for b in choice.most if b.rule not in ("conductor", "far end")] or list(choice.most)
        high = min(others, key=lambda b: b.value)
        return self.bounding(low, "up"), self.bounding(high, "down")

    def bounding(self, bound: Bounding, way: str) -> str:
        value = self.amount(bound.value, "A", way)
        key = (
            f"{bound.rule}, {'corrected' if bound.corrected else 'table'}"
            if bound.rule == "conductor"
            else bound.rule
        )
        share = bound.factor or 1.0
        factor = (
            self.amount(100 * share, "%") if bound.rule == "continuous load" else self.amount(share, "ratio")
        )
        base = self.amount(bound.base or 0.0, "A", "down")
        step = ""
        if bound.rule == "conductor" and bound.base and bound.value > share * bound.base * (1 + SAME):
            # The next standard size, as the clause says: the product comes to less.
            step, value = f"{value}: ", self.amount(share * bound.base, "A", way)
        return step + self.say(
            f"bound.{key}",
            value=value,
            factor=factor,
            base=base,
            amperes=self.amount(self.answer.amperes, "A", "up"),
        )

    def known(self, clause: str, known: str) -> str:
        """The clause with how its figure is known; of common practice and makers nothing is to be read."""
        plain = clause == "common practice" or clause.endswith("no source") or clause.startswith("the maker")
        return f" [{clause}]" if plain else f" [{clause}; {self.say(f'known.{known}')}]"

    def asked(self) -> str:
        question = self.answer.question
        load = self.amount(self.answer.amperes, "A")
        if question.power is not None:
            power = self.amount(question.power.value, "W")
            load = self.say("inverter" if question.inverter else "power", amperes=load, power=power)
        place = self.say(f"place.{question.place}")
        if question.ambient is not None:
            place += f" {self.say('at', value=self.amount(question.ambient.value, 'degC'))}"
        parts = [
            self.say("for", load=load, duty=self.say(f"duty.{question.duty}")),
            self.say(
                "length", one=self.amount(question.one_way, "m"), both=self.amount(2 * question.one_way, "m")
            ),
            self.amount(question.system.value, "V"),
            self.insulated(question),
            place,
        ]
        if question.bundle is not None:
            parts.append(self.words.count("size.bundle", question.bundle))
        parts.append(self.say("critical" if question.critical else "not_critical"))
        return ", ".join(parts)

    def insulated(self, question: Question) -> str:
        value = self.amount(question.insulation.value, "degC")
        if question.material is None:
            return self.say("insulation", value=value)
        return self.say("material", material=self.say(f"materials.{question.material}"), value=value)

    def block(self, choice: Choice, n: int) -> Iterator[str]:
        if choice.blocked:
            yield from self.fuse(choice, conductor=choice.blocked == "no size")
            key = "or_no_fuse" if choice.blocked == "no fuse" else "or_no_size"
            yield from self.row(self.say("label.or"), self.say(key))
            return
        assert choice.ampacity is not None
        assert choice.far is not None
        yield from self.row(self.say("label.carries"), self.carries(choice.ampacity, choice.column))
        if choice.drop is not None:
            yield from self.row(self.say("label.drop"), self.drop(choice.drop, limited=choice.drop_limited))
        yield from self.fuse(choice, conductor=True)
        yield from self.row(self.say("label.kind"), self.kind(choice, n))
        for placing in choice.places:
            yield from self.row(self.say("label.place"), self.place(placing))
        yield from self.row(self.say("label.far"), self.far(choice.far, choice.rating))
        for lug in choice.lugs:
            yield from self.row(self.say("label.lug"), self.lug(lug))
        if not choice.lugs:
            yield from self.row(self.say("label.lug"), self.say("no_lug"))
        if choice.rejected:
            yield from self.row(self.say("label.smaller"), self.why(choice.rejected[-1]))

    def fuse(self, choice: Choice, *, conductor: bool) -> Iterator[str]:
        """What bounds the fuse, the tightest first."""
        for bound in sorted(choice.least, key=lambda b: -b.value):
            yield from self.row(
                self.say("label.least"),
                f"{self.bounding(bound, 'up')}{self.known(bound.clause, bound.known)}",
            )
        for bound in sorted(choice.most, key=lambda b: b.value):
            if conductor or bound.rule not in ("conductor", "far end"):
                yield from self.row(
                    self.say("label.most"),
                    f"{self.bounding(bound, 'down')}{self.known(bound.clause, bound.known)}",
                )
        if self.answer.question.no_max_fuse:
            yield from self.row(self.say("label.most"), self.say("no_maker"))

    def place(self, placing: Placing) -> str:
        distance = printed(placing.distance, "m", self.words, "down", digits=4)
        text = self.say(
            f"placed.{placing.source}",
            distance=distance,
            condition=self.say(f"condition.{placing.condition}"),
        )
        return text + self.known(placing.clause, placing.known)

    def lug(self, lug: Lug) -> str:
        bore = self.say("bore", value=self.amount(lug.bore, "m")) if lug.bore else ""
        most = (
            self.say("hole_most", value=self.amount(lug.most, "m", "down"), clause=lug.clause)
            if lug.most
            else ""
        )
        return self.say(
            "lug", stud=lug.stud, barrel=self.size(lug.barrel), bore=bore, hole=self.amount(lug.hole, "m"), most=most,
            end=self.say(f"end.{lug.end}"),
        )  # fmt: skip

    def carries(self, one: Evidence, column: float) -> str:
        inputs = {value.symbol: value for value in one.inputs}
        table, physics = one.alternatives
        governs = inputs["Fa"] if table.used else inputs["Fp"]
        bundle = inputs["Fb"].low
        text = self.say(
            "carries", value=self.amount(min(table.value, physics.value), "A", "down"),
            tabulated=self.amount(inputs["It"].low, "A"), ambient=self.amount(governs.low, "ratio"),
            bundle=f" × {self.amount(bundle, 'ratio')}" if bundle != 1 else "", at=self.amount(inputs["Ta"].high, "degC"),
        )  # fmt: skip
        other = self.say(
            "by_physics" if table.used else "by_table",
            value=self.amount((physics if table.used else table).value, "A", "down"),
        )
        return f"{text}; {other} [{inputs['It'].source}, {self.say('column', value=self.amount(column, 'degC'))}]"

    def drop(self, one: Evidence, *, limited: bool) -> str:
        volts = self.answer.question.system.value
        inputs = {value.symbol: value for value in one.inputs}
        assert one.limit is not None
        text = self.say(
            "drop", value=self.amount(one.high, "V", "up"), percent=self.amount(100 * one.high / volts, "%", "up"),
            low=self.amount(one.low, "V", "down"), at=self.amount(inputs["t(feed)"].high, "degC"),
        )  # fmt: skip
        share = self.amount(100 * one.limit.value / volts, "%", "down")
        limit = self.amount(one.limit.value, "V", "down")
        text += (
            self.say("limit", limit=limit, share=share)
            if limited
            else self.say("no_limit", limit=limit, share=share)
        )
        text += self.known(one.limit.clause, one.limit.known) if limited else ""
        return text + self.say("by_standard", value=self.amount(one.alternatives[1].value, "V"))

    def kind(self, choice: Choice, n: int) -> str:
        fault, blade = self.answer.fault, self.answer.classes[n]
        assert fault is not None
        breaks, volts = self.amount(fault.most, "A", "up"), self.amount(fault.volts, "V", "up")
        text = self.say("breaks", amperes=breaks, volts=volts)
        return text + self.say(
            f"blade.{blade.fits}{'.' + blade.why if blade.why else ''}",
            rating=self.amount(choice.rating, "A"),
        )

    def far(self, far: FarEnd, rating: float) -> str:
        text = self.say(
            "far",
            amperes=self.amount(far.least, "A", "down"),
            times=self.amount(far.multiple, "ratio", "down"),
            rating=self.amount(rating, "A"),
        )
        if far.opens is not None:
            text += self.say("opens", seconds=self.amount(far.opens, "s", "up"))
        else:
            text += self.say("opens_unknown")
        if far.stands is None:
            text += self.say("stands_unknown")
        else:
            text += self.say(
                "stands_longer" if far.longer else "stands", seconds=self.amount(far.stands, "s", "down")
            )
        return text + (self.say("solid_only") if far.solid_only else "")

    def why(self, one: Rejected) -> str:
        # Away from each other, so that the figures show what they are said to show.
        ways = ("up", "down") if one.reason == "drop" else ("down", "up")
        has, needs = (
            self.amount(v.value, v.unit, way) for v, way in zip((one.has, one.needs), ways, strict=True)
        )
        needs = self.size(one.least) or needs
        return self.say(f"why.{one.reason}", size=self.size(one.size), has=has, needs=needs)

    def common(self) -> Iterator[str]:
        answer, question = self.answer, self.answer.question
        fault = answer.fault
        assert fault is not None
        yield from self.row(self.say("label.fault"), self.say(
            f"fault.{fault.how}", amperes=self.amount(fault.most, "A", "up"), volts=self.amount(fault.volts, "V", "up"),
            assumed=self.say("volts_assumed") if fault.volts_assumed else "",
            upstream=self.say("upstream", value=self.amount(question.upstream.value, "ohm")) if question.upstream else "",
            low=self.amount(fault.resistance[0], "ohm", "down"), high=self.amount(fault.resistance[1], "ohm", "up"), clause=fault.clause,
        ))  # fmt: skip
        assumed = list(answer.assumptions)
        if not question.duty_said:
            assumed.append(self.say("duty_assumed"))
        if fault.how == "cranking" and question.cca_standard == "not known":
            assumed.append(self.say("standard_assumed"))
        if question.inverter and (question.efficiency is None or question.lowest is None):
            assumed.append(self.say("inverter_assumed"))
        if assumed:
            yield from self.row(self.say("label.assumed"), " ".join(assumed))
        cautions = [self.say("caution.fuse")]
        if question.upstream is not None:
            cautions.append(self.say("caution.upstream"))
        if question.source != "battery":
            cautions.append(self.say("caution.charging"))
        if question.chemistry == "lithium":
            cautions.append(self.say("caution.lithium"))
        if question.power is not None and not question.inverter:
            cautions.append(self.say("caution.power"))
        cautions.append(self.say("caution.bridge"))
        yield from self.row(self.say("label.mind"), " ".join(cautions))
        yield from self.row("", self.say("precedence"))

"""The smallest standard conductor and its fuse: tried size by size with the report's own analyses.

A size is taken when every piece of evidence that the report would give for such a circuit is 'within', in the worse
case of all that was assumed, and a short at its far end opens the fuse within seconds.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Literal

from lugbook.assess import sizing_fault as faults
from lugbook.assess.evidence.base import Under, grounds, under
from lugbook.assess.evidence.coordination import SURE_TO_OPEN
from lugbook.assess.evidence.coverage import rules
from lugbook.assess.evidence.design import design
from lugbook.assess.evidence.draws import load_current
from lugbook.assess.evidence.limits import SAME
from lugbook.assess.evidence.poles import poles
from lugbook.assess.evidence.run import evidence
from lugbook.assess.evidence.voltage_drop import voltage_drop
from lugbook.assess.sizing_trial import FEED, LOAD, Size, current, sizes, stands, table, trial
from lugbook.calc import loads, termination
from lugbook.calc.ampacity import column_for
from lugbook.calc.conductor import awg_area
from lugbook.model.basis import Basis
from lugbook.model.evidence import Amount, Circumstances, Evidence
from lugbook.model.network import Conductor, Load, Network
from lugbook.model.sizing import (
    MOST_CURRENT,
    Answer,
    Bounding,
    Choice,
    FaultSource,
    Lug,
    Placing,
    Question,
    Refusal,
    Rejected,
)

# Ratings that can be bought: blade fuse-links and the larger American series.
RATINGS = tuple(sorted({*loads.STANDARD_BLADE, *loads.STANDARD_NEC}))
# No boat is named, so no basis binds it, whatever the day: every limit is one of good practice.
NOWHERE = Circumstances(on=date.min)
PRACTICE = "common practice, no source"


def _judged(network: Network, basis: Basis) -> tuple[Evidence, ...]:
    """The evidence that a size hangs on. `sizing_fault` answers for shorts: the trial's fuse does not exist."""
    return evidence(network, (basis,), NOWHERE, shorts=False)


def suits(question: Question, bases: Sequence[Basis]) -> tuple[Refusal, ...]:
    """What the bases chosen do not speak of, and a power that draws more than is sized here."""
    found = []
    amperes = current(question)
    if amperes is None and question.power is not None:
        amperes = question.power.value / question.system.value
    if amperes is not None and amperes > MOST_CURRENT and question.power is not None:
        written_as = f"'{question.power.number} {question.power.unit}'"
        found.append(
            Refusal("power", f"{written_as} draws {amperes:.0f} A here", f"at most {MOST_CURRENT:g} A")
        )
    for basis in bases:
        if not basis.limits.ampacity:
            found.append(Refusal("basis", f"'{basis.id}' has no ampacity table", "choose another"))
            continue
        lowest, written = min(table(basis, question).ratings), question.insulation
        if written.value < lowest:
            found.append(Refusal(
                "insulation", f"'{written.number} {written.unit}' is below the table of '{basis.id}'", f"it begins at {lowest} degC",
            ))  # fmt: skip
        momentary = stands(question, sizes(basis, question)[0].area)
        if momentary is not None and written.value >= momentary - SAME:
            found.append(Refusal(
                "material", f"'{question.material}' cannot be rated for {written.number} {written.unit}: in a short it stands {momentary:g} degC for a moment",
                "read the rating and the material off the insulation once more",
            ))  # fmt: skip
        most = basis.applies.below_volts
        if most is not None and question.system.value > most.value:
            found.append(Refusal(
                "system", f"'{question.system.number} {question.system.unit}' is above what '{basis.id}' speaks of", f"at most {most.number} {most.unit}",
            ))  # fmt: skip
    return tuple(found)


def answer(question: Question, bases: tuple[Basis, ...], practice: Basis) -> Answer:
    """The answer under each basis, in their order; without figures where something has to be known first.

    `practice` is the shipped good practice: its estimates stand in where a basis has none.
    """
    if question.missing:
        return Answer(question, question.missing, 0.0, None, (), (), ())
    found = faults.source(question, (*bases, practice))
    choices = tuple(_choice(question, basis, practice, found) for basis in bases)
    classes = tuple(faults.blade(found, choice.rating or 1.0) for choice in choices)
    network = trial(question, sizes(bases[0], question)[0], 1.0)
    sentences = dict.fromkeys(assumption.default.sentence for assumption in network.assumptions)
    return Answer(question, (), _amperes(network), found, classes, choices, tuple(sentences))


def _amperes(network: Network) -> float:
    load = network.edges[LOAD]
    assert isinstance(load, Load)
    return load_current(network, poles(network), load).amperes


@dataclass(frozen=True, slots=True)
class _Tried:
    """One size: what bounds its fuse, the ratings within, those that a far short opens, and the evidence."""

    size: Size
    network: Network
    here: Under
    least: tuple[Bounding, ...]
    most: tuple[Bounding, ...]
    window: tuple[float, ...]
    ratings: tuple[float, ...]
    short: float
    every: tuple[Evidence, ...]


def _choice(question: Question, basis: Basis, practice: Basis, found: FaultSource) -> Choice:
    rejected: list[Rejected] = []
    tried: _Tried | None = None
    for size in sizes(basis, question):
        tried = _try(question, basis, found, size)
        reason = _reason(question, basis, tried)
        if reason is None:
            return _made(question, basis, practice, found, tried, rejected)
        rejected.append(reason)
    assert tried is not None
    fixed = min((b.value for b in tried.most if b.rule not in ("conductor", "far end")), default=float("inf"))
    none = max(b.value for b in tried.least) > fixed or not _standard(
        max(b.value for b in tried.least), fixed
    )
    return Choice(
        basis.id, basis.title, basis.binds, "", 0.0, 0.0, (), tried.least, tried.most, (), 0.0, None, None, False, None, (),
        tuple(rejected), "no fuse" if none else "no size", (),
    )  # fmt: skip


def _standard(low: float, high: float) -> tuple[float, ...]:
    return tuple(r for r in RATINGS if low * (1 - 1e-9) <= r <= high * (1 + 1e-9))


def _try(question: Question, basis: Basis, found: FaultSource, size: Size) -> _Tried:
    network = trial(question, size, 1.0)
    here = under(grounds(network, NOWHERE), basis)
    least, most = _least(question, basis, _amperes(network)), _most(question, here, _amperes(network))
    window = _standard(max(b.value for b in least), min(b.value for b in most))
    short = faults.far_end(question, found, _feed(network), 1.0).least
    ratings = tuple(rating for rating in window if short >= SURE_TO_OPEN * rating)
    if len(ratings) < len(window):
        most = (*most, Bounding("far end", short / SURE_TO_OPEN, PRACTICE, "recalled", SURE_TO_OPEN))
    every = _judged(trial(question, size, window[0] if window else 1.0), basis)
    return _Tried(size, network, here, least, most, window, ratings, short, every)


def _least(question: Question, basis: Basis, amperes: float) -> tuple[Bounding, ...]:
    found = [Bounding("design current", amperes, PRACTICE, "recalled")]
    rule = basis.limits.continuous_load
    if rule is not None and question.duty == "continuous":
        share = rule.share.value
        value = loads.rating_for_continuous(current=amperes, fraction=share)
        found.append(Bounding("continuous load", value, rule.clause, rule.known, share))
    device = basis.limits.charging_device
    if device is not None and device.least is not None and _charging(question, device.exempt):
        value = device.least * amperes
        found.append(Bounding("charging output, least", value, device.clause, device.known, device.least))
    return tuple(found)


def _charging(question: Question, exempt: Sequence[str]) -> bool:
    return question.source != "battery" and not (question.self_limited and "self-limited" in exempt)


def _most(question: Question, here: Under, amperes: float) -> tuple[Bounding, ...]:
    entry = here.allowed[FEED]
    clause, known = (entry.rule.clause, entry.rule.known) if entry.rule else (PRACTICE, "recalled")
    factor, corrected = (entry.rule.factor, entry.rule.corrected) if entry.rule else (1.0, True)
    if entry.low > factor * entry.ampacity[0] * (1 + SAME):
        clause = f"{clause}, which allows the next standard size"
    found = [Bounding("conductor", entry.low, clause, known, factor, entry.ampacity[0], corrected)]
    if question.max_fuse is not None:
        found.append(Bounding("maker", question.max_fuse.value, "the maker's largest fuse", "read"))
    elif question.stall is not None:
        value = question.stall.value / SURE_TO_OPEN
        found.append(Bounding("stall", value, PRACTICE, "recalled", SURE_TO_OPEN))
    device = here.basis.limits.charging_device
    if device is not None and device.most is not None and _charging(question, device.exempt):
        value = device.most * amperes
        found.append(Bounding("charging output, most", value, device.clause, device.known, device.most))
    return tuple(found)


def _reason(question: Question, basis: Basis, tried: _Tried) -> Rejected | None:
    """The first reason against a size."""
    size = tried.size
    smallest = _smallest(question, basis)
    if size.area < smallest * (1 - 1e-9):
        least = next((s.label for s in sizes(basis, question) if s.area >= smallest * (1 - 1e-9)), "")
        return Rejected(size.label, "smallest", Amount(size.area, "m2"), Amount(smallest, "m2"), least)
    amperes, bad = _amperes(tried.network), [one for one in tried.every if one.verdict != "within"]
    for one in bad:
        if one.analysis == "ampacity":
            has = one.limit.value if one.limit else 0.0
            return Rejected(size.label, "ampacity", Amount(has, "A"), Amount(amperes, "A"))
    for one in bad:
        if one.analysis == "voltage drop" and one.limit is not None:
            return Rejected(size.label, "drop", Amount(one.high, "V"), Amount(one.limit.value, "V"))
    if not tried.window or bad:
        low, high = max(b.value for b in tried.least), min(b.value for b in tried.most)
        return Rejected(size.label, "fuse", Amount(high, "A"), Amount(low, "A"))
    if not tried.ratings:
        needs = SURE_TO_OPEN * tried.window[0]
        return Rejected(size.label, "far end", Amount(tried.short, "A"), Amount(needs, "A"))
    return None


def _smallest(question: Question, basis: Basis) -> float:
    """The smallest area that the basis allows [m2]."""
    rule = basis.limits.smallest_conductor
    if rule is None or (rule.longer_than is not None and question.one_way <= rule.longer_than.value):
        return 0.0
    area, gauge = (rule.sheathed, rule.sheathed_awg) if question.sheathed else (rule.alone, rule.alone_awg)
    return area.value if area is not None else awg_area(gauge=gauge) if gauge is not None else 0.0


def _feed(network: Network) -> Conductor:
    feed = network.edges[FEED]
    assert isinstance(feed, Conductor)
    return feed


def _made(
    question: Question,
    basis: Basis,
    practice: Basis,
    found: FaultSource,
    tried: _Tried,
    rejected: list[Rejected],
) -> Choice:
    size, rating = tried.size, tried.ratings[0]
    ratings = tuple(
        r
        for r in tried.ratings
        if all(one.verdict == "within" for one in _judged(trial(question, size, r), basis))
    )
    limited = basis.limits.voltage_drop is not None
    drop = next((one for one in tried.every if one.analysis == "voltage drop"), None) or _drop(
        tried, practice
    )
    return Choice(
        basis=basis.id,
        title=basis.title,
        binds=basis.binds,
        size=size.label,
        area=size.area,
        rating=rating,
        ratings=ratings,
        least=tried.least,
        most=tried.most,
        places=_places(question, tried.here),
        column=column_for(ratings=table(basis, question).ratings, rating=question.insulation.value),
        ampacity=next(one for one in tried.every if one.analysis == "ampacity" and one.subject == FEED),
        drop=drop,
        drop_limited=limited,
        far=faults.far_end(question, found, _feed(tried.network), rating),
        lugs=tuple(_lug(end, stud, size, basis) for end, stud in (("from", question.from_stud), ("to", question.to_stud)) if stud),
        rejected=tuple(rejected),
        blocked="",
        evidence=tried.every,
    )  # fmt: skip


def _places(question: Question, here: Under) -> tuple[Placing, ...]:
    """Where the fuse stands: from the battery, and from a charging source that may not limit itself."""
    begins: Literal["battery", "reduction"] = "reduction" if question.upstream else "battery"
    found = [
        Placing(begins, rule.distance.value, rule.condition, rule.clause, rule.known)
        for rule in rules(here, begins)
    ]
    if question.source != "battery":
        kind = "alternator" if question.source == "alternator" else "charger"
        found += [
            Placing("charging source", rule.distance.value, rule.condition, rule.clause, rule.known)
            for rule in rules(here, kind)
            if not (question.self_limited and "self-limited" in rule.exempt)
        ]
    return tuple(found)


def _drop(tried: _Tried, practice: Basis) -> Evidence | None:
    """The drop under a basis that sets no limit for it: computed alike, against the limit of good practice."""
    limits = tried.here.basis.limits.model_copy(update={"voltage_drop": practice.limits.voltage_drop})
    here = under(tried.here.grounds, replace(tried.here.basis, limits=limits))
    return next(iter(voltage_drop(here, design(here.grounds))), None)


def _lug(end: str, stud: str, size: Size, basis: Basis) -> Lug:
    rule = basis.limits.lug_hole
    nominal = round(size.area * 1e6, 6)
    return Lug(
        end="from" if end == "from" else "to",
        stud=stud,
        barrel=size.label,
        bore=termination.BARREL_DIAMETER.get(nominal) if size.awg is None else None,
        hole=termination.clearance_hole(stud=stud, series="fine"),
        most=termination.clearance_hole(stud=stud, series=rule.series) if rule else None,
        clause=rule.clause if rule else "",
    )

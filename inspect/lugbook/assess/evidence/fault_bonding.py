"""Bonding and earthing conductors against the largest device that can feed a fault onto them.

A live conductor that touches a body sends its current home through the bonding. What the largest device on the way
lets through, the bonding has to stand. Live cables without any device are named beside it: nothing would stop those.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isinf

from lugbook.assess.evidence.base import assumed, entered, exposure, size_inputs
from lugbook.assess.evidence.circuit import place
from lugbook.assess.evidence.fault_clearing import Clearing, Ending
from lugbook.assess.evidence.fault_heating import CLAUSE, FORMULA, brief, when
from lugbook.assess.evidence.fault_points import Point, k_of, point
from lugbook.assess.evidence.faults import Faults, Figure, assumptions, main_section
from lugbook.assess.evidence.faults import wanted as sources_wanted
from lugbook.assess.evidence.limits import practice as common
from lugbook.calc.heating import ADIABATIC_LIMIT, LET_THROUGH_LIMIT
from lugbook.model.evidence import Amount, Evidence, Input, Sentence, Verdict
from lugbook.model.network import Conductor


@dataclass(frozen=True, slots=True)
class Onto:
    """A fault from a live node onto the bonding: the figure of the bonding's current, and how it ends."""

    at: str
    figure: Figure
    points: tuple[Point, ...]

    @property
    def rating(self) -> float:
        """The rating of the device that ends it; zero without one."""
        device = next((p.ending.device for p in self.points if p.ending.device is not None), None)
        return device.rating if device else 0.0

    @property
    def amperes(self) -> float:
        """The largest current."""
        return max((p.amperes for p in self.points), default=0.0)


def fault_bonding(found: Faults) -> tuple[Evidence, ...]:
    """Evidence for each bonding or earthing conductor that a live part could send its fault current through."""
    clearing = Clearing(found)
    made = []
    for one in found.network.conductors:
        if one.use != "bond":
            continue
        section = main_section(found.cut, one).id
        onto = [
            Onto(at, figure, _points(clearing, one, figure))
            for (strap, at), figure in found.bonds.items()
            if strap == section
        ]
        behind = max((o for o in onto if o.rating > 0), key=lambda o: (o.rating, o.amperes), default=None)
        bare = max((o for o in onto if _bare(o)), key=lambda o: o.amperes, default=None)
        if behind is not None or bare is not None:
            made.append(_evidence(found, one, behind, bare))
    return tuple(made)


def _bare(onto: Onto) -> bool:
    return any(isinf(p.ending.seconds) and p.ending.device is None for p in onto.points)


def _points(clearing: Clearing, one: Conductor, figure: Figure) -> tuple[Point, ...]:
    made = []
    for case, held in sorted(figure.held.items()):
        ending: Ending = clearing.ends(held.short, held.short.at, "", 1.0)
        if ending.seconds > 0:
            made.append(point(one, held.amperes, ending, sure=case == "sure"))
    return tuple(made)


def _evidence(found: Faults, one: Conductor, behind: Onto | None, bare: Onto | None) -> Evidence:
    onto = behind or bare
    assert onto is not None
    points = onto.points
    stands = [p.stands for p in points if p.stands is not None]
    shortest, longest = (min(stands), max(stands)) if stands else (0.0, 0.0)
    low, high = min(p.amperes for p in points), max(p.amperes for p in points)
    seconds = max(p.ending.seconds for p in points)
    verdict = _verdict(found, one, behind, points)
    held = onto.figure.held.get("most") or next(iter(onto.figure.held.values()))
    known = seconds if LET_THROUGH_LIMIT <= seconds <= ADIABATIC_LIMIT else ADIABATIC_LIMIT
    return Evidence(
        "fault heating", "bonding", one.id, one.path, one.id, "bonding-sound", "",
        min(shortest, ADIABATIC_LIMIT), min(longest, ADIABATIC_LIMIT), "s",
        _inputs(one, onto, low, high), FORMULA, ("t = k²S²/I² = ", Amount(shortest, "s"), " to ", Amount(longest, "s")),
        common(known, "s", CLAUSE, "at least"), (), verdict,
        _wants(found, one, onto) if verdict == "cannot be decided" else (), None,
        (*assumed(found.network, (one.id,), (one.insulation.assumed, one.momentary.assumed, one.length.assumed)), *assumptions(found, onto.figure)),
        held.net.state.id, held.net.state.named, _says(one, onto, behind, low, high, verdict),
        _notes(one, behind, bare), exposure=exposure(one),
        brief=brief(one, (low, high), (shortest, longest), max(points, key=lambda p: p.ending.seconds)),
    )  # fmt: skip


def _verdict(found: Faults, one: Conductor, behind: Onto | None, points: tuple[Point, ...]) -> Verdict:
    """Without a device only exempt or unfused cables can reach it: coverage judges those, not the bonding."""
    if behind is None:
        return "within"
    statuses = {p.status for p in points}
    if "past" in statuses:
        guessed = not (one.insulation.given and one.length.given and not sources_wanted(found, behind.figure))
        every = all(p.status == "past" for p in points)
        return "departure" if every or not guessed else "cannot be decided"
    return "cannot be decided" if statuses & {"not known", "does not open"} else "within"


def _inputs(one: Conductor, onto: Onto, low: float, high: float) -> tuple[Input, ...]:
    made = [
        *size_inputs(one),
        Input("I", f"current through it of a fault {place(onto.at)}", low, high, "A", "computed", "node equations"),
    ]  # fmt: skip
    k = (
        k_of(one.insulation.high, one.momentary.low),
        k_of(one.insulation.low, one.momentary.low),
    )
    if k[0] is not None and k[1] is not None:
        made.append(Input("k", "adiabatic factor", k[0] / 1e6, k[1] / 1e6, "A√s/mm²", "computed"))
    device = next((p.ending.device for p in onto.points if p.ending.device is not None), None)
    if device is not None:
        made.append(entered("In", f"rating of '{device.id}'", device.rating, "A"))
    return tuple(made)


def _wants(found: Faults, one: Conductor, onto: Onto) -> tuple[str, ...]:
    asked = []
    for p in onto.points:
        if p.status == "not known" and p.ending.device is not None:
            what = "let-through I²t" if p.ending.seconds <= LET_THROUGH_LIMIT else "time-current curve"
            asked.append(f"the {what} of '{p.ending.device.id}', from its maker")
        elif p.status == "does not open" and p.ending.device is not None:
            asked.append(f"whether '{one.id}' carries what '{p.ending.device.id}' never opens for")
    if not one.insulation.given:
        asked.append("the temperature rating printed on the insulation")
    if not one.momentary.given and any(p.stands is None or p.status == "past" for p in onto.points):
        asked.append("the material of the insulation")
    if not one.length.given:
        asked.append("the length of the bonding conductor")
    asked += sources_wanted(found, onto.figure)
    return tuple(dict.fromkeys(asked)) or (f"the temperature that the insulation of '{one.id}' stands",)


def _says(
    one: Conductor, onto: Onto, behind: Onto | None, low: float, high: float, verdict: Verdict
) -> Sentence:
    span: Sentence = (
        (Amount(low, "A"), " to ", Amount(high, "A")) if low < high * 0.995 else (Amount(high, "A"),)
    )
    start: Sentence = (
        f"A live part {place(onto.at)} that touches metal would drive ",
        *span,
        f" through '{one.id}'",
    )
    times = [p.stands for p in onto.points if p.stands is not None]
    limit = f"; its insulation is past its limit {when(min(times), max(times))}" if times else ""
    if behind is None:
        return (*start, limit, ", and nothing would stop it.")
    worst = max(behind.points, key=lambda p: (p.status == "past", p.ending.seconds))
    device = worst.ending.device
    name = f"'{device.id}'" if device else "the device"
    if isinf(worst.ending.seconds):
        return (*start, limit, f"; its least is too little for {name} to open.")
    if worst.ending.seconds > ADIABATIC_LIMIT:
        return (*start, limit, f"; how soon {name}, the largest device that can feed it, opens is not known.")
    end = ", too late for it" if verdict == "departure" else ""
    return (*start, limit, f"; {name}, the largest device that can feed it, opens within ", Amount(worst.ending.seconds, "s"), f"{end}.")  # fmt: skip


def _notes(one: Conductor, behind: Onto | None, bare: Onto | None) -> tuple[Sentence, ...]:
    if behind is None or bare is None:
        return ()
    return (
        (
            f"A cable without a device, {place(bare.at)}, could drive ",
            Amount(bare.amperes, "A"),
            f" through '{one.id}', and nothing would stop it.",
        ),
    )

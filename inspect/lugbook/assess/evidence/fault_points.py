"""The currents of a short that are judged for one conductor, and what each of them does to its insulation."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import isinf
from typing import Literal

from lugbook.assess.evidence.circuit import Section
from lugbook.assess.evidence.fault_clearing import Clearing, Ending, gates
from lugbook.assess.evidence.faults import FED, Faults, Figure, Held, wanted
from lugbook.calc.heating import ADIABATIC_LIMIT, FINAL_TEMPERATURES, LET_THROUGH_LIMIT, k_factor, withstand
from lugbook.model.defaults import Pair
from lugbook.model.evidence import Verdict
from lugbook.model.network import Conductor

# A return conductor that carries less than this share of a short is not its way home.
MAIN = 0.5
Status = Literal["fine", "past", "not known", "does not open"]


@dataclass(frozen=True, slots=True)
class Point:
    """One current of the range: through the conductor [A], when it ends, when the insulation is past its limit [s]."""

    amperes: float
    ending: Ending
    stands: float | None
    status: Status


@dataclass(frozen=True, slots=True)
class Fed:
    """A conductor fed from one end: the short at its far end, the section, and the node that the current comes from."""

    one: Conductor
    section: Section
    start: str
    far: Figure
    near: Held | None


@dataclass(frozen=True, slots=True)
class Heated:
    """A conductor fed from one end, judged."""

    fed: Fed
    points: tuple[Point, ...]
    verdict: Verdict


def k_of(rating: float, momentary: float) -> float | None:
    """The adiabatic factor from the temperature that the insulation is rated for to what it stands for a moment [degC].

    None where the rating is not below that: then nobody knows what it stands.
    """
    return k_factor(initial=rating, final=momentary, metal="copper") if rating < momentary else None


def never(one: Point) -> bool:
    """Whether nothing at all would stop it."""
    return isinf(one.ending.seconds) and one.ending.device is None


def rank(heated: Heated) -> tuple[int, float]:
    order = ("within", "cannot be decided", "departure").index(heated.verdict)
    return order, max((p.ending.seconds for p in heated.points), default=0.0)


def point(one: Conductor, amperes: float, ending: Ending, *, sure: bool) -> Point:
    """Judge one current. `sure`: with the insulation that stands most, where its rating is not known."""
    k = k_of(one.insulation.low if sure else one.insulation.high, one.momentary.low)
    if k is None:
        return Point(amperes, ending, None, "not known")
    area = one.area * one.parallel
    stands = withstand(k=k, area=area) / amperes**2
    return Point(amperes, ending, stands, _status(stands, ending, withstand(k=k, area=area)))


def hangs_on_material(heated: Heated) -> bool:
    """Whether a departure rests on the insulation being taken as PVC: cross-linked insulation would stand it."""
    one = heated.fed.one
    if one.momentary.given or heated.verdict != "departure":
        return False
    linked = FINAL_TEMPERATURES["xlpe"]
    better = replace(one, momentary=Pair(linked, linked))
    return all(point(better, p.amperes, p.ending, sure=False).status == "fine" for p in heated.points)


def _status(stands: float, ending: Ending, bears: float) -> Status:
    """`bears` is the I²t that the insulation stands [A2 s]; what a device lets through is its maker's largest."""
    seconds = ending.seconds
    if isinf(seconds):
        if ending.device is None:
            return "past"
        return "past" if stands <= ADIABATIC_LIMIT else "does not open"
    if seconds > ADIABATIC_LIMIT:  # a gate past 5 s says nothing of a short, nor does none
        return "not known"
    if seconds <= LET_THROUGH_LIMIT:
        if stands >= LET_THROUGH_LIMIT:
            return "fine"
        published = ending.device.let_through if ending.device is not None else None
        if published is None:
            return "not known"
        return "fine" if published <= bears else "past"
    return "fine" if seconds <= stands else "past"


def judge(clearing: Clearing, fed: Fed) -> Heated:
    """All currents of the range that matter: both ends, what is sure, and just before each gate of the device."""
    one, without = fed.one, fed.section.id
    points: list[Point] = []
    past_for_sure = False
    for case, held in sorted(fed.far.held.items()):
        ending = _ending(clearing, fed, held, 1.0)
        points.append(point(one, held.amperes, ending, sure=False))
        if case == "sure" and point(one, held.amperes, ending, sure=True).status == "past":
            past_for_sure = True
    if fed.near is not None:
        short = fed.near.short
        through = abs(short.currents[without]) if without in short.currents else 0.0
        amperes = abs(short.amperes) - through
        if amperes > FED:
            points.append(point(one, amperes, clearing.ends(short, fed.start, without, 1.0), sure=False))
    points += _gates(clearing, fed, points)
    points = [p for p in points if p.ending.seconds > 0]  # no source that could heat it
    statuses = {p.status for p in points}
    verdict: Verdict = "within"
    if past_for_sure:
        verdict = "departure"
    elif statuses & {"past", "not known"}:
        verdict = "cannot be decided"
        if "past" in statuses and not _guessed(clearing.found, fed):
            verdict = "departure"
    if fed.far.unknown and verdict == "within":
        verdict = "cannot be decided"
    return Heated(fed, tuple(points), verdict)


def _ending(clearing: Clearing, fed: Fed, held: Held, scale: float) -> Ending:
    live = {fed.section.a, fed.section.b} - clearing.found.grounds.poles.back
    if live or fed.one.use == "bond":
        return clearing.ends(held.short, fed.start if live else held.short.at, fed.section.id, scale)
    if held.amperes < MAIN * abs(
        held.short.amperes
    ):  # a side way, not the way that the short's current takes
        return Ending(0.0, None, 0.0)
    return clearing.ends(held.short, held.short.at, "", scale)


def _gates(clearing: Clearing, fed: Fed, points: list[Point]) -> list[Point]:
    """Just before the device reaches its next gate it may still take as long as at the last one."""
    held = fed.far.held.get("most")
    low, high = min((p.amperes for p in points), default=0.0), max((p.amperes for p in points), default=0.0)
    device = next((p.ending.device for p in points if p.ending.device is not None), None)
    if held is None or device is None:
        return []
    ending = _ending(clearing, fed, held, 1.0)
    if ending.device is not device or ending.amperes <= 0:
        return []
    more = []
    for multiple in gates(clearing.found, device):
        scale = multiple * device.rating / ending.amperes * (1 - 1e-9)
        if low < held.amperes * scale < high:
            more.append(point(fed.one, held.amperes * scale, _ending(clearing, fed, held, scale), sure=False))
    return more


def _guessed(found: Faults, fed: Fed) -> bool:
    """Whether anything was assumed that could change the verdict."""
    one = fed.one
    return not (one.insulation.given and one.length.given and not wanted(found, fed.far))

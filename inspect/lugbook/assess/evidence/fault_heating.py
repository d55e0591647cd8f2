"""Whether a short is ended before the conductor's insulation is past its limit, from the least current to the largest.

Adiabatic law, I²t <= k²S²: no heat escapes, so it holds up to 5 s; past that the time is 'more than 5 s'. A device
opens by the upper gate of its class at the next lower multiple of its rating. Up to 0.1 s only a published let-through
could tell, unless the whole 0.1 s does no harm.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import isinf

from lugbook.assess.evidence.base import Under, assumed, entered, exposure, size_inputs, wanted
from lugbook.assess.evidence.breaking import capacity, highest_volts
from lugbook.assess.evidence.coverage_rules import sole_cranking
from lugbook.assess.evidence.fault_clearing import NOT_KNOWN, Clearing, Ending
from lugbook.assess.evidence.fault_points import (
    Fed,
    Heated,
    Point,
    hangs_on_material,
    judge,
    k_of,
    never,
    point,
    rank,
)
from lugbook.assess.evidence.faults import FED, Faults, assumptions, main_section
from lugbook.assess.evidence.faults import wanted as sources_wanted
from lugbook.assess.evidence.limits import SAME
from lugbook.assess.evidence.limits import practice as common
from lugbook.assess.evidence.origins import origins
from lugbook.calc.heating import ADIABATIC_LIMIT, LET_THROUGH_LIMIT
from lugbook.model.defaults import DEFAULTS, Assumption
from lugbook.model.evidence import Amount, Evidence, Input, Sentence, Verdict
from lugbook.model.network import Conductor, Device

FORMULA = "t = k² S² / I² until the limit; the device opens by the upper gate of its class"
NEAR_BATTERY = "fuse-near-battery"
TIMES = (
    (0.1, "in under a tenth of a second"),
    (0.5, "in under half a second"),
    (1.0, "in under a second"),
    (2.0, "in under two seconds"),
    (ADIABATIC_LIMIT, "in under five seconds"),
)
CLAUSE = "IEC 60364-4-43, 434.5.2 (recalled): I²t <= k²S², up to 5 s"


def fault_heating(found: Faults, covered: Sequence[Evidence] = ()) -> tuple[Evidence, ...]:
    """Evidence for each conductor that a short can heat, worst end first.

    `covered` is the coverage of the same network: a conductor that nothing protects speaks to the same checklist item.
    """
    clearing = Clearing(found)
    items = _items(covered)
    near = {
        pair.at: figure.held["most"]
        for pair, figure in found.pairs.items()
        if pair.kind == "pole to pole" and "most" in figure.held
    }
    made = []
    for one in found.network.conductors:
        if one.use == "bond":
            continue
        section = main_section(found.cut, one)
        judged = []
        for end, start in ((section.b, section.a), (section.a, section.b)):
            figure = found.ends.get((section.id, end))
            if figure is not None and (figure.held or figure.unknown):
                judged.append(judge(clearing, Fed(one, section, start, figure, near.get(start))))
        worst = max(judged, key=rank, default=None)
        live = one.a not in found.grounds.poles.back or one.b not in found.grounds.poles.back
        # What has no device on the live pole is said there; a side way back is not the way of the short.
        known = worst is not None and worst.points and not any(map(never, worst.points))
        if worst is not None and (live or known):
            made.append(_evidence(found, worst, items.get(one.id, "")))
    return tuple(made)


def _items(covered: Sequence[Evidence]) -> dict[str, str]:
    """By conductor the checklist item that its missing protection speaks to; the one at the battery before all others.

    A path between two banks lacks a device at either end, and each of those ends is at a battery.
    """
    items: dict[str, str] = {}
    for one in covered:
        if one.verdict != "within" and (one.subject not in items or one.item == NEAR_BATTERY):
            items[one.subject] = one.item
    return items


def _evidence(found: Faults, heated: Heated, item: str) -> Evidence:
    fed, one = heated.fed, heated.fed.one
    points = heated.points
    currents = [p.amperes for p in points] or [held.amperes for held in fed.far.held.values()]
    low, high = min(currents, default=0.0), max(currents, default=0.0)
    every = points or [point(one, amperes, Ending(0.0, None, 0.0), sure=False) for amperes in currents]
    stands = [p.stands for p in every if p.stands is not None]
    slowest = max(points, key=lambda p: p.ending.seconds, default=None)
    device = slowest.ending.device if slowest else None
    nothing = any(map(never, points))
    exempt = _exempt(found, one) if nothing else ""
    verdict: Verdict = "within" if exempt else heated.verdict
    held = fed.far.held.get("least") or next(iter(fed.far.held.values()), None)
    state = held.net.state if held else found.grounds.states[0]
    shortest, longest = (min(stands), max(stands)) if stands else (0.0, 0.0)
    seconds = slowest.ending.seconds if slowest else 0.0
    limit = common(ADIABATIC_LIMIT if nothing or seconds >= NOT_KNOWN else seconds, "s", CLAUSE, "at least")
    says = _says(one, heated, low, high, nothing=nothing, exempt=exempt)
    return Evidence(
        "fault heating", "fault heating", one.id, one.path, one.id,
        item or (NEAR_BATTERY if nothing else "fuse-matches-conductor"), "",
        min(shortest, ADIABATIC_LIMIT), min(longest, ADIABATIC_LIMIT), "s",
        (
            *size_inputs(one), *_inputs(one, low, high, slowest),
        ),
        FORMULA,
        ("t = k²S²/I² = ", Amount(shortest, "s"), " to ", Amount(longest, "s")), limit, (), verdict,
        _wants(found, heated) if verdict == "cannot be decided" else (), None,
        _assumed(found, fed), state.id, state.named, says, (*_notes(heated, device, nothing=nothing), *_bursts(found, points)),
        exempt=exempt, exposure=exposure(one), brief=brief(one, (low, high), (shortest, longest), slowest),
    )  # fmt: skip


def brief(
    one: Conductor, current: tuple[float, float], stands: tuple[float, float], slowest: Point | None
) -> Sentence:
    """Copper, adiabatic factor, currents, the time that the insulation stands, and what ends it: a line of a table."""
    k = k_of(one.insulation.high, one.momentary.low)
    factor: Sentence = () if k is None else (", k ", Amount(k / 1e6, "ratio"))
    made: Sentence = (
        Amount(one.area * one.parallel, "m2"), *factor, ", ", Amount(current[0], "A"), " to ", Amount(current[1], "A"),
    )  # fmt: skip
    if stands[0] > ADIABATIC_LIMIT:
        made = (*made, ", limit after more than ", Amount(ADIABATIC_LIMIT, "s"))
    elif stands[1] > ADIABATIC_LIMIT:
        made = (
            *made,
            ", limit after ",
            Amount(stands[0], "s"),
            " to more than ",
            Amount(ADIABATIC_LIMIT, "s"),
        )
    elif stands[1] > 0:
        made = (*made, ", limit after ", Amount(stands[0], "s"), " to ", Amount(stands[1], "s"))
    device = slowest.ending.device if slowest else None
    if slowest is not None and device is not None and slowest.ending.seconds <= ADIABATIC_LIMIT:
        made = (*made, f"; '{device.id}' opens within ", Amount(slowest.ending.seconds, "s"))
    return made


def _inputs(one: Conductor, low: float, high: float, slowest: Point | None) -> tuple[Input, ...]:
    made = [Input("I", "current of the short, least to most", low, high, "A", "computed", "node equations")]
    final = one.momentary.low
    ks = [k_of(one.insulation.high, final), k_of(one.insulation.low, final)]
    if ks[0] is not None and ks[1] is not None:
        made.append(
            Input("k", "adiabatic factor", ks[0] / 1e6, ks[1] / 1e6, "A√s/mm²", "computed", "from the insulation's rating to what it stands for a moment")
        )  # fmt: skip
    if slowest is not None and slowest.ending.device is not None:
        device = slowest.ending.device
        made.append(entered("In", f"rating of '{device.id}'", device.rating, "A"))
        seconds = slowest.ending.seconds
        if seconds < NOT_KNOWN:
            made.append(Input("tc", f"'{device.id}' has opened after", seconds, seconds, "s", "entered" if device.curve else "table", "its maker's curve" if device.curve else "upper gate of its class"))  # fmt: skip
        if device.let_through is not None and seconds <= LET_THROUGH_LIMIT:
            made.append(
                entered("I²t", f"let-through of '{device.id}'", device.let_through, "A2s", "its maker")
            )
    return tuple(made)


def _assumed(found: Faults, fed: Fed) -> tuple[Assumption, ...]:
    one = fed.one
    names = tuple(
        pair.assumed
        for pair in (one.insulation, one.momentary, one.length, one.stranding, one.tinned)
        if not pair.given
    )
    joints = Assumption(DEFAULTS["contact"], one.id, one.path)
    return (*assumed(found.network, (one.id,), names), joints, *assumptions(found, fed.far))


def _wants(found: Faults, heated: Heated) -> tuple[str, ...]:
    asked: list[str] = []
    one = heated.fed.one
    for p in heated.points:
        device = p.ending.device
        if p.status != "not known" or device is None:
            continue
        asked.append(
            f"the let-through I²t of '{device.id}', from its maker"
            if p.ending.seconds <= LET_THROUGH_LIMIT
            else f"the time-current curve of '{device.id}', from its maker"
        )
    if not one.insulation.given:
        asked += wanted(("insulation",))
    if not one.momentary.given and any(p.stands is None or p.status == "past" for p in heated.points):
        asked += wanted((one.momentary.assumed,))
    asked += sources_wanted(found, heated.fed.far)
    if any(p.stands is None for p in heated.points):
        asked.append(f"the temperature that the insulation of '{one.id}' stands in a short")
    return tuple(dict.fromkeys(asked)) or (f"the data of the sources that feed '{one.id}'",)


def when(shortest: float, longest: float) -> str:
    """A time in the words of somebody who is not an engineer; the true one is at most this."""
    soon, late = (
        next((words for limit, words in TIMES if seconds < limit), "after more than five seconds")
        for seconds in (shortest, longest)
    )
    if soon == late:
        return late
    return f"{soon} at the strongest" if longest >= ADIABATIC_LIMIT else f"{late}, at the strongest {soon}"


def _says(one: Conductor, heated: Heated, low: float, high: float, *, nothing: bool, exempt: str) -> Sentence:
    span: Sentence = (
        (Amount(low, "A"), " to ", Amount(high, "A")) if low < high * 0.995 else (Amount(high, "A"),)
    )
    start: Sentence = ("A short here would drive ", *span, f" through '{one.id}'")
    if heated.fed.far.unknown and heated.verdict != "departure":
        banks = ", ".join(f"'{bank}'" for bank in sorted(heated.fed.far.unknown))
        least: Sentence = ("at least ", Amount(low, "A")) if low > FED else ("a current that nobody knows",)
        return (
            "A short here would drive ",
            *least,
            f" through '{one.id}'; what {banks} adds is not known. A fuse is required all the same.",
        )
    if not heated.points:
        return (
            *start,
            "; only sources that limit themselves feed it, so that no fuse would open: what it carries decides.",
        )
    if any(p.stands is None for p in heated.points):
        return (*start, "; what its insulation stands is not known.")
    times = [p.stands for p in heated.points if p.stands is not None]
    limit = f"; its insulation is past its limit {when(min(times), max(times))}"
    if exempt:
        return (*start, limit, f". Exempt by {exempt}; nothing would stop it.")
    if nothing:
        return (*start, limit, ", and nothing would stop it.")
    worst = max(heated.points, key=lambda p: (p.status == "past", p.ending.seconds))
    device = worst.ending.device
    assert device is not None
    if isinf(worst.ending.seconds):
        weak: Sentence = (
            "A short at its far end would drive ", Amount(worst.amperes, "A"), f" through '{one.id}', too little for '{device.id}' (",
            Amount(device.rating, "A"), ") to open",
        )  # fmt: skip
        if worst.status == "past":
            stands = worst.stands or 0.0
            return (*weak, f"; its insulation is past its limit {when(stands, stands)}.")
        return (*weak, ".")
    if worst.ending.seconds > ADIABATIC_LIMIT:
        return (*start, f"{limit}; how soon '{device.id}' opens is not known.")
    ended: Sentence = (f"; '{device.id}' ends it within ", Amount(worst.ending.seconds, "s"))
    if heated.verdict == "departure":
        return (
            *start,
            *ended,
            f", but its insulation is past its limit {when(worst.stands or 0.0, worst.stands or 0.0)}.",
        )
    return (*start, *ended, ".")


def _notes(heated: Heated, device: Device | None, *, nothing: bool) -> tuple[Sentence, ...]:
    notes: list[Sentence] = []
    if any(p.stands is not None and p.stands > ADIABATIC_LIMIT for p in heated.points):
        notes.append(("Past 5 s heat escapes meanwhile: the time is only known to be more than 5 s.",))
    if device is not None and any(
        p.status == "not known" and p.ending.seconds <= LET_THROUGH_LIMIT for p in heated.points
    ):
        notes.append(
            (f"Under 0.1 s only the published let-through of '{device.id}' could tell; it is not known.",)
        )
    if device is not None and any(ADIABATIC_LIMIT < p.ending.seconds <= NOT_KNOWN for p in heated.points):
        notes.append((f"Gate not known for '{device.id}' ({device.type}) at this multiple of its rating.",))
    if any(p.status == "does not open" for p in heated.points):
        notes.append(
            (
                "A short as weak as that is a mere load: whether the cable carries it is judged by its device's rating.",
            )
        )
    if nothing:
        notes.append(("Nothing would stop a short here.",))
    if hangs_on_material(heated):
        notes.append(
            (
                "The material of the insulation is not stated; taken as PVC. Cross-linked insulation (XLPE, EPR) would stand it.",
            )
        )
    return tuple(notes)


def _bursts(found: Faults, points: Sequence[Point]) -> tuple[Sentence, ...]:
    """Said of each device that would have to end more than it breaks: its opening time holds up to there only."""
    notes: list[Sentence] = []
    for device in dict.fromkeys(p.ending.device for p in points if p.ending.device is not None):
        most = max(p.ending.amperes for p in points if p.ending.device is device)
        can = capacity(device, highest_volts(found, found.devices[device.id]), found.bases).amperes
        if can is not None and most > can * (1 + SAME):
            notes.append(
                (
                    f"'{device.id}' is good for ",
                    Amount(can, "A"),
                    "; past that it may burst and then ends nothing.",
                )
            )
    return tuple(notes)


def _exempt(found: Faults, one: Conductor) -> str:
    """The clause of the first basis that exempts a conductor: cables inside a bank, those to nothing but a starter."""
    if one.use == "link":
        return "common practice for cables inside a bank"
    for basis in found.bases:
        clause = next((rule.clause for rule in basis.limits.overcurrent if "cranking" in rule.exempt), "")
        under = Under(found.grounds, basis, {}, {})
        if clause and any(
            sole_cranking(under, one, origin.nodes)
            for origin in origins(found.network, found.grounds.poles)
            if origin.kind == "battery"
        ):
            return clause
    return ""

"""Fault current for a cable to be sized: at the source, at the far end, and what the fuse has to break."""

from __future__ import annotations

from lugbook.assess.evidence.capacity import at_20
from lugbook.assess.evidence.fault_points import k_of
from lugbook.assess.evidence.fault_sources import cranking_range
from lugbook.assess.sizing_trial import charge_volts
from lugbook.calc import conductor, fault, heating
from lugbook.model.basis import Basis
from lugbook.model.defaults import DEFAULTS, Pair
from lugbook.model.network import Conductor
from lugbook.model.sizing import BladeFit, FarEnd, FaultHow, FaultSource, Question

# The highest voltage of a blade fuse-link, ISO 8820-3:2015 (read in the catalogue's abstract); the common ones are for
# the voltage that the basis gives with their breaking capacity.
BLADE_MOST_VOLTS = 58.0
# Bolted joints there and back: two for each conductor.
JOINTS = 4
# From this voltage on an arc takes so much of it that the least current is not known.
ARC_VOLTS = 48.0


def source(question: Question, bases: tuple[Basis, ...]) -> FaultSource:
    """What the battery can drive into a short at the fuse, with whatever charges it switched on."""
    scale = question.system.value / 12
    name = {"lead": "lead-emf", "lithium": "lithium-emf", "not known": "emf"}[question.chemistry]
    emf = (DEFAULTS[name].min_case * scale, DEFAULTS[name].max_case * scale)
    volts = max(charge_volts(question), emf[1])
    how, clause, resistance = _resistance(question, bases, scale, emf[1])
    upstream = question.upstream.value if question.upstream else 0.0
    most = fault.prospective_current(emf=volts, source_resistance=resistance[0], path_resistance=upstream)
    blades = next(
        one for basis in bases for one in basis.limits.device_classes if one.device == "blade" and one.breaks
    )
    return FaultSource(volts, question.charge_voltage is None, emf, resistance, most, how, clause, blades)


def _resistance(
    question: Question, bases: tuple[Basis, ...], scale: float, emf: float
) -> tuple[FaultHow, str, tuple[float, float]]:
    """How, by which clause, and the lowest and the highest resistance [ohm]."""
    if question.resistance is not None:
        return "resistance", "as given", (question.resistance.value, question.resistance.value)
    if question.short_circuit is not None:
        amperes = question.short_circuit.value
        return (
            "short circuit",
            "as given",
            (
                fault.resistance_from_maker(emf=question.system.value, short_circuit=amperes),
                fault.resistance_from_maker(emf=emf, short_circuit=amperes),
            ),
        )
    assert question.cca is not None
    rule = next(basis.limits.cranking_estimate for basis in bases if basis.limits.cranking_estimate)
    found = cranking_range(question.cca.value, question.cca_standard, scale, rule.factor)
    return "cranking", f"{rule.clause} ({rule.known})", (found.max_case, found.min_case)


def blade(found: FaultSource, rating: float) -> BladeFit:
    """Whether a blade fuse-link of this rating can break the greatest current."""
    if found.volts > BLADE_MOST_VOLTS:
        return BladeFit("no", "voltage")
    (volts, breaks), *_ = found.blades.breaks
    if found.blades.largest is not None and rating > found.blades.largest.value:
        return BladeFit("no", "rating")
    if found.most > breaks.value:
        return BladeFit("no", "current")
    if found.estimate:
        return BladeFit("not known", "estimate")
    return BladeFit("not known", "voltage") if found.volts > volts.value else BladeFit("yes", "")


def far_end(question: Question, found: FaultSource, feed: Conductor, rating: float) -> FarEnd:
    """A short at the far end, with the conductors warm and the battery low."""
    loop = at_20(feed)
    hot = question.insulation.value
    upstream = question.upstream.value if question.upstream else 0.0
    joints = JOINTS * DEFAULTS["contact"].min_case
    least = fault.minimum_current(
        emf=found.emf[0],
        source_resistance=found.resistance[1],
        path_resistance=conductor.at_temperature(resistance=2 * loop.high + upstream, temperature=hot)
        + joints,
        arc_voltage=0,
    )
    most = fault.prospective_current(
        emf=found.volts,
        source_resistance=found.resistance[0],
        path_resistance=2 * _cold(question, loop) + upstream,
    )
    stands = _stands(hot, feed, least)
    opens = None
    if blade(found, rating).fits == "yes":
        gates = {float(multiple): time.value for multiple, time in found.blades.gates.items()}
        opens = heating.clearing_time(current=least, rating=rating, gates=gates)
    return FarEnd(
        least=least,
        most=most,
        multiple=least / rating,
        stands=None if stands is None else stands.seconds,
        longer=stands is not None and stands.lower_bound,
        opens=opens,
        solid_only=question.system.value >= ARC_VOLTS,
    )


def _cold(question: Question, loop: Pair) -> float:
    coolest = question.ambient.value if question.ambient else DEFAULTS["ambient"].max_case
    return conductor.at_temperature(resistance=loop.low, temperature=coolest)


def _stands(hot: float, feed: Conductor, amperes: float) -> heating.HeatingTime | None:
    k = k_of(hot, feed.momentary.low)
    return None if k is None else heating.time_to_limit(current=amperes, k=k, area=feed.area)

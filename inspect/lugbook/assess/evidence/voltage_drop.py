"""Voltage drop: what each load loses in the conductors, there and back, with what its neighbours draw.

By the theorem of reciprocal currents: a unit of current drawn by the load alone takes the share j of each conductor,
and the load then loses the sum of R × j × I over all conductors, I being what they really carry. In a plain circuit
all j are 1. Joints are not counted.
"""

from __future__ import annotations

from dataclasses import dataclass

from lugbook.assess.evidence.base import Under, assumed, wanted
from lugbook.assess.evidence.capacity import Case, at_20
from lugbook.assess.evidence.design import Design, Flow, shares
from lugbook.assess.evidence.draws import load_current
from lugbook.assess.evidence.limits import bound, judge, margin
from lugbook.assess.evidence.states import written
from lugbook.calc import conductor
from lugbook.calc.ampacity import conductor_temperature
from lugbook.calc.voltage_drop import STANDARD_CONSTANT, permitted_drop
from lugbook.model.evidence import Alternative, Amount, Evidence, Input, Sentence
from lugbook.model.network import Conductor, Load

FORMULA = "U = sum of R20 × (234.5 + t) / 254.5 × j × I over the conductors, there and back"
# Shares of the unit current below this are not listed.
SMALL = 1e-6


@dataclass(frozen=True, slots=True)
class Part:
    """One conductor's part in a drop: share, current, resistance and temperature in both cases."""

    one: Conductor
    share: float
    amperes: float
    low: float
    high: float
    temperature: tuple[float, float]

    @property
    def ends(self) -> tuple[float, float]:
        """Lowest and highest drop [V]."""
        flow = self.share * self.amperes
        return min(self.low * flow, self.high * flow), max(self.low * flow, self.high * flow)


@dataclass(frozen=True, slots=True)
class Drop:
    """The drop of a load in a state [V], and its parts."""

    flow: Flow
    low: float
    high: float
    parts: tuple[Part, ...]


def voltage_drop(under: Under, design: Design) -> tuple[Evidence, ...]:
    """Evidence for every load under a basis with a limit for the drop."""
    rule = under.basis.limits.voltage_drop
    if rule is None:
        return ()
    found = []
    for load in under.network.loads:
        drops = [
            drop for flow in design.flows.values() if (drop := _drop(under, design, flow, load)) is not None
        ]
        if drops:
            worst = max(drops, key=lambda drop: (written(drop.flow.state), round(drop.high, 12)))
            found.append(_evidence(under, load, worst))
    return tuple(found)


def _drop(under: Under, design: Design, flow: Flow, load: Load) -> Drop | None:
    """The drop in a state; None where the load is off or has no supply.

    What the state does not say runs is added by itself: a cranking motor, and a short-time load in a state of no file.
    """
    if not under.network.present(load, flow.state):
        return None
    added = 0.0
    if load.kind == "cranking motor" or (load.duty == "short-time" and not written(flow.state)):
        added = load_current(under.network, under.grounds.poles, load).amperes
    parts = []
    for name, share in shares(design, flow, load).items():
        one = under.network.edges[name]
        if isinstance(one, Conductor) and abs(share) > SMALL:
            parts.append(_part(under, one, share, flow.loads.get(name, 0.0) + share * added))
    if not parts:
        return None
    parts.sort(key=lambda part: part.one.id)
    ends = [part.ends for part in parts]
    return Drop(flow, sum(low for low, _ in ends), sum(high for _, high in ends), tuple(parts))


def _part(under: Under, one: Conductor, share: float, amperes: float) -> Part:
    resistance = at_20(one)
    carried = under.carried[one.id]
    each = abs(amperes) / one.parallel
    cool = _temperature(carried.high, one.ambient.low, each, unknown=one.ambient.low)
    warm = _temperature(carried.low, one.ambient.high, each, unknown=one.insulation.high)
    low = conductor.at_temperature(resistance=resistance.low, temperature=cool)
    high = conductor.at_temperature(resistance=resistance.high, temperature=warm)
    return Part(one, share, amperes, low, high, (cool, warm))


def _temperature(case: Case | None, ambient: float, amperes: float, *, unknown: float) -> float:
    """Working temperature; the insulation's rating at most, as what is hotter is an ampacity departure.

    `unknown` counts where the basis has no figure for the conductor.
    """
    if amperes <= 0:
        return ambient
    if case is None:
        return max(ambient, unknown)
    carries = case.tabulated * case.physical * case.bundle
    if ambient >= case.column or amperes >= carries:
        return max(ambient, case.column)
    return conductor_temperature(ambient=ambient, rating=case.column, current=amperes, ampacity=carries)


def _evidence(under: Under, load: Load, drop: Drop) -> Evidence:
    rule = under.basis.limits.voltage_drop
    assert rule is not None
    share = (rule.critical if load.critical else rule.other).value
    volts = under.grounds.poles.between(load, under.network.system)
    limit = bound(
        under.basis,
        rule,
        permitted_drop(system_voltage=volts, percent=100 * share),
        "V",
        under.grounds.around,
    )
    verdict = judge(drop.low, drop.high, limit)
    names = tuple(dict.fromkeys(
        name for part in drop.parts for pair in (part.one.stranding, part.one.tinned, part.one.ambient) if (name := pair.assumed)
    ))  # fmt: skip
    gauges = ("gauge-resistance",) if any(part.one.standard is None for part in drop.parts) else ()
    subjects = tuple(part.one.id for part in drop.parts)
    drawn = load_current(under.network, under.grounds.poles, load)
    state = drop.flow.state
    return Evidence(
        analysis="voltage drop",
        rule="voltage drop",
        subject=load.id,
        path=load.path,
        at=load.id,
        item="cranking-cable" if load.kind == "cranking motor" else "conductor-voltage-drop",
        basis=under.basis.id,
        low=drop.low,
        high=drop.high,
        unit="V",
        inputs=(
            Input("Un", "nominal voltage", volts, volts, "V", "entered"),
            Input("Ib", "current of the load", drawn.amperes, drawn.amperes, "A", "entered" if drawn.how == "entered" else "computed", drawn.how),
            *(value for part in drop.parts for value in _inputs(part)),
        ),
        formula=FORMULA,
        numbers=_numbers(drop),
        limit=limit,
        alternatives=(
            Alternative("resistance at working temperature", drop.high, "V", used=True),
            Alternative("0.0164 I L / S, as the small-craft standard computes it", _by_standard(drop), "V", used=False),
        ),
        verdict=verdict,
        wants=wanted((*names, *gauges)) if verdict == "cannot be decided" else (),
        margin=margin(drop.low, drop.high, limit),
        assumptions=assumed(under.network, subjects, names),
        state=state.id,
        state_named=state.named,
        says=_says(load, drop, volts, critical=load.critical),
        notes=(("The limit for circuits in general is applied; the drop lasts as long as the cranking.",),)
        if load.kind == "cranking motor"
        else (),
    )  # fmt: skip


def _inputs(part: Part) -> tuple[Input, ...]:
    one, r20 = part.one, at_20(part.one)
    known = "assumed" if r20.assumed else "table"
    source = (
        "IEC 60228 (second-hand)" if one.standard is not None else "pure copper of its area, and a tenth more"
    )
    return (
        Input(f"R20({one.id})", f"resistance at 20 degC of '{one.id}'", r20.low, r20.high, "ohm", "assumed" if known == "assumed" else "table", source),
        Input(f"t({one.id})", "its working temperature", *part.temperature, "degC", "computed", "Ta + (T - Ta) (I / Iz)^2"),
        Input(f"I({one.id})", "current in it", part.amperes, part.amperes, "A", "computed", "sum of the loads that it feeds"),
        Input(f"j({one.id})", "its share of the load's current", part.share, part.share, "ratio", "computed", "from the network"),
    )  # fmt: skip


def _numbers(drop: Drop) -> Sentence:
    found: list[str | Amount] = []
    for n, part in enumerate(drop.parts):
        found += [
            " + " if n else "",
            Amount(part.high, "ohm"),
            " × ",
            Amount(part.share, "ratio"),
            " × ",
            Amount(part.amperes, "A"),
        ]
    return (*found, " = ", Amount(drop.high, "V"))


def _by_standard(drop: Drop) -> float:
    return sum(
        STANDARD_CONSTANT
        * part.one.length.high
        / (part.one.area * part.one.parallel)
        * part.share
        * part.amperes
        for part in drop.parts
    )


def _says(load: Load, drop: Drop, volts: float, *, critical: bool) -> Sentence:
    kind = ", which is vital," if critical else ""
    return (
        f"'{load.id}'{kind} loses ", Amount(drop.low, "V"), " to ", Amount(drop.high, "V"), " in its conductors: ",
        Amount(drop.high / volts, "%"), " of the nominal voltage at most.",
    )  # fmt: skip

"""What a conductor carries under a basis, and how large a device may be that protects it.

Both come as the worse and the better case of what was assumed about the conductor; they are equal if all was entered.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from math import inf

from lugbook.calc import ampacity, conductor, parallel
from lugbook.calc.loads import STANDARD_NEC, permitted_next_size, standard_at_least
from lugbook.model.basis import AmbientFactors, AmpacityTable, Basis, DeviceRating
from lugbook.model.defaults import Default, Pair
from lugbook.model.network import Conductor, Network

GAUGE = Default(
    "gauge-resistance", 1.0, 1.1, "ratio",
    "Resistance of a gauge: pure copper of its area, and a tenth more for stranding and tinning.", "common practice, no source",
)  # fmt: skip
# The areas of gauges are written with two or three figures: 13.3 mm2 for 13.302 mm2, 1.3 mm2 for 1.309 mm2.
ROUNDED = 0.01


@dataclass(frozen=True, slots=True)
class Case:
    """One case of a conductor under a table."""

    table: AmpacityTable
    size: str
    rating: float
    column: float
    tabulated: float
    ambient: float
    printed: float
    physical: float
    together: int
    bundle: float
    derated: ampacity.Derated
    factors: AmbientFactors | None


@dataclass(frozen=True, slots=True)
class Carrying:
    """The worse and the better case; None where the table has no entry. `assumed` names the defaults in between."""

    low: Case | None
    high: Case | None
    assumed: tuple[str, ...]


def carrying(one: Conductor, basis: Basis, system: float) -> Carrying:
    """What one of the parallel conductors carries where it lies."""
    pairs = {"insulation": one.insulation, "ambient": one.ambient, "bundle": one.bundle}
    assumed = tuple(pair.assumed for pair in pairs.values() if not pair.given)
    low = _case(one, basis, system, *(pair.min_case for pair in pairs.values()))
    high = _case(one, basis, system, *(pair.max_case for pair in pairs.values())) if assumed else low
    return Carrying(low, high, assumed)


def _case(
    one: Conductor, basis: Basis, system: float, rating: float, ambient: float, together: float
) -> Case | None:
    table = _table(one, basis)
    if table is None:
        return None
    areas = _areas(table.unit, tuple(table.rows))
    try:
        row = ampacity.row_for(areas=list(areas), area=_as_gauge(one.area, table.unit, areas))
        column = ampacity.column_for(ratings=table.ratings, rating=rating)
    except ValueError:
        return None  # smaller or cooler than the table begins
    tabulated = float(table.rows[areas[row]][table.ratings.index(int(column))])
    factors = _factors(one, basis, column)
    printed = factors.factors[f"{column:g}"] if factors else 1.0
    physical = ampacity.physical_factor(rating=column, ambient=ambient, reference=table.ambient.value)
    rule = basis.limits.bundling
    binds = rule is not None and (rule.least_volts is None or system >= rule.least_volts.value)
    bundle = ampacity.bundle_factor(conductors=int(together), bands=rule.bands) if rule and binds else 1.0
    derated = ampacity.derate(
        tabulated=tabulated, ambient_by_table=printed, ambient_by_physics=physical, bundle=bundle
    )
    return Case(
        table, areas[row], rating, column, tabulated, ambient, printed, physical, int(together), bundle, derated, factors
    )  # fmt: skip


def _table(one: Conductor, basis: Basis) -> AmpacityTable | None:
    """The table headed like the conductor, else any other by its area."""
    unit = "AWG" if one.awg else "mm2"
    return min(basis.limits.ampacity, key=lambda table: table.unit != unit, default=None)


@lru_cache(maxsize=64)
def _areas(unit: str, sizes: tuple[str, ...]) -> dict[float, str]:
    return {conductor.awg_area(gauge=size) if unit == "AWG" else float(size) / 1e6: size for size in sizes}


def _as_gauge(area: float, unit: str, areas: Mapping[float, str]) -> float:
    """The area of the gauge that was entered by its rounded area, else the area as it is.

    No metric size is as near as this to a gauge.
    """
    near = (gauge for gauge in areas if abs(gauge - area) <= ROUNDED * gauge)
    return next(near, area) if unit == "AWG" else area


def _factors(one: Conductor, basis: Basis, column: float) -> AmbientFactors | None:
    if one.space != "engine space":
        return None
    found = (f for f in basis.limits.ambient if f.engine_space and f"{column:g}" in f.factors)
    return next(found, None)


@dataclass(frozen=True, slots=True)
class Allowed:
    """Largest rating of a device that protects a conductor; `rule` is None where the basis has none."""

    low: float
    high: float
    rule: DeviceRating | None
    ampacity: tuple[float, float]
    assumed: tuple[str, ...]


def device_rule(basis: Basis, system: float) -> DeviceRating | None:
    """The rule of a basis for the rating of devices at this nominal voltage."""
    for rule in basis.limits.device_rating:
        if (rule.below_volts is None or system < rule.below_volts.value) and (
            rule.from_volts is None or system >= rule.from_volts.value
        ):
            return rule
    return None


def allowed(network: Network, basis: Basis, carried: Mapping[str, Carrying]) -> dict[str, Allowed]:
    """By conductor. Without an entry in the table: from 0 to infinity, so that nothing follows from it.

    Conductors side by side between the same two nodes count together, each with the share that it takes.
    """
    rule = device_rule(basis, network.system)
    corrected = rule is None or rule.corrected
    beside: dict[frozenset[str], list[Conductor]] = {}
    for one in network.conductors:
        beside.setdefault(frozenset((one.a, one.b)), []).append(one)
    found = {}
    for one in network.conductors:
        pack = [
            other for other in beside[frozenset((one.a, one.b))] if not other.devices and other.use == one.use
        ]
        ends = []
        for case in ("low", "high"):
            each = [
                _ampacity(other, getattr(carried[other.id], case), corrected)
                for other in (pack if one in pack else [one])
            ]
            ends.append(
                None if None in each else _together(pack if one in pack else [one], [a or 0.0 for a in each])
            )
        low, high = ends
        found[one.id] = Allowed(
            low=0.0 if low is None else _largest(low, rule),
            high=inf if high is None else _largest(high, rule),
            rule=rule,
            ampacity=(low or 0.0, inf if high is None else high),
            # Where even the better case has no entry, no datum about the conductor brings one.
            assumed=("table",)
            if high is None
            else (
                carried[one.id].assumed
                if corrected
                else tuple(n for n in carried[one.id].assumed if n == "insulation")
            )
            or (("table",) if low is None else ()),
        )
    return found


def _ampacity(one: Conductor, case: Case | None, corrected: bool) -> float | None:
    if case is None:
        return None
    return one.parallel * (case.derated.amperes if corrected else case.tabulated)


def _together(pack: list[Conductor], ampacities: list[float]) -> float:
    if len(pack) == 1 or min(ampacities) <= 0:
        return min(ampacities)
    resistances = [at_20(one).low for one in pack]
    return parallel.permitted_current(resistances=resistances, ampacities=ampacities)


def _largest(carries: float, rule: DeviceRating | None) -> float:
    if rule is None:
        return carries
    most = rule.factor * carries
    if rule.next_size is None or carries <= 0:
        return most
    step = standard_at_least(current=most, series=STANDARD_NEC)
    fits = step is not None and permitted_next_size(
        rating=step, ampacity=most, factor=rule.next_size, series=STANDARD_NEC
    )
    return step if fits and step is not None else most


def at_20(one: Conductor) -> Pair:
    """Resistance at 20 degC of all its parallel conductors together [ohm]: lowest and highest."""
    per_metre = _per_metre(
        one.area, (one.stranding.max_case, one.stranding.min_case), (one.tinned.max_case, one.tinned.min_case)
    )
    return Pair(
        max(per_metre[0] * one.length.low / one.parallel, 1e-9),
        max(per_metre[1] * one.length.high / one.parallel, 1e-9),
        "" if per_metre[0] == per_metre[1] else "stranding",
    )


@lru_cache(maxsize=1024)
def _per_metre(
    area: float, stranding: tuple[float, float], tinned: tuple[float, float]
) -> tuple[float, float]:
    """Lowest and highest resistance at 20 degC [ohm/m]."""
    try:
        found = [
            conductor.standard_resistance(
                area=area,
                stranding="class 5" if strands == 5 else "class 2",
                finish="tinned" if tin else "plain",
            )
            for strands in stranding
            for tin in tinned
        ]
    except ValueError:  # no size of the standard
        plain = conductor.RESISTIVITY_20 / area
        return plain * GAUGE.max_case, plain * GAUGE.min_case
    return min(found), max(found)

"""Proposals from the analyses: tried on the installation, one after the other, with the report's own analyses.

A fuse is suggested where a length is unprotected, the next standard size where a conductor is too small, a lug where its
hole does not fit, a smaller rating where a maker's largest fuse is passed. A suggestion that the analyses would not be
content with is not made.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from types import MappingProxyType

from lugbook.assess.computed import circumstances
from lugbook.assess.evidence.run import evidence
from lugbook.assess.sizing import RATINGS
from lugbook.calc import termination
from lugbook.calc.conductor import awg_area
from lugbook.model.assessed import Assessed
from lugbook.model.evidence import Evidence
from lugbook.model.job import Job
from lugbook.model.network import Conductor, Device, Edge, Load, Network, Placed
from lugbook.model.suggestion import Suggestion

# A fuse is put so far along its conductor [m], or half-way where that is shorter.
NEAR = 0.15
# So many ratings are tried before it is given up.
TRIES = 4


def suggest(assessed: Assessed) -> tuple[Suggestion, ...]:
    """The suggestions for a job, in the order in which they were tried; none without an installation."""
    job = assessed.job
    if job.network is None:
        return ()
    network, found = job.network, tuple(assessed.evidence)
    made: list[Suggestion] = []
    for name in _unprotected(network, found):
        because = _departures(found, "coverage", name)
        tried = _fuse(job, network, found, name) if because else None
        if tried is not None:
            suggestion, network, found = tried
            made.append(replace(suggestion, answers=_answers(assessed, name, because), because=because))
    made += _sizes(job, assessed, network, found)
    made += _lugs(assessed, network)
    made += _ratings(assessed, network)
    return tuple(made)


def _departures(found: Iterable[Evidence], analysis: str, subject: str) -> tuple[Evidence, ...]:
    return tuple(
        one
        for one in found
        if one.analysis == analysis
        and one.subject == subject
        and one.verdict == "departure"
        and not one.exempt
    )


def _answers(assessed: Assessed, name: str, because: Iterable[Evidence]) -> tuple[str, ...]:
    """The defects that stand at the element, or cite what asked for the change."""
    cited = {one.identity for one in because}
    items = {one.item for one in because}
    return tuple(
        defect.id
        for defect in assessed.defects
        if any(one.identity in cited for one in defect.evidence)
        or (defect.at == name and defect.item in items)
    )


def _unprotected(network: Network, found: Sequence[Evidence]) -> tuple[str, ...]:
    """Conductors with unprotected lengths, those on a battery's post first: a fuse there protects others too."""
    posts = {node for battery in network.batteries for node in (battery.a, battery.b)}
    names = {
        one.subject
        for one in found
        if one.analysis == "coverage" and one.verdict == "departure" and not one.exempt
    }
    conductors = [one for one in network.conductors if one.id in names and one.use != "link"]
    return tuple(one.id for one in sorted(conductors, key=lambda one: (not {one.a, one.b} & posts, one.id)))


def _fuse(
    job: Job, network: Network, found: Sequence[Evidence], name: str
) -> tuple[Suggestion, Network, tuple[Evidence, ...]] | None:
    """A rating that does, with what the network and its evidence then are.

    On a battery's post the largest that protects the cable, since all of the boat may hang on it; elsewhere the smallest.
    """
    one = network.edges[name]
    assert isinstance(one, Conductor)
    at = _place(network, found, one)
    worse = len(_departures(found, "coverage", name))
    posts = {node for battery in network.batteries for node in (battery.a, battery.b)}
    window = _window(found, name)
    for rating in (window[::-1] if {one.a, one.b} & posts else window)[:TRIES]:
        device = Device(f"{name}.fuse", f"{name}.fuse", "fuse", "not known", rating, None, True, (), False, True, None, one.path)  # fmt: skip
        placed = tuple(sorted((*one.devices, Placed(device, at)), key=lambda placed: placed.at))
        trial = _with(network, replace(one, devices=placed))
        then = evidence(trial, job.bases, circumstances(job))
        bad = [e for e in then if e.verdict == "departure" and e.subject == device.id]
        if bad or len(_departures(then, "coverage", name)) >= worse:
            continue
        short = next((e for e in then if e.analysis == "breaking capacity" and e.subject == device.id), None)
        volts = next((i.high for i in short.inputs if i.symbol == "U"), None) if short else None
        fault = short.high if short else None
        made = Suggestion("fuse", name, (), (), rating=rating, at=at, fault=fault, volts=volts, device=_class(job, rating, fault, volts))  # fmt: skip
        return made, trial, then
    return None


def _place(network: Network, found: Sequence[Evidence], one: Conductor) -> float:
    """Near the end at which the unprotected length begins: at a battery's post, else where the evidence says."""
    posts = {node for battery in network.batteries for node in (battery.a, battery.b)}
    near = min(NEAR, one.length.high / 2)
    starts = [
        s.start for e in _departures(found, "coverage", one.id) for s in e.stretches if s.conductor == one.id
    ]
    from_b = one.b in posts or (one.a not in posts and bool(starts) and min(starts) > 0)
    # A charging cable is fed from the batteries' side as well: its device stands at the end that is not the source's.
    sources = {node for source in network.sources for node in (source.a, source.b)}
    if one.a in sources and one.b not in posts:
        from_b = True
    return round(one.length.high - near if from_b else near, 3)


def _window(found: Iterable[Evidence], name: str) -> tuple[float, ...]:
    """Standard ratings between what flows and what the conductor carries; else the largest that protects it."""
    currents = [e for e in found if e.analysis == "ampacity" and e.subject == name and e.limit is not None]
    carried = min((e.limit.value for e in currents if e.limit is not None), default=0.0)
    flows = max((e.high for e in currents), default=0.0)
    fitting = [rating for rating in RATINGS if rating <= carried * (1 + 1e-9)]
    inside = [rating for rating in fitting if rating >= flows]
    return tuple(inside or fitting[-1:])


def _class(job: Job, rating: float, fault: float | None, volts: float | None) -> str:
    """A class of device whose own figure is above the fault; empty where the bases know of none."""
    for basis in job.bases:
        for one in basis.limits.device_classes:
            large = one.largest is None or rating <= one.largest.value
            for level, amps in one.breaks:
                if (
                    large
                    and fault is not None
                    and volts is not None
                    and level.value >= volts
                    and amps.value >= fault
                ):
                    return str(one.device)
    return ""


def _with(network: Network, edge: Edge) -> Network:
    return replace(network, edges=MappingProxyType({**network.edges, edge.id: edge}))


def _sizes(job: Job, assessed: Assessed, network: Network, found: Sequence[Evidence]) -> Iterator[Suggestion]:
    for one in network.conductors:
        because = _departures(found, "ampacity", one.id)
        if not because:
            continue
        for size, area in _larger(job, one):
            bigger = replace(one, area=area, size=size, standard=None if one.awg else round(area * 1e6, 6), awg=size.removeprefix("AWG ") if one.awg else None)  # fmt: skip
            if not _departures(
                evidence(_with(network, bigger), job.bases, circumstances(job)), "ampacity", one.id
            ):
                yield Suggestion("size", one.id, _answers(assessed, one.id, because), because, size=size)
                break


def _larger(job: Job, one: Conductor) -> list[tuple[str, float]]:
    """The standard sizes above a conductor's, in its own unit, the next one first."""
    unit = "AWG" if one.awg else "mm2"
    rows = {
        row
        for basis in job.bases
        for table in basis.limits.ampacity
        if table.unit == unit
        for row in table.rows
    }
    sizes = [
        (f"AWG {row}", awg_area(gauge=row)) if one.awg else (f"{row} mm2", float(row) / 1e6) for row in rows
    ]
    return sorted((pair for pair in sizes if pair[1] > one.area * (1 + 1e-9)), key=lambda pair: pair[1])


def _lugs(assessed: Assessed, network: Network) -> Iterator[Suggestion]:
    """The hole that fits the stud."""
    for one in assessed.evidence:
        edge = network.edges.get(one.subject)
        if (
            one.verdict != "departure"
            or not one.rule.startswith("hole at ")
            or not isinstance(edge, Conductor)
        ):
            continue
        node = one.rule.removeprefix("hole at ")
        stud = network.nodes[node].stud
        if stud in termination.STUDS:
            hole = termination.clearance_hole(stud=stud, series="fine")
            yield Suggestion("lug", edge.id, _answers(assessed, node, (one,)), (one,), end="from" if edge.a == node else "to", hole=hole)  # fmt: skip


def _ratings(assessed: Assessed, network: Network) -> Iterator[Suggestion]:
    """The largest standard rating that the maker allows."""
    for one in assessed.evidence:
        if one.verdict != "departure" or not one.rule.startswith("maker's maximum"):
            continue
        load = network.edges.get(one.at)
        edge = next(
            (c for c in network.conductors if any(p.device.id == one.subject for p in c.devices)), None
        )
        if isinstance(load, Load) and load.max_fuse is not None and edge is not None:
            fitting = [rating for rating in RATINGS if rating <= load.max_fuse]
            if fitting:
                answers = _answers(assessed, f"{load.id}.feed", (one,))
                yield Suggestion("rating", edge.id, answers, (one,), rating=fitting[-1], device=one.subject)

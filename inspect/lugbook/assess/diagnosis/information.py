"""The next measurement: the one whose outcome would tell most between what is left.

For each hypothesis that is left the prediction of a point follows from the readings so far: mean and spread of its
best tiles. The expected information is the entropy of the mixture of all predictions, less the mean entropy of each
[bit], found on a grid of outcomes.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from lugbook.assess.diagnosis.bench import Bench
from lugbook.assess.diagnosis.predict import Predictor, normal, regimes
from lugbook.assess.diagnosis.rank import Fit, _through_meter, by_moment, noise_of
from lugbook.model.diagnosis import CautionId, Measured, Moment, Next, Point
from lugbook.model.network import Battery, Conductor, Contact, Inline, Network, Source

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

# Uncertainty of the measurement that is proposed: a common meter, a common clamp.
VOLTS_U, AMPERES_U = 0.02, 0.5
TOP, TILES, GRID = 6, 3, 240
# What tells less than this is not worth the trouble [bit].
LEAST = 0.05


def points_of(bench: Bench) -> list[Point]:
    """What can be measured on the charging path: batteries, sources, relays, devices, conductors with their lugs."""
    network, found = bench.network, list[Point]()
    found += [Point(e.a, e.b) for e in network.of(Battery, Source)]
    for contact in network.of(Contact):
        assert isinstance(contact, Contact)
        if network.switches[contact.owner].relay is not None:
            found.append(Point(contact.a, contact.b))
            plus, minus = f"{contact.owner}.coil-pos", f"{contact.owner}.coil-neg"
            earth = next((b.b for b in network.batteries), "")
            if minus in network.nodes:
                found.append(Point(minus, earth))
            if plus in network.nodes:
                found.append(Point(plus, earth))
    for name in sorted(bench.path):
        edge = network.edges[name]
        assert isinstance(edge, Conductor)
        found += [Point(edge.a, edge.b), Point(name)]
        found += [Point(edge.a, f"{name}.from"), Point(f"{name}.to", edge.b)]
        found += [Point(*bench.cut.device_nodes[p.device.id]) for p in edge.devices]
    found += [Point(e.a, e.b) for e in network.of(Inline)]
    named = set(network.nodes) | {f"{name}.{end}" for name in bench.path for end in ("from", "to")}
    return [p for p in dict.fromkeys(found) if not p.b or (p.a in named and p.b in named and p.a != p.b)]


def proposals(
    predictor: Predictor,
    fits: Sequence[Fit],
    weights: Sequence[float],
    readings: Sequence[Measured],
    most: int = 3,
) -> tuple[Next, ...]:
    """The best few measurements, in the moments that were read and in the states that were not."""
    bench, network = predictor.bench, predictor.bench.network
    left = sorted(zip(weights, fits, strict=True), key=lambda one: -one[0])[:TOP]
    left = [one for one in left if one[0] >= 0.005]
    if len(left) < 2:
        return ()
    moments = list(
        dict.fromkeys([*by_moment(readings), *(Moment(s.id) for s in network.states if not s.removed)])
    )
    if any(one[1].h.cause == "delay" for one in left):
        moments += [Moment(m.state, "late") for m in moments if m.phase == "early"]
    points, found = points_of(bench), list[Next]()
    total = sum(weight for weight, _ in left)
    for moment in dict.fromkeys(moments):
        here = [r for r in readings if r.moment == moment]
        fresh = [p for p in points if all(p != r.point for r in here)]
        clouds = [_cloud(predictor, f, moment, here, fresh) for _, f in left]
        for n, point in enumerate(fresh):
            predictions = [cloud[n] for cloud in clouds]
            bits = _bits([w / total for w, _ in left], predictions, VOLTS_U if point.b else AMPERES_U)
            told = tuple((f.h.id, *_moments(p)) for (_, f), p in zip(left, predictions, strict=True))
            found.append(
                Next(moment, point, bits, told, _flow(bench, point), _cautions(network, moment, point))
            )
    # An easy measurement goes before one that tells hardly more: a lug has to be bared, a fuse reached; and a state
    # that was read before goes before another.
    order = {moment: n for n, moment in enumerate(moments)}
    found.sort(
        key=lambda one: (-round(one.bits, 1), _trouble(bench, one.point), order[one.moment], -one.bits)
    )
    once: dict[Point, Next] = {}
    for one in found:
        if one.bits > LEAST:
            once.setdefault(one.point, one)
    return tuple(once.values())[:most]


def _cloud(
    predictor: Predictor, f: Fit, moment: Moment, here: list[Measured], fresh: list[Point]
) -> list[list[tuple[float, float, float]]]:
    """For each fresh point: weight, mean and spread of each of the best tiles, given the readings of the moment."""
    import numpy as np

    best = sorted(range(len(f.tiles)), key=lambda n: -f.shares[n])[:TILES]
    parts: list[tuple[float, Floats, Floats]] = []
    for number in best:
        for regime in regimes(predictor.state(moment)):
            component = predictor.component(f.h, moment, number, f.tiles[number], regime)
            if component is None:
                continue
            mean, columns = normal(predictor.bench, component, [*(r.point for r in here), *fresh])
            if any(c.what == "meter" for c in f.h.changes):  # another meter is taken for the next measurement
                m, c = _through_meter(f.h, f.tiles[number], here, mean[: len(here)], columns[: len(here)])
                mean = np.concatenate([m, mean[len(here) :]])
                columns = np.vstack([c, np.column_stack([columns[len(here) :], np.zeros(len(fresh))])])
            log, n = 0.0, len(here)
            cover = columns @ columns.T
            if n:
                values = np.array([r.value for r in here])
                noisy = cover[:n, :n] + np.diag(noise_of(here, mean[:n], values) ** 2)
                lower = np.linalg.cholesky(noisy)
                white = np.linalg.solve(lower, values - mean[:n])
                gain = np.linalg.solve(noisy, cover[:n, n:]).T
                log = -0.5 * float(white @ white) - float(np.log(np.diag(lower)).sum())
                after = mean[n:] + gain @ (values - mean[:n])
                spread = np.diag(cover)[n:] - np.einsum("ij,ji->i", gain, cover[:n, n:])
            else:
                after, spread = mean, np.diag(cover)
            parts.append(
                (log + math.log(max(f.shares[number], 1e-12)), after, np.sqrt(np.maximum(spread, 0.0)))
            )
    if not parts:
        return [[] for _ in fresh]
    top = max(part[0] for part in parts)
    made = [(math.exp(part[0] - top), part[1], part[2]) for part in parts]
    whole = sum(part[0] for part in made)
    return [
        [(w / whole, float(m[k]), float(s[k])) for w, m, s in made if w > 1e-4 * whole]
        for k in range(len(fresh))
    ]


def _moments(parts: list[tuple[float, float, float]]) -> tuple[float, float]:
    mean = sum(w * m for w, m, _ in parts)
    return mean, math.sqrt(max(sum(w * (s * s + (m - mean) ** 2) for w, m, s in parts), 0.0))


def _bits(weights: list[float], predictions: list[list[tuple[float, float, float]]], u: float) -> float:
    import numpy as np

    if any(not parts for parts in predictions):
        return 0.0
    flat = [part for parts in predictions for part in parts]
    sigma = [math.hypot(s, u) for _, _, s in flat]
    low = min(m - 4 * s for (_, m, _), s in zip(flat, sigma, strict=True))
    high = max(m + 4 * s for (_, m, _), s in zip(flat, sigma, strict=True))
    grid = np.linspace(low, high, max(GRID, min(4000, int(3 * (high - low) / min(sigma)))))
    step = float(grid[1] - grid[0])

    def density(parts: list[tuple[float, float, float]]) -> Floats:
        made: Floats = np.zeros_like(grid)
        for w, m, s in parts:
            s = math.hypot(s, u)
            made = made + w / (s * math.sqrt(2 * math.pi)) * np.exp(-0.5 * ((grid - m) / s) ** 2)
        return made

    def entropy(values: Floats) -> float:
        positive = values[values > 1e-300]
        return -float((positive * np.log2(positive)).sum()) * step

    each = [density(parts) for parts in predictions]
    mixed: Floats = np.sum([w * one for w, one in zip(weights, each, strict=True)], axis=0)
    return max(entropy(mixed) - sum(w * entropy(one) for w, one in zip(weights, each, strict=True)), 0.0)


def _flow(bench: Bench, point: Point) -> str:
    """The conductor whose current has to be read with a drop; empty where none is needed."""
    for name in sorted(bench.path):
        edge = bench.network.edges[name]
        ends = {edge.a, edge.b, f"{name}.from", f"{name}.to"}
        if point.b and {point.a, point.b} <= ends:
            return name
    return ""


def _trouble(bench: Bench, point: Point) -> int:
    ends = {f"{name}.{end}" for name in bench.path for end in ("from", "to")}
    return 2 if {point.a, point.b} & ends else 1 if not point.b else 0


def _cautions(network: Network, moment: Moment, point: Point) -> tuple[CautionId, ...]:
    state = next(s for s in network.states if s.id == moment.state)
    posts = {node for b in network.batteries for node in (b.a, b.b)}
    found: list[CautionId] = []
    if state.sources & {s.id for s in network.sources if s.kind == "alternator"}:
        found += ["rotating-machinery", "battery-switch-running"]
    if point.a in posts or point.b in posts or state.sources:
        found.append("battery-acid-gas")
    return (*found, "short-circuit")

"""Weighing: how likely each hypothesis makes the readings, and which of them lie beyond 4 sigma of all it allows."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from lugbook.assess.diagnosis.bench import held
from lugbook.assess.diagnosis.predict import Predictor, Tile, normal, regimes, tiles
from lugbook.model.diagnosis import Hypothesis, Measured, Moment

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

EXCLUDED = 4.0
# What the model itself may be off: joints and cables each by itself [ohm], a voltage [V], a share of a current.
JOINTS, FLOOR_VOLTS, OF_CURRENT = 0.0004, 0.004, 0.02


@dataclass(frozen=True, slots=True)
class Fit:
    """How one hypothesis fits: log of its likelihood; its least misfit in sigmas; how far off the
    furthest reading lies there, and which one it is.

    `shares`: the weight of each tile.
    """

    h: Hypothesis
    log: float
    off: float
    far: float
    worst: str
    predicted: float
    tiles: tuple[Tile, ...]
    shares: tuple[float, ...]


def by_moment(readings: Sequence[Measured]) -> dict[Moment, list[Measured]]:
    """The readings of each moment."""
    found: dict[Moment, list[Measured]] = {}
    for one in readings:
        found.setdefault(one.moment, []).append(one)
    return found


def fit(predictor: Predictor, h: Hypothesis, readings: Sequence[Measured]) -> Fit | None:
    """Weigh one hypothesis; None if no circuit of it has a solution."""
    moments = by_moment(readings)
    logs: list[float] = []
    best: tuple[float, float, str, float] | None = None
    every = tiles(h)
    for number, tile in enumerate(every):
        total, square, count, worst = math.log(tile.share), 0.0, 0, (0.0, "", 0.0)
        for moment, here in moments.items():
            found = [
                _component(predictor, h, moment, number, tile, regime, here)
                for regime in regimes(predictor.state(moment))
            ]
            solved = [one for one in found if one is not None]
            if not solved:
                total = -math.inf
                break
            total += _log_mean([one[0] for one in solved])
            least = min(solved, key=lambda one: one[1])
            square, count = square + least[1], count + least[2]
            worst = max(worst, least[3])
        logs.append(total)
        if total > -math.inf:
            sigma = _sigma(square, count)
            if best is None or sigma < best[0]:
                best = (sigma, *worst)
    if best is None:
        return None
    sigma, far, name, predicted = best
    top = _log_sum(logs)
    shares = tuple(math.exp(one - top) for one in logs)
    return Fit(h, top, sigma, float(far), str(name), float(predicted), every, shares)


def _component(
    predictor: Predictor,
    h: Hypothesis,
    moment: Moment,
    number: int,
    tile: Tile,
    regime: int,
    here: list[Measured],
) -> tuple[float, float, int, tuple[float, str, float]] | None:
    """Log likelihood of the readings of a moment, their squared distance, how many count, and the furthest one."""
    import numpy as np

    component = predictor.component(h, moment, number, tile, regime)
    if component is None:
        return None
    mean, columns = normal(predictor.bench, component, [one.point for one in here])
    mean, columns = _through_meter(h, tile, here, mean, columns)
    values = np.array([one.value for one in here])
    noise = noise_of(here, mean, values)
    counted = np.array([one.timed or not h.section for one in here])
    cover = columns @ columns.T + np.diag(noise**2)
    lower = np.linalg.cholesky(cover)
    white = np.linalg.solve(lower, values - mean)
    above = _above(predictor, h, tile, here, moment)
    log = -0.5 * (float(white @ white) + above) - float(np.log(np.diag(lower)).sum())
    rows = np.flatnonzero(counted)
    if not len(rows):
        return log, 0.0, 0, (0.0, "", 0.0)
    part = np.linalg.solve(np.linalg.cholesky(cover[np.ix_(rows, rows)]), (values - mean)[rows])
    # What each reading lacks once all others are known: the one with the most is named.
    inverse = np.linalg.inv(cover[np.ix_(rows, rows)])
    apart = np.abs(inverse @ (values - mean)[rows]) / np.sqrt(np.diag(inverse))
    k = int(apart.argmax())
    one = here[int(rows[k])]
    expected = one.value - float((inverse @ (values - mean)[rows])[k] / inverse[k, k])
    return log, float(part @ part) + above, len(rows), (float(apart[k]), one.id, expected)


def _above(predictor: Predictor, h: Hypothesis, tile: Tile, here: list[Measured], moment: Moment) -> float:
    """Squared distance of voltages at a source's posts above what it holds: at its limit the circuit alone sets no bound."""
    patch = tuple(zip(h.changes, tile.values, strict=True))
    sources = {s.id: s for s in predictor.bench.network.sources}
    on = [sources[name] for name in predictor.state(moment).sources if name not in h.open]
    total = 0.0
    for source in on:
        volts, sigma = held(source, patch)
        bound = volts + 1.5 * sigma  # about the highest voltage that was entered
        excess = [
            (one.value - bound) / math.hypot(0.1, one.u)
            for one in here
            if (one.point.a, one.point.b) == (source.a, source.b)
        ]
        total += max([0.0, *excess]) ** 2
    return total


def _through_meter(
    h: Hypothesis, tile: Tile, here: list[Measured], mean: Floats, columns: Floats
) -> tuple[Floats, Floats]:
    """A poor meter lead shows a share of the voltage; its own column is that of the share."""
    import numpy as np

    at = next((n for n, c in enumerate(h.changes) if c.what == "meter"), None)
    if at is None:
        return mean, columns
    share, step = tile.values[at], tile.steps[at]
    hit = np.array([bool(one.point.b) and one.instrument == h.changes[at].target for one in here])
    factor = np.where(hit, share, 1.0)
    lead = np.where(hit, mean * share * step, 0.0)
    return mean * factor, np.column_stack([columns * factor[:, None], lead])


def noise_of(here: Sequence[Measured], mean: Floats, values: Floats) -> Floats:
    """Standard uncertainty of each reading with that of the model."""
    import numpy as np

    flows = [abs(value) for one, value in zip(here, values, strict=True) if not one.point.b]
    amperes = max(flows, default=30.0)
    model = [
        math.hypot(FLOOR_VOLTS, JOINTS * amperes) if one.point.b else OF_CURRENT * abs(float(m)) + 0.05
        for one, m in zip(here, mean, strict=True)
    ]
    whole: Floats = np.hypot(np.array([one.u for one in here]), np.array(model))
    return whole


def _sigma(square: float, count: int) -> float:
    """The normal deviate as rare as this sum of squares of so many readings (Wilson and Hilferty 1931, recalled)."""
    if not count:
        return 0.0
    spread = 2 / (9 * count)
    return max((math.pow(square / count, 1 / 3) - (1 - spread)) / math.sqrt(spread), 0.0)


def _log_sum(logs: Sequence[float]) -> float:
    top = max(logs)
    return top + math.log(sum(math.exp(one - top) for one in logs))


def _log_mean(logs: Sequence[float]) -> float:
    return _log_sum(logs) - math.log(len(logs))


def bounds(found: Fit) -> tuple[float | None, float | None]:
    """The range of the first parameter that holds 95 % of the weight."""
    if not found.h.changes:
        return None, None
    ordered = sorted(zip((t.values[0] for t in found.tiles), found.shares, strict=True))
    low = high = ordered[0][0]
    run, low_set = 0.0, False
    for value, share in ordered:
        run += share
        if not low_set and run >= 0.025:
            low, low_set = value, True
        high = value
        if run >= 0.975:
            break
    return low, high

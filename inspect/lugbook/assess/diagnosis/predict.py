"""What each hypothesis lets a meter show: means and spreads over the unknowns, as a mixture of normal tiles.

The range of a hypothesis' parameter is cut into tiles narrow enough for the circuit to answer in a straight line inside
each. The solver gives the middle of a tile, and the circuit's own conductances there how it moves with every unknown. So
the prediction is a mean, and a column for each unknown; over any set of points that makes a normal distribution whose
covariance carries how the readings hang together.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import product
from typing import TYPE_CHECKING, Literal

from lugbook.assess.diagnosis.bench import Bench, elements, first_section, tied, touched, unknowns
from lugbook.calc.nodal import Element, Nodal, Resistor, Solution, Supply, Valve
from lugbook.model.diagnosis import Change, Hypothesis, Moment, Point
from lugbook.model.network import Battery, Conductor, Source, State

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

# Ratio (or part) that one tile spans, for a single cause and for each of a pair.
TILE, COARSE = 1.45, 2.2
# In which regimes the batteries take charge: hungry, half full, full.
REGIMES = (0, 1, 2)
LINEAR = ("volts", "emf")
# What an idle supply or diode still lets pass [S], as the solver has it.
LEAK = 1e-5


@dataclass(frozen=True, slots=True)
class Tile:
    """A piece of the parameters' range: values in the middle, and the step of one standard deviation of each."""

    values: tuple[float, ...]
    steps: tuple[float, ...]
    share: float


@dataclass(frozen=True, slots=True)
class Component:
    """The solution at the middle of a tile, and how it moves with each unknown (a column each)."""

    nodes: Mapping[str, int]
    ways: Mapping[str, int]
    volts: Floats
    moves: Floats
    amperes: Floats
    shifts: Floats


@dataclass
class Predictor:
    """Solves on demand and keeps what it solved; `unsolved` are the hypotheses for which it found nothing."""

    bench: Bench
    unsolved: dict[str, Hypothesis] = field(default_factory=dict)
    _moves: dict[str, frozenset[str]] = field(default_factory=dict)
    _kept: dict[tuple[str, Moment, int, int], Component | None] = field(default_factory=dict)

    def component(
        self, h: Hypothesis, moment: Moment, number: int, tile: Tile, regime: int
    ) -> Component | None:
        """The prediction in a tile and regime; None if a circuit has no solution."""
        key = (h.id, moment, number, regime)
        if key not in self._kept:
            self._kept[key] = self._solved(h, moment, tile, regime)
            if self._kept[key] is None:
                self.unsolved[h.id] = h
        return self._kept[key]

    def state(self, moment: Moment) -> State:
        """The installation's state of a moment."""
        return next(state for state in self.bench.network.states if state.id == moment.state)

    def _touched(self, name: str) -> frozenset[str]:
        if name not in self._moves:
            self._moves[name] = touched(self.bench.network, name)
        return self._moves[name]

    def _solved(self, h: Hypothesis, moment: Moment, tile: Tile, regime: int) -> Component | None:
        state = self.state(moment)
        opened = frozenset() if h.early and moment.phase == "late" else h.open
        names = unknowns(self.bench.network, state)
        patch = tuple(zip(h.changes, tile.values, strict=True))
        middle = elements(self.bench, state, opened, patch, {}, regime)
        ties = tied(self.bench.network, middle)
        found = Nodal([*middle, *ties]).solve()
        if not isinstance(found, Solution):
            return None
        moved = []
        for name in names:  # only what the unknown moves is made anew
            only = self._touched(name)
            new = {e.id: e for e in elements(self.bench, state, opened, patch, {name: 1.0}, regime, only)}
            moved.append([new.get(e.id, e) for e in middle])
        for n, change in enumerate(h.changes):
            values, step = list(tile.values), tile.steps[n]
            values[n] = values[n] + step if change.what in LINEAR else values[n] * math.exp(step)
            patch = tuple(zip(h.changes, values, strict=True))
            moved.append(elements(self.bench, state, opened, patch, {}, regime))
        return linearised([*middle, *ties], [[*one, *ties] for one in moved], found)


def linearised(middle: Sequence[Element], moved: Sequence[Sequence[Element]], found: Solution) -> Component:
    """How the solution moves as elements change: to first order, each in the piece of its law that it works in.

    At fixed voltages an element's current changes by what its law says; the network then answers with its own
    conductances: G dV = -dI.
    """
    import numpy as np

    nodes = {name: n for n, name in enumerate(found.volts)}
    ways = {element.id: n for n, element in enumerate(middle)}
    volts = np.array(list(found.volts.values()))
    ends = np.array([(nodes[e.a], nodes[e.b]) for e in middle])
    across = volts[ends[:, 0]] - volts[ends[:, 1]]
    pieces = [_piece(e, float(v)) for e, v in zip(middle, across, strict=True)]
    slope = np.array(
        [LEAK if piece != "on" else 1 / e.ohms for e, piece in zip(middle, pieces, strict=True)]  # type: ignore[union-attr]
    )
    jumps = np.zeros((len(middle), len(moved)))
    for k, other in enumerate(moved):
        for n, (old, new) in enumerate(zip(middle, other, strict=True)):
            if old is not new and old != new:
                jumps[n, k] = _law(new, float(across[n]), pieces[n]) - _law(old, float(across[n]), pieces[n])
    matrix, pushed = np.zeros((len(nodes), len(nodes))), np.zeros((len(nodes), len(moved)))
    for index, sign in ((0, 1.0), (1, -1.0)):
        np.add.at(matrix, (ends[:, index], ends[:, index]), slope)
        np.add.at(matrix, (ends[:, index], ends[:, 1 - index]), -slope)
        np.add.at(pushed, ends[:, index], sign * jumps)
    moves = np.zeros((len(nodes), len(moved)))
    moves[1:] = -np.linalg.solve(matrix[1:, 1:], pushed[1:])
    shifts = jumps + slope[:, None] * (moves[ends[:, 0]] - moves[ends[:, 1]])
    amperes = np.array([found.currents[e.id] for e in middle])
    return Component(nodes, ways, volts, moves, amperes, shifts)


def _piece(element: Element, across: float) -> Literal["on", "limit", "off"]:
    """In which piece of its law an element works."""
    if isinstance(element, Supply):
        wanted = (element.volts - across) / element.ohms
        return "off" if wanted <= 0 else "on" if wanted < element.amperes else "limit"
    return "off" if isinstance(element, Valve) and across <= element.volts else "on"


def _law(element: Element, across: float, piece: str) -> float:
    """An element's current at a voltage by one piece of its law (see `calc.nodal`)."""
    if isinstance(element, Supply) and piece == "limit":
        return -element.amperes
    if piece == "off":
        return 0.0
    volts = 0.0 if isinstance(element, Resistor) else element.volts  # type: ignore[union-attr]
    return (across - volts) / element.ohms  # type: ignore[union-attr]


def regimes(state: State) -> tuple[int, ...]:
    """The regimes that matter in a state."""
    return REGIMES if state.sources else (0,)


def tiles(h: Hypothesis) -> tuple[Tile, ...]:
    """The tiles of a hypothesis' parameters."""
    axes = [_axis(change, COARSE if len(h.changes) > 1 else TILE) for change in h.changes]
    made = list(product(*axes))
    return tuple(Tile(tuple(v for v, _ in one), tuple(s for _, s in one), 1 / len(made)) for one in made)


def _axis(change: Change, ratio: float) -> list[tuple[float, float]]:
    linear = change.what in LINEAR
    low, high = (change.low, change.high) if linear else (math.log(change.low), math.log(change.high))
    span = high - low
    count = max(1, math.ceil(span / (0.3 if linear else math.log(ratio))))
    step = span / count
    # A tile's own spread reaches a little over its edges, so that nothing falls between two tiles.
    middles = [low + step * (n + 0.5) for n in range(count)]
    return [(middle if linear else math.exp(middle), 0.4 * step) for middle in middles]


def _row(bench: Bench, c: Component, point: Point) -> tuple[float, Floats]:
    """What the point shows in the middle of the tile, and its columns."""
    import numpy as np

    still = np.zeros(c.moves.shape[1])
    if point.b:
        pair = [
            (float(c.volts[c.nodes[n]]), c.moves[c.nodes[n]]) if n in c.nodes else (0.0, still)
            for n in (point.a, point.b)
        ]
        return pair[0][0] - pair[1][0], pair[0][1] - pair[1][1]
    edge = bench.network.edges.get(point.a)
    names, signs = [point.a], [1.0]
    if isinstance(edge, Conductor):
        names = [first_section(bench, edge.id).id]
    elif isinstance(edge, Battery):
        names, signs = [f"{edge.id}<", f"{edge.id}>"], [1.0, -1.0]
    elif isinstance(edge, Source):
        signs = [-1.0]
    value = 0.0
    for name, sign in zip(names, signs, strict=True):
        if name in c.ways:
            value += sign * float(c.amperes[c.ways[name]])
            still = still + sign * c.shifts[c.ways[name]]
    return value, still


def normal(bench: Bench, component: Component, points: Sequence[Point]) -> tuple[Floats, Floats]:
    """Mean and columns (points x unknowns) of a component over points."""
    import numpy as np

    rows = [_row(bench, component, point) for point in points]
    return np.array([value for value, _ in rows]), np.array([columns for _, columns in rows])

"""Voltages and currents of a direct-current network whose elements are linear in pieces, and what a short draws.

Every element between two nodes has a current that never falls as the voltage across it rises: resistances, batteries
behind their resistance, diodes, and supplies that hold a voltage up to a greatest current. Such a network has one
solution: the least of a strictly convex function of the node voltages (the co-content), which is quadratic in pieces.

How it ends. A step solves the linear network of the pieces that the present voltages lie in; where it would pass the
least value along its way, it stops there. So the function falls with each step, by an amount bounded from below while
the slope is not zero, and the voltages come ever nearer to the solution. Near it each piece in touch holds the
solution itself, so that one step lands on it exactly: the number of steps is finite. Loads of constant power fall
outside this, since their current rises as the voltage falls; they are set to the current of the last voltages until
nothing changes. What does not settle within a set number of steps is an `Unsolved`, never a number.

A short joins two nodes of the solved network. For all shorts under one set of pieces a single inverse serves.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import copysign
from typing import TYPE_CHECKING

from lugbook.calc._nodal_elements import (
    LEAK,
    Cell,
    Draw,
    Element,
    Power,
    Resistor,
    Supply,
    Valve,
    check,
    pieces_of,
)
from lugbook.calc._nodal_matrix import Matrix

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Pieces = NDArray[np.int64]

# Current that may be missing in the balance of a node [A], and as a share of the largest current.
BALANCE, SHARE = 1e-4, 1e-8
# Steps that are allowed; networks of boats take fewer than ten.
MOST_STEPS = 200
# Rounds of constant-power loads, and the change [A] that ends them, as a share of the current.
MOST_ROUNDS, SETTLED = 200, 1e-9


@dataclass(frozen=True, slots=True)
class Unsolved:
    """No solution was found: why, and the element or node that did not settle."""

    reason: str
    place: str


@dataclass(frozen=True, slots=True)
class Solution:
    """Node voltages [V] against the first node of each separate part, and element currents [A] from a to b."""

    volts: Mapping[str, float]
    currents: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Short:
    """A short from `at` to `to`: current from the one to the other [A], and element currents from a to b [A].

    `free` is the voltage between the two nodes [V] without the short.
    """

    at: str
    to: str
    amperes: float
    free: float
    currents: Mapping[str, float]


class _Row(Mapping[str, float]):
    """Element currents of one short, looked up in the row that they were computed in."""

    __slots__ = ("_place", "_row")

    def __init__(self, place: Mapping[str, int], row: Floats) -> None:
        self._place, self._row = place, row

    def __getitem__(self, key: str) -> float:
        return float(self._row[self._place[key]])

    def __contains__(self, key: object) -> bool:
        return key in self._place

    def __iter__(self) -> Iterator[str]:
        return iter(self._place)

    def __len__(self) -> int:
        return len(self._place)


class Nodal:
    """A network ready to be solved.

    Raises ValueError for an element whose resistance, voltage, current or power is negative or not finite, whose
    resistance is zero, or whose id stands twice.
    """

    def __init__(self, elements: Iterable[Element]) -> None:
        import numpy as np

        self._elements = tuple(elements)
        for element in self._elements:
            check(element)
        self._order = {element.id: n for n, element in enumerate(self._elements)}
        if len(self._order) != len(self._elements):
            raise ValueError("two elements share an id")
        names = dict.fromkeys(node for element in self._elements for node in (element.a, element.b))
        self._nodes = {name: n for n, name in enumerate(names)}
        self._ends = np.array(
            [(self._nodes[e.a], self._nodes[e.b]) for e in self._elements], dtype=np.int64
        ).reshape(-1, 2)
        self._bent = np.array(
            [n for n, e in enumerate(self._elements) if isinstance(e, Supply | Valve)], dtype=np.int64
        )
        self._powers = [(n, e) for n, e in enumerate(self._elements) if isinstance(e, Power)]
        # Current through an element at voltage v: set[piece] + slope[piece] * v; straight ones have one piece.
        self._slope = np.zeros((len(self._elements), 3))
        self._set = np.zeros((len(self._elements), 3))
        self._knots = np.full((len(self._elements), 2), np.inf)
        for n, element in enumerate(self._elements):
            self._knots[n], self._slope[n], self._set[n] = pieces_of(element)
        self._matrix = Matrix(self._elements, self._ends.tolist(), len(names), self._slope)
        self._part = self._matrix.part

    def solve(self) -> Solution | Unsolved:
        """All node voltages and element currents."""
        found = self._settled(None, 0.0)
        if isinstance(found, Unsolved):
            return found
        volts = found
        currents = self._currents(volts, self._pieces_at(volts))
        return Solution(
            {name: float(volts[n]) for name, n in self._nodes.items()},
            {name: float(currents[n]) for name, n in self._order.items()},
        )

    def shorts(self, pairs: Sequence[tuple[str, str]], *, arc: float = 0.0) -> list[Short | Unsolved]:
        """What a short between each pair of nodes draws, one pair at a time; an arc of `arc` volts burns in it, whichever way.

        Nodes in parts that nothing joins draw nothing. An arc that needs more than there is does not burn: no current.
        """
        import numpy as np

        if self._powers:
            return [self._single(at, to, arc) for at, to in pairs]
        found: list[Short | Unsolved | None] = [None] * len(pairs)
        left: dict[bytes, list[int]] = {}
        start = self._settled(None, 0.0)
        if isinstance(start, Unsolved):
            return [start] * len(pairs)
        places = [(self._nodes.get(at, -1), self._nodes.get(to, -1)) for at, to in pairs]
        first = self._pieces_at(start)
        for n, (a, b) in enumerate(places):
            if self._apart(a, b) or (arc > 0 and abs(self._between(start, a, b)) <= arc):
                still = self._currents(start, first)
                found[n] = Short(*pairs[n], 0.0, self._between(start, a, b), _Row(self._order, still))
            else:
                left.setdefault(first.tobytes(), []).append(n)
        # Whole steps for many shorts at once; a solution that lies in the pieces it was made with is the solution.
        for _ in range(6):
            following: dict[bytes, list[int]] = {}
            for key, group in left.items():
                pieces = np.frombuffer(key, dtype=np.int64)
                ends = np.array([places[n] for n in group], dtype=np.int64)
                arcs = np.array([copysign(arc, self._between(start, *places[n])) for n in group])
                volts, amperes = self._shorted(pieces, ends, arcs)
                reached = self._pieces_at(volts)
                same = (reached == pieces[:, None]).all(axis=0)
                currents = self._currents(volts, reached)
                for k, n in enumerate(group):
                    if same[k]:
                        free = self._between(start, *places[n])
                        found[n] = Short(
                            *pairs[n], float(amperes[k]), free, _Row(self._order, currents[:, k])
                        )
                    else:
                        following.setdefault(np.ascontiguousarray(reached[:, k]).tobytes(), []).append(n)
            left = following
        for group in left.values():
            for n in group:
                found[n] = self._single(*pairs[n], arc)
        return [one for one in found if one is not None]

    def _between(self, volts: Floats, a: int, b: int) -> float:
        return 0.0 if self._apart(a, b) else float(volts[a] - volts[b])

    def _apart(self, a: int, b: int) -> bool:
        """Whether nothing joins two nodes, or they are the same."""
        return a < 0 or b < 0 or a == b or self._part[a] != self._part[b]

    def _single(self, at: str, to: str, arc: float) -> Short | Unsolved:
        """One short by itself, step by step."""
        a, b = self._nodes.get(at, -1), self._nodes.get(to, -1)
        free = self._settled(None, 0.0)
        if isinstance(free, Unsolved):
            return free
        if self._apart(a, b) or (arc > 0 and abs(self._between(free, a, b)) <= arc):
            still = self._currents(free, self._pieces_at(free))
            return Short(at, to, 0.0, self._between(free, a, b), _Row(self._order, still))
        volts = self._settled((a, b), copysign(arc, self._between(free, a, b)))
        if isinstance(volts, Unsolved):
            return volts
        currents = self._currents(volts, self._pieces_at(volts))
        amperes = -float(self._balance(currents)[a])
        return Short(at, to, amperes, self._between(free, a, b), _Row(self._order, currents))

    def _settled(self, short: tuple[int, int] | None, arc: float) -> Floats | Unsolved:
        """Node voltages with the loads of constant power settled."""
        volts = self._stepped(short, arc)
        for _ in range(MOST_ROUNDS if self._powers else 0):
            if isinstance(volts, Unsolved):
                return volts
            worst, place = 0.0, ""
            for n, load in self._powers:
                a, b = self._ends[n]
                across = max(float(volts[a] - volts[b]), 0.0)
                asked = load.watts / across if across >= load.floor else load.watts * across / load.floor**2
                change = abs(asked - self._set[n, 0]) / max(asked, 1.0)
                if change > worst:
                    worst, place = change, load.id
                self._set[n] = asked
            if worst <= SETTLED:
                return volts
            volts = self._stepped(short, arc)
        if self._powers and not isinstance(volts, Unsolved):
            return Unsolved("a load of constant power finds no voltage at which it settles", place)
        return volts

    def _stepped(self, short: tuple[int, int] | None, arc: float) -> Floats | Unsolved:
        """Node voltages by steps from the solution of the first pieces."""
        import numpy as np

        pieces = np.zeros(len(self._elements), dtype=np.int64)
        if len(self._bent):
            pieces[self._bent] = 1
        volts = self._linear(pieces, short, arc)
        for _ in range(MOST_STEPS):
            pieces = self._pieces_at(volts)
            currents = self._currents(volts, pieces)
            missing = self._balance(currents)
            if short is not None:  # the short carries what is missing at the one node to the other
                through = missing[short[0]]
                missing[short[1]] += through
                missing[short[0]] -= through
            largest = float(np.abs(currents).max(initial=0.0))
            if float(np.abs(missing).max(initial=0.0)) <= BALANCE + SHARE * largest:
                return volts
            way = self._way(pieces, missing, short)
            volts = volts + self._share(volts, way) * way
        name = list(self._nodes)[int(np.abs(missing).argmax())]
        return Unsolved("the currents at a node do not balance", name)

    def _share(self, volts: Floats, way: Floats) -> float:
        """How much of a step to take: all of it, or up to where the co-content is least along it."""
        import numpy as np

        def slope(share: float) -> float:
            there = volts + share * way
            return float(self._balance(self._currents(there, self._pieces_at(there))) @ way)

        if slope(1.0) <= 0:
            return 1.0
        across = way[self._ends[self._bent, 0]] - way[self._ends[self._bent, 1]]
        present = volts[self._ends[self._bent, 0]] - volts[self._ends[self._bent, 1]]
        with np.errstate(divide="ignore", invalid="ignore"):
            turns = ((self._knots[self._bent] - present[:, None]) / across[:, None]).ravel()
        turns = np.sort(turns[(turns > 0) & (turns < 1)])
        low, high = 0.0, 1.0
        first, last = 0, len(turns)
        while first < last:  # the slope rises along the way: between which two turns does it pass zero?
            middle = (first + last) // 2
            if slope(float(turns[middle])) > 0:
                high, last = float(turns[middle]), middle
            else:
                low, first = float(turns[middle]), middle + 1
        below, above = slope(low), slope(high)
        return high if above <= below else low + (high - low) * -below / (above - below)

    def _pieces_at(self, volts: Floats) -> Pieces:
        """In which piece each element works; for one set of voltages, or a column for each of several."""
        import numpy as np

        pieces = np.zeros((len(self._elements), *volts.shape[1:]), dtype=np.int64)
        if len(self._bent):
            across = volts[self._ends[self._bent, 0]] - volts[self._ends[self._bent, 1]]
            for knot in (0, 1):
                edge = self._knots[self._bent, knot]
                pieces[self._bent] += across > (edge if volts.ndim == 1 else edge[:, None])
        return pieces

    def _currents(self, volts: Floats, pieces: Pieces) -> Floats:
        import numpy as np

        across = volts[self._ends[:, 0]] - volts[self._ends[:, 1]]
        rows = np.arange(len(self._elements))
        if volts.ndim > 1:
            rows = rows[:, None]
        found: Floats = self._set[rows, pieces] + self._slope[rows, pieces] * across
        return found

    def _balance(self, currents: Floats) -> Floats:
        """Current that leaves each node through its elements [A]; zero where they balance."""
        import numpy as np

        left = np.zeros(len(self._nodes))
        np.add.at(left, self._ends[:, 0], currents)
        np.subtract.at(left, self._ends[:, 1], currents)
        return left

    def _free(self, pieces: Pieces) -> tuple[Floats, Floats]:
        """The inverse under these pieces, and the voltages without a short."""
        import numpy as np

        inverse = self._matrix.inverse(pieces)
        pushed = self._balance(self._set[np.arange(len(self._elements)), pieces])
        return inverse, -(inverse @ pushed)

    def _way(self, pieces: Pieces, missing: Floats, short: tuple[int, int] | None) -> Floats:
        """The step that would balance the currents if the pieces stayed; a short keeps its voltage."""
        inverse = self._matrix.inverse(pieces)
        way: Floats = -(inverse @ missing)
        if short is not None:
            a, b = short
            column = inverse[:, a] - inverse[:, b]
            way = way - column * ((way[a] - way[b]) / (column[a] - column[b]))
        return way

    def _linear(self, pieces: Pieces, short: tuple[int, int] | None, arc: float) -> Floats:
        import numpy as np

        if short is None:
            return self._free(pieces)[1]
        volts, _ = self._shorted(pieces, np.array([short], dtype=np.int64), np.array([arc]))
        return np.asarray(volts[:, 0], dtype=np.float64)

    def _shorted(self, pieces: Pieces, ends: Pieces, arcs: Floats) -> tuple[Floats, Floats]:
        """Voltages (a column each) and currents of shorts between these pairs of nodes, under these pieces."""
        inverse, free = self._free(pieces)
        a, b = ends[:, 0], ends[:, 1]
        column = inverse[:, a] - inverse[:, b]
        seen = inverse[a, a] + inverse[b, b] - 2 * inverse[a, b]
        amperes = (free[a] - free[b] - arcs) / seen
        volts: Floats = free[:, None] - column * amperes
        return volts, amperes


# The elements belong to the network: both are imported from here.
__all__ = [
    "LEAK",
    "Cell",
    "Draw",
    "Element",
    "Nodal",
    "Power",
    "Resistor",
    "Short",
    "Solution",
    "Supply",
    "Unsolved",
    "Valve",
]

"""The matrix of a network and its inverse: one for each set of pieces that the elements work in."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from lugbook.calc._nodal_elements import Cell, Draw, Element, Power, Resistor

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Pieces = NDArray[np.int64]

# What holds the first node of each separate part at 0 V [S]; no current flows through it, as it is the only one.
HOLD = 1e3


class Matrix:
    """The conductances between nodes. `part` is the first node of the separate part that each node lies in."""

    def __init__(
        self, elements: Sequence[Element], ends: Sequence[Sequence[int]], nodes: int, slope: Floats
    ) -> None:
        import numpy as np

        self._ends = np.array(ends, dtype=np.int64).reshape(-1, 2)
        self._nodes = nodes
        self._slope = slope
        self.part = _parts(ends, nodes)
        self._leaves, core = _trimmed(elements, ends, nodes, set(self.part))
        self._core = np.array(core, dtype=np.int64)
        self._inverses: dict[bytes, Floats] = {}

    def inverse(self, pieces: Pieces) -> Floats:
        """Voltage of each node [V] for one ampere into each node, under these pieces; worked out once."""
        import numpy as np

        key = pieces.tobytes()
        if key in self._inverses:
            return self._inverses[key]
        matrix = np.zeros((self._nodes, self._nodes))
        slope = self._slope[np.arange(len(pieces)), pieces]
        slope[[way for _, _, way in self._leaves]] = 0.0
        a, b = self._ends[:, 0], self._ends[:, 1]
        np.add.at(matrix, (a, a), slope)
        np.add.at(matrix, (b, b), slope)
        np.subtract.at(matrix, (a, b), slope)
        np.subtract.at(matrix, (b, a), slope)
        for node in set(self.part):
            matrix[node, node] += HOLD
        core = np.ix_(self._core, self._core)
        inverse: Floats = np.zeros((self._nodes, self._nodes), dtype=np.float64)
        inverse[core] = np.linalg.inv(matrix[core])
        for node, parent, way in self._leaves:
            inverse[node] = inverse[parent]
            inverse[:, node] = inverse[:, parent]
            inverse[node, node] = inverse[parent, parent] + 1 / self._slope[way, 0]
        self._inverses[key] = inverse
        return inverse


def _parts(ends: Sequence[Sequence[int]], nodes: int) -> list[int]:
    parent = list(range(nodes))

    def find(n: int) -> int:
        while parent[n] != n:
            parent[n] = parent[parent[n]]
            n = parent[n]
        return n

    for a, b in ends:
        a, b = find(a), find(b)
        parent[max(a, b)] = min(a, b)
    return [find(n) for n in range(nodes)]


def _trimmed(
    elements: Sequence[Element], ends: Sequence[Sequence[int]], nodes: int, held: set[int]
) -> tuple[list[tuple[int, int, int]], list[int]]:
    """Branches taken off from their tips: node, the node that it hangs on, by which element; and the nodes left.

    What hangs on one straight element alone needs no equations: its row of the inverse follows from its neighbour's.
    """
    touching: list[set[int]] = [set() for _ in range(nodes)]
    for n, (a, b) in enumerate(ends):
        if not isinstance(elements[n], Power | Draw):
            touching[a].add(n)
            touching[b].add(n)
    tips = [node for node, ways in enumerate(touching) if len(ways) == 1]
    leaves: list[tuple[int, int, int]] = []
    gone: set[int] = set()
    while tips:
        node = tips.pop()
        if node in held or node in gone or len(touching[node]) != 1:
            continue
        (way,) = touching[node]
        if not isinstance(elements[way], Resistor | Cell):
            continue
        a, b = ends[way]
        parent = b if a == node else a
        touching[parent].discard(way)
        leaves.append((node, parent, way))
        gone.add(node)
        if len(touching[parent]) == 1:
            tips.append(parent)
    return leaves[::-1], [node for node in range(nodes) if node not in gone]

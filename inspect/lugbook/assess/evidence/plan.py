"""The live pole as a graph of numbered nodes, with conductors cut at their devices."""

from __future__ import annotations

from typing import NamedTuple

from lugbook.assess.evidence.poles import Poles
from lugbook.model.network import Conductor, Contact, Device, Diode, Inline, Join, Network


class Step(NamedTuple):
    """One way on from a node: a piece of conductor (`piece` of the plan) or something without length."""

    to: int
    length: float
    piece: int
    device: Device | None
    contact: str


class Piece(NamedTuple):
    """A piece of a conductor between its ends and devices."""

    conductor: str
    a: int
    b: int
    start: float
    end: float


class Plan:
    """The live pole as a graph in numbers, once for all walks.

    A charging source is followed up to the next battery's posts only (`to_posts`): past them the battery is the source.
    """

    def __init__(
        self, network: Network, poles: Poles, *, to_posts: bool = False, own: tuple[str, ...] = ()
    ) -> None:
        self.index: dict[str, int] = {node: n for n, node in enumerate(network.nodes)}
        self.steps: list[list[Step]] = [[] for _ in self.index]
        self.pieces: list[Piece] = []
        self.of: dict[str, list[int]] = {}
        self.posts = {
            node for battery in network.batteries for node in (battery.a, battery.b) if to_posts
        } - set(own)
        for edge in network.edges.values():
            if isinstance(edge, Conductor):
                if poles.live(edge):
                    self._conductor(edge)
            elif isinstance(edge, Join | Inline | Contact | Diode):
                device = edge.device if isinstance(edge, Inline) else None
                contact = edge.id if isinstance(edge, Contact) else ""
                both = not isinstance(edge, Diode)
                self._step(self._end(edge.a), self._end(edge.b), 0.0, -1, device, contact, both=both)

    def _end(self, node: str) -> int:
        """The node's number; a post where the walk ends has one for each edge, so that nothing leads on."""
        return self._node() if node in self.posts else self.index[node]

    def _step(
        self, a: int, b: int, length: float, piece: int, device: Device | None = None, contact: str = "", *, both: bool = True
    ) -> None:  # fmt: skip
        self.steps[a].append(Step(b, length, piece, device, contact))
        if both:
            self.steps[b].append(Step(a, length, piece, device, contact))

    def _node(self) -> int:
        self.steps.append([])
        return len(self.steps) - 1

    def _conductor(self, edge: Conductor) -> None:
        here, at = self._end(edge.a), 0.0
        whole = edge.length.high
        for placed in edge.devices:
            before, after = self._node(), self._node()
            self._piece(edge, here, before, at, placed.at)
            self._step(before, after, 0.0, -1, placed.device)
            here, at = after, placed.at
        self._piece(edge, here, self._end(edge.b), at, whole)

    def _piece(self, edge: Conductor, a: int, b: int, start: float, end: float) -> None:
        number = len(self.pieces)
        self.pieces.append(Piece(edge.id, a, b, start, end))
        self.of.setdefault(edge.id, []).append(number)
        # The cables inside a bank are part of the source: distances count from its posts.
        self._step(a, b, 0.0 if edge.use == "link" else end - start, number)

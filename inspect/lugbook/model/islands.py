"""Nodes joined by what conducts."""

from __future__ import annotations

from collections.abc import Iterable


class Islands:
    """Nodes joined without resistance to speak of, by union and find."""

    def __init__(self, nodes: Iterable[str]) -> None:
        self.parent = {node: node for node in nodes}

    def copy(self) -> Islands:
        """The same islands, to be joined further."""
        twin = Islands(())
        twin.parent = self.parent.copy()
        return twin

    def find(self, node: str) -> str:
        """The island's name: the same for every order of joining."""
        while self.parent[node] != node:
            self.parent[node] = self.parent[self.parent[node]]
            node = self.parent[node]
        return node

    def join(self, a: str, b: str) -> None:
        """Make one island of two."""
        a, b = self.find(a), self.find(b)
        if a != b:
            self.parent[max(a, b)] = min(a, b)

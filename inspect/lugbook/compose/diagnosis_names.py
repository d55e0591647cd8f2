"""What terminals, lugs, states and instruments are called in the sentences of a diagnosis."""

from __future__ import annotations

import re

from lugbook.compose.common import Phrases
from lugbook.compose.evidence import Names
from lugbook.model.findings import Findings
from lugbook.model.network import Conductor, Network

POST = re.compile(r"^(pos|neg)(?:-(\d+))?$")


class Spots:
    """Names in place of ids."""

    def __init__(self, network: Network, findings: Findings, phrases: Phrases) -> None:
        self._network, self._phrases = network, phrases
        self._names = Names(network, phrases)
        self._meters = {one.id: one.name for one in findings.report.instruments}
        self._readings = {one.id: one.place for one in findings.readings}
        self._states = {one.id: one.title for one in network.states if one.title}

    def of(self, name: str) -> str:
        """An element, a terminal, a lug or an instrument."""
        if name in self._meters:
            return self._meters[name]
        network, words = self._network, self._phrases.words
        owner, _, end = name.rpartition(".")
        edge = network.edges.get(owner)
        if isinstance(edge, Conductor) and end in ("from", "to"):
            at = self.of(edge.a if end == "from" else edge.b)
            return words("diagnosis.lug", name=self._names.of(owner), at=at)
        node = network.nodes.get(network.aliases.get(name, name))
        if node is None or not node.owner:
            return self._names.of(name)
        part, terminal = self._names.of(node.owner), node.id.rpartition(".")[2]
        post = POST.match(terminal)
        if post is None:
            return words("diagnosis.terminal_of", part=part, terminal=terminal)
        pole = words(f"diagnosis.pole.{post[1]}")
        if post[2]:
            return words("diagnosis.post_of_block", part=part, pole=pole, n=post[2])
        return words("diagnosis.post_of", part=part, pole=pole)

    def end(self, conductor: str, end: str) -> str:
        """Where a conductor ends."""
        edge = self._network.edges.get(conductor)
        if not isinstance(edge, Conductor) or end not in ("from", "to"):
            return ""
        return self.of(edge.a if end == "from" else edge.b)

    def reading(self, name: str) -> str:
        """Where a reading was taken; of a current that was written with a voltage, the same place."""
        key = name.rstrip("#")
        return self._readings.get(key, key)

    def state(self, name: str) -> str:
        """The title of a state."""
        return self._states.get(name, name)

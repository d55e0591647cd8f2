"""Whether bridging a relay for a test may be proposed at all, and what has to be read first."""

from __future__ import annotations

from collections.abc import Sequence

from lugbook.model.diagnosis import Bridge, Measured
from lugbook.model.network import Battery, Conductor, Contact, Inline, Join, Network

# Banks that differ by more than this drive a large current through the lead [V] (common practice, no source).
SMALL = 0.3


def bridges(network: Network, readings: Sequence[Measured], relays: Sequence[str]) -> tuple[Bridge, ...]:
    """For each relay that may stand open: the verdict.

    Never between chemistries, nor where one is not known; else only once the voltage from one side to the other has
    been read and found small.
    """
    found = []
    for relay in dict.fromkeys(relays):
        contact = next((c for c in network.of(Contact) if isinstance(c, Contact) and c.owner == relay), None)
        if contact is None:
            continue
        sides = [_chemistries(network, node, contact.id) for node in (contact.a, contact.b)]
        both = sides[0] | sides[1]
        if len(both) != 1 or "not known" in both or not all(sides):
            found.append(Bridge(relay, "never", None))
            continue
        read = [
            abs(one.value) for one in readings if {one.point.a, one.point.b} == {contact.a, contact.b}
        ] or _from_banks(network, readings, contact)
        if not read:
            found.append(Bridge(relay, "read first", None))
        else:
            worst = max(read)
            found.append(Bridge(relay, "may" if worst <= SMALL else "difference too large", worst))
    return tuple(found)


def _side(network: Network, start: str, without: str) -> set[str]:
    seen, stack = {start}, [start]
    while stack:
        node = stack.pop()
        for edge in network.at(node):
            if edge.id != without and isinstance(edge, Conductor | Join | Inline | Contact):
                usual = not isinstance(edge, Contact) or _usually_closed(network, edge)
                further = network.other(edge, node)
                if usual and further not in seen:
                    seen.add(further)
                    stack.append(further)
    return seen


def _usually_closed(network: Network, contact: Contact) -> bool:
    switch = network.switches[contact.owner]
    return switch.relay is None and contact.id in switch.positions.get(switch.usual, ())


def _chemistries(network: Network, node: str, without: str) -> set[str]:
    side = _side(network, node, without)
    return {b.chemistry for b in network.batteries if b.a in side}


def _from_banks(network: Network, readings: Sequence[Measured], contact: Contact) -> list[float]:
    """The difference of the two banks' own voltages, read in the same moment."""
    sides = [_side(network, node, contact.id) for node in (contact.a, contact.b)]
    posts: list[dict[object, float]] = [{}, {}]
    for one in readings:
        for n, side in enumerate(sides):
            block = next((b for b in network.batteries if (b.a, b.b) == (one.point.a, one.point.b)), None)
            if isinstance(block, Battery) and block.a in side:
                posts[n][one.moment] = one.value
    return [abs(posts[0][moment] - posts[1][moment]) for moment in posts[0] if moment in posts[1]]

"""The states that have to be worked through: no result of a left-out one could be worse.

Closing a contact that only leads to a branch without a source never helps: it adds a path and shortens none. So
only the contacts that matter, those in a ring or between two sources, are tried in each position; of states that
differ in nothing else, those that close most stand for the others.
"""

from __future__ import annotations

from lugbook.model.network import Battery, Contact, Diode, Network, Port, Source, State

# More states than this are not worked through one by one; the installation then counts as incomplete.
MOST = 256


def worth(network: Network) -> tuple[tuple[State, ...], bool]:
    """The states of the file first, then what the switches can reach, without those that others stand for.

    And whether these are all.
    """
    matter = _that_matter(network)
    groups: dict[frozenset[str], list[State]] = {}
    for state in network.reachable:
        rivals = groups.setdefault(state.closed & matter, [])
        if any(state.closed <= rival.closed for rival in rivals):
            continue
        rivals[:] = [rival for rival in rivals if not rival.closed < state.closed] + [state]
    reached = [state for rivals in groups.values() for state in rivals]
    return (*network.states, *reached[:MOST]), network.complete and len(reached) <= MOST


def written(state: State) -> bool:
    """Whether the file names the state itself, so that it says which loads run together."""
    return state.named and "states" in state.path


def _that_matter(network: Network) -> frozenset[str]:
    """Contacts in a ring, or with a source on both sides, once everything is closed."""
    touching: dict[str, list[tuple[str, str]]] = {}
    sources: set[str] = set()
    for edge in network.edges.values():
        if isinstance(edge, Battery | Source | Port):
            sources |= {edge.a, edge.b}
        elif not isinstance(edge, Diode) and not hasattr(edge, "duty"):
            touching.setdefault(edge.a, []).append((edge.b, edge.id))
            touching.setdefault(edge.b, []).append((edge.a, edge.id))
    found = set()
    for contact in network.of(Contact):
        side = _side(contact.a, contact.id, touching)
        if contact.b in side or (side & sources and _side(contact.b, contact.id, touching) & sources):
            found.add(contact.id)
    return frozenset(found)


def _side(start: str, without: str, touching: dict[str, list[tuple[str, str]]]) -> set[str]:
    seen, stack = {start}, [start]
    while stack:
        for node, edge in touching.get(stack.pop(), ()):
            if edge != without and node not in seen:
                seen.add(node)
                stack.append(node)
    return seen

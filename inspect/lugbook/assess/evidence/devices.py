"""Where each device stands: its conductor or its neighbours, and the edge whose current it carries."""

from __future__ import annotations

from dataclasses import dataclass

from lugbook.model.network import Conductor, Contact, Device, Inline, Join, Load, Network

PASSES = (Conductor, Join, Inline, Contact)


@dataclass(frozen=True, slots=True)
class Standing:
    """A device, the edge that carries its current, and the conductors that it is meant to protect."""

    device: Device
    edge: Conductor | Inline
    protects: tuple[Conductor, ...]


def standing(network: Network) -> tuple[Standing, ...]:
    """Every device of the installation, by id.

    One with terminals of its own protects the conductors at its far side, else those at its near side.
    """
    found = []
    for edge in network.edges.values():
        if isinstance(edge, Conductor):
            found += [Standing(placed.device, edge, (edge,)) for placed in edge.devices]
        elif isinstance(edge, Inline):
            sides = [
                tuple(other for other in network.at(node) if isinstance(other, Conductor))
                for node in (edge.b, edge.a)
            ]
            found.append(Standing(edge.device, edge, sides[0] or sides[1]))
    return tuple(sorted(found, key=lambda one: one.device.id))


def before(network: Network, load: Load) -> Device | None:
    """The smallest device on a load's way to the supply, up to the first fork; of equal ones the nearest.

    In series the smallest opens first. None if a fork or nothing comes first.
    """
    found: list[Device] = []
    for node in (load.a, load.b):
        came, here = load.id, node
        while True:
            ways = [edge for edge in network.at(here) if edge.id != came]
            if len(ways) != 1 or not isinstance(ways[0], PASSES):
                break
            edge = ways[0]
            if isinstance(edge, Inline):
                found.append(edge.device)
            elif isinstance(edge, Conductor):
                placed = edge.devices if edge.a == here else edge.devices[::-1]
                found += [one.device for one in placed]
            came, here = edge.id, network.other(edge, here)
    return min(found, key=lambda device: device.rating, default=None)

"""Which conductors, ends and devices a remedy needs: the difference between what is there and what is proposed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from lugbook.model.network import Conductor, Device, End, Inline, Network, Placed


@dataclass(frozen=True, slots=True)
class NewEnd:
    """An end to be made: the conductor, where it ends, the stud there (None if not described)."""

    conductor: Conductor
    at: str
    stud: str | None
    device: str = ""


@dataclass(frozen=True, slots=True)
class NewDevice:
    """A device to be fitted. `old` is what stands in its place today; `edge` is what it stands in."""

    device: Device
    edge: Conductor | Inline
    at: float | None
    old: Device | None


def new_cables(before: Network, after: Network, renewed: frozenset[str]) -> Iterator[Conductor]:
    """Conductors that have to be bought: new ones, those that get another size, length or insulation, and `renewed`."""
    for one in after.conductors:
        old = before.edges.get(one.id)
        if one.use != "link" and (
            one.id in renewed or not isinstance(old, Conductor) or _cut(old) != _cut(one)
        ):
            yield one


def _cut(one: Conductor) -> tuple[object, ...]:
    return (
        one.area,
        one.awg,
        one.length,
        one.insulation,
        one.momentary,
        one.stranding,
        one.tinned,
        one.parallel,
    )


def new_devices(before: Network, after: Network) -> Iterator[NewDevice]:
    """Devices that are not there today, or not like this."""
    old = {device.id: device for device, _, _ in devices(before)}
    for device, edge, at in devices(after):
        there = old.get(device.id)
        if there is None or _marks(there) != _marks(device):
            yield NewDevice(device, edge, at, there)


def devices(network: Network) -> Iterator[tuple[Device, Conductor | Inline, float | None]]:
    """Every device with what it stands in and its distance from end a."""
    for edge in network.edges.values():
        if isinstance(edge, Conductor):
            for placed in edge.devices:
                yield placed.device, edge, placed.at
        elif isinstance(edge, Inline):
            yield edge.device, edge, None


def _marks(one: Device) -> tuple[object, ...]:
    return one.kind, one.type, one.rating, one.volts, one.dc, one.breaks


def new_ends(
    before: Network, after: Network, studs: dict[str, str | None], renewed: frozenset[str]
) -> Iterator[NewEnd]:
    """Every end that has to be made. `studs` are those of the holders of devices that stand in conductors."""
    bought = {one.id for one in new_cables(before, after, renewed)}
    for one in after.conductors:
        if one.use == "link":
            continue
        old = before.edges.get(one.id)
        for node, end, was in (
            (one.a, one.end_a, _of(old, "a")),
            (one.b, one.end_b, _of(old, "b")),
        ):
            if one.id in bought or was is None or was[0] != node or _made(was[1]) != _made(end):
                yield NewEnd(one, node, after.nodes[node].stud)
        there = {p.device.id: p for p in old.devices} if isinstance(old, Conductor) else {}
        for placed in one.devices:
            if one.id in bought or _elsewhere(there.get(placed.device.id), placed):
                for _ in range(2):
                    yield NewEnd(one, placed.device.id, studs.get(placed.device.id), placed.device.id)


def _elsewhere(old: Placed | None, new: Placed) -> bool:
    """Whether a device takes a place that it does not have today: its holder needs two ends."""
    return old is None or old.at != new.at or old.device.type != new.device.type


def _of(old: object, which: str) -> tuple[str, End | None] | None:
    if not isinstance(old, Conductor):
        return None
    return (old.a, old.end_a) if which == "a" else (old.b, old.end_b)


def _made(end: End | None) -> tuple[object, ...]:
    return () if end is None else (end.barrel, end.hole, end.hole_for, end.crimp, end.metal)

"""The devices of a proposal, and what has to be known of each before its figures leave the program."""

from __future__ import annotations

from collections.abc import Sequence

from lugbook.assess.evidence.devices import before as device_before
from lugbook.assess.parts.cables import NewDevice, new_devices
from lugbook.model.evidence import Evidence
from lugbook.model.network import Conductor, Network
from lugbook.model.remedied import Figures, Lacks, LimitWhy
from lugbook.model.remedy import Proposal


def figures(
    before: Network, after: Network, proposal: Proposal, found: Sequence[Evidence]
) -> tuple[Figures, ...]:
    """The new or changed devices that a proposal brings. `found` is the evidence of the installation `after`."""
    touched = {entry.id for which in ("add", "change") for _, entry in proposal.entries(which)}
    touched |= {f"{name}.feed" for name in touched}
    breaking = {one.subject: one for one in found if one.analysis == "breaking capacity"}
    return tuple(
        _figures(after, new, proposal, breaking.get(new.device.id))
        for new in new_devices(before, after)
        if new.edge.id in touched
    )


def _figures(network: Network, new: NewDevice, proposal: Proposal, found: Evidence | None) -> Figures:
    device = new.device
    loads = tuple(load for load in network.loads if device_before(network, load) is device)
    limits = [load.max_fuse for load in loads if load.max_fuse is not None]
    open_ = [load.id for load in loads if load.max_fuse is None and load.owner not in proposal.no_maker_limit]
    why: LimitWhy | None = (
        "several" if not loads else "maker" if limits else None if open_ else "maker sets none"
    )
    breaks, known = _capacity(found), _known(found)
    lacks: list[Lacks] = []
    if found is None or not known:
        lacks.append("fault current")
    if breaks is None:
        lacks.append("breaking capacity")
    elif found is not None and found.verdict == "departure":
        lacks.append("too weak")
    if open_:
        lacks.append("equipment limit")
    space = new.edge.space if isinstance(new.edge, Conductor) else None
    if isinstance(new.edge, Conductor) and space is None:
        lacks.append("place")
    if device.volts is None:
        lacks.append("voltage")
    return Figures(
        device=device,
        edge=new.edge.id,
        at=new.at,
        space=space,
        fault=found.high if found is not None and known else None,
        volts=next((one.high for one in found.inputs if one.symbol == "U"), None) if found else None,
        breaks=breaks,
        limit=min(limits, default=None),
        why_limit=why,
        loads=tuple(load.id for load in loads),
        lacks=tuple(lacks),
    )


def _capacity(found: Evidence | None) -> float | None:
    """What the device itself is marked to break; a figure of its class alone is none."""
    if found is None:
        return None
    return next((one.high for one in found.inputs if one.symbol == "Icn" and one.origin == "entered"), None)


def _known(found: Evidence | None) -> bool:
    """Whether the largest current is known: with a bank of unknown current, nothing decides but a departure."""
    if found is None or found.high <= 0:
        return False
    limit = found.limit
    return not (
        limit is not None and _capacity(found) and found.high <= limit.value and found.verdict != "within"
    )

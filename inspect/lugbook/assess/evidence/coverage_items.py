"""Which checklist item a piece of coverage speaks to."""

from __future__ import annotations

from lugbook.assess.evidence.base import Under
from lugbook.assess.evidence.charging import ITEMS, feeds
from lugbook.assess.evidence.coverage_rules import sole_cranking
from lugbook.assess.evidence.origins import Origin, banks_at, beyond
from lugbook.assess.evidence.walk import Exposed
from lugbook.model.network import Conductor, Load, Port


def item_of(under: Under, one: Conductor, origin: Origin, exposed: Exposed) -> str:
    """The checklist item that the evidence speaks to."""
    network = under.network
    if one.use == "link":
        return "battery-bank-takeoff"
    if sole_cranking(under, one, origin.nodes):
        return "cranking-cable"
    far = feeds(network, one)
    if one.use in ("sense", "control") or (
        exposed.origin == "reduction" and not (one.use == "charging" and far.items)
    ):
        return "fuse-taps"
    if origin.kind != "battery" and exposed.origin == "source":
        return next((item for item in far.items), ITEMS.get(origin.kind, "fuse-near-battery"))
    if one.use == "charging" and far.items:
        return far.items[0]
    between = _between_banks(under, one, origin)
    if between and (one.use == "charging" or exposed.through[0] != one.id):
        return "fuse-link-both-ends"
    if any(
        isinstance(edge, Port) and network.converters[edge.owner].kind.startswith("inverter")
        for node in (one.a, one.b)
        for edge in network.at(node)
    ):
        return "inverter-dc-protection"
    motors = [edge for node in (one.a, one.b) for edge in network.at(node) if isinstance(edge, Load)]
    if any(load.duty == "short-time" and load.kind == "motor" for load in motors):
        return "heavy-motor-protection"
    return "fuse-near-battery"


def _between_banks(under: Under, one: Conductor, origin: Origin) -> bool:
    """Whether another bank than the origin's lies past a conductor, or in a ring with it."""
    past = [beyond(under.network, one, end) for end in (one.a, one.b)]
    ring = all(side & set(origin.nodes) for side in past)
    return any(
        banks_at(under.network, side) - {origin.element} and (ring or not side & set(origin.nodes))
        for side in past
    )

"""Readings of batteries: charge and density at rest, balance, resistance under load, charging voltage."""

from __future__ import annotations

from collections.abc import Sequence

from lugbook.assess.evidence.batteries_charge import charging
from lugbook.assess.evidence.batteries_gas import gas
from lugbook.assess.evidence.batteries_load import load
from lugbook.assess.evidence.batteries_rest import balance, charge, density
from lugbook.model.evidence import Evidence
from lugbook.model.findings import Reading
from lugbook.model.network import Network


def batteries(network: Network, readings: Sequence[Reading]) -> tuple[Evidence, ...]:
    """Evidence for every reading that names its battery and what was done with it, and for closed battery spaces."""
    known = {name for one in network.batteries for name in (one.id, one.bank)}
    mine = [one for one in readings if one.battery in known]
    return (
        *charge(network, mine),
        *density(network, mine),
        *balance(network, mine),
        *load(network, mine),
        *charging(network, mine),
        *gas(network),
    )

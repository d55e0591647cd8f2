"""Everything that follows from the fault currents, for all bases at once: no basis has limits of its own for it."""

from __future__ import annotations

from collections.abc import Sequence

from lugbook.assess.evidence.base import Grounds
from lugbook.assess.evidence.breaking import breaking
from lugbook.assess.evidence.closing import closing
from lugbook.assess.evidence.fault_bonding import fault_bonding
from lugbook.assess.evidence.fault_heating import fault_heating
from lugbook.assess.evidence.faults import fault_current, faults
from lugbook.model.basis import Basis
from lugbook.model.evidence import Evidence


def fault_evidence(
    found: Grounds, bases: Sequence[Basis], covered: Sequence[Evidence] = ()
) -> tuple[Evidence, ...]:
    """Prospective currents, breaking capacity, fault heating, bonding, closing currents.

    `covered` is the coverage under all bases: a conductor without a device speaks to the same checklist item there.
    An installation without a source has nothing to say.
    """
    if not found.network.batteries and not found.network.sources:
        return ()
    every = faults(found, bases)
    return (
        *fault_current(every),
        *closing(every),
        *breaking(every),
        *fault_heating(every, covered),
        *fault_bonding(every),
    )

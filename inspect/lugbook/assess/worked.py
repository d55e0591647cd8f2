"""What the installation gave, beside the defects that were seen."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from lugbook.model.assessed import JudgedDefect, Overruled

if TYPE_CHECKING:
    from lugbook.model.curve import Curve
    from lugbook.model.evidence import Evidence, Stretch


@dataclass(frozen=True, slots=True)
class Worked:
    """What the installation gave: defects seen and computed, and everything behind them.

    `back` are the nodes of the return pole, `bare` the lengths that no device protects. `overruled` are computed
    departures that the inspector takes for none; `idle` are disagreements that speak of nothing computed.
    """

    defects: tuple[JudgedDefect, ...]
    evidence: tuple[Evidence, ...] = ()
    back: frozenset[str] = frozenset()
    bare: tuple[Stretch, ...] = ()
    overruled: tuple[Overruled, ...] = ()
    idle: tuple[str, ...] = ()
    curves: tuple[Curve, ...] = ()

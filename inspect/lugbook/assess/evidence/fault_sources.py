"""What a battery drives into a short: its open-circuit voltage and internal resistance, and who vouches for them.

In order of trust: the maker's short-circuit current, a resistance from the maker or a two-step test, the cold-cranking
figure (which understates a warm battery), the default. Of lithium only the bare cells' short-circuit current counts: a
battery management system is neither a fuse nor a limit.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from lugbook.calc.fault import cranking_resistance, resistance_from_maker
from lugbook.model.apparatus import LITHIUM
from lugbook.model.basis import Basis
from lugbook.model.defaults import DEFAULTS, Pair
from lugbook.model.network import Battery

Trust = Literal["short circuit", "resistance", "cranking", "assumed", "bare cells", "not known"]
# Lowest voltage that a cold-cranking figure allows, for 12 V, by standard [V]: SAE J537 7.2 (second-hand, four pages),
# EN 50342-1 7.5 (recalled), IEC 8.4 and DIN 9 (second-hand, one page).
END_VOLTS = {"SAE": 7.2, "EN": 7.5, "IEC": 8.4, "DIN": 9.0}
# Open-circuit voltage of the full 12 V battery that the cold-cranking figure is for [V] (charge tables, second-hand).
CHARGED = 12.6
# Resistance of a warm battery over that of the cold one where no basis has a factor (common practice, no source).
WARM = 0.4
AMPERE_HOURS_100 = 360_000.0  # coulomb
# Open-circuit voltage over nominal, where neither chemistry nor default tells.
SPREAD = Pair(1.15, 0.85, "emf")


@dataclass(frozen=True, slots=True)
class Inner:
    """A block's inside. `ohms` is None where nothing is known; `known` is False where more may flow than they give.

    `wants` is the datum that would settle it, empty if nothing is missing.
    """

    emf: Pair
    ohms: Pair | None
    trust: Trust
    source: str
    known: bool
    wants: str


def inner(battery: Battery, bases: Sequence[Basis]) -> Inner:
    """The inside of a block."""
    emf = battery.emf or Pair(
        SPREAD.max_case * battery.volts, SPREAD.min_case * battery.volts, SPREAD.assumed
    )
    if battery.chemistry in LITHIUM:
        return _lithium(battery, emf)
    if battery.short_circuit is not None:
        ohms = _maker(emf, battery.volts, battery.short_circuit)
        source = f"{battery.short_circuit:g} A; maker's short-circuit current"
        return Inner(emf, ohms, "short circuit", source, True, "")
    if battery.resistance is not None:
        ohms = Pair(battery.resistance, battery.resistance)
        return Inner(emf, ohms, "resistance", "internal resistance as entered", True, "")
    if battery.cca is not None:
        return _cranking(battery, emf, bases)
    size = (battery.capacity or AMPERE_HOURS_100) / AMPERE_HOURS_100
    default = DEFAULTS["lead-resistance"]
    scale = battery.volts / 12 / size
    ohms = Pair(default.max_case * scale, default.min_case * scale, default.name)
    return Inner(
        emf, ohms, "assumed", default.sentence, True,
        f"the short-circuit current of '{battery.bank}' from its maker, or a two-step test",
    )  # fmt: skip


def _maker(emf: Pair, volts: float, amperes: float) -> Pair:
    """Nobody says at which voltage the maker measured: the nominal one, and that of a full battery."""
    return Pair(
        resistance_from_maker(emf=volts, short_circuit=amperes),
        resistance_from_maker(emf=max(emf.high, volts), short_circuit=amperes),
    )


def _lithium(battery: Battery, emf: Pair) -> Inner:
    wants = f"the short-circuit current of the bare cells of '{battery.bank}', from its maker"
    if battery.cell_short_circuit is not None:
        ohms = _maker(emf, battery.volts, battery.cell_short_circuit)
        source = f"{battery.cell_short_circuit:g} A; maker's short-circuit current of the bare cells"
        return Inner(emf, ohms, "bare cells", source, True, "")
    if battery.resistance is not None:
        measured = Pair(battery.resistance, battery.resistance)
        source = "internal resistance as entered; the bare cells may give more"
        return Inner(emf, measured, "resistance", source, False, wants)
    return Inner(emf, None, "not known", "", False, wants)


def _cranking(battery: Battery, emf: Pair, bases: Sequence[Basis]) -> Inner:
    rule = next((b.limits.cranking_estimate for b in bases if b.limits.cranking_estimate), None)
    factor = rule.factor if rule else WARM
    clause = f"{rule.clause} ({rule.known})" if rule else "common practice, no source"
    known = battery.cca_standard in END_VOLTS
    figure = f"{battery.cca:g} A" + (f" ({battery.cca_standard})" if known else "; standard not known")
    ohms = cranking_range(battery.cca or 0.0, battery.cca_standard, battery.volts / 12, factor)
    return Inner(
        emf, ohms, "cranking", f"{figure}; estimated from the cold-cranking current; warm factor {factor:g}: {clause}", True,
        f"the short-circuit current of '{battery.bank}' from its maker, or a two-step test",
    )  # fmt: skip


def cranking_range(cca: float, standard: str | None, scale: float, factor: float) -> Pair:
    """Lowest and highest internal resistance [ohm] by the cold-cranking current [A] of a battery of `scale` times 12 V.

    Where the standard is not known, the range spans all of them.
    """
    ends = [END_VOLTS[standard]] if standard in END_VOLTS else sorted(END_VOLTS.values())
    made = [
        cranking_resistance(emf=CHARGED * scale, end_voltage=end * scale, current=cca, warm_factor=factor)
        for end in ends
    ]
    return Pair(min(m.warm for m in made), max(m.cold for m in made), "cranking-estimate")

"""What loads, converters and sources draw or give, each on its own."""

from __future__ import annotations

from dataclasses import dataclass

from lugbook.assess.evidence.poles import Poles
from lugbook.calc.fault import resistance_from_maker
from lugbook.calc.loads import inverter_current
from lugbook.model.defaults import DEFAULTS, Assumption, Default
from lugbook.model.network import Battery, Load, Network, Port

AMPERE_HOURS_100 = 360_000.0  # coulomb
LOWEST = Default(
    "lowest-voltage", DEFAULTS["lead-emf"].min_case, DEFAULTS["lead-emf"].min_case, "V per 12 V",
    "Lowest voltage not entered: 11.9 V for each 12 V, an empty lead-acid battery at rest.", DEFAULTS["lead-emf"].source,
)  # fmt: skip
FULL = Default(
    "full-power-efficiency", DEFAULTS["efficiency"].max_case, DEFAULTS["efficiency"].max_case, "ratio",
    "Efficiency not known: 80 %, which draws the most.", DEFAULTS["efficiency"].source,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Drawn:
    """The current of a load or port [A], highest case, with how it was found and the alternatives.

    `rests` are the assumptions that it rests on.
    """

    amperes: float
    how: str
    others: tuple[tuple[str, float], ...] = ()
    rests: tuple[Assumption, ...] = ()


def ports(network: Network) -> tuple[Port, ...]:
    """All ports of converters, by id."""
    return tuple(edge for edge in network.edges.values() if isinstance(edge, Port))


def load_current(network: Network, poles: Poles, load: Load) -> Drawn:
    """What a load draws: as entered, or its power over its nominal voltage; at constant power over the lowest voltage."""
    if load.current is not None:
        return Drawn(load.current.high, "entered")
    volts = poles.between(load, network.system)
    if load.constant_power:
        lowest = LOWEST.min_case / 12 * volts
        rests = (Assumption(LOWEST, load.id, load.path),)
        return Drawn((load.power or 0.0) / lowest, "power over lowest voltage", rests=rests)
    return Drawn((load.power or 0.0) / volts, "power over nominal voltage")


def port_current(network: Network, poles: Poles, port: Port) -> Drawn | None:
    """What a converter draws through a port; None where nothing tells.

    With a power: I = P/(efficiency x lowest voltage), or the entered current if that is larger.
    """
    converter = network.converters[port.owner]
    if port.power is None or not converter.kind.startswith("inverter"):
        if port.current is not None:
            return Drawn(port.current, "entered")
        if port.power is None:
            return None
    default = LOWEST.min_case / 12
    lowest = port.volts[0] if port.volts else default * poles.between(port, network.system)
    rests: tuple[Assumption, ...] = ()
    if not converter.efficiency.given:
        rests += (Assumption(FULL, converter.id, converter.path),)
    if port.volts is None:
        rests += (Assumption(LOWEST, converter.id, port.path),)
    computed = inverter_current(power=port.power or 0.0, efficiency=converter.efficiency.low, voltage=lowest)
    others: tuple[tuple[str, float], ...] = (("power over efficiency and lowest voltage", computed),)
    if port.current is not None:
        others += (("entered", port.current),)
    how, amperes = max(others, key=lambda other: other[1])
    return Drawn(amperes, how, others, () if how == "entered" else rests)


def battery_resistance(battery: Battery) -> float:
    """Internal resistance for sharing [ohm]: entered, from the maker's short-circuit current, else the default."""
    if battery.resistance is not None:
        return battery.resistance
    if battery.short_circuit is not None:
        return resistance_from_maker(emf=battery.volts, short_circuit=battery.short_circuit)
    size = (battery.capacity or AMPERE_HOURS_100) / AMPERE_HOURS_100
    return DEFAULTS["lead-resistance"].max_case * battery.volts / 12 / size

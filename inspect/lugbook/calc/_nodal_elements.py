"""The elements of a direct-current network, and the pieces of their laws: current over voltage, never falling."""

from __future__ import annotations

from dataclasses import dataclass

# What a diode or an idle supply still lets pass [S]: keeps every part of the network joined to the rest, and is small
# enough to leave a tenth of a milliampere at 12 V.
LEAK = 1e-5


@dataclass(frozen=True, slots=True)
class Resistor:
    """A conductor, closed contact or link: resistance [ohm], above zero."""

    id: str
    a: str
    b: str
    ohms: float


@dataclass(frozen=True, slots=True)
class Cell:
    """A battery: open-circuit voltage [V] from b to a, behind a resistance [ohm]."""

    id: str
    a: str
    b: str
    volts: float
    ohms: float


@dataclass(frozen=True, slots=True)
class Supply:
    """A source that gives from 0 to `amperes` at a, and holds `volts` less what its resistance [ohm] takes."""

    id: str
    a: str
    b: str
    volts: float
    amperes: float
    ohms: float


@dataclass(frozen=True, slots=True)
class Valve:
    """A diode from a to b: nothing below `volts`, then a resistance [ohm]."""

    id: str
    a: str
    b: str
    volts: float
    ohms: float


@dataclass(frozen=True, slots=True)
class Power:
    """A load of constant power [W] from a to b; below `floor` [V] it behaves as the resistance that it has there."""

    id: str
    a: str
    b: str
    watts: float
    floor: float


@dataclass(frozen=True, slots=True)
class Draw:
    """A load of constant current [A] from a to b."""

    id: str
    a: str
    b: str
    amperes: float


Element = Resistor | Cell | Supply | Valve | Power | Draw


def pieces_of(element: Element) -> tuple[tuple[float, float], tuple[float, ...], tuple[float, ...]]:
    """Two knots [V], and by piece the slope [S] and the current [A] at no voltage."""
    none = float("inf")
    if isinstance(element, Power | Draw):
        amperes = (
            element.amperes if isinstance(element, Draw) else element.watts / (4 * max(element.floor, 1.0))
        )
        return (none, none), (0.0, 0.0, 0.0), (amperes,) * 3
    slope = 1 / element.ohms
    if isinstance(element, Resistor):
        return (none, none), (slope,) * 3, (0.0,) * 3
    if isinstance(element, Cell):
        return (none, none), (slope,) * 3, (-slope * element.volts,) * 3
    if isinstance(element, Valve):
        on = (LEAK - slope) * element.volts
        return (element.volts, none), (LEAK, slope, slope), (0.0, on, on)
    full = element.volts - element.amperes * element.ohms
    return (
        (full, element.volts),
        (LEAK, slope, LEAK),
        (-element.amperes - LEAK * full, -slope * element.volts, -LEAK * element.volts),
    )


def check(element: Element) -> None:
    """Refuse what no network can hold."""
    for name in ("ohms", "volts", "amperes", "watts", "floor"):
        value = getattr(element, name, None)
        if value is None:
            continue
        if not 0 <= value < 1e9:
            raise ValueError(f"{name} of '{element.id}' must be from 0 to 1e9, not {value!r}")
        if value == 0 and name in ("ohms", "floor"):
            raise ValueError(f"{name} of '{element.id}' must be above zero")
    if element.a == element.b:
        raise ValueError(f"both ends of '{element.id}' are the node '{element.a}'")

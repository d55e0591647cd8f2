"""Charging: usual voltages by chemistry and stage, and the air that a charging battery needs.

`cells` says how many cells a battery has in series: 6 in a 12 V lead-acid battery, 4 in a 12.8 V lithium
iron phosphate one.
"""

from dataclasses import dataclass
from typing import Literal

from lugbook.calc import _check
from lugbook.calc.battery import CHEMISTRIES, Chemistry

Stage = Literal["absorption", "float"]

# Charging voltage at 25 degC, lowest and highest usual [V], six lead-acid or four lithium cells. Lead-acid:
# recalled, within the figures of public pages; lithium absorption up to 3.65 V a cell second-hand, the rest
# recalled.
CHARGING: dict[tuple[Chemistry, Stage], tuple[float, float]] = {
    ("flooded", "absorption"): (14.4, 14.8),
    ("agm", "absorption"): (14.4, 14.8),
    ("gel", "absorption"): (14.1, 14.4),
    ("lifepo4", "absorption"): (14.0, 14.6),
    ("flooded", "float"): (13.2, 13.8),
    ("agm", "float"): (13.2, 13.8),
    ("gel", "float"): (13.2, 13.8),
    ("lifepo4", "float"): (13.4, 13.6),
}

# IEC 62485-2 (and EN 50272-2 before it): current that makes gas, safety factor of 5 included [A per Ah],
# second-hand in a public table: vented cells with under 3 % antimony, and valve-regulated ones; floating
# and boost charge.
GAS_CURRENT = {
    ("vented", "float"): 5e-3,
    ("vented", "boost"): 20e-3,
    ("valve-regulated", "float"): 1e-3,
    ("valve-regulated", "boost"): 8e-3,
}


@dataclass(frozen=True)
class Window:
    """A charging voltage's usual range [V]."""

    low: float
    high: float


def charging_window(
    *, chemistry: Chemistry, stage: Stage, cells: int, temperature: float, compensation: float
) -> Window:
    """Usual range of the charging voltage; the battery maker's figure, where there is one, comes first.

    Parameters
    ----------
    chemistry : "flooded", "agm", "gel" or "lifepo4"
        Kind of battery.
    stage : "absorption" or "float"
        Stage of charge.
    cells : int
        n, cells in series.
    temperature : float
        t, temperature of the battery [degC].
    compensation : float
        c, change per kelvin and cell [V/K]; about -0.003 to -0.005 for lead-acid, 0 for lithium or a
        charger that does not compensate.

    Returns
    -------
    Window
        Lowest and highest usual voltage [V].

    Raises
    ------
    ValueError
        If `chemistry` is not one of flooded, agm, gel and lifepo4.
    ValueError
        If `stage` is not one of absorption and float.
    ValueError
        If `cells` is not a whole number from 1 to 400.
    ValueError
        If `temperature` is not from -20 to 50 degC.
    ValueError
        If `compensation` is not from -0.01 to 0 V/K.
    ValueError
        If `compensation` is given for lifepo4, which is charged without.

    Notes
    -----
    U = U25 n / n0 + n c (t - 25), with U25 tabulated for n0 cells (6 lead-acid, 4 lithium).

    References
    ----------
    1. Makers' usual figures (recalled); -3 mV per kelvin and cell second-hand, -5 recalled.

    Example
    -------
    >>> window = charging_window(
    ...     chemistry="gel", stage="absorption", cells=6, temperature=15, compensation=-0.004
    ... )
    >>> f"{window.low:.2f} {window.high:.2f}"
    '14.34 14.64'
    """
    _check.one_of("chemistry", chemistry, CHEMISTRIES)
    _check.one_of("stage", stage, ("absorption", "float"))
    _check.whole("cells", cells, 1, 400)
    _check.within("temperature", temperature, "degC", -20, 50)
    _check.within("compensation", compensation, "V/K", -0.01, 0)
    if chemistry == "lifepo4" and compensation != 0:
        raise ValueError(f"compensation [V/K] must be 0 for lifepo4, not {compensation!r}")
    low, high = CHARGING[chemistry, stage]
    scale = cells / (4 if chemistry == "lifepo4" else 6)
    shift = cells * compensation * (temperature - 25)
    return Window(low=low * scale + shift, high=high * scale + shift)


def ventilation(*, cells: int, gas_current: float, capacity: float) -> float:
    """Air that must pass a battery to keep hydrogen below the explosive limit while it charges.

    Parameters
    ----------
    cells : int
        n, number of cells.
    gas_current : float
        Igas, current that makes gas, per ampere-hour of capacity, safety factor included [A/Ah].
    capacity : float
        Crt, rated capacity [Ah].

    Returns
    -------
    float
        Q, flow of air [m3/s].

    Raises
    ------
    ValueError
        If `cells` is not a whole number from 1 to 1000.
    ValueError
        If `gas_current` is not from 0 to 0.5 A/Ah.
    ValueError
        If `capacity` is not from 0 to 10000 Ah.

    Notes
    -----
    Q [m3/h] = 0.05 n Igas Crt, with Igas in A/Ah (the standard writes mA/Ah and 1e-3); 0.05 = 24 * 0.42e-3
    * 5: dilution to 4 %, hydrogen per ampere-hour, safety. A charger that has lost its voltage limit makes
    far more gas.

    References
    ----------
    1. IEC 62485-2 and EN 50272-2, as reproduced in three public pages.

    Example
    -------
    >>> f"{ventilation(cells=6, gas_current=20e-3, capacity=220) * 3600:.2f}"
    '1.32'
    """
    _check.whole("cells", cells, 1, 1000)
    _check.within("gas_current", gas_current, "A/Ah", 0, 0.5)
    _check.within("capacity", capacity, "Ah", 0, 10_000)
    return 0.05 * cells * gas_current * capacity / 3600


def vent_area(*, flow: float) -> float:
    """Free area that each of the two openings of a naturally ventilated battery space needs.

    Parameters
    ----------
    flow : float
        Q, flow of air [m3/s].

    Returns
    -------
    float
        A, free area of the inlet, and again of the outlet [m2].

    Raises
    ------
    ValueError
        If `flow` is not from 0 to 10 m3/s.

    Notes
    -----
    A [cm2] = 28 Q [m3/h], for air that moves at 0.1 m/s.

    References
    ----------
    1. EN 50272-3 and IEC 62485-2, second-hand from a battery maker's page.

    Example
    -------
    >>> f"{vent_area(flow=1.32 / 3600) * 1e4:.0f}"
    '37'
    """
    _check.within("flow", flow, "m3/s", 0, 10)
    return 28e-4 * 3600 * flow

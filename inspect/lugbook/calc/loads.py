"""Currents that loads draw, and the ratings of devices that may protect a conductor.

The factors of a rule (80 %, 150 %, ...) belong to a basis and are passed in.
"""

from collections.abc import Sequence

from lugbook.calc import _check

# NEC (NFPA 70) 240.6 (A), 2023, fuses and inverse-time breakers up to 600 A with the additional fuse
# ratings 1, 3, 6 and 10, as reproduced alike in four public copies [A].
STANDARD_NEC = (
    1.0, 3.0, 6.0, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 60.0, 70.0, 80.0, 90.0, 100.0, 110.0,
    125.0, 150.0, 175.0, 200.0, 225.0, 250.0, 300.0, 350.0, 400.0, 450.0, 500.0, 600.0,
)  # fmt: skip
# Blade fuse-links after ISO 8820-3, types C, E and F together [A] (recalled).
STANDARD_BLADE = (
    2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 50.0, 60.0, 70.0, 80.0, 100.0,
)  # fmt: skip
# Preferred ratings of miniature circuit-breakers, IEC 60898-1 [A] (recalled).
STANDARD_MCB = (6.0, 8.0, 10.0, 13.0, 16.0, 20.0, 25.0, 32.0, 40.0, 50.0, 63.0, 80.0, 100.0, 125.0)


def inverter_current(*, power: float, efficiency: float, voltage: float) -> float:
    """Direct current that an inverter draws.

    Parameters
    ----------
    power : float
        P, output power [W].
    efficiency : float
        eff, efficiency at that power [ratio].
    voltage : float
        V, lowest voltage at its terminals at which it still runs [V].

    Returns
    -------
    float
        I, input current [A].

    Raises
    ------
    ValueError
        If `power` is not from 0 to 100000 W.
    ValueError
        If `efficiency` is not from 0.001 to 1 ratio.
    ValueError
        If `voltage` is not from 0.001 to 1500 V.

    Notes
    -----
    I = P / (eff V). A constant-power load draws most at the lowest voltage, so that is the voltage to use.
    Surge power and ripple are not included.

    References
    ----------
    1. Definition of efficiency.

    Example
    -------
    >>> f"{inverter_current(power=2000, efficiency=0.85, voltage=10.5):.1f}"
    '224.1'
    """
    _check.within("power", power, "W", 0, 100_000)
    _check.within("efficiency", efficiency, "ratio", 0.001, 1)
    _check.within("voltage", voltage, "V", 0.001, 1500)
    return power / (efficiency * voltage)


def stall_current(*, voltage: float, winding_resistance: float, path_resistance: float) -> float:
    """Current of a direct-current motor whose rotor is held.

    Parameters
    ----------
    voltage : float
        V, source voltage [V].
    winding_resistance : float
        Rw, resistance between the motor's terminals [ohm].
    path_resistance : float
        Rp, resistance of source and conductors there and back [ohm].

    Returns
    -------
    float
        I, stall current [A].

    Raises
    ------
    ValueError
        If `voltage` is not from 0.001 to 1500 V.
    ValueError
        If `winding_resistance` is not from 1e-9 to 1000 ohm.
    ValueError
        If `path_resistance` is not from 0 to 1000 ohm.

    Notes
    -----
    I = V / (Rw + Rp): a rotor at rest makes no back EMF. Permanent-magnet and series motors; not
    electronically commutated ones, which limit their current.

    References
    ----------
    1. US Navy NEETS module 5, direct-current motors (recalled).

    Example
    -------
    >>> f"{stall_current(voltage=12, winding_resistance=0.45, path_resistance=0.05):.1f}"
    '24.0'
    """
    _check.within("voltage", voltage, "V", 0.001, 1500)
    _check.within("winding_resistance", winding_resistance, "ohm", 1e-9, 1000)
    _check.within("path_resistance", path_resistance, "ohm", 0, 1000)
    return voltage / (winding_resistance + path_resistance)


def stall_from_rated(*, current: float, factor: float) -> float:
    """Stall current of a motor estimated from its rated current.

    Parameters
    ----------
    current : float
        In, rated current [A].
    factor : float
        f, stall current over rated current [ratio], from the basis.

    Returns
    -------
    float
        I, estimated stall current [A].

    Raises
    ------
    ValueError
        If `current` is not from 0 to 5000 A.
    ValueError
        If `factor` is not from 1 to 20 ratio.

    Notes
    -----
    I = f In. An estimate for want of the maker's figure; a verdict that hangs on it must say so.

    References
    ----------
    1. Common practice, no source.

    Example
    -------
    >>> stall_from_rated(current=4, factor=5)
    20
    """
    _check.within("current", current, "A", 0, 5000)
    _check.within("factor", factor, "ratio", 1, 20)
    return factor * current


def continuous_limit(*, rating: float, fraction: float) -> float:
    """Largest continuous load on a device.

    Parameters
    ----------
    rating : float
        In, rating of the device [A].
    fraction : float
        f, part of the rating that may be carried continuously [ratio]; 0.8 unless the maker says otherwise.

    Returns
    -------
    float
        I, largest continuous current [A].

    Raises
    ------
    ValueError
        If `rating` is not from 0.001 to 5000 A.
    ValueError
        If `fraction` is not from 0.001 to 1 ratio.

    Notes
    -----
    I = f In.

    References
    ----------
    1. The 80 % rule: NEC (NFPA 70) 210.20 (A) and 215.3 (device at least 125 % of the continuous load;
       recalled).

    Example
    -------
    >>> continuous_limit(rating=50, fraction=0.8)
    40.0
    """
    _check.within("rating", rating, "A", 0.001, 5000)
    _check.within("fraction", fraction, "ratio", 0.001, 1)
    return fraction * rating


def rating_for_continuous(*, current: float, fraction: float) -> float:
    """Smallest rating of a device that may carry a load continuously.

    Parameters
    ----------
    current : float
        I, continuous current [A].
    fraction : float
        f, part of the rating that may be carried continuously [ratio].

    Returns
    -------
    float
        In, smallest rating [A], not yet rounded up to a standard one.

    Raises
    ------
    ValueError
        If `current` is not from 0 to 5000 A.
    ValueError
        If `fraction` is not from 0.001 to 1 ratio.

    Notes
    -----
    In = I / f.

    References
    ----------
    1. As for the largest continuous load.

    Example
    -------
    >>> rating_for_continuous(current=40, fraction=0.8)
    50.0
    """
    _check.within("current", current, "A", 0, 5000)
    _check.within("fraction", fraction, "ratio", 0.001, 1)
    return current / fraction


def standard_at_least(*, current: float, series: Sequence[float]) -> float | None:
    """Smallest standard rating that is not below a current.

    Parameters
    ----------
    current : float
        I, current [A].
    series : sequence of float
        Standard ratings [A], in any order.

    Returns
    -------
    float or None
        The rating [A]; None where the series ends below the current.

    Raises
    ------
    ValueError
        If `current` is not from 0 to 5000 A.
    ValueError
        If `series` is empty, or a value of it is not from 0.001 to 5000 A.

    Notes
    -----
    min of the ratings >= I.

    References
    ----------
    1. NEC (NFPA 70) 240.4 (B) and 240.6 (A), second-hand, for the use.

    Example
    -------
    >>> standard_at_least(current=41, series=STANDARD_NEC)
    45.0
    """
    _check.within("current", current, "A", 0, 5000)
    _check.each_within("series", series, "A", 0.001, 5000)
    return min((rating for rating in series if rating >= current), default=None)


def standard_at_most(*, limit: float, series: Sequence[float]) -> float | None:
    """Largest standard rating that does not exceed a limit.

    Parameters
    ----------
    limit : float
        I, limit [A].
    series : sequence of float
        Standard ratings [A], in any order.

    Returns
    -------
    float or None
        The rating [A]; None where the series begins above the limit.

    Raises
    ------
    ValueError
        If `limit` is not from 0 to 10000 A.
    ValueError
        If `series` is empty, or a value of it is not from 0.001 to 5000 A.

    Notes
    -----
    max of the ratings <= I.

    References
    ----------
    1. Common practice, no source.

    Example
    -------
    >>> standard_at_most(limit=52.5, series=STANDARD_NEC)
    50.0
    """
    _check.within("limit", limit, "A", 0, 10_000)
    _check.each_within("series", series, "A", 0.001, 5000)
    return max((rating for rating in series if rating <= limit), default=None)


def permitted_by_factor(*, rating: float, ampacity: float, factor: float) -> bool:
    """Whether a device is small enough for a conductor under a rule of so many times the ampacity.

    Parameters
    ----------
    rating : float
        In, rating of the device [A].
    ampacity : float
        Iz, ampacity that the rule refers to [A].
    factor : float
        f, the rule's factor [ratio]; 1 for 'shall not exceed'.

    Returns
    -------
    bool
        True where In <= f Iz.

    Raises
    ------
    ValueError
        If `rating` is not from 0.001 to 5000 A.
    ValueError
        If `ampacity` is not from 0.001 to 5000 A.
    ValueError
        If `factor` is not from 0.001 to 5 ratio.

    Notes
    -----
    In <= f Iz. A rating that exceeds the product by less than one part in a thousand million counts as
    equal to it.

    References
    ----------
    1. 33 CFR 183.455 (c) (1): below 50 V at most 150 % of the table 5 value (read in a public copy).

    Example
    -------
    >>> [permitted_by_factor(rating=rating, ampacity=35, factor=1.5) for rating in (50, 60)]
    [True, False]
    """
    _check.within("rating", rating, "A", 0.001, 5000)
    _check.within("ampacity", ampacity, "A", 0.001, 5000)
    _check.within("factor", factor, "ratio", 0.001, 5)
    return rating <= factor * ampacity * (1 + 1e-9)


def permitted_next_size(*, rating: float, ampacity: float, factor: float, series: Sequence[float]) -> bool:
    """Whether a device is small enough under a rule that lets the next standard size stand in.

    Parameters
    ----------
    rating : float
        In, rating of the device [A].
    ampacity : float
        Iz, ampacity of the conductor [A].
    factor : float
        f, most that the next size may be [ratio of Iz].
    series : sequence of float
        Standard ratings [A].

    Returns
    -------
    bool
        True where In <= Iz, or where In is at most the next standard size above Iz and at most f Iz.

    Raises
    ------
    ValueError
        If `rating` is not from 0.001 to 5000 A.
    ValueError
        If `ampacity` is not from 0.001 to 5000 A.
    ValueError
        If `factor` is not from 0.001 to 5 ratio.
    ValueError
        If `series` is empty, or a value of it is not from 0.001 to 5000 A.

    Notes
    -----
    Where a standard rating equals Iz, no larger one is permitted.

    References
    ----------
    1. 33 CFR 183.455 (c) (2), circuits of 50 V and more, and 46 CFR 183.380 (d): next size up to 150 %
       (read in public copies).

    Example
    -------
    >>> permitted_next_size(rating=60, ampacity=55, factor=1.5, series=STANDARD_NEC)
    True
    """
    within_factor = permitted_by_factor(rating=rating, ampacity=ampacity, factor=factor)
    next_size = standard_at_least(current=ampacity, series=series)
    if permitted_by_factor(rating=rating, ampacity=ampacity, factor=1):
        return True
    return within_factor and next_size is not None and rating <= next_size

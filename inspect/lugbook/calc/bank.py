"""Several batteries: how they share a load in parallel, and whether blocks in series are in balance."""

from collections.abc import Sequence
from dataclasses import dataclass

from lugbook.calc import _check, parallel


@dataclass(frozen=True)
class Balance:
    """Blocks in series: mean [V], place (from 0) of the furthest block, how far it is from the mean [V]."""

    mean: float
    worst: int
    deviation: float
    balanced: bool


def bank_shares(*, emfs: Sequence[float], resistances: Sequence[float], current: float) -> tuple[float, ...]:
    """How unlike batteries in parallel share a load.

    Parameters
    ----------
    emfs : sequence of float
        E, open-circuit voltage of each [V].
    resistances : sequence of float
        R, internal resistance of each with its links to the common point [ohm].
    current : float
        I, current that the bank delivers [A]; negative when it is being charged.

    Returns
    -------
    tuple of float
        Current that each delivers [A]; negative for one that is being charged.

    Raises
    ------
    ValueError
        If `emfs` is empty, or a value of it is not from 0 to 1500 V.
    ValueError
        If `resistances` is empty, or a value of it is not from 1e-9 to 1000 ohm.
    ValueError
        If `current` is not from -5000 to 5000 A.
    ValueError
        If `emfs` and `resistances` differ in length.

    Notes
    -----
    U = (sum of Ei / Ri - I) / (sum of 1 / Ri); Ii = (Ei - U) / Ri. At I = 0 these are the circulating
    currents.

    References
    ----------
    1. Kirchhoff's laws.

    Example
    -------
    >>> [round(share, 1) for share in bank_shares(emfs=[12.7, 12.7], resistances=[0.005, 0.015], current=80)]
    [60.0, 20.0]
    """
    _check.each_within("emfs", emfs, "V", 0, 1500)
    together = parallel.resistance(resistances=resistances)
    _check.within("current", current, "A", -5000, 5000)
    pairs = _check.paired("emfs", emfs, "resistances", resistances)
    voltage = (sum(emf / each for emf, each in pairs) - current) * together
    return tuple((emf - voltage) / each for emf, each in pairs)


def one_end_shares(
    *, batteries: int, battery_resistance: float, link_resistance: float, current: float
) -> tuple[float, ...]:
    """How equal batteries in parallel share a load that is taken off at one end of the bank.

    Parameters
    ----------
    batteries : int
        n, batteries side by side.
    battery_resistance : float
        R, internal resistance of each [ohm].
    link_resistance : float
        r, resistance of the links, both poles together, between neighbours [ohm].
    current : float
        I, current taken off [A].

    Returns
    -------
    tuple of float
        Current of each [A], that at the take-off first.

    Raises
    ------
    ValueError
        If `batteries` is not a whole number from 1 to 50.
    ValueError
        If `battery_resistance` is not from 1e-9 to 10 ohm.
    ValueError
        If `link_resistance` is not from 0 to 10 ohm.
    ValueError
        If `current` is not from 0 to 5000 A.

    Notes
    -----
    A ladder worked from the far end: a battery's drop is that of its farther neighbour plus r times the
    current between them. Taking the two poles off at opposite ends evens most of it out.

    References
    ----------
    1. Kirchhoff's laws.

    Example
    -------
    >>> shares = one_end_shares(batteries=3, battery_resistance=0.006, link_resistance=0.001, current=100)
    >>> [round(share, 1) for share in shares]
    [41.4, 31.6, 27.1]
    """
    _check.whole("batteries", batteries, 1, 50)
    _check.within("battery_resistance", battery_resistance, "ohm", 1e-9, 10)
    _check.within("link_resistance", link_resistance, "ohm", 0, 10)
    _check.within("current", current, "A", 0, 5000)
    shares = [1.0]  # of the farthest battery, in a unit of its own; scaled to the current at the end
    for _ in range(batteries - 1):
        shares.append(shares[-1] + sum(shares) * link_resistance / battery_resistance)
    scale = current / sum(shares)
    return tuple(share * scale for share in reversed(shares))


def equalising_current(*, higher: float, lower: float, resistance: float) -> float:
    """Current that flows at the moment when two batteries are joined.

    Parameters
    ----------
    higher : float
        E1, voltage of the fuller battery [V].
    lower : float
        E2, voltage of the emptier battery [V].
    resistance : float
        R, resistance of both batteries and the link, all round [ohm].

    Returns
    -------
    float
        I, current [A].

    Raises
    ------
    ValueError
        If `higher` is not from 0 to 1500 V.
    ValueError
        If `lower` is not from 0 to 1500 V.
    ValueError
        If `resistance` is not from 1e-9 to 1000 ohm.
    ValueError
        If `lower` is above `higher`.

    Notes
    -----
    I = (E1 - E2) / R. Between chemistries the current need not fall off as it does between like batteries.

    References
    ----------
    1. Kirchhoff's voltage law.

    Example
    -------
    >>> f"{equalising_current(higher=12.7, lower=11.5, resistance=0.015):.0f}"
    '80'
    """
    _check.within("higher", higher, "V", 0, 1500)
    _check.within("lower", lower, "V", 0, 1500)
    _check.within("resistance", resistance, "ohm", 1e-9, 1000)
    if lower > higher:
        raise ValueError(f"lower [V] must not be above the higher voltage, {higher:g}, as {lower!r} is")
    return (higher - lower) / resistance


def series_balance(*, voltages: Sequence[float], tolerance: float) -> Balance:
    """Whether blocks in series are in balance.

    Parameters
    ----------
    voltages : sequence of float
        U, voltage of each block, taken at one time in one state [V].
    tolerance : float
        Largest difference from the mean that the basis allows [V].

    Returns
    -------
    Balance
        Mean [V], place of the block furthest from it (the first, of equals), its difference [V] and whether
        that is within the tolerance.

    Raises
    ------
    ValueError
        If `voltages` is empty, or a value of it is not from 0 to 1500 V.
    ValueError
        If `tolerance` is not from 0 to 100 V.

    Notes
    -----
    deviation = Ui - mean of U, the one of largest size. A difference that exceeds the tolerance by less
    than 1 nV counts as equal to it.

    References
    ----------
    1. Arithmetic mean; the tolerance belongs to a basis (common practice, no source).

    Example
    -------
    >>> balance = series_balance(voltages=[13.2, 14.4], tolerance=0.3)
    >>> f"{balance.mean:.1f} {balance.worst} {balance.deviation:.1f} {balance.balanced}"
    '13.8 0 -0.6 False'
    """
    _check.each_within("voltages", voltages, "V", 0, 1500)
    _check.within("tolerance", tolerance, "V", 0, 100)
    mean = sum(voltages) / len(voltages)
    worst = max(range(len(voltages)), key=lambda place: round(abs(voltages[place] - mean), 9))
    deviation = voltages[worst] - mean
    return Balance(mean, worst, deviation, balanced=abs(deviation) <= tolerance + 1e-9)

"""Conductors in parallel: they share a current by resistance, not by ampacity."""

from collections.abc import Sequence
from dataclasses import dataclass

from lugbook.calc import _check


@dataclass(frozen=True)
class Loading:
    """The conductor of a parallel set that is loaded most: its place in the set (from 0) and its share."""

    index: int
    current: float  # [A]
    loading: float  # current over ampacity [ratio]


def resistance(*, resistances: Sequence[float]) -> float:
    """Resistance of conductors in parallel.

    Parameters
    ----------
    resistances : sequence of float
        R, resistance of each [ohm].

    Returns
    -------
    float
        Resistance of them all together [ohm].

    Raises
    ------
    ValueError
        If `resistances` is empty, or a value of it is not from 1e-9 to 1000 ohm.

    Notes
    -----
    1 / R = sum of 1 / Ri.

    References
    ----------
    1. US Navy NEETS module 1, parallel circuits (recalled).

    Example
    -------
    >>> f"{resistance(resistances=[0.006, 0.003]):.3f}"
    '0.002'
    """
    _check.each_within("resistances", resistances, "ohm", 1e-9, 1000)
    return 1 / sum(1 / each for each in resistances)


def shares(*, resistances: Sequence[float], current: float) -> tuple[float, ...]:
    """How parallel conductors share a current.

    Parameters
    ----------
    resistances : sequence of float
        R, resistance of each, joints included [ohm].
    current : float
        I, current in all of them together [A].

    Returns
    -------
    tuple of float
        Current in each [A], in the order given.

    Raises
    ------
    ValueError
        If `resistances` is empty, or a value of it is not from 1e-9 to 1000 ohm.
    ValueError
        If `current` is not from 0 to 5000 A.

    Notes
    -----
    Ii = I R / Ri, with R the resistance of all in parallel.

    References
    ----------
    1. US Navy NEETS module 1, parallel circuits (recalled).

    Example
    -------
    >>> [round(share, 1) for share in shares(resistances=[0.006, 0.003], current=90)]
    [30.0, 60.0]
    """
    together = resistance(resistances=resistances)
    _check.within("current", current, "A", 0, 5000)
    return tuple(current * together / each for each in resistances)


def worst(*, resistances: Sequence[float], ampacities: Sequence[float], current: float) -> Loading:
    """The conductor of a parallel set that is loaded most.

    Parameters
    ----------
    resistances : sequence of float
        R, resistance of each, joints included [ohm].
    ampacities : sequence of float
        Iz, ampacity of each where it lies [A].
    current : float
        I, current in all of them together [A].

    Returns
    -------
    Loading
        Place, current [A] and loading [ratio] of the conductor nearest to, or furthest past, its ampacity;
        the first one where several are equal.

    Raises
    ------
    ValueError
        If `resistances` is empty, or a value of it is not from 1e-9 to 1000 ohm.
    ValueError
        If `ampacities` is empty, or a value of it is not from 0.001 to 5000 A.
    ValueError
        If `current` is not from 0 to 5000 A.
    ValueError
        If `resistances` and `ampacities` differ in length.

    Notes
    -----
    max over i of (I R / Ri) / Izi.

    References
    ----------
    1. Ohm's law; sharing is computed, as IEC 60364-4-43 annex A asks for unequal conductors (recalled).

    Example
    -------
    >>> worst(resistances=[0.006, 0.003], ampacities=[70, 100], current=180).index
    1
    """
    together = resistance(resistances=resistances)
    _check.each_within("ampacities", ampacities, "A", 0.001, 5000)
    _check.within("current", current, "A", 0, 5000)
    pairs = _check.paired("resistances", resistances, "ampacities", ampacities)
    loadings = [
        Loading(index, current=current * together / each, loading=current * together / each / ampacity)
        for index, (each, ampacity) in enumerate(pairs)
    ]
    return max(loadings, key=lambda each: each.loading)


def permitted_current(*, resistances: Sequence[float], ampacities: Sequence[float]) -> float:
    """Largest current in a parallel set that overloads none of its conductors.

    Parameters
    ----------
    resistances : sequence of float
        R, resistance of each, joints included [ohm].
    ampacities : sequence of float
        Iz, ampacity of each where it lies [A].

    Returns
    -------
    float
        I, largest current of the set [A]; at most the sum of the ampacities.

    Raises
    ------
    ValueError
        If `resistances` is empty, or a value of it is not from 1e-9 to 1000 ohm.
    ValueError
        If `ampacities` is empty, or a value of it is not from 0.001 to 5000 A.
    ValueError
        If `resistances` and `ampacities` differ in length.

    Notes
    -----
    I = min over i of Izi Ri / R.

    References
    ----------
    1. Ohm's law.

    Example
    -------
    >>> f"{permitted_current(resistances=[0.006, 0.003], ampacities=[70, 100]):.1f}"
    '150.0'
    """
    together = resistance(resistances=resistances)
    _check.each_within("ampacities", ampacities, "A", 0.001, 5000)
    pairs = _check.paired("resistances", resistances, "ampacities", ampacities)
    return min(ampacity * each / together for each, ampacity in pairs)

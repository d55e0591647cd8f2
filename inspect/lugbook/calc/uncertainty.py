"""What an instrument's accuracy statement means for a reading, and for what is computed from readings."""

from collections.abc import Sequence
from math import hypot, sqrt
from typing import Literal

from lugbook.calc import _check


def instrument_limit(*, reading: float, percent: float, digits: float, resolution: float) -> float:
    """Largest error of a digital instrument, from its accuracy statement.

    Parameters
    ----------
    reading : float
        x, what the instrument shows, in any unit.
    percent : float
        p, accuracy in per cent of the reading [%].
    digits : float
        n, accuracy in steps of the last digit.
    resolution : float
        q, step of the last digit on the range used, in the unit of the reading.

    Returns
    -------
    float
        a, largest error to either side, in the unit of the reading.

    Raises
    ------
    ValueError
        If `reading` is not from -1000000 to 1000000 any unit.
    ValueError
        If `percent` is not from 0 to 100 %.
    ValueError
        If `digits` is not from 0 to 1000 steps.
    ValueError
        If `resolution` is not from 1e-9 to 1000 any unit.

    Notes
    -----
    a = |x| p / 100 + n q. Holds within the maker's calibration interval and temperature range; a clamp's
    zero is a separate error.

    References
    ----------
    1. Common form of instrument accuracy statements; worked examples in public tutorials.

    Example
    -------
    >>> f"{instrument_limit(reading=12.62, percent=0.5, digits=3, resolution=0.01):.4f}"
    '0.0931'
    """
    _check.within("reading", reading, "any unit", -1e6, 1e6)
    _check.within("percent", percent, "%", 0, 100)
    _check.within("digits", digits, "steps", 0, 1000)
    _check.within("resolution", resolution, "any unit", 1e-9, 1000)
    return abs(reading) * percent / 100 + digits * resolution


def standard_uncertainty(*, limit: float) -> float:
    """Standard uncertainty of an error that lies anywhere within a limit.

    Parameters
    ----------
    limit : float
        a, largest error to either side, in any unit.

    Returns
    -------
    float
        u, standard uncertainty, in the unit of the limit.

    Raises
    ------
    ValueError
        If `limit` is not from 0 to 1000000 any unit.

    Notes
    -----
    u = a / sqrt(3), the rectangular distribution.

    References
    ----------
    1. JCGM 100:2008 (GUM), 4.3.7 (recalled).

    Example
    -------
    >>> f"{standard_uncertainty(limit=0.09):.4f}"
    '0.0520'
    """
    _check.within("limit", limit, "any unit", 0, 1e6)
    return limit / sqrt(3)


def combine(*, uncertainties: Sequence[float]) -> float:
    """Standard uncertainty of a sum or difference of independent values.

    Parameters
    ----------
    uncertainties : sequence of float
        u, standard uncertainty of each value, in one unit.

    Returns
    -------
    float
        u of the sum or difference, in the same unit.

    Raises
    ------
    ValueError
        If `uncertainties` is empty, or a value of it is not from 0 to 1000000 any unit.

    Notes
    -----
    u^2 = sum of ui^2. Two readings of one meter share part of their error, so for a small difference read by
    one meter on one range this is on the high side.

    References
    ----------
    1. JCGM 100:2008 (GUM), 5.1.2 (recalled).

    Example
    -------
    >>> f"{combine(uncertainties=[0.03, 0.04]):.3f}"
    '0.050'
    """
    _check.each_within("uncertainties", uncertainties, "any unit", 0, 1e6)
    return sqrt(sum(each**2 for each in uncertainties))


def of_quotient(*, numerator: float, numerator_u: float, denominator: float, denominator_u: float) -> float:
    """Standard uncertainty of a quotient, such as a resistance from a drop and a current.

    Parameters
    ----------
    numerator : float
        y, in any unit.
    numerator_u : float
        u(y), its standard uncertainty, in the same unit.
    denominator : float
        x, in any unit.
    denominator_u : float
        u(x), its standard uncertainty, in the same unit.

    Returns
    -------
    float
        u(y / x).

    Raises
    ------
    ValueError
        If `numerator` is not from -1000000 to 1000000 any unit.
    ValueError
        If `numerator_u` is not from 0 to 1000000 any unit.
    ValueError
        If `denominator` is not from 1e-9 to 1000000 any unit.
    ValueError
        If `denominator_u` is not from 0 to 1000000 any unit.
    ValueError
        If `denominator` is below 3 times `denominator_u`: the quotient could be anything.

    Notes
    -----
    u(y / x)^2 = (u(y) / x)^2 + (y u(x) / x^2)^2, to first order.

    References
    ----------
    1. JCGM 100:2008 (GUM), 5.1.2 (recalled).

    Example
    -------
    >>> f"{of_quotient(numerator=0.4, numerator_u=0.02, denominator=50, denominator_u=2) * 1e3:.2f}"
    '0.51'
    """
    _check.within("numerator", numerator, "any unit", -1e6, 1e6)
    _check.within("numerator_u", numerator_u, "any unit", 0, 1e6)
    _check.within("denominator", denominator, "any unit", 1e-9, 1e6)
    _check.within("denominator_u", denominator_u, "any unit", 0, 1e6)
    if denominator < 3 * denominator_u:
        raise ValueError(
            f"denominator [any unit] must be at least {3 * denominator_u:g}, 3 times its uncertainty, "
            f"not {denominator!r}"
        )
    return hypot(numerator_u / denominator, numerator * denominator_u / denominator**2)


def against_limit(
    *, value: float, uncertainty: float, coverage: float, limit: float
) -> Literal["below", "above", "cannot be decided"]:
    """Whether a value lies below or above a limit, its uncertainty taken into account.

    Parameters
    ----------
    value : float
        x, in any unit.
    uncertainty : float
        u, standard uncertainty of x, in the same unit.
    coverage : float
        c, standard uncertainties to allow to either side [ratio].
    limit : float
        The limit, in the same unit.

    Returns
    -------
    "below", "above" or "cannot be decided"
        "below" also where x + c u equals the limit.

    Raises
    ------
    ValueError
        If `value` is not from -1000000 to 1000000 any unit.
    ValueError
        If `uncertainty` is not from 0 to 1000000 any unit.
    ValueError
        If `coverage` is not from 0 to 10 ratio.
    ValueError
        If `limit` is not from -1000000 to 1000000 any unit.

    Notes
    -----
    below: x + c u <= limit; above: x - c u > limit; otherwise nothing can be said.

    References
    ----------
    1. JCGM 106:2012, decision rules with a guard band (recalled).

    Example
    -------
    >>> against_limit(value=0.35, uncertainty=0.02, coverage=2, limit=0.36)
    'cannot be decided'
    """
    _check.within("value", value, "any unit", -1e6, 1e6)
    _check.within("uncertainty", uncertainty, "any unit", 0, 1e6)
    _check.within("coverage", coverage, "ratio", 0, 10)
    _check.within("limit", limit, "any unit", -1e6, 1e6)
    if value + coverage * uncertainty <= limit:
        return "below"
    return "above" if value - coverage * uncertainty > limit else "cannot be decided"

"""What a conductor may carry: tabulated value, ambient, bundling, and the physics behind the table.

The tables belong to a basis and are passed in; nothing is interpolated.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import sqrt
from typing import Literal

from lugbook.calc import _check


@dataclass(frozen=True)
class Derated:
    """Ampacity by the table's factor and by physics [A]; the lower governs, both stay visible."""

    by_table: float
    by_physics: float

    @property
    def amperes(self) -> float:
        """The ampacity that governs [A]."""
        return min(self.by_table, self.by_physics)

    @property
    def governs(self) -> Literal["table", "physics"]:
        """Which of the two is used; the table where they are equal."""
        return "table" if self.by_table <= self.by_physics else "physics"


def column_for(*, ratings: Sequence[float], rating: float) -> float:
    """The table column for a conductor's insulation: the highest rating that does not exceed its own.

    Parameters
    ----------
    ratings : sequence of float
        Insulation temperature ratings of the table's columns [degC], in any order.
    rating : float
        T, temperature rating of the insulation [degC].

    Returns
    -------
    float
        Rating of the column to read [degC].

    Raises
    ------
    ValueError
        If `ratings` is empty, or a value of it is not from 40 to 300 degC.
    ValueError
        If `rating` is not from 40 to 300 degC.
    ValueError
        If no column is rated at or below `rating`.

    Notes
    -----
    No interpolation: insulation between two columns uses the lower.

    References
    ----------
    1. Reading rule of tables such as 33 CFR 183.425 table 5 (common practice, no source for sizes in
       between).

    Example
    -------
    >>> column_for(ratings=[60, 75, 105], rating=90)
    75
    """
    _check.each_within("ratings", ratings, "degC", 40, 300)
    _check.within("rating", rating, "degC", 40, 300)
    usable = [column for column in ratings if column <= rating]
    if not usable:
        raise ValueError(
            f"rating [degC] must be at least the table's lowest, {min(ratings):g}, not {rating!r}"
        )
    return max(usable)


def row_for(*, areas: Sequence[float], area: float) -> float:
    """The table row that a conductor may use: the largest tabulated area that does not exceed its own.

    Parameters
    ----------
    areas : sequence of float
        Tabulated areas [m2], in any order.
    area : float
        S, the conductor's area [m2].

    Returns
    -------
    float
        Area of the row to read [m2].

    Raises
    ------
    ValueError
        If `areas` is empty, or a value of it is not from 1e-9 to 0.001 m2.
    ValueError
        If `area` is not from 1e-9 to 0.001 m2.
    ValueError
        If no row has an area at or below `area`.

    Notes
    -----
    No interpolation. A difference under one part in a million counts as equal, so that 16 / 1e6 finds 16e-6.

    References
    ----------
    1. Reading rule (common practice, no source).

    Example
    -------
    >>> row_for(areas=[2.5e-6, 4e-6, 6e-6], area=5.26e-6)
    4e-06
    """
    _check.each_within("areas", areas, "m2", 1e-9, 1e-3)
    _check.within("area", area, "m2", 1e-9, 1e-3)
    usable = [row for row in areas if row <= area * (1 + 1e-6)]
    if not usable:
        raise ValueError(f"area [m2] must be at least the table's smallest, {min(areas):g}, not {area!r}")
    return max(usable)


def physical_factor(*, rating: float, ambient: float, reference: float) -> float:
    """Factor on an ampacity for an ambient temperature other than the table's, from heat balance.

    Parameters
    ----------
    rating : float
        T, temperature rating of the insulation [degC].
    ambient : float
        Ta, ambient temperature [degC].
    reference : float
        T0, ambient temperature that the table is for [degC]; 30 in most.

    Returns
    -------
    float
        Factor [ratio]; 0 where the ambient reaches the rating, above 1 where it is cooler than the reference.

    Raises
    ------
    ValueError
        If `rating` is not from 40 to 300 degC.
    ValueError
        If `ambient` is not from -40 to 150 degC.
    ValueError
        If `reference` is not from 0 to 80 degC.
    ValueError
        If `reference` is not below `rating`.

    Notes
    -----
    factor = sqrt((T - Ta) / (T - T0)): losses rise with the square of the current, cooling with the
    temperature difference. It reproduces the published factors of 33 CFR 183.425 note 1
    to two decimals except at 80 degC (table 0.78, formula 0.775), 105 degC (0.85, 0.856) and 200 degC (1.00,
    0.939).

    References
    ----------
    1. Heat balance; the factors of IEC 60364-5-52 table B.52.14 follow from it (recalled).

    Example
    -------
    >>> f"{physical_factor(rating=105, ambient=50, reference=30):.3f}"
    '0.856'
    """
    _check.within("rating", rating, "degC", 40, 300)
    _check.within("ambient", ambient, "degC", -40, 150)
    _check.within("reference", reference, "degC", 0, 80)
    if reference >= rating:
        raise ValueError(f"reference [degC] must be below the rating, {rating:g}, not {reference!r}")
    return sqrt(max(rating - ambient, 0) / (rating - reference))


def bundle_factor(*, conductors: int, bands: Mapping[int, float]) -> float:
    """Factor on an ampacity for current-carrying conductors that lie together.

    Parameters
    ----------
    conductors : int
        n, number of current-carrying conductors in the bundle, this one included.
    bands : mapping of int to float
        Lowest number of conductors of each band -> factor [ratio], for example {3: 0.70, 4: 0.60}.

    Returns
    -------
    float
        Factor of the band that holds n [ratio]; 1 below the first band.

    Raises
    ------
    ValueError
        If `conductors` is not a whole number from 1 to 1000.
    ValueError
        If `bands` is empty, or a factor in it is not from 0.001 to 1 ratio.

    Notes
    -----
    A step table, as printed: the band with the highest lower end that n reaches. Whether a law applies it
    below 50 V is for the basis to say.

    References
    ----------
    1. 33 CFR 183.425 note 2 and 183.435 (b): 3: 0.70, 4 to 6: 0.60, 7 to 24: 0.50, 25 and more: 0.40 (figures
       second-hand from two public copies).

    Example
    -------
    >>> bundle_factor(conductors=6, bands={3: 0.70, 4: 0.60, 7: 0.50, 25: 0.40})
    0.6
    """
    _check.whole("conductors", conductors, 1, 1000)
    _check.each_within("bands", list(bands.values()), "ratio", 0.001, 1)
    reached = [lowest for lowest in bands if lowest <= conductors]
    return bands[max(reached)] if reached else 1.0


def derate(*, tabulated: float, ambient_by_table: float, ambient_by_physics: float, bundle: float) -> Derated:
    """Ampacity of a conductor where it lies, by the table's ambient factor and by the physical one.

    Parameters
    ----------
    tabulated : float
        It, tabulated ampacity [A].
    ambient_by_table : float
        Fa, ambient factor that the basis prints [ratio].
    ambient_by_physics : float
        Fp, ambient factor from heat balance for the ambient that is really there [ratio].
    bundle : float
        Fb, bundling factor [ratio].

    Returns
    -------
    Derated
        by_table = It Fa Fb and by_physics = It Fp Fb [A]; its `amperes` is the lower.

    Raises
    ------
    ValueError
        If `tabulated` is not from 0.001 to 5000 A.
    ValueError
        If `ambient_by_table` is not from 0 to 2 ratio.
    ValueError
        If `ambient_by_physics` is not from 0 to 2 ratio.
    ValueError
        If `bundle` is not from 0.001 to 1 ratio.

    Notes
    -----
    I = min(It Fa, It Fp) Fb. Both are kept, so that a report can show where a printed factor flatters.

    References
    ----------
    1. 33 CFR 183.425 (b), (c) and notes 1 and 2 for the product; the comparison is this program's own rule.

    Example
    -------
    >>> result = derate(tabulated=60, ambient_by_table=0.85, ambient_by_physics=0.80, bundle=0.70)
    >>> f"{result.by_table:.1f} {result.by_physics:.1f} {result.amperes:.1f} {result.governs}"
    '35.7 33.6 33.6 physics'
    """
    _check.within("tabulated", tabulated, "A", 0.001, 5000)
    _check.within("ambient_by_table", ambient_by_table, "ratio", 0, 2)
    _check.within("ambient_by_physics", ambient_by_physics, "ratio", 0, 2)
    _check.within("bundle", bundle, "ratio", 0.001, 1)
    return Derated(
        by_table=tabulated * ambient_by_table * bundle,
        by_physics=tabulated * ambient_by_physics * bundle,
    )


def conductor_temperature(*, ambient: float, rating: float, current: float, ampacity: float) -> float:
    """Temperature that a conductor settles at, from the current at which it would reach its rating.

    Parameters
    ----------
    ambient : float
        Ta, ambient temperature [degC].
    rating : float
        T, temperature rating of the insulation [degC].
    current : float
        I, current carried [A].
    ampacity : float
        Iz, current that brings the conductor to T in that ambient [A].

    Returns
    -------
    float
        Settled conductor temperature [degC]; above T where I exceeds Iz.

    Raises
    ------
    ValueError
        If `ambient` is not from -40 to 150 degC.
    ValueError
        If `rating` is not from 40 to 300 degC.
    ValueError
        If `current` is not from 0 to 5000 A.
    ValueError
        If `ampacity` is not from 0.001 to 5000 A.
    ValueError
        If `ambient` is not below `rating`.
    ValueError
        If `current` is more than 1.5 times `ampacity`, where the result means nothing.

    Notes
    -----
    t = Ta + (T - Ta) (I / Iz)^2.

    References
    ----------
    1. Heat balance, the same law as the ambient factor.

    Example
    -------
    >>> conductor_temperature(ambient=30, rating=70, current=35, ampacity=70)
    40.0
    """
    _check_heating(ambient, rating, current, ampacity)
    return ambient + (rating - ambient) * (current / ampacity) ** 2


def conductor_temperature_faa(*, ambient: float, rating: float, current: float, ampacity: float) -> float:
    """Temperature that a conductor settles at, by the aircraft circular's estimate (on the high side).

    Parameters
    ----------
    ambient : float
        T1, ambient temperature [degC].
    rating : float
        TR, temperature rating of the conductor [degC].
    current : float
        I2, current carried [A].
    ampacity : float
        Imax, largest current permitted at TR [A].

    Returns
    -------
    float
        T2, estimated conductor temperature [degC].

    Raises
    ------
    ValueError
        If `ambient` is not from -40 to 150 degC.
    ValueError
        If `rating` is not from 40 to 300 degC.
    ValueError
        If `current` is not from 0 to 5000 A.
    ValueError
        If `ampacity` is not from 0.001 to 5000 A.
    ValueError
        If `ambient` is not below `rating`.
    ValueError
        If `current` is more than 1.5 times `ampacity`, where the result means nothing.

    Notes
    -----
    T2 = T1 + (TR - T1) sqrt(I2 / Imax).

    References
    ----------
    1. FAA AC 43.13-1B CHG 1, paragraph 11-66 b (5): symbols read, the equation itself recalled.

    Example
    -------
    >>> conductor_temperature_faa(ambient=30, rating=70, current=17.5, ampacity=70)
    50.0
    """
    _check_heating(ambient, rating, current, ampacity)
    return ambient + (rating - ambient) * sqrt(current / ampacity)


def _check_heating(ambient: float, rating: float, current: float, ampacity: float) -> None:
    _check.within("ambient", ambient, "degC", -40, 150)
    _check.within("rating", rating, "degC", 40, 300)
    _check.within("current", current, "A", 0, 5000)
    _check.within("ampacity", ampacity, "A", 0.001, 5000)
    if ambient >= rating:
        raise ValueError(f"ambient [degC] must be below the rating, {rating:g}, not {ambient!r}")
    if current > 1.5 * ampacity:
        raise ValueError(
            f"current [A] must be at most {1.5 * ampacity:g}, 1.5 times the ampacity, not {current!r}"
        )

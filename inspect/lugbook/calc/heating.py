"""Heating of a conductor by a fault, and how long a device may take to end it."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import exp, log, sqrt

from lugbook.calc import _check

# The adiabatic law leaves out heat that escapes, and is stated for faults that last up to this long [s].
ADIABATIC_LIMIT = 5.0
# Below this time the peak of the current counts, and only a published let-through can say how much heat
# gets through [s].
LET_THROUGH_LIMIT = 0.1


@dataclass(frozen=True)
class Metal:
    """Constants of a conductor's metal for the adiabatic law."""

    heat_capacity: float  # Qc, volumetric, at 20 degC [J/(K m3)]
    inverse_coefficient: float  # B, inverse of the temperature coefficient of resistance at 0 degC [K]
    resistivity: float  # rho20 [ohm m]


# IEC 60364-5-54 annex A, as reproduced in two public pages on the k factor; for the resistivity of aluminium
# one of them prints 28.267, which changes no printed k (28.264 recalled).
METALS = {
    "copper": Metal(heat_capacity=3.45e6, inverse_coefficient=234.5, resistivity=17.241e-9),
    "aluminium": Metal(heat_capacity=2.5e6, inverse_coefficient=228.0, resistivity=28.264e-9),
    "steel": Metal(heat_capacity=3.8e6, inverse_coefficient=202.0, resistivity=138e-9),
}


# Temperature that an insulation stands for a moment [degC]: IEC 60364-5-54 (and BS 7671) tables of k, as reproduced in a
# public page. Up to 300 mm2; larger PVC stands 140 degC.
FINAL_TEMPERATURES = {"pvc": 160.0, "xlpe": 250.0, "epr": 250.0, "rubber": 200.0, "silicone": 350.0}
LARGE, LARGE_PVC = 300e-6, 140.0


@dataclass(frozen=True)
class HeatingTime:
    """Time until a conductor reaches its limit [s]; where it is a lower bound, the true time is longer."""

    seconds: float
    lower_bound: bool


def k_factor(*, initial: float, final: float, metal: str) -> float:
    """Adiabatic heating factor of a conductor.

    Parameters
    ----------
    initial : float
        ti, temperature of the conductor when the fault begins [degC].
    final : float
        tf, temperature that its insulation stands for a moment [degC].
    metal : str
        "copper", "aluminium" or "steel".

    Returns
    -------
    float
        k [A s^0.5 / m2]; 1e6 times the usual figure in A s^0.5 / mm2.

    Raises
    ------
    ValueError
        If `initial` is not from -50 to 300 degC.
    ValueError
        If `final` is not from -50 to 500 degC.
    ValueError
        If `metal` is not one of copper, aluminium and steel.
    ValueError
        If `final` is not above `initial`.

    Notes
    -----
    k = sqrt(Qc (B + 20) / rho20 * ln((B + tf) / (B + ti))). For faults of up to 5 s. Boat cable rated 105
    degC starts hotter than 70 degC PVC: k from 105 to 160 is 87, and the usual 115 would overstate what it
    stands by 73 %.

    References
    ----------
    1. IEC 60364-5-54, annex A, and BS 7671 tables of k, as reproduced in two public pages.

    Example
    -------
    >>> f"{k_factor(initial=70, final=160, metal='copper') / 1e6:.1f}"
    '114.8'
    """
    _check.within("initial", initial, "degC", -50, 300)
    _check.within("final", final, "degC", -50, 500)
    _check.one_of("metal", metal, METALS)
    if final <= initial:
        raise ValueError(f"final [degC] must be above the initial temperature, {initial:g}, not {final!r}")
    of = METALS[metal]
    return sqrt(
        of.heat_capacity
        * (of.inverse_coefficient + 20)
        / of.resistivity
        * log((of.inverse_coefficient + final) / (of.inverse_coefficient + initial))
    )


def momentary_temperature(*, material: str, area: float) -> float:
    """Temperature that a conductor's insulation stands for a moment.

    Parameters
    ----------
    material : str
        "pvc", "xlpe", "epr", "rubber" or "silicone".
    area : float
        S, area [m2].

    Returns
    -------
    float
        tf [degC].

    Raises
    ------
    ValueError
        If `material` is not one of pvc, xlpe, epr, rubber and silicone.
    ValueError
        If `area` is not from 1e-9 to 0.001 m2.

    Notes
    -----
    Thermoplastic flows first: PVC stands 160 degC, above 300 mm2 140 degC. XLPE and EPR stand 250 degC, rubber
    200 degC, silicone 350 degC.

    References
    ----------
    1. IEC 60364-5-54 and BS 7671, tables of k, as reproduced in a public page.

    Example
    -------
    >>> momentary_temperature(material="xlpe", area=35e-6)
    250.0
    """
    _check.one_of("material", material, FINAL_TEMPERATURES)
    _check.within("area", area, "m2", 1e-9, 1e-3)
    if material == "pvc" and area > LARGE:
        return LARGE_PVC
    return FINAL_TEMPERATURES[material]


def withstand(*, k: float, area: float) -> float:
    """Joule integral that a conductor stands.

    Parameters
    ----------
    k : float
        Adiabatic heating factor [A s^0.5 / m2].
    area : float
        S, area [m2].

    Returns
    -------
    float
        k^2 S^2 [A2 s].

    Raises
    ------
    ValueError
        If `k` is not from 1000 to 1e9 A s^0.5/m2.
    ValueError
        If `area` is not from 1e-9 to 0.001 m2.

    Notes
    -----
    I^2 t <= k^2 S^2 for t up to 5 s.

    References
    ----------
    1. IEC 60364-4-43, 434.5.2 (recalled), as reproduced in a public page on thermal withstand.

    Example
    -------
    >>> f"{withstand(k=115e6, area=10e-6):.0f}"
    '1322500'
    """
    _check.within("k", k, "A s^0.5/m2", 1000, 1e9)
    _check.within("area", area, "m2", 1e-9, 1e-3)
    return (k * area) ** 2


def time_to_limit(*, current: float, k: float, area: float) -> HeatingTime:
    """Time until a fault brings a conductor to the limit of its insulation.

    Parameters
    ----------
    current : float
        I, fault current [A].
    k : float
        Adiabatic heating factor [A s^0.5 / m2].
    area : float
        S, area [m2].

    Returns
    -------
    HeatingTime
        t [s]; past 5 s it is 5 s and a lower bound, since heat escapes meanwhile.

    Raises
    ------
    ValueError
        If `current` is not from 0.001 to 100000 A.
    ValueError
        If `k` is not from 1000 to 1e9 A s^0.5/m2.
    ValueError
        If `area` is not from 1e-9 to 0.001 m2.

    Notes
    -----
    t = k^2 S^2 / I^2.

    References
    ----------
    1. IEC 60364-4-43, 434.5.2 (recalled), as reproduced in a public page on thermal withstand.

    Example
    -------
    >>> f"{time_to_limit(current=2000, k=115e6, area=10e-6).seconds:.2f}"
    '0.33'
    """
    _check.within("current", current, "A", 0.001, 100_000)
    seconds = withstand(k=k, area=area) / current**2
    return HeatingTime(seconds=min(seconds, ADIABATIC_LIMIT), lower_bound=seconds > ADIABATIC_LIMIT)


def smallest_area(*, joule_integral: float, k: float) -> float:
    """Smallest area that stands a Joule integral.

    Parameters
    ----------
    joule_integral : float
        I^2 t let through before the fault is cleared [A2 s].
    k : float
        Adiabatic heating factor [A s^0.5 / m2].

    Returns
    -------
    float
        S, area [m2], not yet rounded up to a standard size.

    Raises
    ------
    ValueError
        If `joule_integral` is not from 0 to 1e12 A2 s.
    ValueError
        If `k` is not from 1000 to 1e9 A s^0.5/m2.

    Notes
    -----
    S = sqrt(I^2 t) / k, for faults of up to 5 s.

    References
    ----------
    1. IEC 60364-5-54, 543.1.2 (recalled), as reproduced in two public pages.

    Example
    -------
    >>> f"{smallest_area(joule_integral=1000**2 * 0.5, k=115e6) * 1e6:.3f}"
    '6.149'
    """
    _check.within("joule_integral", joule_integral, "A2 s", 0, 1e12)
    _check.within("k", k, "A s^0.5/m2", 1000, 1e9)
    return sqrt(joule_integral) / k


def final_temperature(*, initial: float, joule_integral: float, area: float, metal: str) -> float | None:
    """Temperature that a conductor reaches when a fault has passed.

    Parameters
    ----------
    initial : float
        ti, temperature of the conductor when the fault begins [degC].
    joule_integral : float
        I^2 t let through [A2 s].
    area : float
        S, area [m2].
    metal : str
        "copper", "aluminium" or "steel".

    Returns
    -------
    float or None
        tf [degC]; an upper bound, as no heat escapes in this law. None above 1000 degC, where the law ends
        and copper is about to melt.

    Raises
    ------
    ValueError
        If `initial` is not from -50 to 300 degC.
    ValueError
        If `joule_integral` is not from 0 to 1e12 A2 s.
    ValueError
        If `area` is not from 1e-9 to 0.001 m2.
    ValueError
        If `metal` is not one of copper, aluminium and steel.

    Notes
    -----
    tf = (B + ti) exp(I^2 t rho20 / (S^2 Qc (B + 20))) - B, the adiabatic law solved for the temperature.


    References
    ----------
    1. IEC 60364-5-54, annex A (as for k).

    Example
    -------
    >>> f"{final_temperature(initial=70, joule_integral=1.3188e6, area=10e-6, metal='copper'):.0f}"
    '160'
    """
    _check.within("initial", initial, "degC", -50, 300)
    _check.within("joule_integral", joule_integral, "A2 s", 0, 1e12)
    _check.within("area", area, "m2", 1e-9, 1e-3)
    _check.one_of("metal", metal, METALS)
    of = METALS[metal]
    exponent = joule_integral * of.resistivity / area**2 / (of.heat_capacity * (of.inverse_coefficient + 20))
    if exponent > log((of.inverse_coefficient + 1000) / (of.inverse_coefficient + initial)):
        return None
    return (of.inverse_coefficient + initial) * exp(exponent) - of.inverse_coefficient


def clearing_time(*, current: float, rating: float, gates: Mapping[float, float | None]) -> float | None:
    """Longest time that a device may take to open, read from its gates.

    Parameters
    ----------
    current : float
        I, fault current [A].
    rating : float
        In, rating of the device [A].
    gates : mapping of float to float or None
        Upper gates of the device's class: multiple of the rating [ratio] -> longest opening time there [s]; None
        where the standard sets no upper time.

    Returns
    -------
    float or None
        t, longest opening time [s]; None where it is not known: the current is below the lowest gate, or
        that gate has no upper time.

    Raises
    ------
    ValueError
        If `current` is not from 0.001 to 100000 A.
    ValueError
        If `rating` is not from 0.001 to 5000 A.
    ValueError
        If `gates` is empty, or a multiple in it is not from 1 to 100 ratio.
    ValueError
        If a time in `gates` is given and is not from 1e-6 to 1e6 s.

    Notes
    -----
    The upper gate at the highest tabulated multiple that I / In reaches. Nothing is interpolated between
    gates: a device may be as slow as the gate below until it reaches the next one.

    References
    ----------
    1. Reading rule of this program; the gates themselves come from a fuse standard or its maker.

    Example
    -------
    >>> gates = {2: 5, 3.5: 0.5, 6: 0.1}
    >>> clearing_time(current=100, rating=30, gates=gates)
    5
    """
    _check.within("current", current, "A", 0.001, 100_000)
    _check.within("rating", rating, "A", 0.001, 5000)
    _check.each_within("gates", list(gates), "ratio", 1, 100)
    for multiple, longest in gates.items():
        if longest is not None:
            _check.within(f"gates[{multiple!r}]", longest, "s", 1e-6, 1e6)
    reached = [multiple for multiple in gates if current >= multiple * rating]
    return gates[max(reached)] if reached else None


def let_through(*, current: float, clearing: float, published: float | None) -> float | None:
    """Joule integral let through before a device has cleared a fault.

    Parameters
    ----------
    current : float
        I, fault current [A].
    clearing : float
        t, longest opening time [s].
    published : float or None
        Let-through I^2 t of the device at this current, from its maker [A2 s]; None where there is none.

    Returns
    -------
    float or None
        I^2 t [A2 s]; None where it is not known.

    Raises
    ------
    ValueError
        If `current` is not from 0.001 to 100000 A.
    ValueError
        If `clearing` is not from 1e-6 to 1000000 s.
    ValueError
        If `published` is given and is not from 1e-6 to 1e12 A2 s.

    Notes
    -----
    From 0.1 s on: I^2 t. Below 0.1 s only the published figure counts, as the gates say too little about so
    short a time.

    References
    ----------
    1. IEC 60364-4-43, 434.5.2: below 0.1 s the device's let-through is compared with k^2 S^2 (recalled).

    Example
    -------
    >>> let_through(current=300, clearing=0.5, published=None)
    45000.0
    """
    _check.within("current", current, "A", 0.001, 100_000)
    _check.within("clearing", clearing, "s", 1e-6, 1e6)
    if published is not None:
        _check.within("published", published, "A2 s", 1e-6, 1e12)
    if clearing < LET_THROUGH_LIMIT:
        return published
    return current**2 * clearing

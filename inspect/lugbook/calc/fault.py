"""Internal resistance of batteries and the currents that a short circuit would draw."""

from collections.abc import Sequence
from dataclasses import dataclass

from lugbook.calc import _check, parallel


@dataclass(frozen=True)
class TwoPoint:
    """What two loads on one battery tell: internal resistance [ohm], short-circuit current [A], EMF [V]."""

    resistance: float
    short_circuit: float
    emf: float


@dataclass(frozen=True)
class CrankingEstimate:
    """Internal resistance [ohm] from a cold-cranking figure: cold (minimum case) and warm (maximum case)."""

    cold: float
    warm: float


@dataclass(frozen=True)
class BatteryShort:
    """Short-circuit currents [A] of a battery by standard: the peak, then what is sustained."""

    peak: float
    sustained: float


@dataclass(frozen=True)
class Equivalent:
    """One source that stands for several in parallel: its EMF [V] and internal resistance [ohm]."""

    emf: float
    resistance: float


def resistance_from_maker(*, emf: float, short_circuit: float) -> float:
    """Internal resistance from the maker's short-circuit current.

    Parameters
    ----------
    emf : float
        E, open-circuit voltage [V].
    short_circuit : float
        Isc, maker's short-circuit current [A].

    Returns
    -------
    float
        Ri, internal resistance [ohm].

    Raises
    ------
    ValueError
        If `emf` is not from 0.001 to 1500 V.
    ValueError
        If `short_circuit` is not from 0.001 to 100000 A.

    Notes
    -----
    Ri = E / Isc.

    References
    ----------
    1. Ohm's law.

    Example
    -------
    >>> f"{resistance_from_maker(emf=12.6, short_circuit=2520) * 1e3:.1f}"
    '5.0'
    """
    _check.within("emf", emf, "V", 0.001, 1500)
    _check.within("short_circuit", short_circuit, "A", 0.001, 100_000)
    return emf / short_circuit


def two_point(
    *, first_voltage: float, first_current: float, second_voltage: float, second_current: float
) -> TwoPoint:
    """Internal resistance and short-circuit current from two discharge currents.

    Parameters
    ----------
    first_voltage : float
        U1, terminal voltage under the first, smaller load [V].
    first_current : float
        I1, first discharge current [A].
    second_voltage : float
        U2, terminal voltage under the second, larger load [V].
    second_current : float
        I2, second discharge current [A].

    Returns
    -------
    TwoPoint
        Ri [ohm], Isc [A] and E [V].

    Raises
    ------
    ValueError
        If `first_voltage` is not from 0.001 to 1500 V.
    ValueError
        If `first_current` is not from 0 to 5000 A.
    ValueError
        If `second_voltage` is not from 0.001 to 1500 V.
    ValueError
        If `second_current` is not from 0.001 to 5000 A.
    ValueError
        If `second_current` is not above `first_current`.
    ValueError
        If `second_voltage` is not below `first_voltage`.

    Notes
    -----
    Ri = (U1 - U2) / (I2 - I1); Isc = (U1 I2 - U2 I1) / (U1 - U2); E = Isc Ri. The standard takes I1 = 4 I10
    for 20 s and I2 = 20 I10 for 5 s (I10: the ten-hour current). With smaller currents the figure is less
    certain.

    References
    ----------
    1. IEC 60896-21:2004, short-circuit current and d.c. internal resistance (recalled).

    Example
    -------
    >>> test = two_point(first_voltage=12.35, first_current=40, second_voltage=11.55, second_current=200)
    >>> f"{test.resistance * 1e3:.1f} {test.short_circuit:.0f} {test.emf:.2f}"
    '5.0 2510 12.55'
    """
    _check.within("first_voltage", first_voltage, "V", 0.001, 1500)
    _check.within("first_current", first_current, "A", 0, 5000)
    _check.within("second_voltage", second_voltage, "V", 0.001, 1500)
    _check.within("second_current", second_current, "A", 0.001, 5000)
    if second_current <= first_current:
        raise ValueError(
            f"second_current [A] must be above the first, {first_current:g}, not {second_current!r}"
        )
    if second_voltage >= first_voltage:
        raise ValueError(
            f"second_voltage [V] must be below the first, {first_voltage:g}, not {second_voltage!r}"
        )
    fall = first_voltage - second_voltage
    resistance = fall / (second_current - first_current)
    short_circuit = (first_voltage * second_current - second_voltage * first_current) / fall
    return TwoPoint(resistance=resistance, short_circuit=short_circuit, emf=short_circuit * resistance)


def cranking_resistance(
    *, emf: float, end_voltage: float, current: float, warm_factor: float
) -> CrankingEstimate:
    """Internal resistance estimated from a cold-cranking rating.

    Parameters
    ----------
    emf : float
        E, open-circuit voltage [V].
    end_voltage : float
        Ue, lowest voltage that the rating allows [V]: 7.2 in one rating system, 7.5 in another, for 12 V.
    current : float
        Icc, rated cold-cranking current [A].
    warm_factor : float
        f, resistance of the warm battery over that of the cold one [ratio], from the basis.

    Returns
    -------
    CrankingEstimate
        cold = (E - Ue) / Icc, and warm = f cold [ohm].

    Raises
    ------
    ValueError
        If `emf` is not from 0.001 to 1500 V.
    ValueError
        If `end_voltage` is not from 0 to 1500 V.
    ValueError
        If `current` is not from 0.001 to 5000 A.
    ValueError
        If `warm_factor` is not from 0.001 to 1 ratio.
    ValueError
        If `end_voltage` is not below `emf`.

    Notes
    -----
    The rating holds at -18 degC after 10 to 30 s, and is a least value: a warm battery delivers about 2 to
    2.5 times as much into a short circuit. Of low confidence: it may fail a device, never clear it. A
    conductance tester's figure is no cold-cranking rating.

    References
    ----------
    1. SAE J537: 30 s at -18 degC, at least 7.2 V (second-hand, four public pages).
    2. EN 50342-1: 10 s at -18 degC, at least 7.5 V (recalled).

    Example
    -------
    >>> estimate = cranking_resistance(emf=12.6, end_voltage=7.2, current=500, warm_factor=0.4)
    >>> f"{estimate.cold * 1e3:.1f} {estimate.warm * 1e3:.2f}"
    '10.8 4.32'
    """
    _check.within("emf", emf, "V", 0.001, 1500)
    _check.within("end_voltage", end_voltage, "V", 0, 1500)
    _check.within("current", current, "A", 0.001, 5000)
    _check.within("warm_factor", warm_factor, "ratio", 0.001, 1)
    if end_voltage >= emf:
        raise ValueError(f"end_voltage [V] must be below the EMF, {emf:g}, not {end_voltage!r}")
    cold = (emf - end_voltage) / current
    return CrankingEstimate(cold=cold, warm=warm_factor * cold)


def bank_resistance(*, block: float, series: int, strings: int) -> float:
    """Internal resistance of a bank of equal blocks.

    Parameters
    ----------
    block : float
        R, internal resistance of one block with its links [ohm].
    series : int
        s, blocks in series in each string.
    strings : int
        p, strings in parallel.

    Returns
    -------
    float
        Rb, internal resistance of the bank [ohm].

    Raises
    ------
    ValueError
        If `block` is not from 1e-9 to 10 ohm.
    ValueError
        If `series` is not a whole number from 1 to 1000.
    ValueError
        If `strings` is not a whole number from 1 to 100.

    Notes
    -----
    Rb = R s / p.

    References
    ----------
    1. Resistances in series and in parallel; as a public short-circuit calculator page for banks states it.

    Example
    -------
    >>> f"{bank_resistance(block=0.005, series=2, strings=4) * 1e3:.2f}"
    '2.50'
    """
    _check.within("block", block, "ohm", 1e-9, 10)
    _check.whole("series", series, 1, 1000)
    _check.whole("strings", strings, 1, 100)
    return block * series / strings


def equivalent_source(*, emfs: Sequence[float], resistances: Sequence[float]) -> Equivalent:
    """One source that stands for several unlike ones in parallel.

    Parameters
    ----------
    emfs : sequence of float
        E, open-circuit voltage of each [V].
    resistances : sequence of float
        R, resistance of each with its path to the common point [ohm].

    Returns
    -------
    Equivalent
        EMF [V] and resistance [ohm] at the common point.

    Raises
    ------
    ValueError
        If `emfs` is empty, or a value of it is not from 0 to 1500 V.
    ValueError
        If `resistances` is empty, or a value of it is not from 1e-9 to 1000 ohm.
    ValueError
        If `emfs` and `resistances` differ in length.

    Notes
    -----
    1 / R = sum of 1 / Ri; E = R sum of Ei / Ri (Millman's theorem).

    References
    ----------
    1. Kirchhoff's laws.

    Example
    -------
    >>> bank = equivalent_source(emfs=[12.8, 12.2], resistances=[0.004, 0.012])
    >>> f"{bank.emf:.2f} {bank.resistance * 1e3:.1f}"
    '12.65 3.0'
    """
    _check.each_within("emfs", emfs, "V", 0, 1500)
    together = parallel.resistance(resistances=resistances)
    pairs = _check.paired("emfs", emfs, "resistances", resistances)
    return Equivalent(emf=together * sum(emf / each for emf, each in pairs), resistance=together)


def prospective_current(*, emf: float, source_resistance: float, path_resistance: float) -> float:
    """Current that a solid short circuit would draw.

    Parameters
    ----------
    emf : float
        E, highest open-circuit voltage; with a charger on, its voltage [V].
    source_resistance : float
        Ri, internal resistance of the source [ohm].
    path_resistance : float
        Rp, resistance of the conductors to the fault and back [ohm].

    Returns
    -------
    float
        I, prospective fault current [A].

    Raises
    ------
    ValueError
        If `emf` is not from 0.001 to 1500 V.
    ValueError
        If `source_resistance` is not from 1e-9 to 1000 ohm.
    ValueError
        If `path_resistance` is not from 0 to 1000 ohm.

    Notes
    -----
    I = E / (Ri + Rp). Inductance is left out: it delays the current by milliseconds but does not change
    where it settles.

    References
    ----------
    1. Ohm's law.

    Example
    -------
    >>> f"{prospective_current(emf=12.6, source_resistance=0.004, path_resistance=0.0023):.0f}"
    '2000'
    """
    _check.within("emf", emf, "V", 0.001, 1500)
    _check.within("source_resistance", source_resistance, "ohm", 1e-9, 1000)
    _check.within("path_resistance", path_resistance, "ohm", 0, 1000)
    return emf / (source_resistance + path_resistance)


def minimum_current(
    *, emf: float, source_resistance: float, path_resistance: float, arc_voltage: float
) -> float:
    """Least current of a short circuit that burns with an arc at its far end.

    Parameters
    ----------
    emf : float
        E, lowest open-circuit voltage [V].
    source_resistance : float
        Ri, highest internal resistance of the source [ohm].
    path_resistance : float
        Rp, resistance of the warm conductors to the fault and back [ohm].
    arc_voltage : float
        Ua, voltage across the arc [V]; 0 where the fault is solid.

    Returns
    -------
    float
        I, least fault current [A]; 0 where the arc needs more voltage than there is, so that it cannot burn.

    Raises
    ------
    ValueError
        If `emf` is not from 0.001 to 1500 V.
    ValueError
        If `source_resistance` is not from 1e-9 to 1000 ohm.
    ValueError
        If `path_resistance` is not from 0 to 1000 ohm.
    ValueError
        If `arc_voltage` is not from 0 to 1500 V.

    Notes
    -----
    I = (E - Ua) / (Ri + Rp). The basis says from which voltage an arc is assumed, and its voltage. A fuse
    clears neither a loose joint nor an arc in series with a load.

    References
    ----------
    1. Kirchhoff's voltage law.

    Example
    -------
    >>> current = minimum_current(emf=48, source_resistance=0.02, path_resistance=0.05, arc_voltage=20)
    >>> f"{current:.0f}"
    '400'
    """
    _check.within("arc_voltage", arc_voltage, "V", 0, 1500)
    solid = prospective_current(emf=emf, source_resistance=source_resistance, path_resistance=path_resistance)
    return solid * max(emf - arc_voltage, 0) / emf


def battery_short(
    *, nominal_voltage: float, battery_resistance: float, path_resistance: float
) -> BatteryShort:
    """Peak and sustained short-circuit current of a lead-acid battery by the auxiliary-supply standard.

    Parameters
    ----------
    nominal_voltage : float
        UnB, nominal voltage of the battery [V].
    battery_resistance : float
        RB, internal resistance of the battery [ohm].
    path_resistance : float
        RL, resistance of the conductors to the fault and back [ohm].

    Returns
    -------
    BatteryShort
        ip and Ik [A].

    Raises
    ------
    ValueError
        If `nominal_voltage` is not from 0.001 to 1500 V.
    ValueError
        If `battery_resistance` is not from 1e-9 to 1000 ohm.
    ValueError
        If `path_resistance` is not from 0 to 1000 ohm.

    Notes
    -----
    EB = 1.05 UnB; ip = EB / (0.9 RB + RL); Ik = 0.95 EB / (RB + RL). Lead-acid only; the standard is
    written for fixed auxiliary installations, so a boat's figure by it is a comparison, not a rule.

    References
    ----------
    1. IEC 61660-1:1997, batteries (recalled).

    Example
    -------
    >>> short = battery_short(nominal_voltage=12, battery_resistance=0.005, path_resistance=0)
    >>> f"{short.peak:.0f} {short.sustained:.0f}"
    '2800 2394'
    """
    _check.within("nominal_voltage", nominal_voltage, "V", 0.001, 1500)
    _check.within("battery_resistance", battery_resistance, "ohm", 1e-9, 1000)
    _check.within("path_resistance", path_resistance, "ohm", 0, 1000)
    emf = 1.05 * nominal_voltage
    return BatteryShort(
        peak=emf / (0.9 * battery_resistance + path_resistance),
        sustained=0.95 * emf / (battery_resistance + path_resistance),
    )

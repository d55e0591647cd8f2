"""Voltage lost in conductors, there and back."""

from collections.abc import Mapping, Sequence

from lugbook.calc import _check, conductor

# The small-craft standard's constant [ohm m]; copper reaches it at 7.6 degC, so it understates a warm cable.
STANDARD_CONSTANT = 0.0164e-6


def drop(*, current: float, resistance: float, temperature: float) -> float:
    """Voltage lost in a resistance of copper at a temperature.

    Parameters
    ----------
    current : float
        I, current [A].
    resistance : float
        R20, resistance of the conductor, or of the loop there and back, at 20 degC [ohm].
    temperature : float
        t, conductor temperature [degC].

    Returns
    -------
    float
        U, voltage drop [V].

    Raises
    ------
    ValueError
        If `current` is not from 0 to 5000 A.
    ValueError
        If `resistance` is not from 0 to 1000 ohm.
    ValueError
        If `temperature` is not from -50 to 250 degC.

    Notes
    -----
    U = I R20 (234.5 + t) / 254.5.

    References
    ----------
    1. Ohm's law; IEC 60028 for the temperature; FAA AC 43.13-1B CHG 1, table 11-7, for the use.

    Example
    -------
    >>> f"{drop(current=20, resistance=0.050, temperature=60):.3f}"
    '1.157'
    """
    _check.within("current", current, "A", 0, 5000)
    return current * conductor.at_temperature(resistance=resistance, temperature=temperature)


def path_drop(*, currents: Sequence[float], resistances: Sequence[float]) -> float:
    """Voltage lost along a path of sections that may carry different currents, such as a shared negative.

    Parameters
    ----------
    currents : sequence of float
        I, current of each section [A]; in a shared return, the sum of all that flows in it.
    resistances : sequence of float
        R, resistance of each section at its temperature [ohm].

    Returns
    -------
    float
        U, sum of the sections' drops [V].

    Raises
    ------
    ValueError
        If `currents` is empty, or a value of it is not from 0 to 5000 A.
    ValueError
        If `resistances` is empty, or a value of it is not from 0 to 1000 ohm.
    ValueError
        If `currents` and `resistances` differ in length.

    Notes
    -----
    U = sum of I R over the sections there and back. A load on a shared negative sees the drop that its
    neighbours cause there.

    References
    ----------
    1. Kirchhoff's voltage law; US Navy NEETS module 1, series circuits.

    Example
    -------
    >>> f"{path_drop(currents=[5, 25], resistances=[0.04, 0.01]):.2f}"
    '0.45'
    """
    _check.each_within("currents", currents, "A", 0, 5000)
    _check.each_within("resistances", resistances, "ohm", 0, 1000)
    sections = _check.paired("currents", currents, "resistances", resistances)
    return sum(current * resistance for current, resistance in sections)


def drop_by_standard(*, current: float, length: float, area: float) -> float:
    """Voltage drop as the small-craft standard's annex computes it: shown, but not used for a verdict.

    Parameters
    ----------
    current : float
        I, current [A].
    length : float
        L, length of conductor there and back [m].
    area : float
        S, nominal area [m2].

    Returns
    -------
    float
        E, voltage drop [V].

    Raises
    ------
    ValueError
        If `current` is not from 0 to 5000 A.
    ValueError
        If `length` is not from 0 to 10000 m.
    ValueError
        If `area` is not from 1e-9 to 0.001 m2.

    Notes
    -----
    E = 0.0164 I L / S with S in mm2. The constant is that of copper at 7.6 degC; against copper at 70 degC it
    understates the drop: the true one is 26 % higher.

    References
    ----------
    1. ISO 10133:2012, annex C (recalled).

    Example
    -------
    >>> f"{drop_by_standard(current=20, length=12, area=10e-6):.4f}"
    '0.3936'
    """
    _check.within("current", current, "A", 0, 5000)
    _check.within("length", length, "m", 0, 10_000)
    _check.within("area", area, "m2", 1e-9, 1e-3)
    return STANDARD_CONSTANT * current * length / area


def permitted_drop(*, system_voltage: float, percent: float) -> float:
    """Voltage that may be lost under a limit given in per cent.

    Parameters
    ----------
    system_voltage : float
        Un, nominal voltage of the circuit [V].
    percent : float
        p, limit [%].

    Returns
    -------
    float
        U, permitted drop [V].

    Raises
    ------
    ValueError
        If `system_voltage` is not from 0.001 to 1500 V.
    ValueError
        If `percent` is not from 0.001 to 100 %.

    Notes
    -----
    U = Un p / 100.

    References
    ----------
    1. Definition. The limits themselves (for example 3 % and 10 %) belong to a basis.

    Example
    -------
    >>> f"{permitted_drop(system_voltage=12, percent=3):.2f}"
    '0.36'
    """
    _check.within("system_voltage", system_voltage, "V", 0.001, 1500)
    _check.within("percent", percent, "%", 0.001, 100)
    return system_voltage * percent / 100


def drop_percent(*, voltage_drop: float, system_voltage: float) -> float:
    """Voltage drop in per cent of the nominal voltage.

    Parameters
    ----------
    voltage_drop : float
        U, voltage drop [V].
    system_voltage : float
        Un, nominal voltage of the circuit [V].

    Returns
    -------
    float
        p, drop [%].

    Raises
    ------
    ValueError
        If `voltage_drop` is not from 0 to 1500 V.
    ValueError
        If `system_voltage` is not from 0.001 to 1500 V.

    Notes
    -----
    p = 100 U / Un.

    References
    ----------
    1. Definition.

    Example
    -------
    >>> f"{drop_percent(voltage_drop=0.45, system_voltage=12):.2f}"
    '3.75'
    """
    _check.within("voltage_drop", voltage_drop, "V", 0, 1500)
    _check.within("system_voltage", system_voltage, "V", 0.001, 1500)
    return 100 * voltage_drop / system_voltage


def longest_run(*, permitted: float, current: float, resistance_per_metre: float) -> float:
    """Longest length of conductor, there and back, that stays within a permitted drop.

    Parameters
    ----------
    permitted : float
        U, permitted drop [V].
    current : float
        I, current [A].
    resistance_per_metre : float
        r, resistance per metre at the conductor's temperature [ohm/m].

    Returns
    -------
    float
        L, length of conductor [m].

    Raises
    ------
    ValueError
        If `permitted` is not from 0 to 1500 V.
    ValueError
        If `current` is not from 0.001 to 5000 A.
    ValueError
        If `resistance_per_metre` is not from 1e-9 to 10 ohm/m.

    Notes
    -----
    L = U / (I r).

    References
    ----------
    1. FAA AC 43.13-1B CHG 1, table 11-8 (the row for 0.5 V prints a drop of .366 V for a product of .491 V).

    Example
    -------
    >>> f"{longest_run(permitted=0.36, current=20, resistance_per_metre=1.95e-3):.2f}"
    '9.23'
    """
    _check.within("permitted", permitted, "V", 0, 1500)
    _check.within("current", current, "A", 0.001, 5000)
    _check.within("resistance_per_metre", resistance_per_metre, "ohm/m", 1e-9, 10)
    return permitted / (current * resistance_per_metre)


def run_at_temperature(*, run: float, temperature: float) -> float:
    """Longest run of copper at a temperature, from the longest run at 20 degC.

    Parameters
    ----------
    run : float
        L1, longest run at 20 degC [m].
    temperature : float
        T2, conductor temperature [degC].

    Returns
    -------
    float
        L2, longest run at T2 [m].

    Raises
    ------
    ValueError
        If `run` is not from 0 to 10000 m.
    ValueError
        If `temperature` is not from -50 to 250 degC.

    Notes
    -----
    L2 = 254.5 L1 / (234.5 + T2).

    References
    ----------
    1. FAA AC 43.13-1B CHG 1, paragraph 11-66 b (4).

    Example
    -------
    >>> f"{run_at_temperature(run=10, temperature=70):.3f}"
    '8.358'
    """
    _check.within("run", run, "m", 0, 10_000)
    return run / conductor.temperature_factor(temperature=temperature)


def smallest_area(
    *,
    permitted: float,
    current: float,
    length: float,
    temperature: float,
    resistances: Mapping[float, float],
) -> float | None:
    """Smallest standard conductor that keeps the drop within a permitted one.

    Parameters
    ----------
    permitted : float
        U, permitted drop [V].
    current : float
        I, current [A].
    length : float
        L, length of conductor there and back [m].
    temperature : float
        t, conductor temperature [degC].
    resistances : mapping of float to float
        Area [m2] of each size that may be chosen -> its resistance per metre at 20 degC [ohm/m].

    Returns
    -------
    float or None
        S, area of the smallest size that does it [m2]; None where no size does.

    Raises
    ------
    ValueError
        If `permitted` is not from 0 to 1500 V.
    ValueError
        If `current` is not from 0 to 5000 A.
    ValueError
        If `length` is not from 0 to 10000 m.
    ValueError
        If `temperature` is not from -50 to 250 degC.
    ValueError
        If `resistances` is empty, or a value in it is not from 1e-9 to 10 ohm/m.

    Notes
    -----
    The smallest S with I r(S) L (234.5 + t) / 254.5 <= U. The drop alone is judged: ampacity, fault heating
    and a basis's smallest size are separate rules.

    References
    ----------
    1. Ohm's law; FAA AC 43.13-1B CHG 1, paragraph 11-67 c, example 1, for the use.

    Example
    -------
    >>> sizes = {6e-6: 3.39e-3, 10e-6: 1.95e-3, 16e-6: 1.24e-3}
    >>> smallest_area(permitted=0.36, current=20, length=8, temperature=20, resistances=sizes)
    1e-05
    """
    _check.within("permitted", permitted, "V", 0, 1500)
    _check.within("length", length, "m", 0, 10_000)
    _check.each_within("resistances", list(resistances.values()), "ohm/m", 1e-9, 10)
    adequate = [
        area
        for area, per_metre in resistances.items()
        if drop(current=current, resistance=per_metre, temperature=temperature) * length <= permitted
    ]
    return min(adequate, default=None)

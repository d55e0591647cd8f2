"""Copper conductors: size, resistance, and how resistance changes with temperature."""

import math
from typing import Literal

from lugbook.calc import _check

Stranding = Literal["class 2", "class 5"]
Finish = Literal["plain", "tinned"]

# IEC 60028: annealed copper at 20 degC; 234.5 = 1/0.00393 - 20 (rounded).
RESISTIVITY_20 = 0.017241e-6  # ohm m
INVERSE_COEFFICIENT = 234.5  # K

# Gauge label -> the n of the ASTM B258 formula.
AWG_NUMBER = {str(n): n for n in range(24, 0, -1)} | {"1/0": 0, "2/0": -1, "3/0": -2, "4/0": -3}

# IEC 60228:2004 tables 2 and 3, maximum resistance at 20 degC [ohm/km] by nominal area [mm2], as reproduced
# alike in four public copies (two cable makers, a conductor reference page, a cable-engineering page).
IEC_60228: dict[tuple[Stranding, Finish], dict[float, float]] = {
    ("class 2", "plain"): {
        0.5: 36.0, 0.75: 24.5, 1: 18.1, 1.5: 12.1, 2.5: 7.41, 4: 4.61, 6: 3.08, 10: 1.83, 16: 1.15,
        25: 0.727, 35: 0.524, 50: 0.387, 70: 0.268, 95: 0.193, 120: 0.153, 150: 0.124,
    },
    ("class 2", "tinned"): {
        0.5: 36.7, 0.75: 24.8, 1: 18.2, 1.5: 12.2, 2.5: 7.56, 4: 4.70, 6: 3.11, 10: 1.84, 16: 1.16,
        25: 0.734, 35: 0.529, 50: 0.391, 70: 0.270, 95: 0.195, 120: 0.154, 150: 0.126,
    },
    ("class 5", "plain"): {
        0.5: 39.0, 0.75: 26.0, 1: 19.5, 1.5: 13.3, 2.5: 7.98, 4: 4.95, 6: 3.30, 10: 1.91, 16: 1.21,
        25: 0.780, 35: 0.554, 50: 0.386, 70: 0.272, 95: 0.206, 120: 0.161, 150: 0.129,
    },
    ("class 5", "tinned"): {
        0.5: 40.1, 0.75: 26.7, 1: 20.0, 1.5: 13.7, 2.5: 8.21, 4: 5.09, 6: 3.39, 10: 1.95, 16: 1.24,
        25: 0.795, 35: 0.565, 50: 0.393, 70: 0.277, 95: 0.210, 120: 0.164, 150: 0.132,
    },
}  # fmt: skip


def awg_diameter(*, gauge: str) -> float:
    """Diameter of a solid round conductor of an American wire gauge.

    Parameters
    ----------
    gauge : str
        Gauge label, "24" to "1" and "1/0" to "4/0".

    Returns
    -------
    float
        d, diameter [m].

    Raises
    ------
    ValueError
        If `gauge` is not one of the gauge labels.

    Notes
    -----
    d = 0.127e-3 * 92 ** ((36 - n) / 39), with n = 0 for 1/0, -1 for 2/0, -2 for 3/0, -3 for 4/0. Gauge 36
    is 0.127 mm (5 mil) and 4/0 is 11.684 mm (460 mil) exactly. Stranded conductors of the gauge are thicker
    overall.

    References
    ----------
    1. ASTM B258, standard nominal diameters of solid round wires (formula second-hand, as reproduced in
       public wire tables; edition not read).

    Example
    -------
    >>> f"{awg_diameter(gauge='4/0') * 1e3:.3f}"
    '11.684'
    """
    _check.one_of("gauge", gauge, AWG_NUMBER)
    return 0.127e-3 * math.pow(92, (36 - AWG_NUMBER[gauge]) / 39)


def awg_area(*, gauge: str) -> float:
    """Area of copper in an American wire gauge.

    Parameters
    ----------
    gauge : str
        Gauge label, "24" to "1" and "1/0" to "4/0".

    Returns
    -------
    float
        S, area [m2].

    Raises
    ------
    ValueError
        If `gauge` is not one of the gauge labels.

    Notes
    -----
    S = pi d^2 / 4. Wire made to aircraft or road-vehicle rules under the same gauge label may hold up to 18
    % more.

    References
    ----------
    1. ASTM B258 (as for the diameter).

    Example
    -------
    >>> f"{awg_area(gauge='10') * 1e6:.3f}"
    '5.261'
    """
    return math.pi / 4 * awg_diameter(gauge=gauge) ** 2


def standard_resistance(*, area: float, stranding: Stranding, finish: Finish) -> float:
    """Maximum resistance per metre that the conductor standard allows at 20 degC.

    Parameters
    ----------
    area : float
        S, nominal area [m2]; must be a standard size, as nothing is interpolated.
    stranding : "class 2" or "class 5"
        Stranded, or flexible (class 6 has the limits of class 5).
    finish : "plain" or "tinned"
        Bare or metal-coated strands.

    Returns
    -------
    float
        R20, resistance [ohm/m].

    Raises
    ------
    ValueError
        If `stranding` is not one of class 2 and class 5.
    ValueError
        If `finish` is not one of plain and tinned.
    ValueError
        If `area` is not one of the standard sizes from 0.5e-6 to 150e-6 m2.

    Notes
    -----
    The table is a maximum: a good conductor may measure lower. 50 mm2 of class 5 (0.386 ohm/km) lies below
    class 2 (0.387 ohm/km) in the standard itself.

    References
    ----------
    1. IEC 60228:2004, tables 2 and 3, as reproduced alike in four public copies.

    Example
    -------
    >>> f"{standard_resistance(area=10e-6, stranding='class 5', finish='tinned') * 1e3:.2f}"
    '1.95'
    """
    _check.one_of("stranding", stranding, ("class 2", "class 5"))
    _check.one_of("finish", finish, ("plain", "tinned"))
    table = IEC_60228[stranding, finish]
    nominal = round(area * 1e6, 6)  # a size such as 16 / 1e6 differs from 16e-6 in its last bit
    _check.one_of("area [mm2]", nominal, table)
    return table[nominal] / 1e3


def temperature_factor(*, temperature: float) -> float:
    """Resistance of copper at a temperature relative to its resistance at 20 degC.

    Parameters
    ----------
    temperature : float
        t, conductor temperature [degC].

    Returns
    -------
    float
        R(t) / R20 [ratio].

    Raises
    ------
    ValueError
        If `temperature` is not from -50 to 250 degC.

    Notes
    -----
    R(t) / R20 = (234.5 + t) / (234.5 + 20). Linear to a good approximation over the stated range.

    References
    ----------
    1. IEC 60028, international standard of resistance for copper: 0.00393 per K at 20 degC (as reproduced
       in NBS Handbook 100 and in public notes on it).
    2. FAA AC 43.13-1B CHG 1, paragraph 11-66 b (4), which shortens a run by the inverse of this factor.

    Example
    -------
    >>> f"{temperature_factor(temperature=70):.4f}"
    '1.1965'
    """
    _check.within("temperature", temperature, "degC", -50, 250)
    return (INVERSE_COEFFICIENT + temperature) / (INVERSE_COEFFICIENT + 20)


def standard_correction(*, temperature: float) -> float:
    """The conductor standard's own rounded factor that brings a measured resistance to 20 degC.

    Parameters
    ----------
    temperature : float
        t, conductor temperature at the measurement [degC].

    Returns
    -------
    float
        kt, factor to multiply the measured resistance by [ratio], three decimals.

    Raises
    ------
    ValueError
        If `temperature` is not from 5 to 100 degC.

    Notes
    -----
    kt = 1 / (1 + 0.004 (t - 20)) = 250 / (230 + t), rounded to three decimals. It is not the exact copper
    factor: at 70 degC it gives 0.833 against 0.836. Use it only where a figure is to be shown as the
    standard computes it.

    References
    ----------
    1. IEC 60228:2004, annex on temperature correction, as reproduced in a cable maker's table (20 values).

    Example
    -------
    >>> standard_correction(temperature=70)
    0.833
    """
    _check.within("temperature", temperature, "degC", 5, 100)
    return round(250 / (230 + temperature), 3)


def at_temperature(*, resistance: float, temperature: float) -> float:
    """Resistance of a copper conductor at a temperature, from its resistance at 20 degC.

    Parameters
    ----------
    resistance : float
        R20, resistance at 20 degC [ohm], or resistance per metre [ohm/m].
    temperature : float
        t, conductor temperature [degC].

    Returns
    -------
    float
        R(t), in the unit of `resistance`.

    Raises
    ------
    ValueError
        If `resistance` is not from 0 to 1000 ohm.
    ValueError
        If `temperature` is not from -50 to 250 degC.

    Notes
    -----
    R(t) = R20 (234.5 + t) / 254.5.

    References
    ----------
    1. IEC 60028 (as for the temperature factor).

    Example
    -------
    >>> f"{at_temperature(resistance=0.020, temperature=60):.5f}"
    '0.02314'
    """
    _check.within("resistance", resistance, "ohm", 0, 1000)
    return resistance * temperature_factor(temperature=temperature)


def from_area(*, area: float, length: float, temperature: float) -> float:
    """Resistance of a copper conductor from its area and length alone.

    Parameters
    ----------
    area : float
        S, area of copper [m2].
    length : float
        L, length of conductor [m].
    temperature : float
        t, conductor temperature [degC].

    Returns
    -------
    float
        R, resistance [ohm].

    Raises
    ------
    ValueError
        If `area` is not from 1e-9 to 0.001 m2.
    ValueError
        If `length` is not from 0 to 10000 m.
    ValueError
        If `temperature` is not from -50 to 250 degC.

    Notes
    -----
    R = rho20 L / S * (234.5 + t) / 254.5, rho20 = 0.017241e-6 ohm m. Pure annealed copper: a real stranded
    and tinned conductor of that nominal area may reach about 10 % more, so prefer the standard's table
    where the class is known.

    References
    ----------
    1. IEC 60028: 0.017241 ohm mm2/m at 20 degC (as reproduced in NBS Handbook 100 and in IEC 60287 table 1).

    Example
    -------
    >>> f"{from_area(area=10e-6, length=8, temperature=20) * 1e3:.2f}"
    '13.79'
    """
    _check.within("area", area, "m2", 1e-9, 1e-3)
    _check.within("length", length, "m", 0, 10_000)
    return RESISTIVITY_20 * length / area * temperature_factor(temperature=temperature)


def loop_resistance(
    *, out_per_metre: float, out_length: float, back_per_metre: float, back_length: float
) -> float:
    """Resistance of a circuit there and back, where the two conductors may differ.

    Parameters
    ----------
    out_per_metre : float
        r1, resistance per metre of the outgoing conductor [ohm/m].
    out_length : float
        L1, its length [m].
    back_per_metre : float
        r2, resistance per metre of the return conductor [ohm/m].
    back_length : float
        L2, its length [m].

    Returns
    -------
    float
        R, loop resistance [ohm], at the temperature of the given values.

    Raises
    ------
    ValueError
        If `out_per_metre` is not from 0 to 10 ohm/m.
    ValueError
        If `out_length` is not from 0 to 10000 m.
    ValueError
        If `back_per_metre` is not from 0 to 10 ohm/m.
    ValueError
        If `back_length` is not from 0 to 10000 m.

    Notes
    -----
    R = r1 L1 + r2 L2. Joints and contacts are not included.

    References
    ----------
    1. Ohm's law; US Navy NEETS module 2 (resistances in series add).

    Example
    -------
    >>> loop = loop_resistance(out_per_metre=1.95e-3, out_length=4, back_per_metre=1.24e-3, back_length=5)
    >>> f"{loop * 1e3:.1f}"
    '14.0'
    """
    _check.within("out_per_metre", out_per_metre, "ohm/m", 0, 10)
    _check.within("out_length", out_length, "m", 0, 10_000)
    _check.within("back_per_metre", back_per_metre, "ohm/m", 0, 10)
    _check.within("back_length", back_length, "m", 0, 10_000)
    return out_per_metre * out_length + back_per_metre * back_length

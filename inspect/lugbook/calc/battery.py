"""One battery: its charge from the voltage at rest, its resistance from a two-step test.

Voltages are those of the whole battery; `cells` says how many cells it has in series (6 in a 12 V lead-acid
battery, 4 in a 12.8 V lithium iron phosphate one).
"""

from dataclasses import dataclass
from typing import Literal

from lugbook.calc import _check

Chemistry = Literal["flooded", "agm", "gel", "lifepo4"]

CHEMISTRIES: tuple[Chemistry, ...] = ("flooded", "agm", "gel", "lifepo4")

# Rest voltage of six lead-acid cells at 25 degC [V] for a charge of 0, 25, 50, 75 and 100 %. Flooded:
# second-hand, with the acid density beside it in the source; other public tables differ by up to 0.1 V. AGM
# and gel: from a vehicle maker's table for its AGM battery (12.0, 12.3, 12.6 and 12.8 V), with 11.8 V for
# empty recalled; gel is taken as AGM (recalled).
REST_VOLTAGE: dict[Chemistry, tuple[float, float, float, float, float]] = {
    "flooded": (11.89, 12.06, 12.24, 12.45, 12.65),
    "agm": (11.8, 12.0, 12.3, 12.6, 12.8),
    "gel": (11.8, 12.0, 12.3, 12.6, 12.8),
}
STEPS = (0, 25, 50, 75, 100)
# Lithium iron phosphate, four cells [V]: rested at or above the first it is nearly full, below the second
# low, at or below the third empty. Between the first two the curve is flat, and public charts contradict
# each other.
LIFEPO4_FULL, LIFEPO4_LOW, LIFEPO4_EMPTY = 13.4, 12.8, 12.0
# Rise of a lead-acid cell's rest voltage with temperature [V/K] (recalled).
REST_COEFFICIENT = 0.0002
# Two voltages closer than this are taken as equal [V].
SAME = 1e-6


@dataclass(frozen=True)
class ChargeBand:
    """State of charge as a band [%]; `reason` says why nothing can be told, and is empty where it can."""

    lowest: int
    highest: int
    reason: Literal["", "not rested", "flat curve"]


@dataclass(frozen=True)
class StepTest:
    """Internal resistance from a two-step test [ohm]: as computed, and the range that the meters leave."""

    resistance: float
    lowest: float
    highest: float | None  # None where the meters cannot bound it


def charge_band(
    *,
    chemistry: Chemistry,
    voltage: float,
    cells: int,
    temperature: float,
    rest: float,
    rest_required: float,
    error: float,
) -> ChargeBand:
    """State of charge as a band, from the voltage at rest.

    Parameters
    ----------
    chemistry : "flooded", "agm", "gel" or "lifepo4"
        Kind of battery.
    voltage : float
        U, voltage at rest [V].
    cells : int
        n, cells in series.
    temperature : float
        t, temperature of the battery [degC].
    rest : float
        Time since it was last charged or loaded [s].
    rest_required : float
        Rest that the basis asks for [s]; 8 h, better 24 h, for lead-acid.
    error : float
        e, largest error of the reading, with the spread of the source, for the whole battery [V].

    Returns
    -------
    ChargeBand
        Lowest and highest charge in steps of 25 %; 0 to 100 with a reason where nothing can be told.

    Raises
    ------
    ValueError
        If `chemistry` is not one of flooded, agm, gel and lifepo4.
    ValueError
        If `voltage` is not from 0.001 to 1500 V.
    ValueError
        If `cells` is not a whole number from 1 to 400.
    ValueError
        If `temperature` is not from -20 to 50 degC.
    ValueError
        If `rest` is not from 0 to 1e8 s.
    ValueError
        If `rest_required` is not from 0 to 1000000 s.
    ValueError
        If `error` is not from 0 to 100 V.

    Notes
    -----
    Lead-acid: the voltage is brought to six cells at 25 degC, U 6 / n + 6 * 0.0002 (25 - t); the band runs
    from the highest tabulated step at or below it less the error, to the lowest at or above it with the
    error added. Lithium iron phosphate: from 12.8 to 13.4 V for four cells the curve is flat, and the
    charge cannot be told. A battery that is worn out or has a bad cell can show a full voltage and hold
    little.

    References
    ----------
    1. Rest voltages with acid densities, second-hand from a public page; other public tables differ by 0.1 V.
    2. Lithium: four public charts that agree on the ends and contradict each other between them.

    Example
    -------
    >>> charge_band(
    ...     chemistry="flooded", voltage=12.3, cells=6, temperature=25, error=0.05,
    ...     rest=36000, rest_required=28800,
    ... )
    ChargeBand(lowest=50, highest=75, reason='')
    """
    _check.one_of("chemistry", chemistry, CHEMISTRIES)
    _check.within("voltage", voltage, "V", 0.001, 1500)
    _check.whole("cells", cells, 1, 400)
    _check.within("temperature", temperature, "degC", -20, 50)
    _check.within("rest", rest, "s", 0, 1e8)
    _check.within("rest_required", rest_required, "s", 0, 1e6)
    _check.within("error", error, "V", 0, 100)
    if rest < rest_required:
        return ChargeBand(0, 100, "not rested")
    if chemistry == "lifepo4":
        return _lifepo4_band((voltage - error) * 4 / cells, (voltage + error) * 4 / cells)
    warmth = 6 * REST_COEFFICIENT * (25 - temperature)
    low = (voltage - error) * 6 / cells + warmth
    high = (voltage + error) * 6 / cells + warmth
    curve = list(zip(STEPS, REST_VOLTAGE[chemistry], strict=True))
    return ChargeBand(
        lowest=max((step for step, volts in curve if volts <= low + SAME), default=0),
        highest=min((step for step, volts in curve if volts >= high - SAME), default=100),
        reason="",
    )


def _lifepo4_band(low: float, high: float) -> ChargeBand:
    if low >= LIFEPO4_FULL - SAME:
        return ChargeBand(75, 100, "")
    if high <= LIFEPO4_EMPTY + SAME:
        return ChargeBand(0, 0, "")
    if high < LIFEPO4_LOW - SAME:
        return ChargeBand(0, 25, "")
    return ChargeBand(0, 100, "flat curve")


def step_test(
    *,
    first_voltage: float,
    first_current: float,
    second_voltage: float,
    second_current: float,
    voltage_error: float,
    current_error: float,
) -> StepTest:
    """Internal resistance from two loads, with the range that the meters' errors leave.

    Parameters
    ----------
    first_voltage : float
        U1, terminal voltage under the smaller load, or none [V].
    first_current : float
        I1, the smaller current [A].
    second_voltage : float
        U2, terminal voltage under the larger load [V].
    second_current : float
        I2, the larger current [A].
    voltage_error : float
        eU, largest error of each voltage [V].
    current_error : float
        eI, largest error of each current [A].

    Returns
    -------
    StepTest
        R as computed, and its lowest and highest [ohm].

    Raises
    ------
    ValueError
        If `first_voltage` is not from 0.001 to 1500 V.
    ValueError
        If `first_current` is not from 0 to 5000 A.
    ValueError
        If `second_voltage` is not from 0.001 to 1500 V.
    ValueError
        If `second_current` is not from 0 to 5000 A.
    ValueError
        If `voltage_error` is not from 0 to 10 V.
    ValueError
        If `current_error` is not from 0 to 1000 A.
    ValueError
        If `second_current` is not above `first_current`.
    ValueError
        If `second_voltage` is above `first_voltage`.

    Notes
    -----
    R = (U1 - U2) / (I2 - I1); lowest = (U1 - U2 - 2 eU) / (I2 - I1 + 2 eI), not below 0; highest = (U1 - U2
    + 2 eU) / (I2 - I1 - 2 eI), without bound where the currents cannot be told apart. One meter on one
    range for both readings does better than these worst cases.

    References
    ----------
    1. Ohm's law; the two-point method of IEC 60896-21:2004 (recalled).

    Example
    -------
    >>> test = step_test(
    ...     first_voltage=12.60, first_current=0, second_voltage=12.20, second_current=50,
    ...     voltage_error=0.02, current_error=1,
    ... )
    >>> f"{test.resistance * 1e3:.1f} {test.lowest * 1e3:.1f} {test.highest * 1e3:.1f}"
    '8.0 6.9 9.2'
    """
    _check.within("first_voltage", first_voltage, "V", 0.001, 1500)
    _check.within("first_current", first_current, "A", 0, 5000)
    _check.within("second_voltage", second_voltage, "V", 0.001, 1500)
    _check.within("second_current", second_current, "A", 0, 5000)
    _check.within("voltage_error", voltage_error, "V", 0, 10)
    _check.within("current_error", current_error, "A", 0, 1000)
    if second_current <= first_current:
        raise ValueError(
            f"second_current [A] must be above the first, {first_current:g}, not {second_current!r}"
        )
    if second_voltage > first_voltage:
        raise ValueError(
            f"second_voltage [V] must not be above the first, {first_voltage:g}, as {second_voltage!r} is"
        )
    fall = first_voltage - second_voltage
    rise = second_current - first_current
    surely = rise - 2 * current_error
    return StepTest(
        resistance=fall / rise,
        lowest=max(fall - 2 * voltage_error, 0) / (rise + 2 * current_error),
        highest=(fall + 2 * voltage_error) / surely if surely > 0 else None,
    )

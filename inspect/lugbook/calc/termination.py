"""Lugs, studs and barrels: does the hole fit the stud, does the barrel fit the conductor, and torque."""

from dataclasses import dataclass
from typing import Literal

from lugbook.calc import _check

Series = Literal["fine", "medium", "coarse"]

# A play between a hole and a limit below this is not told apart [m].
SAME = 1e-7


@dataclass(frozen=True)
class Stud:
    """A stud's outer diameter and the clearance holes for it [m]."""

    diameter: float
    fine: float
    medium: float
    coarse: float


# ISO 273:1979, thread, fine (H12), medium (H13) and coarse (H14) [mm], as reproduced alike in two public pages.
METRIC_STUDS = {
    "M3": (3.0, 3.2, 3.4, 3.6),
    "M4": (4.0, 4.3, 4.5, 4.8),
    "M5": (5.0, 5.3, 5.5, 5.8),
    "M6": (6.0, 6.4, 6.6, 7.0),
    "M8": (8.0, 8.4, 9.0, 10.0),
    "M10": (10.0, 10.5, 11.0, 12.0),
    "M12": (12.0, 13.0, 13.5, 14.5),
    "M14": (14.0, 15.0, 15.5, 16.5),
    "M16": (16.0, 17.0, 17.5, 18.5),
}
# ASME B18.2.8-1999, thread, close, normal and loose [in]: 1/4 to 3/8 second-hand in inches; #6 to #10 and 1/2
# second-hand as metric drills, their inch values recalled. Thread diameters: ASME B1.1 (recalled).
INCH_STUDS = {
    "#6": (0.138, 0.153, 0.170, 0.185),
    "#8": (0.164, 0.180, 0.196, 0.213),
    "#10": (0.190, 0.206, 0.221, 0.238),
    "1/4": (1 / 4, 17 / 64, 9 / 32, 19 / 64),
    "5/16": (5 / 16, 21 / 64, 11 / 32, 23 / 64),
    "3/8": (3 / 8, 25 / 64, 13 / 32, 27 / 64),
    "1/2": (1 / 2, 17 / 32, 9 / 16, 39 / 64),
}
STUDS = (*METRIC_STUDS, *INCH_STUDS)

# ISO 7089 plain washers, outer diameter by stud [m] (recalled).
WASHER_DIAMETER = {
    "M3": 7e-3, "M4": 9e-3, "M5": 10e-3, "M6": 12e-3, "M8": 16e-3, "M10": 20e-3, "M12": 24e-3, "M16": 30e-3,
}  # fmt: skip

# DIN 46235 compression lugs, inner diameter of the barrel by nominal area: [mm2] -> [m] (recalled).
BARREL_DIAMETER = {
    6.0: 3.8e-3, 10.0: 4.5e-3, 16.0: 5.5e-3, 25.0: 7.0e-3, 35.0: 8.2e-3, 50.0: 10.0e-3, 70.0: 11.5e-3,
    95.0: 13.5e-3, 120.0: 15.5e-3, 150.0: 17.0e-3,
}  # fmt: skip


@dataclass(frozen=True)
class HoleFit:
    """How a hole suits a stud, and the play between them [m] (negative where the hole does not go on)."""

    verdict: Literal["does not go on", "matched", "loose", "oversize"]
    play: float


@dataclass(frozen=True)
class BarrelFit:
    """How a conductor suits a barrel, and the conductor's area over the barrel's nominal area [ratio]."""

    verdict: Literal["too small for the barrel", "matched", "too large for the barrel"]
    filling: float


def _stud(label: str) -> Stud:
    _check.one_of("stud", label, STUDS)
    if label in METRIC_STUDS:
        return Stud(*(size / 1e3 for size in METRIC_STUDS[label]))
    return Stud(*(size * 0.0254 for size in INCH_STUDS[label]))


def stud_diameter(*, stud: str) -> float:
    """Outer diameter of a stud.

    Parameters
    ----------
    stud : str
        Label: "M3" to "M16", "#6", "#8", "#10", "1/4", "5/16", "3/8" or "1/2".

    Returns
    -------
    float
        d, outer diameter of the thread [m].

    Raises
    ------
    ValueError
        If `stud` is not one of the stud labels.

    Notes
    -----
    The nominal diameter; a real thread is up to 0.3 mm thinner.

    References
    ----------
    1. ISO 261 (metric) and ASME B1.1 (inch), recalled.

    Example
    -------
    >>> f"{stud_diameter(stud='5/16') * 1e3:.2f}"
    '7.94'
    """
    return _stud(stud).diameter


def clearance_hole(*, stud: str, series: Series) -> float:
    """Clearance hole for a stud.

    Parameters
    ----------
    stud : str
        Label of the stud.
    series : "fine", "medium" or "coarse"
        Series of the standard; for inch studs close, normal and loose.

    Returns
    -------
    float
        D, diameter of the hole [m].

    Raises
    ------
    ValueError
        If `stud` is not one of the stud labels.
    ValueError
        If `series` is not one of fine, medium and coarse.

    Notes
    -----
    Lugs are bored to the fine series (DIN 46235, recalled).

    References
    ----------
    1. ISO 273:1979, as reproduced alike in two public pages.
    2. ASME B18.2.8-1999, partly second-hand, partly recalled.

    Example
    -------
    >>> f"{clearance_hole(stud='M8', series='fine') * 1e3:.1f}"
    '8.4'
    """
    size = _stud(stud)
    _check.one_of("series", series, ("fine", "medium", "coarse"))
    return {"fine": size.fine, "medium": size.medium, "coarse": size.coarse}[series]


def hole_fit(*, hole: float, stud: str) -> HoleFit:
    """Whether a lug's hole matches the stud it sits on.

    Parameters
    ----------
    hole : float
        D, diameter of the hole [m].
    stud : str
        Label of the stud.

    Returns
    -------
    HoleFit
        "does not go on" below the stud's diameter, "matched" up to the medium series, "loose" up to the
        coarse series, "oversize" above it; and the play D - d [m].

    Raises
    ------
    ValueError
        If `hole` is not from 1e-6 to 0.1 m.
    ValueError
        If `stud` is not one of the stud labels.

    Notes
    -----
    A hole that equals a limit belongs to the better class.

    References
    ----------
    1. ISO 273:1979 and ASME B18.2.8-1999 (as for the clearance hole); the classes are this program's own.

    Example
    -------
    >>> hole_fit(hole=8.4e-3, stud="M6").verdict
    'oversize'
    """
    _check.within("hole", hole, "m", 1e-6, 0.1)
    size = _stud(stud)
    play = hole - size.diameter
    if play < -SAME:
        return HoleFit("does not go on", play)
    if hole <= size.medium + SAME:
        return HoleFit("matched", play)
    return HoleFit("loose" if hole <= size.coarse + SAME else "oversize", play)


def contact_lost(*, face: float, hole: float, matched_hole: float) -> float:
    """Part of the contact face that an oversize hole takes away.

    Parameters
    ----------
    face : float
        F, outer diameter of the smallest face that presses on the lug: washer, nut or the lug's own palm [m].
    hole : float
        D, diameter of the hole [m].
    matched_hole : float
        D0, diameter of the hole that would match the stud [m].

    Returns
    -------
    float
        Part of the matched contact area that is missing [ratio], 0 to 1; 0 where the hole is no larger than
        D0, 1 where the face falls through it.

    Raises
    ------
    ValueError
        If `face` is not from 1e-6 to 0.2 m.
    ValueError
        If `hole` is not from 1e-6 to 0.1 m.
    ValueError
        If `matched_hole` is not from 1e-6 to 0.1 m.
    ValueError
        If `matched_hole` is not below `face`.

    Notes
    -----
    lost = (D^2 - D0^2) / (F^2 - D0^2), both faces being rings about one centre. A lug that sits off centre
    loses more on one side.

    References
    ----------
    1. Area of a ring.

    Example
    -------
    >>> f"{contact_lost(face=10e-3, hole=6.4e-3, matched_hole=5.3e-3):.2f}"
    '0.18'
    """
    _check.within("face", face, "m", 1e-6, 0.2)
    _check.within("hole", hole, "m", 1e-6, 0.1)
    _check.within("matched_hole", matched_hole, "m", 1e-6, 0.1)
    if matched_hole >= face:
        raise ValueError(f"matched_hole [m] must be below the face, {face:g}, not {matched_hole!r}")
    lost = (hole**2 - matched_hole**2) / (face**2 - matched_hole**2)
    return min(max(lost, 0), 1)


def barrel_diameter(*, area: float) -> float:
    """Inner diameter of a compression lug's barrel for a conductor.

    Parameters
    ----------
    area : float
        S, nominal area [m2], a standard size.

    Returns
    -------
    float
        d1, inner diameter [m].

    Raises
    ------
    ValueError
        If `area` is not one of the standard sizes from 6e-6 to 150e-6 m2.

    Notes
    -----
    For identifying a barrel by measuring it; other makes of tube lug differ by some tenths of a millimetre.

    References
    ----------
    1. DIN 46235 (recalled).

    Example
    -------
    >>> f"{barrel_diameter(area=10e-6) * 1e3:.1f}"
    '4.5'
    """
    nominal = round(area * 1e6, 6)
    _check.one_of("area [mm2]", nominal, BARREL_DIAMETER)
    return BARREL_DIAMETER[nominal]


def barrel_fit(*, conductor: float, barrel: float, least: float, most: float) -> BarrelFit:
    """Whether a conductor fills a lug's barrel.

    Parameters
    ----------
    conductor : float
        S, area of the conductor [m2].
    barrel : float
        Sb, area that the barrel is marked for [m2].
    least : float
        Smallest S / Sb that still makes a crimp [ratio], from the basis.
    most : float
        Largest S / Sb that still goes in whole [ratio], from the basis.

    Returns
    -------
    BarrelFit
        Verdict and S / Sb [ratio].

    Raises
    ------
    ValueError
        If `conductor` is not from 1e-9 to 0.001 m2.
    ValueError
        If `barrel` is not from 1e-9 to 0.001 m2.
    ValueError
        If `least` is not from 0.001 to 1 ratio.
    ValueError
        If `most` is not from 1 to 2 ratio.

    Notes
    -----
    least <= S / Sb <= most. Matters most where wire gauges meet metric lugs: gauge 6 is 13.3 mm2 and fills
    a 16 mm2 barrel to 83 %.

    References
    ----------
    1. Common practice, no source; the maker of lug and tool knows better.

    Example
    -------
    >>> barrel_fit(conductor=13.3e-6, barrel=16e-6, least=0.9, most=1.05).verdict
    'too small for the barrel'
    """
    _check.within("conductor", conductor, "m2", 1e-9, 1e-3)
    _check.within("barrel", barrel, "m2", 1e-9, 1e-3)
    _check.within("least", least, "ratio", 0.001, 1)
    _check.within("most", most, "ratio", 1, 2)
    filling = conductor / barrel
    if filling < least * (1 - 1e-9):
        return BarrelFit("too small for the barrel", filling)
    if filling > most * (1 + 1e-9):
        return BarrelFit("too large for the barrel", filling)
    return BarrelFit("matched", filling)


def lugs_too_many(*, lugs: int, most: int) -> int:
    """How many lugs a stud carries beyond what a basis allows.

    Parameters
    ----------
    lugs : int
        n, lugs on the stud.
    most : int
        Largest number allowed, from the basis; 4 in the aircraft circular.

    Returns
    -------
    int
        Lugs too many; 0 where there are none.

    Raises
    ------
    ValueError
        If `lugs` is not a whole number from 0 to 100.
    ValueError
        If `most` is not a whole number from 1 to 100.

    Notes
    -----
    max(n - most, 0).

    References
    ----------
    1. FAA AC 43.13-1B CHG 1, paragraph 11-174 b: more than four terminals go on a bus across adjacent studs.

    Example
    -------
    >>> lugs_too_many(lugs=6, most=4)
    2
    """
    _check.whole("lugs", lugs, 0, 100)
    _check.whole("most", most, 1, 100)
    return max(lugs - most, 0)


def torque_verdict(*, torque: float, low: float, high: float) -> Literal["below", "within", "above"]:
    """Whether a recorded torque lies in the range that the maker or basis gives.

    Parameters
    ----------
    torque : float
        T, recorded torque [N m].
    low : float
        Lower end of the range [N m].
    high : float
        Upper end of the range [N m].

    Returns
    -------
    "below", "within" or "above"
        Both ends belong to the range.

    Raises
    ------
    ValueError
        If `torque` is not from 0 to 500 N m.
    ValueError
        If `low` is not from 0 to 500 N m.
    ValueError
        If `high` is not from 0 to 500 N m.
    ValueError
        If `high` is below `low`.

    Notes
    -----
    low <= T <= high. The maker's figure comes first: the aircraft circular has no table of stud torques at
    all.

    References
    ----------
    1. FAA AC 43.13-1B CHG 1, paragraphs 11-177 and 11-178.

    Example
    -------
    >>> torque_verdict(torque=7.5, low=5, high=6)
    'above'
    """
    _check.within("torque", torque, "N m", 0, 500)
    _check.within("low", low, "N m", 0, 500)
    _check.within("high", high, "N m", 0, 500)
    if high < low:
        raise ValueError(f"high [N m] must not be below low, {low:g}, as {high!r} is")
    if torque < low:
        return "below"
    return "above" if torque > high else "within"

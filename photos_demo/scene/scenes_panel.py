"""Scenes on bulkheads and panels."""

from __future__ import annotations

import math

import materials as m
import parts
from materials import Finish
from shapes import at, box, cable, plate, rectangle, ribbon, strands, wires
from stage import camera, floor, panel_light, side, torch, wall


def battery_switch() -> None:
    wall(0.0, m.plywood((0.36, 0.20, 0.09)))
    plate(
        rectangle(19, 19, 1.2),
        0.5,
        at(0, 0, 30, rx=90),
        Finish((0.55, 0.54, 0.50), 0.35, grime=0.6),
        bevel=0.1,
    )
    for x in (-8.3, 8.3):
        for z in (21.7, 38.3):
            parts.screw_head(at(x, -0.5, z, rx=90), 0.5, 0.25, 30 + 9 * x + z, cross=True)
    parts.rotary_switch(at(0, -0.5, 30, rx=90), 180)
    torch((-16, -36, 46), (0, 0, 30), 0.8, 2.5, 60)
    panel_light((28, -30, 36), (0, 0, 30), 0.35, 25)
    camera((-5.5, -33, 33.5), (0, -1, 30), 48, 0.1, (0, -3, 30))


def sagging_run() -> None:
    wall(0, m.GELCOAT)
    box((150, 8, 5), at(0, -3, 47), m.plywood((0.36, 0.20, 0.09)), 0.3)
    floor(m.FLOWCOAT, -12)
    members = [
        (0, 0, 0.70, m.RED),
        (1.2, 0.1, 0.50, m.BLACK),
        (-1.0, 0.7, 0.42, m.YELLOW),
        (0.2, 1.2, 0.5, m.BLUE),
        (-1.1, -0.5, 0.45, m.BROWN),
        (0.3, -1.15, 0.46, m.GREY),
        (1.1, -0.95, 0.36, m.WHITE),
    ]
    for index, member in enumerate(members):
        droop = 0.9 * ((index * 5) % 7 - 2)
        parts.bundle(_hanging(droop), [member])
    for x, z in ((-34, 35.3), (35.5, 35.2)):
        parts.saddle_clip(at(x, 0, z, rx=90), 1.75, m.WHITE)
    torch((-20, -75, 58), (0, 0, 27), 1.0, 3.0, 70)
    panel_light((70, -60, 50), (0, 0, 25), 0.3, 50)
    camera((-8, -76, 29), (0.5, 0, 28), 30, 0.2, (0, -4, 22))


def _hanging(droop: float) -> list[tuple[float, float, float]]:
    """From clip to clip in a parabola; each cable hangs a little lower or higher than the others."""
    free = [
        (x, -1.9 - 2.2 * (1 - (x / 34) ** 2), 35.3 - (15 + droop) * (1 - (x / 34) ** 2))
        for x in range(-26, 27, 13)
    ]
    return [
        (-80, -1.8, 37.0),
        (-54, -1.8, 36.4),
        (-38, -1.8, 35.6),
        (-33.2, -1.8, 35.2),
        *free,
        (34.3, -1.8, 35.2),
        (39, -1.8, 35.5),
        (56, -1.8, 36.6),
        (80, -1.8, 37.4),
    ]


def panel_back() -> None:
    wall(6, m.plywood((0.30, 0.17, 0.08)))
    side(-32, m.GELCOAT)
    plate(rectangle(46, 30, 0.5), 0.4, at(0, 5.6, 20, rx=90), Finish((0.06, 0.065, 0.07), 0.5, grime=0.5))
    colours = [m.RED, m.YELLOW, m.BLUE, m.ORANGE, m.BROWN, m.RED, m.GREEN]
    for i, skin in enumerate(colours):
        x = -16.5 + i * 5.5
        _breaker(x, 25.0)
        _wire(x, 23.0, skin, i)
        _feed(x, 27.4, i)
    _tangle()
    box((36, 0.3, 1.2), at(0, 1.2, 27.4), m.COPPER, 0.05)
    _flat_cable(0.0)
    _flat_cable(-16.5)
    torch((-16, -42, 44), (0, 4, 20), 1.0, 2.5, 60)
    panel_light((40, -36, 36), (0, 4, 20), 0.3, 30)
    camera((-5, -41, 23), (0.5, 3, 19.5), 37, 0.12, (0, 0, 20))


def _breaker(x: float, z: float) -> None:
    """The rear of a switch: a black body with two screw terminals."""
    box((3.6, 3.6, 6.2), at(x, 3.6, z), m.BLACK, 0.2)
    for dz in (-2.2, 2.2):
        box((1.4, 0.8, 1.2), at(x, 1.6, z + dz), m.BRASS, 0.06)
        parts.screw_head(at(x, 1.2, z + dz, rx=90), 0.5, 0.3, 20 + 40 * x, skin=m.BRASS)


def _wire(x: float, z: float, skin: Finish, index: int) -> None:
    """A stranded wire with a crimped fork, led down and gathered."""
    spec = parts.Lug(0.25, 0.5, 0.24, 0.9, 0.1)
    drift = 2.2 * math.sin(index * 2.1)
    parts.lug_cable(
        at(x, 0.9, z - 0.2, rx=90, rz=0) @ at(rz=-90),
        spec,
        [
            (x + drift * 0.4, -1.2, z - 6),
            (x * 0.5 + drift, -0.4, z - 13),
            (x * 0.25 + drift * 0.5, 1.5, z - 20),
            (x * 0.2, 2, z - 34),
        ],
        skin,
        skin,
        radius=0.25,
    )


def _feed(x: float, z: float, index: int) -> None:
    cable(
        [(x, 1.0, z), (x + 0.4, -0.6, z + 2 + 0.3 * index), (x + 1.5, 2, z + 6), (x + 2, 5, z + 14)],
        0.2,
        m.BLACK,
    )


def _tangle() -> None:
    """Spare and passing wires, some with bare tinned ends, none with a marker."""
    skins = [
        m.RED,
        m.BLACK,
        m.YELLOW,
        m.BLUE,
        m.WHITE,
        m.ORANGE,
        m.BROWN,
        m.BLACK,
        m.GREEN,
        m.GREY,
        m.RED,
        m.BLACK,
    ]
    for i, (x, y, turn) in enumerate(parts.scatter("tangle", len(skins), (9.0, 1.2))):
        swing = 3.0 * math.sin(math.radians(turn))
        cable(
            [
                (x * 2.4, 4.6 + y, 40),
                (x * 1.9 + swing, 2.4 + y, 31),
                (x * 1.5 - swing, -0.8 + y, 18),
                (x * 0.7 + swing, -0.6 + y, 8),
                (x * 0.3, 1.4 + y, -4),
                (x * 0.3, 2, -16),
            ],
            0.21 + 0.04 * (i % 3),
            skins[i],
        )
    for x, skin in ((-11.0, m.BLUE), (3.4, m.BLACK)):
        cable([(x + 3, 1, 0), (x + 1.2, -1.5, 8), (x, -3.0, 14.5)], 0.24, skin)
        strands(
            [(x + 0.02, -2.95, 14.3), (x - 0.15, -3.2, 15.0), (x - 0.3, -3.5, 15.8)],
            0.16,
            0.03,
            m.TINNED,
            0.8,
            flare=lambda s: 1 + 0.8 * s,
        )


def _flat_cable(shift: float) -> None:
    """Grey flat house cable: an oval sheath and stiff single cores that bend in corners."""
    sheath = Finish((0.46, 0.47, 0.48), 0.42, grime=0.35)
    base = 10.8 + shift
    ribbon(
        [(base + 4.7, -2.0, -14), (base + 4.2, -2.4, -2), (base + 2.6, -3.0, 6), (base, -3.4, 12.5)],
        1.2,
        0.42,
        (1, 0, 0),
        sheath,
    )
    for offset, skin, end in ((-0.55, m.BROWN, 5.5 + shift), (0.55, m.BLUE, 11.0 + shift)):
        corner = [
            (base + offset, -3.4, 12.0),
            (base - 0.4 + offset, -3.4, 16 + offset),
            (end, -2.6, 17.5 + offset),
            (end, -1.0, 21),
        ]
        cable(corner, 0.26, skin, steps=4)
        cable([(end, -1.0, 21), (end, -0.2, 22), (end, 1.0, 22.8)], 0.13, m.COPPER, steps=4)
    wires([[(base, -3.4, 12.0), (base + 0.1, -3.6, 14.5), (base + 2.0, -4.0, 15.5)]], 0.13, m.COPPER)

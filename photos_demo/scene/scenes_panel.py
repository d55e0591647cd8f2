"""Scenes on bulkheads and panels."""

from __future__ import annotations

import math

import materials as m
import parts
from materials import Finish
from shapes import at, box, cable, plate, rectangle, wires
from stage import camera, floor, panel_light, side, torch, wall


def battery_switch() -> None:
    wall(0.0, m.plywood((0.36, 0.20, 0.09)))
    plate(rectangle(19, 19, 1.2), 0.5, at(0, 0, 30, rx=90), Finish((0.55, 0.54, 0.50), 0.35, grime=0.6), bevel=0.1)
    for x in (-8.3, 8.3):
        for z in (21.7, 38.3):
            parts.screw_head(at(x, -0.5, z, rx=90), 0.5, 0.25, 30 + 9 * x + z, cross=True)
    parts.rotary_switch(at(0, -0.5, 30, rx=90), 90)
    torch((-16, -36, 46), (0, 0, 30), 0.8, 2.5, 60)
    panel_light((28, -30, 36), (0, 0, 30), 0.35, 25)
    camera((-5.5, -33, 33.5), (0, -1, 30), 48, 0.1, (0, -3, 30))


def sagging_run() -> None:
    wall(0, m.GELCOAT)
    box((150, 8, 5), at(0, -3, 47), m.plywood((0.36, 0.20, 0.09)), 0.3)
    floor(m.FLOWCOAT, -12)
    members = [(0, 0, 0.55, m.RED), (0.95, 0.1, 0.40, m.BLACK), (-0.8, 0.55, 0.34, m.YELLOW), (0.2, 1.0, 0.42, m.BLUE),
               (-0.9, -0.4, 0.36, m.BROWN), (0.3, -0.95, 0.38, m.GREY), (1.0, -0.75, 0.28, m.WHITE)]
    path = [(-75, -1.6, 37.5), (-52, -1.6, 36.6), (-36, -1.8, 35.5), (-31, -1.8, 35.0), (-24, -2.2, 31.0), (-12, -3.4, 21.0), (1, -4.2, 17.0),
            (14, -3.8, 20.5), (26, -2.4, 30.5), (33, -1.8, 34.8), (38, -1.7, 35.5), (55, -1.6, 36.8), (75, -1.6, 38)]
    parts.bundle(path, members)
    for x, z in ((-34, 35.3), (35.5, 35.2)):
        parts.saddle_clip(at(x, 0, z), 1.7)
    torch((-20, -75, 58), (0, 0, 27), 1.0, 3.0, 70)
    panel_light((70, -60, 50), (0, 0, 25), 0.3, 50)
    camera((-8, -86, 31), (0, 0, 26), 37, 0.2, (0, -4, 22))


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
    box((36, 0.3, 1.2), at(0, 1.2, 27.4), m.COPPER, 0.05)
    _flat_cable()
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
    parts.lug_cable(at(x, 0.9, z - 0.2, rx=90, rz=0) @ at(rz=-90), spec,
                    [(x + drift * 0.4, -1.2, z - 6), (x * 0.5 + drift, -0.4, z - 13), (x * 0.25 + drift * 0.5, 1.5, z - 20),
                     (x * 0.2, 2, z - 34)], skin, skin, radius=0.25)


def _feed(x: float, z: float, index: int) -> None:
    cable([(x, 1.0, z), (x + 0.4, -0.6, z + 2 + 0.3 * index), (x + 1.5, 2, z + 6), (x + 2, 5, z + 14)], 0.2, m.BLACK)


def _flat_cable() -> None:
    """Grey flat house cable: an oval sheath and stiff single cores that bend in corners."""
    sheath = Finish((0.40, 0.41, 0.42), 0.45, grime=0.4)
    path = [(15.5, -2.0, -14), (15.0, -2.4, -2), (13.4, -3.0, 6), (10.8, -3.0, 12)]
    for offset in (-0.55, 0.0, 0.55):
        cable([(x + offset, y, z) for x, y, z in path], 0.42, sheath)
    for offset, skin, end in ((-0.55, m.BROWN, (5.5, 1.0, 22.8)), (0.55, m.BLUE, (11.0, 1.0, 22.8))):
        corner = [(10.8 + offset, -3.0, 11.5), (10.4 + offset, -3.0, 16 + offset), (end[0], -2.6, 17.5 + offset), (end[0], -1.0, 21)]
        cable(corner, 0.26, skin, steps=4)
        cable([(end[0], -1.0, 21), (end[0], -0.2, 22), end], 0.13, m.COPPER, steps=4)
    wires([[(10.8, -3.0, 11.5), (10.9, -3.4, 14.5), (12.8, -4.0, 15.5)]], 0.13, m.COPPER)


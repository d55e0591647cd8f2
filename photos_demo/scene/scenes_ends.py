"""Close views of cable ends, terminals and worn cable."""

from __future__ import annotations

import math

import materials as m
import parts
from materials import Finish, Spots, Stain
from mathutils import Matrix, Vector, noise
from parts import Lug, point
from shapes import (
    at,
    box,
    cable,
    lathe,
    loft,
    oval,
    plate,
    rectangle,
    smooth,
    strands,
    torn_tube,
    wires,
)
from stage import camera, floor, panel_light, torch, wall


def chafe() -> None:
    wall(16, m.FLOWCOAT)
    edge = 10.0
    steel = m.RUSTY
    plate(rectangle(0.4, 30), 24, at(0, -8, -15 + edge, rx=-90), steel, bevel=0.02)
    box((14, 24, 0.5), at(7, 4, -6), steel, 0.04)
    path = [
        (-22, 2.5, 12.6),
        (-12, 1.0, 12.4),
        (-4.5, 0.0, 11.75),
        (0.4, 0.0, 10.95),
        (3.6, -0.2, 8.6),
        (5.4, -0.8, 3.0),
        (6.5, -1.5, -10),
    ]
    contact = Vector((0.3, -0.85, 10.75))
    rub = m.RED.stained(
        Stain(tuple(contact), 3.4, (0.015, 0.012, 0.010), 0.7, soft=0.85, ragged=0.4, scale=2.0)
    )
    torn_tube(path, 1.05, 0.22, lambda p: _unworn(p, contact), rub, 120, 80)
    strands(path, 0.84, 0.06, m.COPPER, 0.35)
    torch((-12, -30, 34), (0, 0, 9), 1.0, 2.0, 60)
    panel_light((30, -24, 18), (0, 0, 9), 0.35, 30)
    camera((6.0, -21, 15.5), (0.0, 0.0, 9.6), 40, 0.12, (0.2, -1.0, 10.7))


def _unworn(spot: Vector, contact: Vector) -> bool:
    """Whether the insulation still covers this spot: a ragged long patch round the contact is gone."""
    away = spot - contact
    reach = math.sqrt((away.x * 0.62) ** 2 + (away.y * 0.95) ** 2 + (away.z * 0.85) ** 2)
    return reach + 0.32 * noise.noise(spot * 1.9) + 0.14 * noise.noise(spot * 6.0) > 1.15


def lug_hole() -> None:
    floor(m.plywood((0.34, 0.20, 0.09)), -1.6)
    plate(rectangle(14, 3.0, 0.2), 0.5, at(), m.COPPER, bevel=0.05)
    parts.stud(at(z=0.5), 0.29, 3.4, 0.1)
    spec = Lug(0.78, 1.22, 0.6, 1.9, 0.22)
    parts.lug_cable(at(-0.28, -0.22, 0.52, rz=-38), spec, [(7.5, -5.8, 0.9), (13, -10, -0.6)], m.RED)
    parts.washer(at(0.1, 0.1, 0.64, rx=-9, ry=11), 0.66, 0.33, 0.12)
    parts.nut(at(0, 0, 2.1), 1.0, 0.5)
    for x in (-5.0, 5.0):
        parts.stud(at(x, 0, 0.5), 0.29, 2.2, 0.1)
        parts.washer(at(x, 0, 0.5), 0.7, 0.33, 0.12)
        parts.nut(at(x, 0, 0.62), 1.0, 0.5)
    torch((-9, -12, 18), (0, 0, 0.6), 1.0, 1.2, 60)
    panel_light((16, -8, 20), (0, 0, 0), 0.4, 16)
    camera((-3.4, -8.6, 10.4), (0.35, -0.35, 0.75), 46, 0.10, (0, -0.4, 0.9))


def two_under_screw() -> None:
    floor(m.plywood((0.40, 0.24, 0.11)), 0.0)
    plates = parts.terminal_block(at(0, 2, 0), 5, Finish((0.55, 0.53, 0.47), 0.45, grime=0.7))
    for i, finish in ((0, m.BLUE), (1, m.YELLOW), (3, m.BLACK), (4, m.GREEN)):
        _neat_way(plates[i], finish)
    here = plates[2]
    x = here.translation.x
    _frayed(here, [(x - 0.5, -9, 0.5), (x - 0.45, -3.2, 0.8)], 0.46, 0.34, -0.38, m.RED)
    _frayed(here, [(x + 3.2, -9, 0.4), (x + 0.75, -2.6, 0.9)], 0.21, 0.13, 0.42, m.ORANGE)
    parts.washer(here @ at(0.02, -0.1, 0.52, ry=-7), 0.72, 0.25, 0.12, m.STEEL)
    parts.screw_head(here @ at(0.02, -0.1, 0.64, ry=-7), 0.58, 0.36, 65)
    parts.stray(
        [
            point(here, 0.2, -1.4, 0.25),
            point(here, 0.7, -1.0, 0.9),
            point(here, 1.25, -0.6, 1.3),
            point(here, 1.9, -0.7, 1.0),
        ],
        radius=0.035,
    )
    torch((-10, -14, 22), (0, 1, 1.5), 1.0, 1.5, 60)
    panel_light((18, -12, 22), (0, 1, 1), 0.35, 18)
    camera((1.9, -9.6, 11.2), (0.25, 0.2, 1.5), 46, 0.09, (0, 0.5, 1.6))


def _neat_way(place: Matrix, skin: Finish) -> None:
    """One wire, one ring lug, one screw."""
    spec = Lug(0.24, 0.5, 0.22, 0.9, 0.09)
    end = parts.lug(place @ at(rz=-90), spec, skin)
    cable(
        [point(end, x=-0.3), point(end, x=0.8), point(end, x=3.0, z=-0.5), point(end, x=9, z=-1.4)], 0.2, skin
    )
    parts.washer(place @ at(z=0.1), 0.5, 0.22, 0.06)
    parts.screw_head(place @ at(z=0.16), 0.46, 0.3, 20 + 37 * place.translation.x)


def _frayed(
    place: Matrix,
    path: list[tuple[float, float, float]],
    insulation: float,
    conductor: float,
    aside: float,
    skin: Finish,
) -> None:
    """A stripped cable whose strands spread beside the screw."""
    near = point(place, aside * 1.2, -1.9, 0.3)
    cable([*path, tuple(near - Vector((0, 0.5, -0.05)))], insulation, skin)
    strands(
        [
            tuple(near - Vector((0, 0.7, -0.05))),
            tuple(near),
            point(place, aside, -0.9, 0.28),
            point(place, aside * 0.9, 0.2, 0.26),
            point(place, aside * 0.8, 0.9, 0.28),
        ],
        conductor,
        0.036,
        m.COPPER,
        0.5,
        flare=lambda s: 1.0 + 0.35 * math.sin(math.pi * max(0.0, s - 0.4) / 0.6),
    )


def solder_tip() -> None:
    floor(m.plywood((0.34, 0.20, 0.09)), -1.4)
    box((10, 7, 1.4), at(0, 1.0, -0.7), Finish((0.05, 0.045, 0.04), 0.4, grime=0.5), 0.2)
    box((2.6, 4.8, 0.5), at(0, 0.6, 0.25), m.BRASS, 0.08)
    parts.screw_head(at(0, 2.4, 0.5), 0.4, 0.2, 70, m.BRASS)
    box((1.5, 1.5, 0.24), at(0, 0.2, 1.03, rx=4), m.BRASS, 0.06)
    for x in (-1.15, 1.15):
        box((0.3, 1.9, 0.9), at(x, 0.2, 0.8), m.BRASS, 0.06)
    parts.stud(at(0, 0.2, 1.05), 0.3, 0.6, 0.09, m.BRASS)
    parts.screw_head(at(0, 0.2, 1.5), 0.72, 0.5, 25, m.BRASS)
    tip = [
        oval(3.0, 0.40, 0.40, 0.82),
        oval(2.8, 0.45, 0.45, 0.82),
        oval(1.9, 0.47, 0.44, 0.81),
        oval(1.35, 0.60, 0.34, 0.76, 2.2),
        oval(0.85, 0.84, 0.22, 0.71, 2.6),
        oval(0.6, 0.90, 0.18, 0.70, 2.6),
        oval(-0.5, 0.92, 0.17, 0.70, 2.6),
        oval(-0.8, 0.84, 0.22, 0.73, 2.4),
        oval(-1.25, 0.58, 0.36, 0.82),
        oval(-1.75, 0.50, 0.40, 0.86),
        oval(-1.9, 0.42, 0.34, 0.86),
        oval(-1.93, 0.1, 0.1, 0.86),
    ]
    loft(tip, at(0, 0.2, 0, rz=-90), m.SOLDER)
    run = [(0, -2.4, 0.82), (0, -3.6, 0.8), (0.1, -4.6, 0.8)]
    strands(run, 0.43, 0.05, m.COPPER, 0.5)
    cable([(0.05, -3.9, 0.8), (0.2, -6, 0.7), (1.4, -10, -0.4), (4, -15, -0.9)], 0.6, m.RED)
    torch((-9, -9, 16), (0, 0, 0.8), 1.0, 1.2, 60)
    panel_light((14, -10, 14), (0, 0, 0.5), 0.45, 14)
    camera((-5.4, -6.6, 6.4), (0.0, -0.8, 0.75), 46, 0.08, (0, -0.9, 0.8))


def stacked_lugs() -> None:
    wall(7.5, m.GELCOAT)
    floor(m.plywood((0.40, 0.24, 0.11)), -2.6)
    box((20, 5, 2.0), at(0, 0, -1.5), m.BLACK, 0.3)
    plate(rectangle(18, 2.8, 0.15), 0.6, at(0, 0, -0.5), m.COPPER, bevel=0.06)
    for x in (-6.4, 6.4):
        parts.stud(at(x, 0, 0.1), 0.4, 2.2)
        parts.washer(at(x, 0, 0.1))
        parts.nut(at(x, 0, 0.25))
    _stack(at(0, 0, 0.1))
    torch((-9, -22, 26), (0, 0, 2), 1.0, 1.6, 60)
    panel_light((20, -16, 26), (0, 0, 2), 0.35, 20)
    camera((-1.6, -18.5, 8.6), (0.0, -0.6, 1.9), 62, 0.09, (0, -1.0, 2))


def _stack(base: Matrix) -> None:
    """Six lugs of several sizes on one stud; the nut has no thread left to show for it."""
    parts.stud(base, 0.4, 4.15)
    rows = [
        (186, m.RED, 0.62),
        (-8, m.RED, 0.55),
        (212, m.ORANGE, 0.42),
        (-36, m.RED, 0.48),
        (160, m.YELLOW, 0.34),
        (-150, m.BROWN, 0.38),
    ]
    z = 0.0
    for turn, skin, barrel in rows:
        spec = Lug(0.42, 0.6 + barrel * 0.6, barrel, 1.3, 0.16 + barrel * 0.2)
        place = base @ at(z=z, rz=turn)
        out = place.to_3x3() @ Vector((1, 0, 0))
        parts.lug_cable(
            place,
            spec,
            [
                tuple(base.translation + out * 9 + Vector((0, -0.4, z + 0.3))),
                tuple(base.translation + out * 17 + Vector((0, -2.0, z - 1.5))),
            ],
            skin,
            skin,
            tilt=2 + 3 * z,
        )
        z += spec.thickness + 0.18
    parts.washer(base @ at(z=z), 0.8, 0.42, 0.15)
    parts.nut(base @ at(z=z + 0.15), 1.3, 0.65)


def glass_fuse() -> None:
    floor(m.GELCOAT, 0.0)
    green = Spots((0.06, 0.36, 0.26), 0.55, 1.3, rough=0.95)
    contact = Finish(m.BRASS.colour, 0.4, 1.0, grime=0.6, spots=green, bump=0.03)
    z = 0.85
    _half(at(-3.4, 0, z, ry=-90), [(-8.5, 0.2, 0.8), (-13, 1.5, 0.3), (-20, 5, 0.3)], contact)
    _half(at(2.1, -0.4, z, ry=90, rz=-6), [(8.0, -1.0, 0.8), (14, -2.0, 0.3), (22, -1, 0.3)], contact)
    _fuse(at(-2.9, -0.02, 0.75, ry=90), contact)
    torch((-8, -12, 18), (0, 0, 0.5), 1.0, 1.4, 60)
    panel_light((14, -8, 18), (0, 0, 0), 0.4, 14)
    camera((0.4, -7.6, 7.2), (-0.5, 0.0, 0.6), 42, 0.06, (-0.8, -0.2, 0.8))


def _half(place: Matrix, path: list[tuple[float, float, float]], contact: Finish) -> None:
    """Half an in-line holder, opening at -Z, its wire leaving at the closed end."""
    lathe(
        [
            (0.62, 0.3),
            (0.62, 0),
            (0.82, 0),
            (0.84, 0.1),
            (0.84, 1.2),
            (0.78, 1.3),
            (0.78, 2.6),
            (0.5, 3.6),
            (0.36, 4.2),
            (0, 4.2),
        ],
        place,
        m.BLACK,
    )
    lathe([(0.62, 0.0), (0.62, 1.0), (0, 1.0)], place, m.DARK)
    lathe([(0, 0.15), (0.42, 0.15), (0.45, 0.25), (0.42, 1.0)], place, contact)
    helix = [(0.34 * math.cos(k * 0.5), 0.34 * math.sin(k * 0.5), 0.9 - k * 0.022) for k in range(70)]
    wires([helix], 0.05, contact, place)
    cable([tuple(place @ Vector((0, 0, 3.6))), tuple(place @ Vector((0, 0, 4.6))), *path], 0.26, m.RED)


def _fuse(place: Matrix, contact: Finish) -> None:
    """A glass cartridge fuse along Z with a fine wire inside."""
    lathe([(0, 0), (0.33, 0), (0.34, 0.05), (0.34, 0.75), (0.32, 0.78)], place, contact)
    lathe([(0.32, 2.5), (0.34, 2.53), (0.34, 3.2), (0.33, 3.25), (0, 3.25)], place, contact)
    lathe([(0.31, 0.6), (0.31, 2.7)], place, m.clear(rough=0.02))
    wires([smooth([(0, 0, 0.6), (0.06, 0, 1.3), (-0.05, 0, 2.0), (0, 0, 2.7)])], 0.025, m.TINNED, place)

"""Scenes round the batteries."""

from __future__ import annotations

from dataclasses import replace

import materials as m
import parts
from materials import Finish
from mathutils import Matrix
from parts import Lug, point
from shapes import at, box, cable, lathe, text
from stage import camera, floor, panel_light, side, torch, wall

WOOD = (0.30, 0.16, 0.07)


def _tray(width: float, depth: float, lip: float) -> None:
    """A plywood tray with a low lip, and empty strap eyes at its ends."""
    wood = m.plywood((0.42, 0.25, 0.12))
    floor(wood, 0.0, width, depth)
    for y in (-depth / 2, depth / 2):
        box((width + 1.6, 1.6, lip), at(0, y, lip / 2), wood, 0.12)
    for x in (-width / 2, width / 2):
        box((1.6, depth, lip), at(x, 0, lip / 2), wood, 0.12)


def _ring_cable(clamp: Matrix, path: list[tuple[float, float, float]], skin: Finish) -> None:
    """A lug on the bolt of a battery clamp, barrel upward and outward."""
    place = clamp @ at(-2.3, 1.25, 0.72, rx=-90, rz=-60)
    parts.lug_cable(place, Lug(0.3, 0.62, 0.42, 1.1, 0.16), path, skin)


def battery_bank() -> None:
    _tray(47, 40, 5.0)
    wall(24, m.GELCOAT)
    side(-34, m.GELCOAT)
    side(38, m.GELCOAT)
    floor(m.FLOWCOAT, -2.0)
    old = replace(m.CASE, grime=0.75, rough=0.6)
    left = parts.battery(at(-10.0, 0.5, 0, rz=90), old, old)
    right = parts.battery(at(10.6, -0.8, 0, rz=92), m.CASE, Finish((0.10, 0.10, 0.11), 0.45, grime=0.4))
    for a, b, skin, lift in ((left.plus, right.plus, m.RED, 5.0), (left.minus, right.minus, m.BLACK, 3.5)):
        start = parts.battery_clamp(a @ at(z=0.35, rz=-90))
        end = parts.battery_clamp(b @ at(z=0.35, rz=90))
        p, q = point(start), point(end)
        middle = (p + q) / 2
        cable(
            [
                point(start, x=-0.8),
                point(start, x=1.0),
                (middle.x, middle.y - 0.6, p.z + lift),
                point(end, x=1.0),
                point(end, x=-0.8),
            ],
            0.72,
            skin,
        )
    _ring_cable(right.plus @ at(z=0.35, rz=90), [(24.5, 17.5, 24.5), (29, 21, 19), (32, 27, 17)], m.RED)
    _ring_cable(
        right.minus @ at(z=0.35, rz=90), [(25, -13, 23.5), (29.5, -7, 16), (31, 8, 11), (32, 27, 10)], m.BLACK
    )
    torch((-22, -60, 88), (0, 0, 14), 1.0, 3.0, 62)
    panel_light((50, -50, 90), (0, 0, 10), 0.25, 60)
    camera((-16, -62, 62), (1.0, -1.0, 11), 36, 0.15, (0, -8, 20))


def no_fuse() -> None:
    wall(12, m.plywood(WOOD), hole=(14.8, 27.3, 1.3))
    side(-30, m.GELCOAT)
    posts = parts.battery(at(-9.5, 0, 0), replace(m.CASE, grime=0.6))
    end = parts.battery_clamp(posts.plus @ at(z=0.35, rz=28))
    cable(
        [
            point(end, x=-0.8),
            point(end, x=1.0),
            (12.0, 1.6, 22.4),
            (14.6, 6.0, 24.6),
            (14.8, 11, 27.0),
            (14.8, 14, 27.5),
            (14.8, 18, 27.5),
        ],
        0.82,
        m.RED,
    )
    start = parts.battery_clamp(posts.minus @ at(z=0.35, rz=160))
    cable([point(start, x=-0.8), point(start, x=1.0), (-34, 1, 22), (-40, 5, 20)], 0.82, m.BLACK)
    torch((-6, -38, 50), (8, 2, 23), 1.0, 2.5, 60)
    panel_light((40, -40, 60), (8, 0, 22), 0.25, 40)
    camera((2.5, -31, 39.5), (6.6, 1.5, 23.2), 38, 0.14, (6, -4, 22))


def strip_fuse() -> None:
    wall(9, m.GELCOAT)
    box((60, 26, 2), at(6, -3, -1), m.plywood((0.42, 0.25, 0.12)), 0.15)
    base = at(6.5, -4.5, 0, rz=-6)
    _fuse_holder(base)
    posts = parts.battery(at(-22.5, -1, -17.2), m.CASE)
    spec = Lug(0.42, 0.8, 0.5, 1.35, 0.2)
    end = parts.battery_clamp(posts.plus @ at(z=0.35, rz=5))
    tail = base @ at(-2.1, 0, 1.72, rz=180)
    parts.lug_cable(
        tail,
        spec,
        [(-2.4, -2.6, 2.4), (-3.6, -3.6, 4.2), tuple(point(end, x=1.2)), tuple(point(end, x=-0.6))],
        m.RED,
    )
    parts.lug_cable(
        base @ at(2.1, 0, 1.72), spec, [(16, -4.8, 2.2), (21, -4.2, 1.0), (28, -1, 0.8), (36, 4, 0.8)], m.RED
    )
    torch((-10, -36, 40), (5, -3, 2), 0.9, 3.0, 60)
    panel_light((30, -25, 45), (5, -3, 2), 0.4, 40)
    camera((2.5, -21, 21), (1.6, -3.0, 2.0), 36, 0.10, (6, -4, 2))


def _fuse_holder(base: Matrix) -> None:
    """Base, studs, strip, nuts and a clear cover lifted on its own feet."""
    box((13, 4.6, 1.0), base @ at(z=0.5), m.BLACK, 0.2)
    for x in (-2.1, 2.1):
        box((3.4, 3.0, 0.5), base @ at(x * 1.1, 0, 1.2), m.BLACK, 0.1)
        parts.stud(base @ at(x, 0, 1.2), 0.39, 2.1)
        parts.washer(base @ at(x, 0, 2.14), 0.8, 0.42, 0.13)
        parts.nut(base @ at(x, 0, 2.28), 1.25, 0.62)
    parts.fuse_strip(base @ at(0, 0, 1.48))
    for x in (-5.6, 5.6):
        parts.screw_head(base @ at(x, 0, 1.0), 0.48, 0.25, 35 + x, cross=True)
    sheet = m.film()
    for y in (-2.2, 2.2):
        box((8.2, 0.02, 2.5), base @ at(0, y, 2.3), sheet, 0)
        box((8.2, 0.14, 0.14), base @ at(0, y, 3.5), m.clear(), 0.05)
        for x in (-4.1, 4.1):
            box((0.14, 0.14, 2.5), base @ at(x, y, 2.3), m.clear(), 0.05)
    box((8.2, 4.4, 0.02), base @ at(0, 0, 3.56), sheet, 0)


def spanner() -> None:
    wall(20, m.GELCOAT)
    wood = m.plywood((0.40, 0.23, 0.10))
    box((90, 14, 1.8), at(0, 12.2, 24.2), wood, 0.12)
    box((90, 1.4, 24), at(0, 18, 12), wood, 0.1)
    floor(m.FLOWCOAT, -0.2)
    posts = parts.battery(at(0, -4, 0), replace(m.CASE, grime=0.6))
    for post, turn, skin, path in (
        (posts.plus, -60, m.RED, [(19, -19, 20), (26, -24, 12)]),
        (posts.minus, 240, m.BLACK, [(-19, -19, 20), (-26, -24, 12)]),
    ):
        end = parts.battery_clamp(post @ at(z=0.35, rz=turn))
        cable([point(end, x=-0.8), point(end, x=1.0), *path], 0.75, skin)
    parts.spanner(at(8.0, 2.0, 25.15, rz=-58), 23.0, 1.9)
    torch((-20, -42, 58), (2, -2, 22), 1.0, 2.5, 60)
    panel_light((40, -40, 60), (0, 0, 20), 0.3, 40)
    camera((-11, -38, 47), (3.0, -2.0, 21.0), 38, 0.14, (6, -6, 23))


def blade_fuse() -> None:
    wall(13, m.plywood(WOOD))
    posts = parts.battery(at(-13.4, 3.0, 0), replace(m.CASE, grime=0.6))
    clamp = posts.plus @ at(z=0.35, rz=-30)
    end = parts.battery_clamp(clamp)
    cable([point(end, x=-0.8), point(end, x=1.0), (11, -9, 22), (18, -12, 18)], 0.75, m.RED)
    pad = clamp @ at(2.5, 0, 1.5)
    box((1.9, 1.8, 0.3), pad, m.LEAD, 0.1)
    parts.stud(pad @ at(z=0.15), 0.3, 1.5, 0.1)
    parts.lug_cable(
        pad @ at(z=0.16, rz=-72),
        Lug(0.33, 0.75, 0.3, 1.15, 0.12),
        [(0.6, -8.2, 23.6), (-1.2, -6.4, 26.2), (-2.0, -2.4, 27.6), (-2.0, 0.0, 28.6)],
        m.RED,
        m.RED,
        radius=0.26,
    )
    parts.washer(pad @ at(z=0.29), 0.6, 0.32, 0.1)
    parts.nut(pad @ at(z=0.39), 1.0, 0.5)
    _blade_holder(at(-2.0, 0.2, 30.4, ry=5))
    cable([(-2.0, 0.2, 32.0), (-1.9, 0.4, 34.0), (-0.6, 5, 38), (3, 12, 46)], 0.26, m.RED)
    torch((-14, -34, 52), (0, 0, 26), 1.0, 2.0, 60)
    panel_light((36, -36, 50), (0, 0, 26), 0.3, 40)
    camera((3.0, -24, 36.5), (0.5, 0.5, 26.6), 46, 0.10, (0.5, 0.0, 25))


def _blade_holder(place: Matrix) -> None:
    """A single blade-fuse holder hanging on its wires, the fuse seen from the side, cap off."""
    box((2.7, 1.5, 2.6), place @ at(z=-0.2), m.BLACK, 0.2)
    lathe([(0.3, -2.6), (0.42, -2.5), (0.6, -1.3)], place, m.RUBBER)
    lathe([(0.6, 0.9), (0.42, 2.1), (0.3, 2.2)], place, m.RUBBER)
    box((3.0, 0.3, 0.4), place @ at(0, 0.2, 1.0), m.BLACK, 0.1)
    fuse = Finish((0.03, 0.22, 0.55), 0.25, grime=0.1)
    box((1.9, 0.5, 1.0), place @ at(0, -0.9, 0.1), fuse, 0.1)
    box((1.3, 0.3, 0.9), place @ at(0, -1.1, -0.1), fuse, 0.05)
    text("15", 0.8, place @ at(0, -1.28, -0.1, rx=90), m.WHITE, 0.01)

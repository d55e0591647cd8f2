"""Scenes low down and outside."""

from __future__ import annotations

import math

import materials as m
import parts
from materials import Finish, Stain
from shapes import at, box, cable, circle, lathe, plate, rectangle, strands
from stage import camera, floor, panel_light, torch, wall


def bilge_joint() -> None:
    wall(22, m.FLOWCOAT)
    floor(m.FLOWCOAT, 0.0)
    box((120, 0.2, 60), at(0, 24, 0), m.FLOWCOAT, 0)
    box((70, 8, 5), at(0, 20, 2, rx=20), m.FLOWCOAT, 1.0)
    outlet = parts.bilge_pump(at(-9, 4, 0))
    parts.ribbed_hose(
        [
            tuple(outlet @ at().translation),
            (2.5, 1.6, 2.2),
            (9, 3.5, 4),
            (15, 10, 12),
            (18, 16, 26),
            (18, 20, 44),
        ],
        1.5,
        Finish((0.05, 0.05, 0.055), 0.4, grime=0.5),
    )
    parts.float_switch(at(13, -5, 0, rz=200))
    _joint()
    box((200, 160, 0.02), at(0, 0, 1.2), m.clear((0.62, 0.63, 0.52), 1.33, 0.0, ripple=0.12), 0)
    torch((-16, -34, 44), (0, 0, 2), 1.0, 2.5, 60)
    panel_light((30, -10, 60), (0, 0, 0), 0.3, 40)
    panel_light((-3, 20, 21), (1, -6, 1), 0.12, 6)
    camera((-1, -33, 17), (0.5, 0.0, 3.4), 37, 0.10, (0, -7, 2.5))


def _joint() -> None:
    """Two wires twisted, taped and left just above the water."""
    tape = Finish((0.02, 0.02, 0.022), 0.28, grime=0.35)
    parts.twist_tape([(-3.4, -8.2, 2.4), (0, -8.8, 2.0), (3.2, -8.4, 2.5)], 0.75, tape)
    cable([(-8, 1, 10.4), (-7, -3, 8), (-6.5, -7, 3.6), (-3.2, -8.2, 2.4)], 0.2, m.BROWN)
    cable([(3.0, -8.4, 2.5), (6.0, -7.6, 3.6), (9.0, -6, 3.0), (12, -5, 1.8)], 0.2, m.BROWN)
    cable([(3.0, -8.5, 2.6), (7.5, -10, 4.6), (14, -10, 8), (26, -4, 18)], 0.2, m.RED)
    strands([(3.0, -8.4, 2.5), (3.5, -8.35, 2.7), (4.0, -8.3, 2.95)], 0.13, 0.03, m.COPPER, 1.2)


def shore_inlet() -> None:
    burn = (1.9, -0.2, 28.9)
    wall(0.0, m.GELCOAT, hole=(0.0, 30.0, 4.2))
    body = Finish((0.60, 0.59, 0.55), 0.38, grime=0.5).stained(
        Stain((3.6, -1.6, 27.8), 2.9, (0.13, 0.065, 0.025), soft=0.9, ragged=0.5),
        Stain((3.4, -1.4, 28.0), 1.7, (0.018, 0.013, 0.010), soft=0.7),
    )
    inner = Finish((0.02, 0.09, 0.30), 0.4, grime=0.3).stained(
        Stain(burn, 2.5, (0.16, 0.085, 0.03), soft=0.6, ragged=0.45),
        Stain(burn, 2.0, (0.012, 0.01, 0.009), soft=0.7, ragged=0.5),
    )
    place = at(0, 0, 30, rx=90)
    plate(rectangle(12.5, 12.5, 1.6), 0.7, place, body, [circle(4.5)], 0.15)
    ring = lathe([(4.5, 0.2), (4.5, 1.6), (4.3, 1.9), (3.9, 1.9), (3.75, 1.6), (3.75, -3.0)], place, body, 96)
    _slump(ring, (3.4, -2.0, 1.6), 2.9, 0.8)
    lathe([(3.75, -3.0), (3.0, -3.0), (0, -3.0)], place, m.DARK)
    lathe([(3.3, -3.0), (3.3, -0.6), (3.1, -0.4), (0, -0.4)], place, inner, 96)
    for angle, burnt in ((90, False), (210, False), (330, True)):
        a = math.radians(angle)
        brass = m.BRASS.stained(Stain(burn, 2.3, (0.02, 0.016, 0.014), soft=0.7)) if burnt else m.BRASS
        spot = place @ at(2.0 * math.cos(a), 2.0 * math.sin(a), -0.5)
        lathe([(0.62, 0.1), (0.55, 0.16), (0.42, 0.12)], spot, m.DARK)
        lathe([(0.38, 0), (0.38, 1.6), (0.3, 1.8), (0, 1.85)], spot, brass)
    for x in (-5.2, 5.2):
        for y in (-5.2, 5.2):
            parts.screw_head(place @ at(x, y, 0.7), 0.5, 0.25, 30 + 7 * x + 3 * y, cross=True)
    _lid(place, body)
    torch((-12, -30, 44), (0, 0, 30), 0.9, 2.0, 60)
    panel_light((24, -28, 46), (0, 0, 30), 0.5, 30)
    camera((-2.0, -27, 33), (0.2, -0.5, 31.0), 50, 0.1, (1.0, -1, 29))


def _lid(place: object, body: Finish) -> None:
    """The hinged cover, open upward."""
    lathe(
        [(0, 0), (4.8, 0), (5.0, 0.2), (5.0, 1.0), (4.8, 1.2), (4.5, 0.4), (0, 0.4)],
        place @ at(0, 6.2, 1.0) @ at(rx=97) @ at(0, 5.0, -0.6),
        body,
        72,
    )
    box((4.0, 1.0, 1.2), place @ at(0, 6.0, 1.0), body, 0.2)


def _slump(obj: object, centre: tuple[float, float, float], radius: float, depth: float) -> None:
    """Soften a part near a hot spot: its vertices sag down and inward."""
    for vertex in obj.data.vertices:
        away = math.dist(vertex.co, centre)
        share = max(0.0, 1.0 - away / radius) ** 1.5
        vertex.co.y -= depth * share * (1 + 0.4 * math.sin(vertex.co.x * 5))
        vertex.co.z -= depth * 0.9 * share

"""The things found in a boat's battery locker, built to life size (centimetres)."""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import materials as m
from materials import Finish
from mathutils import Matrix, Vector
from shapes import (
    Path,
    Skin,
    at,
    box,
    cable,
    circle,
    frames,
    lathe,
    loft,
    oval,
    plate,
    prism,
    rectangle,
    smooth,
    text,
    wires,
)


def point(place: Matrix, x: float = 0.0, y: float = 0.0, z: float = 0.0) -> Vector:
    """A local point in scene coordinates."""
    return place @ Vector((x, y, z))


# Fasteners -----------------------------------------------------------------------------------------


def nut(place: Matrix, across: float = 1.3, height: float = 0.65, skin: Skin = m.CHROME) -> None:
    """A hexagon nut with chamfered corners, standing on the placement."""
    radius = across / 2 / math.cos(math.pi / 6)
    prism(6, radius, height, place, skin, 0.05)
    lathe(
        [
            (across * 0.33, height),
            (across * 0.47, height),
            (across * 0.44, height + 0.03),
            (across * 0.33, height + 0.03),
        ],
        place,
        skin,
    )


def washer(
    place: Matrix, outer: float = 0.8, inner: float = 0.42, height: float = 0.14, skin: Skin = m.CHROME
) -> None:
    lathe(
        [
            (inner, 0),
            (outer - 0.02, 0),
            (outer, 0.02),
            (outer, height - 0.02),
            (outer - 0.02, height),
            (inner + 0.01, height),
            (inner, height - 0.01),
            (inner, 0),
        ],
        place,
        skin,
    )


def stud(
    place: Matrix, radius: float = 0.4, height: float = 3.0, pitch: float = 0.125, skin: Skin = m.CHROME
) -> None:
    """A threaded stud; the thread is drawn as rings, which at this size nobody can tell from a helix."""
    profile = [(radius * 0.86, 0.0)]
    turns = int(height / pitch) - 1
    for i in range(turns):
        profile += [(radius, (i + 0.5) * pitch), (radius * 0.86, (i + 1) * pitch)]
    profile += [(radius * 0.8, height), (0, height)]
    lathe(profile, place, skin, 32, 20)


def bolt_head(place: Matrix, across: float = 1.0, height: float = 0.5, skin: Skin = m.CHROME) -> None:
    nut(place, across, height, skin)
    prism(24, across * 0.4, height + 0.02, place, skin, 0.03)


def screw_head(
    place: Matrix,
    radius: float = 0.45,
    height: float = 0.25,
    slot: float = 30.0,
    skin: Skin = m.CHROME,
    cross: bool = False,
) -> None:
    """A domed screw head with a slot (two for a cross head)."""
    dome = [
        (radius * math.cos(a), height * 0.5 + height * 0.5 * math.sin(a))
        for a in [math.radians(d) for d in range(0, 91, 15)]
    ]
    lathe([(0, 0), (radius, 0), *dome[:-1], (0, height)], place, skin)
    for turn in (slot, slot + 90)[: 2 if cross else 1]:
        box(
            (radius * (1.1 if cross else 1.9), radius * 0.24, 0.04),
            place @ at(z=height * 0.99, rz=turn),
            m.DARK,
            0.0,
        )


# Cable ends ----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Lug:
    """A ring terminal: `hole` and `palm` are radii, `barrel` the radius of the tube."""

    hole: float = 0.42
    palm: float = 0.85
    barrel: float = 0.55
    reach: float = 1.4
    thickness: float = 0.22
    skin: Finish = m.TINNED


def lug(place: Matrix, spec: Lug, sleeve: Finish | None = m.BLACK, tilt: float = 0.0) -> Matrix:
    """A ring lug with its hole at the placement and its barrel along X. Returns where the cable leaves."""
    place = place @ at(ry=-tilt)
    straight = spec.reach * 0.55
    start = math.degrees(math.atan2(spec.palm * 0.98, 0.2 * spec.palm))
    outline = [
        (straight, -spec.palm * 0.92),
        (straight, spec.palm * 0.92),
        *circle(spec.palm, count=40, start=start, sweep=360 - 2 * start),
    ]
    plate(outline, spec.thickness, place, spec.skin, [circle(spec.hole)], 0.03)
    half = spec.thickness / 2
    top = spec.barrel
    sections = [
        oval(straight - 0.02, spec.palm * 0.92, half, half, 7),
        oval(straight + 0.1, spec.palm * 0.92, half, half, 6),
    ]
    for share in (0.25, 0.5, 0.75, 1.0):
        ease = share * share * (3 - 2 * share)
        sections.append(
            oval(
                straight + 0.1 + share * (spec.reach - straight),
                spec.palm * 0.92 + (spec.barrel - spec.palm * 0.92) * ease,
                half + (spec.barrel - half) * ease,
                half + (top - half) * ease,
                6 - 4 * ease,
            )
        )
    loft(sections, place, spec.skin)
    return _barrel(place, spec, sleeve)


def _barrel(place: Matrix, spec: Lug, sleeve: Finish | None) -> Matrix:
    """The tube of a lug with two crimp dents, and heat-shrink sleeve over its end."""
    start, length, radius = spec.reach + 0.08, spec.barrel * 4.0, spec.barrel
    shares = [0, 0.1, 0.2, 0.28, 0.36, 0.46, 0.54, 0.62, 0.72, 0.82, 1.0]
    dents = [1, 1, 1, 0.8, 0.8, 1, 0.8, 0.8, 1, 1, 1]
    sections = [
        oval(start + length * s, radius * (2 - d) ** 0.5, radius * d, radius, 2 if d == 1 else 2.6)
        for s, d in zip(shares, dents, strict=True)
    ]
    loft(sections, place, spec.skin)
    if sleeve:
        cover = [
            oval(start + length * 0.5 + x, radius * w, radius * w, radius)
            for x, w in (
                (0, 1.16),
                (0.1, 1.2),
                (length * 0.5, 1.18),
                (length * 0.8, 1.1),
                (length * 0.82, 1.0),
            )
        ]
        loft(cover, place, sleeve)
    return place @ at(x=start + length, z=radius)


def lug_cable(
    place: Matrix,
    spec: Lug,
    path: Path,
    skin: Finish,
    sleeve: Finish | None = m.BLACK,
    tilt: float = 0.0,
    radius: float | None = None,
) -> None:
    """A lug with its cable led through the given scene points."""
    end = lug(place, spec, sleeve, tilt)
    run = [point(end, x=-0.6), point(end, x=1.2), *path]
    cable(run, radius or spec.barrel * 0.98, skin)


def battery_clamp(place: Matrix, skin: Finish = m.LEAD) -> Matrix:
    """A cast clamp round a battery post; its tail points along X. Returns where the cable leaves."""
    lathe(
        [(0.92, 0), (1.42, 0), (1.5, 0.12), (1.46, 1.25), (1.38, 1.4), (0.95, 1.4), (0.88, 1.3), (0.92, 0)],
        place,
        skin,
    )
    for y in (0.42, -0.42):
        box((1.9, 0.5, 1.2), place @ at(-2.05, y, 0.72), skin, 0.15)
    bolt = place @ at(-2.3, -1.2, 0.72, rx=-90)
    stud(bolt, 0.28, 2.6, 0.1)
    nut(place @ at(-2.3, 0.68, 0.72, rx=-90), 1.0, 0.5)
    bolt_head(place @ at(-2.3, -0.68, 0.72, rx=90), 1.0, 0.4)
    sections = [
        oval(1.2, 1.1, 0.62, 0.7, 4),
        oval(1.7, 0.95, 0.68, 0.74, 3.5),
        oval(2.2, 0.82, 0.78, 0.78, 2.4),
        oval(3.9, 0.8, 0.8, 0.8),
        oval(4.05, 0.76, 0.76, 0.8),
    ]
    loft(sections, place, skin)
    return place @ at(x=4.0, z=0.8)


# Battery -------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Posts:
    """Where the two posts stand (top of the lid)."""

    plus: Matrix
    minus: Matrix


def battery(
    place: Matrix,
    case: Finish = m.CASE,
    lid: Finish = m.CASE,
    swap: bool = False,
    size: tuple[float, float, float] = (33.0, 17.3, 19.0),
) -> Posts:
    """A flooded lead-acid battery standing on the placement, long side along X, posts near -Y."""
    length, width, height = size
    box((length, width, height), place @ at(z=height / 2), case, 0.5)
    for i in range(7):
        box(
            (0.5, width + 0.3, height * 0.72),
            place @ at(-length / 2 + length * (i + 0.5) / 7, 0, height * 0.45),
            case,
            0.12,
        )
    box((length + 0.8, width + 0.8, 1.0), place @ at(z=height - 0.3), lid, 0.25)
    box((length, width, 1.9), place @ at(z=height + 0.6), lid, 0.4)
    top = height + 1.55
    _vents(place @ at(z=top), length, lid)
    sign = -1.0 if swap else 1.0
    posts = Posts(
        place @ at(sign * (length / 2 - 3.2), -width / 2 + 3.4, top),
        place @ at(-sign * (length / 2 - 3.2), -width / 2 + 3.4, top),
    )
    for post, mark, ring, inward in ((posts.plus, "+", m.RED, -sign), (posts.minus, "−", m.BLUE, sign)):
        _post(post, ring)
        text(mark, 2.6, post @ at(inward * 3.4, -0.4, 0.02), Finish((0.55, 0.55, 0.52), 0.5), 0.05)
    return posts


def _post(place: Matrix, ring: Finish) -> None:
    lathe([(1.7, 0), (1.7, 0.25), (1.2, 0.3)], place, ring)
    lathe([(1.15, 0), (1.12, 0.4), (0.96, 0.45), (0.86, 2.0), (0.78, 2.1), (0, 2.1)], place, m.LEAD)


def _vents(place: Matrix, length: float, lid: Finish) -> None:
    """Six vent plugs in a shallow raised bar."""
    box((length * 0.84, 4.6, 0.5), place @ at(y=3.4), lid, 0.2)
    for i in range(6):
        where = place @ at(-length * 0.35 + length * 0.14 * i, 3.4, 0.25)
        lathe([(0, 0), (1.45, 0), (1.45, 0.5), (1.3, 0.62), (0, 0.62)], where, lid)
        box((1.9, 0.35, 0.25), where @ at(z=0.7, rz=17 * i), lid, 0.08)


# Switchgear ----------------------------------------------------------------------------------------

# A figure 1 with a flag and a foot; the built-in typeface draws it as a bare stroke.
DIGIT_ONE = (
    (-0.26, -0.48), (0.30, -0.48), (0.30, -0.37), (0.09, -0.37), (0.09, 0.48), (-0.03, 0.48), (-0.26, 0.26),
    (-0.19, 0.18), (-0.04, 0.31), (-0.04, -0.37), (-0.26, -0.37),
)  # fmt: skip


def rotary_switch(place: Matrix, turn: float = 0.0, body: Finish = m.BLACK, knob: Finish = m.GREY) -> None:
    """A four-position battery switch facing +Z; `turn` is the knob's angle [degrees] from OFF."""
    lathe([(0, 0), (6.4, 0), (6.6, 0.2), (6.5, 1.6), (6.1, 2.0), (4.6, 2.15), (0, 2.15)], place, body, 96)
    ink = Finish((0.78, 0.77, 0.72), 0.5, grime=0.3)
    for angle, word in ((0, "OFF"), (90, "1"), (180, "BOTH"), (270, "2")):
        a = math.radians(angle)
        spot = place @ at(5.15 * math.sin(a), 5.15 * math.cos(a), 2.12)
        if word == "1":
            plate(DIGIT_ONE, 0.02, spot @ at(z=0.02), ink, bevel=0.001)
        else:
            text(word, 1.05 if len(word) > 1 else 1.35, spot @ at(z=0.03), ink, 0.01)
        box((0.16, 0.6, 0.05), place @ at(4.15 * math.sin(a), 4.15 * math.cos(a), 2.15, rz=-angle), ink, 0.0)
    for k in range(4):
        a = math.radians(45 + 90 * k)
        hole = place @ at(5.6 * math.sin(a), 5.6 * math.cos(a), 1.99)
        lathe([(0, 0.06), (0.55, 0.06), (0.62, 0.02)], hole, m.DARK)
        screw_head(hole @ at(z=0.05), 0.46, 0.2, 20 + 70 * k, cross=True)
    _knob(place @ at(z=2.15, rz=-turn), knob)


def _knob(place: Matrix, skin: Finish) -> None:
    lathe([(0, 0), (3.7, 0), (3.75, 0.15), (3.55, 0.75), (3.3, 0.9), (0, 0.95)], place, skin, 72)
    outline = [*circle(1.2, (0, 2.25), 14, -10, 200), *circle(1.0, (0, -2.3), 14, 180, 180)]
    plate(outline, 1.7, place @ at(z=0.7), skin, bevel=0.3)
    box((0.28, 1.7, 0.06), place @ at(0, 2.35, 2.42), Finish((0.8, 0.78, 0.72), 0.5), 0.0)


def fuse_strip(place: Matrix, rating: bool = True) -> None:
    """A bolted strip fuse along X with its two slots at x = -2.1 and 2.1."""
    tab = [
        (-3.0, -0.95),
        (-1.0, -0.95),
        (-1.0, -0.8),
        (1.0, -0.8),
        (1.0, -0.95),
        (3.0, -0.95),
        (3.0, 0.95),
        (1.0, 0.95),
        (1.0, 0.8),
        (-1.0, 0.8),
        (-1.0, 0.95),
        (-3.0, 0.95),
    ]
    plate(tab, 0.2, place, m.TINNED, [circle(0.42, (-2.1, 0)), circle(0.42, (2.1, 0))])
    box((2.5, 1.8, 0.8), place @ at(z=0.1), Finish((0.62, 0.60, 0.52), 0.5, grime=0.3), 0.12)
    if rating:
        text("150", 0.9, place @ at(z=0.52), m.BLACK, 0.005)


def terminal_block(place: Matrix, ways: int, skin: Finish, pitch: float = 2.2) -> list[Matrix]:
    """A barrier strip along X: screws stand between ribs. Returns the plate of each way."""
    width = ways * pitch
    box((width + 0.5, 4.2, 1.2), place @ at(z=0.6), skin, 0.15)
    for i in range(ways + 1):
        box((0.28, 4.0, 1.3), place @ at(-width / 2 + i * pitch, 0, 1.75), skin, 0.08)
    plates = []
    for i in range(ways):
        here = place @ at(-width / 2 + (i + 0.5) * pitch, 0, 1.2)
        plate(rectangle(pitch - 0.5, 3.7, 0.1), 0.12, here, m.BRASS)
        plates.append(here @ at(z=0.12))
    return plates


def saddle_clip(place: Matrix, radius: float, skin: Finish = m.BLACK) -> None:
    """A P-clip round a bundle along X, screwed to a surface whose normal is Z; bundle axis at z = radius."""
    outer, width = radius + 0.16, 1.4
    arc = circle(outer, (0, radius), 24, -40, 260)
    inner = circle(radius, (0, radius), 24, -40, 260)[::-1]
    tail = [(-outer * 0.8, 0.16), (-outer - 2.0, 0.16), (-outer - 2.0, 0.0), (-outer * 0.6, 0.0)]
    plate([*arc, *tail, *inner[1:]], width, place @ at(x=-width / 2, ry=90, rx=0) @ at(rz=90), skin)
    screw_head(place @ at(0, -outer - 1.2, 0.16), 0.42, 0.22, 50, cross=True)


# Bilge and shore -----------------------------------------------------------------------------------


def ribbed_hose(points: Path, radius: float, skin: Skin, pitch: float = 0.55) -> None:
    """Corrugated discharge hose."""
    line = smooth(points, 60)
    rings: list[list[Any]] = []
    run = 0.0
    for i, (spot, (_, u, v)) in enumerate(zip(line, frames(line), strict=True)):
        run += (spot - line[i - 1]).length if i else 0.0
        r = radius * (1 + 0.07 * math.sin(2 * math.pi * run / pitch))
        angles = [2 * math.pi * k / 36 for k in range(36)]
        rings.append([tuple(spot + r * (math.cos(a) * u + math.sin(a) * v)) for a in angles])
    loft(rings, Matrix(), skin)


def bilge_pump(place: Matrix, body: Finish = m.GREY) -> Matrix:
    """A submersible pump standing on the placement. Returns its outlet (direction X)."""
    lathe([(0, 0), (4.4, 0), (4.5, 0.3), (4.4, 3.0), (4.0, 3.2)], place, m.BLACK, 64)
    for k in range(28):
        box((0.3, 0.3, 2.0), place @ at(rz=360 / 28 * k) @ at(4.4, 0, 1.6), m.DARK, 0.0)
    lathe(
        [(3.9, 3.1), (3.9, 3.6), (3.6, 3.8), (3.5, 9.2), (3.2, 9.9), (1.6, 10.3), (0, 10.4)], place, body, 64
    )
    for k in range(10):
        box((0.35, 0.35, 5.0), place @ at(rz=36 * k) @ at(3.5, 0, 6.6), body, 0.1)
    outlet = place @ at(3.0, -2.4, 2.0, ry=90)
    lathe(
        [
            (1.5, -0.5),
            (1.5, 2.0),
            (1.2, 2.1),
            (1.35, 2.4),
            (1.2, 2.8),
            (1.35, 3.1),
            (1.2, 3.5),
            (1.0, 3.7),
            (0.9, 3.0),
        ],
        outlet,
        m.BLACK,
    )
    return place @ at(6.0, -2.4, 2.0)


def float_switch(place: Matrix, skin: Finish = m.WHITE) -> None:
    """A hinged float on a base plate, arm along X, float down."""
    box((4.0, 4.0, 0.5), place @ at(z=0.25), skin, 0.15)
    for y in (-1.6, 1.6):
        box((1.6, 0.5, 2.0), place @ at(-1.0, y, 1.4), skin, 0.15)
    lathe([(0, -1.7), (0.4, -1.7), (0.4, 1.7), (0, 1.7)], place @ at(-1.0, 0, 1.9, rx=90), m.CHROME)
    arm = place @ at(-1.0, 0, 1.9, ry=8)
    box((7.5, 2.6, 1.6), arm @ at(x=4.0), skin, 0.45)


def spanner(place: Matrix, length: float = 17.0, size: float = 1.3, skin: Finish = m.STEEL) -> None:
    """A combination spanner lying along X with its open end at +X."""
    half = length / 2
    jaw, width = size / 2, size * 1.12
    around = circle(width, count=40, start=28, sweep=304)
    mouth = [(-0.3, -jaw), (-0.55, 0.0), (-0.3, jaw)]
    plate([*around, *mouth], 0.65, place @ at(half - width, rz=15), skin, bevel=0.08)
    shank = [
        (-half + size, -0.5),
        (half - 2 * width + 0.2, -0.62),
        (half - 2 * width + 0.2, 0.62),
        (-half + size, 0.5),
    ]
    plate(shank, 0.42, place @ at(z=0.12), skin, bevel=0.12)
    hexagon = circle(size / 2, (-half, 0), 12)
    plate(circle(size * 0.98, (-half, 0)), 0.85, place @ at(z=-0.02), skin, [hexagon], 0.08)


def twist_tape(points: Path, radius: float, skin: Finish) -> None:
    """Insulating tape wound loosely: a lumpy sleeve with a spiral lap."""
    line = smooth(points, 40)
    rings: list[list[Any]] = []
    total = len(line) - 1
    for i, (spot, (_, u, v)) in enumerate(zip(line, frames(line), strict=True)):
        share = i / total
        swell = radius * (0.72 + 0.42 * math.sin(math.pi * share) ** 0.6)
        ring = []
        for k in range(40):
            a = 2 * math.pi * k / 40
            lap = 0.07 * (((share * 9 + k / 40) % 1.0) - 0.5)
            ring.append(tuple(spot + (swell + lap) * (math.cos(a) * u + math.sin(a) * v)))
        rings.append(ring)
    loft(rings, Matrix(), skin)


def scatter(seed: str, count: int, spread: tuple[float, float]) -> list[tuple[float, float, float]]:
    """Repeatable random spots: x, y and an angle."""
    rng = random.Random(seed)
    return [
        (rng.uniform(-spread[0], spread[0]), rng.uniform(-spread[1], spread[1]), rng.uniform(0, 360))
        for _ in range(count)
    ]


def stray(points: Path, skin: Finish = m.COPPER, radius: float = 0.03) -> None:
    """A single strand that escaped."""
    wires([smooth(points, 12)], radius, skin)


def bundle(points: Path, members: Sequence[tuple[float, float, float, Finish]], twist: float = 0.02) -> None:
    """Cables that run together: each member is (offset across, offset up, radius, finish)."""
    line = smooth(points, 16)
    axes = frames(line)
    for across, up, radius, skin in members:
        path, run = [], 0.0
        for i, (spot, (_, u, v)) in enumerate(zip(line, axes, strict=True)):
            run += (spot - line[i - 1]).length if i else 0.0
            c, s = math.cos(twist * run), math.sin(twist * run)
            path.append(spot + (across * c - up * s) * u + (across * s + up * c) * v)
        wires([path], radius, skin)

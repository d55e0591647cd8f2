"""Bare geometry: boxes, turned parts, plates with holes, lofts, cables and strands.

Every maker takes a placement matrix and a material and returns the object. Lengths are centimetres.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from typing import Any

import bmesh
import bpy
from materials import Finish, Point, surface
from mathutils import Euler, Matrix, Vector

Skin = Finish | Any
Path = Sequence[Point | Vector]


def at(
    x: float = 0.0, y: float = 0.0, z: float = 0.0, rx: float = 0.0, ry: float = 0.0, rz: float = 0.0
) -> Matrix:
    """A placement: turn by the three angles [degrees], then move."""
    turn = Euler((math.radians(rx), math.radians(ry), math.radians(rz))).to_matrix().to_4x4()
    return Matrix.Translation((x, y, z)) @ turn


def aim(origin: Path | Point | Vector, direction: Point | Vector, spin: float = 0.0) -> Matrix:
    """A placement at `origin` whose Z axis points along `direction`."""
    turn = Vector(direction).to_track_quat("Z", "Y").to_matrix().to_4x4()
    return Matrix.Translation(Vector(origin)) @ turn @ Matrix.Rotation(math.radians(spin), 4, "Z")


def _finish(obj: Any, place: Matrix, skin: Skin) -> Any:
    bpy.context.scene.collection.objects.link(obj)
    obj.matrix_world = place
    obj.data.materials.append(surface(skin) if isinstance(skin, Finish) else skin)
    return obj


def from_bmesh(mesh: Any, place: Matrix, skin: Skin, smooth: float = 35.0) -> Any:
    """Turn an edited mesh into an object, smooth except at edges sharper than `smooth` degrees."""
    data = bpy.data.meshes.new("part")
    bmesh.ops.recalc_face_normals(mesh, faces=mesh.faces)
    mesh.to_mesh(data)
    mesh.free()
    data.shade_smooth()
    data.set_sharp_from_angle(angle=math.radians(smooth))
    return _finish(bpy.data.objects.new("part", data), place, skin)


def _round_edges(mesh: Any, width: float, segments: int = 3) -> None:
    edges = [e for e in mesh.edges if len(e.link_faces) == 2 and e.calc_face_angle(0.0) > 0.5]
    bmesh.ops.bevel(
        mesh, geom=edges, offset=width, segments=segments, affect="EDGES", profile=0.5, clamp_overlap=True
    )


def box(size: Point, place: Matrix, skin: Skin, bevel: float = 0.1) -> Any:
    """A block centred on the placement with rounded edges."""
    mesh = bmesh.new()
    bmesh.ops.create_cube(mesh, size=1.0, matrix=Matrix.Diagonal((*size, 1.0)))
    if bevel:
        _round_edges(mesh, bevel)
    return from_bmesh(mesh, place, skin)


def prism(sides: int, radius: float, height: float, place: Matrix, skin: Skin, bevel: float = 0.05) -> Any:
    """An upright prism standing on the placement: a hexagon for a nut, a circle for a disc."""
    mesh = bmesh.new()
    bmesh.ops.create_cone(
        mesh,
        cap_ends=True,
        segments=sides,
        radius1=radius,
        radius2=radius,
        depth=height,
        matrix=Matrix.Translation((0, 0, height / 2)),
    )
    if bevel:
        _round_edges(mesh, bevel, 2)
    return from_bmesh(mesh, place, skin, 30.0)


def lathe(
    profile: Sequence[tuple[float, float]], place: Matrix, skin: Skin, sides: int = 48, smooth: float = 35.0
) -> Any:
    """A part turned about Z from (radius, height) pairs; a radius of 0 closes the end."""
    mesh = bmesh.new()
    rings = [_ring(mesh, radius, height, sides) for radius, height in profile]
    for low, high in itertools.pairwise(rings):
        _bridge(mesh, low, high)
    return from_bmesh(mesh, place, skin, smooth)


def _ring(mesh: Any, radius: float, height: float, sides: int) -> list[Any]:
    if radius <= 0:
        return [mesh.verts.new((0, 0, height))]
    turn = 2 * math.pi / sides
    return [
        mesh.verts.new((radius * math.cos(i * turn), radius * math.sin(i * turn), height))
        for i in range(sides)
    ]


def _bridge(mesh: Any, low: list[Any], high: list[Any]) -> None:
    count = max(len(low), len(high))
    if count == 1:
        return
    for i in range(count):
        corners = [low[i % len(low)], low[(i + 1) % len(low)], high[(i + 1) % len(high)], high[i % len(high)]]
        mesh.faces.new(list(dict.fromkeys(corners)))


def loft(sections: Sequence[Sequence[Point]], place: Matrix, skin: Skin, caps: bool = True) -> Any:
    """A skin drawn over cross-sections that all have the same number of points."""
    mesh = bmesh.new()
    rings = [[mesh.verts.new(p) for p in section] for section in sections]
    for low, high in itertools.pairwise(rings):
        _bridge(mesh, low, high)
    if caps:
        mesh.faces.new(rings[0])
        mesh.faces.new(rings[-1])
    return from_bmesh(mesh, place, skin, 40.0)


def oval(
    x: float, half_width: float, half_height: float, lift: float = 0.0, power: float = 2.0, count: int = 32
) -> list[Point]:
    """A section across X: a circle at power 2, nearer a rectangle as the power grows."""
    points: list[Point] = []
    for i in range(count):
        angle = 2 * math.pi * i / count
        c, s = math.cos(angle), math.sin(angle)
        points.append(
            (
                x,
                math.copysign(abs(c) ** (2 / power), c) * half_width,
                lift + math.copysign(abs(s) ** (2 / power), s) * half_height,
            )
        )
    return points


def circle(
    radius: float,
    centre: tuple[float, float] = (0.0, 0.0),
    count: int = 48,
    start: float = 0.0,
    sweep: float = 360.0,
) -> list[tuple[float, float]]:
    """Points on a circle or, with a sweep under 360, along an arc (both ends included)."""
    steps = count if sweep >= 360 else count - 1
    angles = [math.radians(start + sweep * i / steps) for i in range(count)]
    return [(centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a)) for a in angles]


def rectangle(width: float, height: float, radius: float = 0.0) -> list[tuple[float, float]]:
    """A rectangle round the origin, with rounded corners when a radius is given."""
    if not radius:
        return [
            (-width / 2, -height / 2),
            (width / 2, -height / 2),
            (width / 2, height / 2),
            (-width / 2, height / 2),
        ]
    x, y = width / 2 - radius, height / 2 - radius
    corners = [((x, y), 0), ((-x, y), 90), ((-x, -y), 180), ((x, -y), 270)]
    return [p for centre, start in corners for p in circle(radius, centre, 8, start, 90)]


def plate(
    outline: Sequence[tuple[float, float]],
    thickness: float,
    place: Matrix,
    skin: Skin,
    holes: Sequence[Sequence[tuple[float, float]]] = (),
    bevel: float = 0.03,
) -> Any:
    """A flat plate in the XY plane, pierced, resting on the placement."""
    data = bpy.data.curves.new("plate", "CURVE")
    data.dimensions = "2D"
    data.fill_mode = "BOTH"
    data.extrude = thickness / 2 - bevel
    data.bevel_depth = bevel
    data.bevel_resolution = 2
    data.offset = -bevel
    for loop in (outline, *holes):
        _spline(data, [(x, y, 0.0) for x, y in loop], closed=True)
    return _mesh_of(data, place @ Matrix.Translation((0, 0, thickness / 2)), skin)


def _mesh_of(data: Any, place: Matrix, skin: Skin) -> Any:
    """Freeze a curve into a mesh, so that object coordinates and shading behave like any other part."""
    obj = bpy.data.objects.new("curve", data)
    mesh = bpy.data.meshes.new_from_object(obj.evaluated_get(_depsgraph(obj)))
    bpy.data.objects.remove(obj)
    mesh.materials.clear()
    mesh.shade_smooth()
    mesh.set_sharp_from_angle(angle=math.radians(35))
    return _finish(bpy.data.objects.new("part", mesh), place, skin)


def _depsgraph(obj: Any) -> Any:
    bpy.context.scene.collection.objects.link(obj)
    bpy.context.view_layer.update()
    return bpy.context.evaluated_depsgraph_get()


def _spline(data: Any, points: Path, closed: bool = False) -> None:
    spline = data.splines.new("POLY")
    spline.points.add(len(points) - 1)
    for target, point in zip(spline.points, points, strict=True):
        target.co = (*point, 1.0)
    spline.use_cyclic_u = closed
    spline.use_smooth = True


def text(words: str, size: float, place: Matrix, skin: Skin, depth: float = 0.02) -> Any:
    """Raised or printed lettering, centred."""
    data = bpy.data.curves.new("text", "FONT")
    data.body = words
    data.size = size
    data.extrude = depth
    data.align_x = "CENTER"
    data.align_y = "CENTER"
    return _finish(bpy.data.objects.new("text", data), place, skin)


def smooth(points: Path, steps: int = 10) -> list[Vector]:
    """A flowing line through the points (Catmull-Rom, centripetal enough for cables)."""
    pts = [Vector(p) for p in points]
    pts = [2 * pts[0] - pts[1], *pts, 2 * pts[-1] - pts[-2]]
    line: list[Vector] = []
    for a, b, c, d in zip(pts, pts[1:], pts[2:], pts[3:], strict=False):
        for i in range(steps):
            t = i / steps
            line.append(
                0.5
                * (2 * b + (c - a) * t + (2 * a - 5 * b + 4 * c - d) * t**2 + (3 * b - a - 3 * c + d) * t**3)
            )
    return [*line, pts[-2]]


def cable(points: Path, radius: float, skin: Skin, place: Matrix | None = None, steps: int = 10) -> Any:
    """A round cable along a flowing line."""
    return wires([smooth(points, steps) if steps else points], radius, skin, place)


def wires(paths: Sequence[Path], radius: float, skin: Skin, place: Matrix | None = None) -> Any:
    """Several round wires as one object."""
    data = bpy.data.curves.new("wires", "CURVE")
    data.dimensions = "3D"
    data.bevel_depth = radius
    data.bevel_resolution = 6 if len(paths) < 4 else 3
    data.use_fill_caps = True
    for path in paths:
        _spline(data, path)
    return _finish(bpy.data.objects.new("wires", data), place or Matrix(), skin)


def frames(line: Sequence[Vector]) -> list[tuple[Vector, Vector, Vector]]:
    """For each point of a line: the tangent and two normals carried along without twist."""
    out: list[tuple[Vector, Vector, Vector]] = []
    normal = None
    for i in range(len(line)):
        tangent = (line[min(i + 1, len(line) - 1)] - line[max(i - 1, 0)]).normalized()
        if normal is None:
            normal = tangent.orthogonal().normalized()
        normal = (normal - tangent * normal.dot(tangent)).normalized()
        out.append((tangent, normal, tangent.cross(normal)))
    return out


def strands(
    points: Path,
    bundle: float,
    strand: float,
    skin: Skin,
    twist: float = 0.5,
    place: Matrix | None = None,
    flare: Callable[[float], float] | None = None,
    layers: int = 2,
) -> Any:
    """A stranded conductor: layers of wires laid helically round the line.

    `twist` is in radians per centimetre; `flare` gives the widening of the bundle along its length (0..1).
    """
    line = smooth(points, 14)
    axes = frames(line)
    paths: list[list[Vector]] = []
    for layer in range(layers):
        radius = bundle - strand - layer * 1.8 * strand
        if radius <= strand:
            break
        count = max(3, int(2 * math.pi * radius / (2.02 * strand)))
        paths += [_helix(line, axes, radius, 2 * math.pi * k / count, twist, flare) for k in range(count)]
    return wires(paths, strand, skin, place)


def _helix(
    line: Sequence[Vector],
    axes: Sequence[tuple[Vector, Vector, Vector]],
    radius: float,
    start: float,
    twist: float,
    flare: Callable[[float], float] | None,
) -> list[Vector]:
    path, run = [], 0.0
    for i, (point, (_, u, v)) in enumerate(zip(line, axes, strict=True)):
        run += (point - line[i - 1]).length if i else 0.0
        wide = radius * (flare(i / (len(line) - 1)) if flare else 1.0)
        angle = start + twist * run
        path.append(point + wide * (math.cos(angle) * u + math.sin(angle) * v))
    return path


def ribbon(points: Path, half_width: float, half_height: float, across: Point, skin: Skin) -> Any:
    """A flat cable: an oval sheath whose broad side follows the direction `across`."""
    line = smooth(points, 14)
    sections = []
    for spot, (tangent, _, _) in zip(line, frames(line), strict=True):
        thin = tangent.cross(Vector(across)).normalized()
        wide = thin.cross(tangent)
        ring = oval(0.0, half_width, half_height, power=3.2)
        sections.append([tuple(spot + y * wide + z * thin) for _, y, z in ring])
    return loft(sections, Matrix(), skin)


def torn_tube(
    points: Path,
    radius: float,
    wall: float,
    keep: Callable[[Vector], bool],
    skin: Skin,
    around: int = 96,
    steps: int = 60,
) -> Any:
    """A tube of real thickness with the faces dropped where `keep` says no (worn insulation)."""
    line = smooth(points, steps)
    mesh = bmesh.new()
    rings = []
    for point, (_, u, v) in zip(line, frames(line), strict=True):
        angles = [2 * math.pi * i / around for i in range(around)]
        rings.append([mesh.verts.new(point + radius * (math.cos(a) * u + math.sin(a) * v)) for a in angles])
    for low, high in itertools.pairwise(rings):
        _bridge(mesh, low, high)
    gone = [f for f in mesh.faces if not keep(f.calc_center_median())]
    bmesh.ops.delete(mesh, geom=gone, context="FACES")
    obj = from_bmesh(mesh, Matrix(), skin, 60.0)
    wall_modifier = obj.modifiers.new("wall", "SOLIDIFY")
    wall_modifier.thickness = wall
    wall_modifier.offset = -1
    return obj

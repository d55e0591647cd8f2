"""Camera, lamps, walls and render settings."""

from __future__ import annotations

import math
from pathlib import Path

import bpy
import materials
from materials import Point
from mathutils import Matrix, Vector
from shapes import Skin, aim, at, box, circle, plate, rectangle

Colour = tuple[float, float, float]
TORCH: Colour = (1.0, 0.86, 0.68)
DAY: Colour = (0.72, 0.84, 1.0)


def clean() -> None:
    """Empty the scene and the material cache."""
    bpy.ops.wm.read_factory_settings(use_empty=True)
    materials.clear_cache()
    world = bpy.data.worlds.new("world")
    world.use_nodes = True
    world.node_tree.nodes["Background"].inputs[0].default_value = (0.5, 0.6, 0.75, 1.0)
    world.node_tree.nodes["Background"].inputs[1].default_value = 0.10
    bpy.context.scene.world = world


def camera(
    eye: Point,
    target: Point,
    lens: float = 35.0,
    aperture: float = 0.12,
    focus: Point | None = None,
    roll: float = 0.0,
) -> None:
    """Look from `eye` at `target`; `aperture` is the radius of the opening [cm]."""
    data = bpy.data.cameras.new("camera")
    data.lens = lens
    data.clip_start, data.clip_end = 0.5, 2000.0
    data.dof.use_dof = aperture > 0
    data.dof.focus_distance = (Vector(focus or target) - Vector(eye)).length
    if aperture:
        data.dof.aperture_fstop = lens * 1e-3 / (2 * aperture)
    obj = bpy.data.objects.new("camera", data)
    turn = (Vector(target) - Vector(eye)).to_track_quat("-Z", "Y").to_matrix().to_4x4()
    obj.matrix_world = Matrix.Translation(eye) @ turn @ Matrix.Rotation(math.radians(roll), 4, "Z")
    bpy.context.scene.collection.objects.link(obj)
    bpy.context.scene.camera = obj


def torch(
    eye: Point,
    target: Point,
    strength: float = 1.0,
    size: float = 2.0,
    angle: float = 60.0,
    colour: Colour = TORCH,
) -> None:
    """A hand lamp: a cone of warm light. Strength 1 exposes a grey surface at the target."""
    data = bpy.data.lights.new("torch", "SPOT")
    reach = (Vector(target) - Vector(eye)).length
    data.energy = strength * 40.0 * reach**2
    data.color = colour
    data.spot_size = math.radians(angle)
    data.spot_blend = 0.9
    data.shadow_soft_size = size
    _lamp(data, eye, target)


def panel_light(
    eye: Point, target: Point, strength: float = 0.4, size: float = 40.0, colour: Colour = DAY
) -> None:
    """A soft window or hatch of light."""
    data = bpy.data.lights.new("fill", "AREA")
    reach = (Vector(target) - Vector(eye)).length
    data.energy = strength * math.pi * 3.0 * reach**2
    data.size = size
    data.color = colour
    _lamp(data, eye, target)


def _lamp(data: bpy.types.Light, eye: Point, target: Point) -> None:
    obj = bpy.data.objects.new("lamp", data)
    obj.matrix_world = aim(eye, Vector(eye) - Vector(target))
    obj.visible_camera = False
    bpy.context.scene.collection.objects.link(obj)


def wall(
    y: float,
    skin: Skin,
    width: float = 200.0,
    height: float = 140.0,
    hole: tuple[float, float, float] | None = None,
    base: float = -20.0,
) -> None:
    """An upright bulkhead whose face is at `y`, with an optional round hole (x, z, radius) and dark behind."""
    centre = base + height / 2
    holes = [circle(hole[2], (hole[0], hole[1] - centre))] if hole else []
    place = at(0, y, centre, rx=90)
    plate(rectangle(width, height), 1.2, place @ at(z=-1.2), skin, holes, 0.04)
    if hole:
        box((12, 0.5, 12), at(hole[0], y + 8, hole[1]), materials.DARK, 0)


def floor(skin: Skin, z: float = 0.0, width: float = 200.0, depth: float = 160.0, y: float = 0.0) -> None:
    """A level floor or shelf whose top is at `z`."""
    box((width, depth, 2.0), at(0, y, z - 1.0), skin, 0.15)


def side(x: float, skin: Skin, depth: float = 160.0, height: float = 140.0, base: float = -20.0) -> None:
    """A wall along the line of sight whose inner face is at `x`."""
    outward = math.copysign(1.0, x)
    box((2.0, depth, height), at(x + outward, 0, base + height / 2), skin, 0.1)


def render(target: Path, size: tuple[int, int], samples: int, threads: int, exposure: float) -> None:
    """Path-trace the scene into a PNG file."""
    scene = bpy.context.scene
    scene.render.engine = "CYCLES"
    cycles = scene.cycles
    cycles.device = "CPU"
    cycles.samples = samples
    cycles.seed = 1
    cycles.use_adaptive_sampling = True
    cycles.adaptive_threshold = 0.03
    cycles.use_denoising = True
    cycles.denoiser = "OPENIMAGEDENOISE"
    cycles.max_bounces = 8
    cycles.caustics_reflective = False
    cycles.caustics_refractive = False
    cycles.sample_clamp_indirect = 6.0
    scene.render.threads_mode = "FIXED"
    scene.render.threads = threads
    scene.render.resolution_x, scene.render.resolution_y = size
    scene.render.resolution_percentage = 100
    scene.view_settings.view_transform = "AgX"
    scene.view_settings.look = "AgX - Medium High Contrast"
    scene.view_settings.exposure = exposure
    scene.render.image_settings.file_format = "PNG"
    scene.render.filepath = str(target)
    bpy.ops.render.render(write_still=True)

"""Procedural surfaces: every colour, scratch and stain is computed from noise, no image is loaded.

Lengths are centimetres, like everything in the scenes.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import bpy

Colour = tuple[float, float, float]
Point = tuple[float, float, float]


@dataclass(frozen=True)
class Stain:
    """A blot with a ragged edge round one point of the scene (scorch, rub mark, rust run)."""

    centre: Point
    radius: float
    colour: Colour
    rough: float = 0.8
    soft: float = 0.5
    ragged: float = 0.6
    scale: float = 1.5
    strength: float = 1.0
    squash: Point = (1.0, 1.0, 1.0)


@dataclass(frozen=True)
class Spots:
    """Patches of another surface scattered by noise (rust on steel, bloom on copper)."""

    colour: Colour
    cover: float = 0.4
    scale: float = 0.8
    rough: float = 0.85
    metal: float = 0.0
    edge: float = 0.12


@dataclass(frozen=True)
class Finish:
    """What a surface is made of. `scale` is in noise cells per centimetre, `bump` in centimetres."""

    colour: Colour
    rough: float = 0.42
    metal: float = 0.0
    mottle: float = 0.15
    grime: float = 0.4
    grime_colour: Colour = (0.045, 0.035, 0.025)
    bump: float = 0.004
    scale: float = 4.0
    stretch: Point = (1.0, 1.0, 1.0)
    coat: float = 0.0
    glow: float = 0.0
    spots: Spots | None = None
    stains: tuple[Stain, ...] = ()

    def stained(self, *stains: Stain) -> Finish:
        return replace(self, stains=self.stains + stains)


RED = Finish((0.50, 0.012, 0.010), 0.36)
BLACK = Finish((0.013, 0.013, 0.014), 0.40, mottle=0.3, grime_colour=(0.12, 0.10, 0.08), grime=0.25)
YELLOW = Finish((0.72, 0.46, 0.02), 0.38)
BLUE = Finish((0.02, 0.07, 0.34), 0.38)
GREEN = Finish((0.02, 0.22, 0.05), 0.38)
BROWN = Finish((0.16, 0.06, 0.025), 0.40)
ORANGE = Finish((0.68, 0.16, 0.01), 0.38)
WHITE = Finish((0.72, 0.71, 0.67), 0.36, grime=0.6)
GREY = Finish((0.34, 0.35, 0.36), 0.46, grime=0.5)
CASE = Finish((0.022, 0.023, 0.025), 0.52, bump=0.010, scale=9.0, grime_colour=(0.16, 0.14, 0.12), grime=0.3)
RUBBER = Finish((0.016, 0.015, 0.015), 0.62, bump=0.006, grime_colour=(0.10, 0.09, 0.07))
COPPER = Finish((0.80, 0.30, 0.13), 0.24, 1.0, mottle=0.35, grime=0.35)
TINNED = Finish((0.66, 0.65, 0.62), 0.30, 1.0, mottle=0.2, grime=0.45, bump=0.003)
SOLDER = Finish(
    (0.80, 0.80, 0.81), 0.2, 0.92, mottle=0.12, grime=0.2, bump=0.016, scale=4.0, stretch=(0.12, 1.6, 1.0)
)
BRASS = Finish((0.72, 0.46, 0.14), 0.26, 1.0, mottle=0.25, grime=0.5)
LEAD = Finish((0.34, 0.345, 0.36), 0.46, 0.9, mottle=0.35, grime=0.5, bump=0.012, scale=3.0)
STEEL = Finish((0.50, 0.50, 0.50), 0.30, 1.0, mottle=0.2, grime=0.5, stretch=(0.12, 3.0, 3.0), bump=0.003)
CHROME = Finish((0.62, 0.62, 0.63), 0.16, 1.0, mottle=0.15, grime=0.4, bump=0.002)
RUSTY = replace(
    STEEL,
    rough=0.42,
    bump=0.010,
    stretch=(1.0, 1.0, 1.0),
    scale=5.0,
    spots=Spots((0.19, 0.065, 0.02), 0.46, 0.45, edge=0.2),
)
GELCOAT = Finish((0.62, 0.60, 0.54), 0.34, mottle=0.10, grime=0.8, bump=0.03, scale=0.7, coat=0.2)
FLOWCOAT = Finish(
    (0.40, 0.41, 0.40),
    0.30,
    mottle=0.25,
    grime=0.9,
    bump=0.09,
    scale=0.5,
    coat=0.3,
    spots=Spots((0.13, 0.11, 0.08), 0.36, 0.16, rough=0.5, edge=0.3),
)
DARK = Finish((0.006, 0.006, 0.006), 0.9, grime=0.0, bump=0.0)

_cache: dict[Any, Any] = {}


def clear_cache() -> None:
    _cache.clear()


class _Tree:
    """A node tree under construction; `node` links sockets and sets constants by input name."""

    def __init__(self, name: str) -> None:
        self.material = bpy.data.materials.new(name)
        self.material.use_nodes = True
        self.tree = self.material.node_tree
        self.tree.nodes.clear()

    def node(self, kind: str, inputs: dict[str | int, Any] | None = None, **settings: Any) -> Any:
        node = self.tree.nodes.new(f"ShaderNode{kind}")
        for key, value in settings.items():
            setattr(node, key, value)
        for key, value in (inputs or {}).items():
            if isinstance(value, bpy.types.NodeSocket):
                self.tree.links.new(value, node.inputs[key])
            elif isinstance(value, tuple) and len(value) == 3 and node.inputs[key].type == "RGBA":
                node.inputs[key].default_value = (*value, 1.0)
            else:
                node.inputs[key].default_value = value
        return node

    def math(self, operation: str, a: Any, b: Any = 0.0, clamp: bool = False) -> Any:
        return self.node("Math", {0: a, 1: b}, operation=operation, use_clamp=clamp).outputs[0]

    def step(self, value: Any, low: Any, high: Any, to_low: float = 0.0, to_high: float = 1.0) -> Any:
        inputs = {"Value": value, "From Min": low, "From Max": high, "To Min": to_low, "To Max": to_high}
        return self.node("MapRange", inputs, interpolation_type="SMOOTHSTEP").outputs[0]

    def blend(self, share: Any, a: Any, b: Any) -> Any:
        return self.node("Mix", {0: share, 6: a, 7: b}, data_type="RGBA").outputs[2]

    def mix(self, share: Any, a: Any, b: Any) -> Any:
        return self.node("Mix", {0: share, 2: a, 3: b}, data_type="FLOAT").outputs[0]

    def noise(self, vector: Any, scale: float, detail: float = 4.0) -> Any:
        return self.node("TexNoise", {"Vector": vector, "Scale": scale, "Detail": detail}).outputs[0]

    def coordinates(self, stretch: Point) -> Any:
        """Object coordinates, shifted at random so that two equal parts do not look alike."""
        coord = self.node("TexCoord").outputs["Object"]
        shift = self.math("MULTIPLY", self.node("ObjectInfo").outputs["Random"], 40.0)
        return self.node("Mapping", {"Vector": coord, "Location": shift, "Scale": stretch}).outputs[0]

    def output(self, shader: Any) -> None:
        self.node("OutputMaterial", {"Surface": shader})


@dataclass
class _Layers:
    colour: Any
    rough: Any
    metal: Any


def _add_spots(tree: _Tree, layers: _Layers, spots: Spots, vector: Any) -> None:
    field = tree.noise(vector, spots.scale, 8.0)
    level = 0.70 - 0.4 * spots.cover
    share = tree.step(field, level - spots.edge / 2, level + spots.edge / 2)
    grain = tree.noise(vector, spots.scale * 9, 5.0)
    dark = tuple(c * 0.45 for c in spots.colour)
    layers.colour = tree.blend(share, layers.colour, tree.blend(grain, dark, spots.colour))
    layers.rough = tree.mix(share, layers.rough, spots.rough)
    layers.metal = tree.mix(share, layers.metal, spots.metal)


def _add_stain(tree: _Tree, layers: _Layers, stain: Stain) -> None:
    position = tree.node("NewGeometry").outputs["Position"]
    offset = tree.node("VectorMath", {0: position, 1: stain.centre}, operation="SUBTRACT").outputs[0]
    squashed = tree.node("VectorMath", {0: offset, 1: stain.squash}, operation="MULTIPLY").outputs[0]
    length = tree.node("VectorMath", {0: squashed}, operation="LENGTH").outputs["Value"]
    wander = tree.math(
        "MULTIPLY",
        tree.math("SUBTRACT", tree.noise(position, stain.scale, 6.0), 0.5),
        2.0 * stain.ragged * stain.radius,
    )
    reach = tree.math("ADD", length, wander)
    share = tree.step(reach, stain.radius * (1 - stain.soft), stain.radius, stain.strength, 0.0)
    layers.colour = tree.blend(share, layers.colour, stain.colour)
    layers.rough = tree.mix(share, layers.rough, stain.rough)
    layers.metal = tree.mix(share, layers.metal, 0.0)


def _add_grime(tree: _Tree, layers: _Layers, finish: Finish, vector: Any) -> None:
    """Dirt where the surface is enclosed, broken up by noise, and a thin film of dust everywhere."""
    open_sky = tree.node("AmbientOcclusion", {"Distance": 0.9}, samples=4).outputs["AO"]
    corner = tree.step(open_sky, 0.35, 0.95, 1.0, 0.0)
    patch = tree.step(tree.noise(vector, 0.7, 6.0), 0.35, 0.75)
    film = tree.math("MULTIPLY", patch, 0.30 * finish.grime)
    share = tree.math("ADD", tree.math("MULTIPLY", corner, finish.grime), film, clamp=True)
    layers.colour = tree.blend(share, layers.colour, finish.grime_colour)
    layers.rough = tree.mix(share, layers.rough, 0.8)
    layers.metal = tree.mix(share, layers.metal, 0.0)


def _base(tree: _Tree, finish: Finish, vector: Any) -> _Layers:
    broad = tree.noise(vector, finish.scale * 0.25, 5.0)
    lighter = tuple(min(1.0, c * (1 + finish.mottle)) for c in finish.colour)
    darker = tuple(c * (1 - finish.mottle) for c in finish.colour)
    share = tree.step(broad, 0.3, 0.7)
    rough = tree.step(
        tree.noise(vector, finish.scale * 0.6, 6.0),
        0.25,
        0.75,
        finish.rough * 0.75,
        min(1.0, finish.rough * 1.3),
    )
    return _Layers(tree.blend(share, darker, lighter), rough, finish.metal)


def _bump(tree: _Tree, finish: Finish, vector: Any) -> Any:
    height = tree.noise(vector, finish.scale, 6.0)
    return tree.node("Bump", {"Height": height, "Distance": finish.bump * 4, "Strength": 0.6}).outputs[0]


def surface(finish: Finish) -> Any:
    """The material of a finish, made once per scene."""
    if finish in _cache:
        return _cache[finish]
    tree = _Tree("surface")
    vector = tree.coordinates(finish.stretch)
    layers = _base(tree, finish, vector)
    if finish.spots:
        _add_spots(tree, layers, finish.spots, vector)
    if finish.grime:
        _add_grime(tree, layers, finish, vector)
    for stain in finish.stains:
        _add_stain(tree, layers, stain)
    inputs = {
        "Base Color": layers.colour,
        "Roughness": layers.rough,
        "Metallic": layers.metal,
        "Coat Weight": finish.coat,
        "Coat Roughness": 0.2,
    }
    if finish.bump:
        inputs["Normal"] = _bump(tree, finish, vector)
    if finish.glow:
        inputs |= {"Emission Color": finish.colour, "Emission Strength": finish.glow}
    tree.output(tree.node("BsdfPrincipled", inputs).outputs[0])
    _cache[finish] = tree.material
    return tree.material


def plywood(stain: Colour = (0.36, 0.19, 0.08), stains: tuple[Stain, ...] = ()) -> Any:
    """Varnished marine plywood: long figure in X, darker pores, handling marks."""
    tree = _Tree("plywood")
    vector = tree.coordinates((0.05, 1.0, 1.0))
    rings = tree.node(
        "TexWave",
        {"Vector": vector, "Scale": 0.55, "Distortion": 7.0, "Detail": 3.0, "Detail Scale": 0.6},
        bands_direction="Z",
    ).outputs[1]
    pores = tree.step(tree.noise(tree.coordinates((0.25, 6.0, 6.0)), 3.0, 3.0), 0.40, 0.62, 1.0, 0.0)
    dark = tuple(c * 0.55 for c in stain)
    colour = tree.blend(tree.step(rings, 0.1, 0.9), dark, stain)
    colour = tree.blend(tree.math("MULTIPLY", pores, 0.45), colour, tuple(c * 0.3 for c in stain))
    layers = _Layers(colour, tree.step(tree.noise(vector, 1.2, 6.0), 0.3, 0.7, 0.28, 0.5), 0.0)
    _add_grime(tree, layers, Finish(stain, grime=0.6), tree.coordinates((1.0, 1.0, 1.0)))
    for blot in stains:
        _add_stain(tree, layers, blot)
    bump = tree.node("Bump", {"Height": pores, "Distance": -0.02, "Strength": 0.25}).outputs[0]
    inputs = {
        "Base Color": layers.colour,
        "Roughness": layers.rough,
        "Normal": bump,
        "Coat Weight": 0.35,
        "Coat Roughness": 0.22,
    }
    tree.output(tree.node("BsdfPrincipled", inputs).outputs[0])
    return tree.material


def film(tint: Colour = (0.97, 0.98, 0.97)) -> Any:
    """Thin clear plastic sheet: it reflects at a slant and lets everything else through unbent."""
    tree = _Tree("film")
    facing = tree.node("LayerWeight", {"Blend": 0.25}).outputs["Fresnel"]
    shine = tree.node("BsdfGlossy", {"Color": (0.9, 0.9, 0.9), "Roughness": 0.06}).outputs[0]
    through = tree.node("BsdfTransparent", {"Color": tint}).outputs[0]
    share = tree.math("MULTIPLY", facing, 0.3)
    tree.output(tree.node("MixShader", {0: share, 1: through, 2: shine}).outputs[0])
    return tree.material


def clear(
    tint: Colour = (0.96, 0.97, 0.96), ior: float = 1.45, rough: float = 0.04, ripple: float = 0.0
) -> Any:
    """Clear plastic, glass or water. Shadow rays go straight through, so what lies below stays lit."""
    tree = _Tree("clear")
    vector = tree.coordinates((1.0, 1.0, 1.0))
    scuff = tree.step(tree.noise(vector, 1.1, 7.0), 0.45, 0.75, rough, rough + 0.10)
    inputs: dict[str | int, Any] = {
        "Base Color": tint,
        "Roughness": scuff,
        "IOR": ior,
        "Transmission Weight": 1.0,
    }
    if ripple:
        height = tree.noise(vector, 0.35, 2.0)
        inputs["Normal"] = tree.node("Bump", {"Height": height, "Distance": ripple, "Strength": 0.7}).outputs[
            0
        ]
    glass = tree.node("BsdfPrincipled", inputs).outputs[0]
    through = tree.node("BsdfTransparent", {"Color": tint}).outputs[0]
    shadow = tree.node("LightPath").outputs["Is Shadow Ray"]
    tree.output(tree.node("MixShader", {0: shadow, 1: glass, 2: through}).outputs[0])
    return tree.material

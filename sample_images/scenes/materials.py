"""Surface materials for the path tracer: colour from random tones, noise and relief."""

from __future__ import annotations

from dataclasses import dataclass

import bpy

Socket = bpy.types.NodeSocket
Value = Socket | float | tuple[float, ...]
Colour = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Finish:
    """How a material looks.

    Attributes
    ----------
    low, high : tuple of float
        Linear colours between which the tone of each piece chooses.
    rough : float
        Roughness.
    grain_mm : float
        Size of the fine speckle.
    grain : float
        Depth of the speckle, 0 to 1.
    stain : float
        Depth of metre-wide weathering, 0 to 1.
    bump_mm : float
        Height of the relief.
    sheen : float
        Strength of the specular reflection, 0 to 1.
    through : float
        Share of the light that passes (leaves).
    """

    low: Colour
    high: Colour
    rough: float = 0.85
    grain_mm: float = 6.0
    grain: float = 0.25
    stain: float = 0.15
    bump_mm: float = 0.0
    sheen: float = 0.3
    through: float = 0.0


FINISHES = {
    "brick": Finish(
        low=(0.150, 0.064, 0.046),
        high=(0.335, 0.148, 0.092),
        grain_mm=8.0,
        grain=0.48,
        stain=0.22,
        bump_mm=1.2,
    ),
    "mortar": Finish(
        low=(0.40, 0.36, 0.30),
        high=(0.50, 0.45, 0.38),
        grain_mm=12.0,
        grain=0.35,
        stain=0.3,
        bump_mm=2.0,
    ),
    "tile": Finish(
        low=(0.075, 0.060, 0.052),
        high=(0.150, 0.105, 0.085),
        grain_mm=14.0,
        grain=0.45,
        stain=0.4,
        bump_mm=0.8,
    ),
    "ridge": Finish(
        low=(0.085, 0.066, 0.056), high=(0.140, 0.10, 0.082), grain=0.4, stain=0.35
    ),
    "upvc": Finish(
        low=(0.74, 0.745, 0.74),
        high=(0.78, 0.785, 0.78),
        rough=0.28,
        grain=0.02,
        grain_mm=60.0,
        stain=0.10,
        sheen=0.5,
    ),
    "gutter": Finish(
        low=(0.012, 0.012, 0.013),
        high=(0.018, 0.018, 0.02),
        rough=0.32,
        grain=0.1,
        stain=0.4,
        sheen=0.5,
    ),
    "stone": Finish(
        low=(0.42, 0.39, 0.33),
        high=(0.46, 0.43, 0.37),
        grain=0.3,
        stain=0.3,
        bump_mm=0.6,
    ),
    "slab": Finish(
        low=(0.25, 0.235, 0.21),
        high=(0.37, 0.35, 0.315),
        grain=0.35,
        stain=0.4,
        bump_mm=1.0,
    ),
    "earth": Finish(
        low=(0.045, 0.06, 0.022),
        high=(0.06, 0.08, 0.03),
        grain_mm=45.0,
        grain=0.6,
        stain=0.4,
        bump_mm=12.0,
        sheen=0.0,
    ),
    "grass": Finish(
        low=(0.055, 0.105, 0.018),
        high=(0.16, 0.22, 0.05),
        rough=0.6,
        grain=0.0,
        stain=0.3,
        through=0.3,
    ),
    "leaf": Finish(
        low=(0.035, 0.075, 0.016),
        high=(0.105, 0.165, 0.04),
        rough=0.5,
        stain=0.2,
        through=0.3,
    ),
    "hedge": Finish(
        low=(0.025, 0.06, 0.014),
        high=(0.08, 0.14, 0.035),
        rough=0.45,
        stain=0.2,
        through=0.2,
    ),
    "hedgecore": Finish(low=(0.01, 0.015, 0.006), high=(0.01, 0.015, 0.006)),
    "lead": Finish(
        low=(0.16, 0.165, 0.175), high=(0.16, 0.165, 0.175), rough=0.55, stain=0.3
    ),
    "pot": Finish(low=(0.30, 0.125, 0.07), high=(0.34, 0.15, 0.085), grain=0.3, stain=0.3),
    "bark": Finish(low=(0.07, 0.055, 0.04), high=(0.09, 0.07, 0.05), grain=0.5),
    "fence": Finish(
        low=(0.19, 0.105, 0.05), high=(0.30, 0.18, 0.095), grain=0.3, stain=0.35
    ),
    "door": Finish(
        low=(0.012, 0.052, 0.040),
        high=(0.012, 0.052, 0.040),
        rough=0.3,
        grain=0.03,
        sheen=0.5,
    ),
    "curtain": Finish(low=(0.45, 0.41, 0.36), high=(0.62, 0.58, 0.52), rough=0.95),
    "plaster": Finish(low=(0.42, 0.40, 0.36), high=(0.46, 0.44, 0.40), rough=0.95),
    "dark": Finish(low=(0.02, 0.02, 0.02), high=(0.025, 0.025, 0.025), grain=0.1),
}


class Nodes:
    """A node tree with short ways to add and join nodes."""

    def __init__(self, tree: bpy.types.NodeTree) -> None:
        self.tree = tree
        tree.nodes.clear()

    def add(self, kind: str, **settings: object) -> bpy.types.Node:
        """Add a node; settings are its properties."""
        node = self.tree.nodes.new(kind)
        for key, value in settings.items():
            setattr(node, key, value)
        return node

    def set(self, socket: Socket, value: Value) -> None:
        """Join an output to a socket, or give the socket a value."""
        if hasattr(value, "is_output"):
            self.tree.links.new(value, socket)
        else:
            socket.default_value = value

    def maths(self, operation: str, a: Value, b: Value) -> Socket:
        """Return the result of an operation on two values."""
        node = self.add("ShaderNodeMath", operation=operation)
        self.set(node.inputs[0], a)
        self.set(node.inputs[1], b)
        return node.outputs[0]

    def noise(self, where: Socket, size_m: float, detail: float = 4.0) -> Socket:
        """Return a noise value of about 0 to 1 with mean 0.5."""
        node = self.add("ShaderNodeTexNoise")
        self.set(node.inputs["Vector"], where)
        node.inputs["Scale"].default_value = 1.0 / size_m
        node.inputs["Detail"].default_value = detail
        return node.outputs[0]

    def mix(self, share: Value, a: Value, b: Value) -> Socket:
        """Return the mixture of two colours."""
        node = self.add("ShaderNodeMix", data_type="RGBA")
        self.set(node.inputs[0], share)
        self.set(node.inputs[6], a)
        self.set(node.inputs[7], b)
        return node.outputs[2]

    def scale(self, colour: Socket, factor: Value) -> Socket:
        """Return a colour times a number."""
        node = self.add("ShaderNodeVectorMath", operation="SCALE")
        self.set(node.inputs[0], colour)
        self.set(node.inputs["Scale"], factor)
        return node.outputs[0]


def _colour(nodes: Nodes, finish: Finish, where: Socket) -> Socket:
    """Mix the two colours by the piece's tone; darken by speckle and weathering."""
    tone = nodes.add("ShaderNodeAttribute", attribute_name="tone")
    split = nodes.add("ShaderNodeSeparateColor")
    nodes.set(split.inputs[0], tone.outputs["Color"])
    base = nodes.mix(split.outputs[0], (*finish.low, 1.0), (*finish.high, 1.0))
    # A second tone moves each piece's brightness by +-15 %.
    bright = nodes.maths("MULTIPLY_ADD", split.outputs[1], 0.30)
    bright.node.inputs[2].default_value = 0.85
    factor = bright if finish.low != finish.high else 1.0
    fine_m = finish.grain_mm / 1000.0
    layers = (fine_m, finish.grain), (9.0 * fine_m, finish.grain), (1.7, finish.stain)
    for size, depth in layers:
        if depth > 0.0:
            speckle = nodes.maths("SUBTRACT", nodes.noise(where, size), 0.5)
            deep = nodes.maths("MULTIPLY", speckle, 2.2 * depth)
            factor = nodes.maths("MULTIPLY", factor, nodes.maths("ADD", deep, 1.0))
    return nodes.scale(base, factor)


def _surface(name: str, finish: Finish) -> bpy.types.Material:
    """Build one opaque or leafy material."""
    material = bpy.data.materials.new(name)
    material.use_nodes = True
    nodes = Nodes(material.node_tree)
    where = nodes.add("ShaderNodeNewGeometry").outputs["Position"]
    shader = nodes.add("ShaderNodeBsdfPrincipled")
    colour = _colour(nodes, finish, where)
    nodes.set(shader.inputs["Base Color"], colour)
    shader.inputs["Roughness"].default_value = finish.rough
    shader.inputs["Specular IOR Level"].default_value = finish.sheen
    if finish.bump_mm > 0.0:
        bump = nodes.add("ShaderNodeBump")
        bump.inputs["Distance"].default_value = finish.bump_mm / 1000.0
        height = nodes.noise(where, finish.grain_mm / 1000.0, 6.0)
        nodes.set(bump.inputs["Height"], height)
        nodes.set(shader.inputs["Normal"], bump.outputs[0])
    result = shader.outputs[0]
    if finish.through > 0.0:
        back = nodes.add("ShaderNodeBsdfTranslucent")
        nodes.set(back.inputs["Color"], colour)
        both = nodes.add("ShaderNodeMixShader")
        both.inputs[0].default_value = finish.through
        nodes.set(both.inputs[1], result)
        nodes.set(both.inputs[2], back.outputs[0])
        result = both.outputs[0]
    out = nodes.add("ShaderNodeOutputMaterial")
    nodes.set(out.inputs["Surface"], result)
    return material


def _glass() -> bpy.types.Material:
    """Build thin window glass: clear, with Fresnel reflection of two surfaces."""
    material = bpy.data.materials.new("glass")
    material.use_nodes = True
    nodes = Nodes(material.node_tree)
    fresnel = nodes.add("ShaderNodeFresnel")
    fresnel.inputs["IOR"].default_value = 1.5
    # A sealed unit has four surfaces: nearly four times one surface's reflection.
    share = nodes.maths("MULTIPLY", fresnel.outputs[0], 3.2)
    share.node.use_clamp = True
    clear = nodes.add("ShaderNodeBsdfTransparent")
    clear.inputs[0].default_value = (0.80, 0.84, 0.83, 1.0)
    gloss = nodes.add("ShaderNodeBsdfGlossy")
    gloss.inputs["Roughness"].default_value = 0.0
    both = nodes.add("ShaderNodeMixShader")
    nodes.set(both.inputs[0], share)
    nodes.set(both.inputs[1], clear.outputs[0])
    nodes.set(both.inputs[2], gloss.outputs[0])
    out = nodes.add("ShaderNodeOutputMaterial")
    nodes.set(out.inputs["Surface"], both.outputs[0])
    return material


def _metal() -> bpy.types.Material:
    """Build the polished furniture of the door."""
    material = bpy.data.materials.new("metal")
    material.use_nodes = True
    nodes = Nodes(material.node_tree)
    shader = nodes.add("ShaderNodeBsdfPrincipled")
    shader.inputs["Base Color"].default_value = (0.6, 0.6, 0.58, 1.0)
    shader.inputs["Metallic"].default_value = 1.0
    shader.inputs["Roughness"].default_value = 0.25
    out = nodes.add("ShaderNodeOutputMaterial")
    nodes.set(out.inputs["Surface"], shader.outputs[0])
    return material


def build_materials() -> dict[str, bpy.types.Material]:
    """Build every material by name."""
    table = {name: _surface(name, finish) for name, finish in FINISHES.items()}
    return {**table, "glass": _glass(), "metal": _metal()}

"""Puts the scene into the path tracer and renders wide pinhole pictures of it."""

from __future__ import annotations

import math
import os
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

import bpy
import numpy as np
from mathutils import Matrix, Vector

from sample_images.scenes import (
    brickwork,
    chimney,
    garden,
    joinery,
    materials,
    roof,
)
from sample_images.scenes.meshes import Part, merge, moved
from sample_images.scenes.views import FRONT, GABLE, View

if TYPE_CHECKING:
    from sample_images.scenes.house import FloatArray

# House frame to the renderer's frame (z up, metres).
RENDER_FROM_HOUSE = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 1.0, 0.0]]) / 1e3
MARGIN = 0.025  # of the width, kept on each side for the lens re-sampling
SUN_AZIMUTH_RAD = math.radians(38.0)  # from the front wall's normal to its right
SUN_HEIGHT_RAD = math.radians(37.0)
SKY_SCALE = 0.16  # physical radiance to a scene whose white is about 1
VISIBLE_TOLERANCE_MM = 14.0  # joints are recessed and faces jittered by less


def scene_parts() -> list[Part]:
    """Build the whole scene in the house frame."""
    parts = []
    for wall, place in ((brickwork.FRONT, FRONT), (brickwork.GABLE, GABLE)):
        built = brickwork.build_wall(wall)
        if wall.gabled:
            built += joinery.build_gable_joinery()
        parts += moved(built, place.rotation_house_from_wall, np.array(place.origin_mm))
    parts += roof.build_roof() + chimney.build_chimney()
    parts += joinery.build_joinery() + garden.build_garden()
    return merge(parts)


def _add_mesh(item: Part, material: bpy.types.Material) -> None:
    """Add one part as an object with its tones as a colour attribute."""
    mesh = bpy.data.meshes.new(item.material)
    points = item.vertices @ RENDER_FROM_HOUSE.T
    mesh.vertices.add(len(points))
    mesh.vertices.foreach_set("co", points.astype(np.float32).ravel())
    count = len(item.quads)
    mesh.loops.add(4 * count)
    mesh.loops.foreach_set("vertex_index", item.quads.astype(np.int32).ravel())
    mesh.polygons.add(count)
    mesh.polygons.foreach_set("loop_start", np.arange(0, 4 * count, 4, dtype=np.int32))
    mesh.update(calc_edges=True)
    mesh.shade_flat()
    tone = mesh.attributes.new("tone", "FLOAT_COLOR", "POINT")
    rgba = np.column_stack([item.tone, np.ones(len(points))])
    tone.data.foreach_set("color", rgba.astype(np.float32).ravel())
    mesh.materials.append(material)
    thing = bpy.data.objects.new(item.material, mesh)
    bpy.context.scene.collection.objects.link(thing)


def _sky() -> None:
    """Light the scene with a clear sky that has some fair-weather cloud, and a sun."""
    world = bpy.data.worlds.new("sky")
    world.use_nodes = True
    bpy.context.scene.world = world
    nodes = materials.Nodes(world.node_tree)
    sky = nodes.add("ShaderNodeTexSky", sky_type="SINGLE_SCATTERING", sun_disc=False)
    sky.sun_elevation = SUN_HEIGHT_RAD
    sky.sun_rotation = math.pi - SUN_AZIMUTH_RAD
    where = nodes.add("ShaderNodeTexCoord").outputs["Generated"]
    stretch = nodes.add("ShaderNodeMapping")
    nodes.set(stretch.inputs["Vector"], where)
    stretch.inputs["Scale"].default_value = (1.0, 1.0, 2.6)
    cloud = nodes.noise(stretch.outputs[0], 0.34, 7.0)
    ramp = nodes.add("ShaderNodeMapRange", clamp=True)
    nodes.set(ramp.inputs["Value"], cloud)
    for socket, value in (("From Min", 0.50), ("From Max", 0.72), ("To Max", 0.75)):
        ramp.inputs[socket].default_value = value
    white = (1.10, 1.12, 1.17, 1.0)
    colour = nodes.mix(ramp.outputs[0], nodes.scale(sky.outputs[0], SKY_SCALE), white)
    light = nodes.add("ShaderNodeBackground")
    nodes.set(light.inputs["Color"], colour)
    out = nodes.add("ShaderNodeOutputWorld")
    nodes.set(out.inputs["Surface"], light.outputs[0])


def _sun() -> None:
    """Add the sun as a lamp of half a degree."""
    lamp = bpy.data.lights.new("sun", "SUN")
    lamp.angle = math.radians(0.6)
    lamp.energy = 6.5
    lamp.color = (1.0, 0.93, 0.83)
    thing = bpy.data.objects.new("sun", lamp)
    across = math.cos(SUN_HEIGHT_RAD)
    toward = Vector(
        (
            math.sin(SUN_AZIMUTH_RAD) * across,
            -math.cos(SUN_AZIMUTH_RAD) * across,
            math.sin(SUN_HEIGHT_RAD),
        )
    )
    thing.rotation_euler = toward.to_track_quat("Z", "Y").to_euler()
    bpy.context.scene.collection.objects.link(thing)


def build_scene() -> None:
    """Replace whatever the renderer holds by the invented house."""
    bpy.ops.wm.read_factory_settings(use_empty=True)
    table = materials.build_materials()
    for item in scene_parts():
        _add_mesh(item, table[item.material])
    _sky()
    _sun()


def wide_size_px(view: View, scale: float) -> tuple[tuple[int, int], float]:
    """Return the size and focal length of the pinhole picture for a view."""
    camera = view.camera.scaled(view.sensor_scale * scale)
    width, height = camera.size_px
    margin = math.ceil(MARGIN * width)
    return (width + 2 * margin, height + 2 * margin), camera.focal_px


def _place_camera(view: View, scale: float) -> None:
    """Set the renderer's camera to the view's pose, principal point in the middle."""
    (width, height), focal = wide_size_px(view, scale)
    data = bpy.data.cameras.new(view.name)
    data.sensor_fit = "HORIZONTAL"
    data.sensor_width = 36.0
    data.lens = 36.0 * focal / width
    data.clip_end = 500.0
    thing = bpy.data.objects.new(view.name, data)
    bpy.context.scene.collection.objects.link(thing)
    pose = view.camera.pose
    turn = RENDER_FROM_HOUSE * 1e3 @ view.elevation.rotation_house_from_wall
    # The renderer's camera looks along -z with y up.
    axes = turn @ pose.rotation_world_from_camera @ np.diag([1.0, -1.0, -1.0])
    where = view.elevation.to_house(np.array([pose.position_mm]))[0]
    matrix = np.eye(4)
    matrix[:3, :3] = axes
    matrix[:3, 3] = RENDER_FROM_HOUSE @ where
    thing.matrix_world = Matrix(matrix.tolist())
    scene = bpy.context.scene
    scene.camera = thing
    scene.render.resolution_x, scene.render.resolution_y = width, height


def _settings(samples: int) -> None:
    """Choose a quick, denoised path tracer on the processor."""
    scene = bpy.context.scene
    scene.render.engine = "CYCLES"
    scene.render.resolution_percentage = 100
    scene.render.image_settings.file_format = "OPEN_EXR"
    scene.render.image_settings.color_depth = "16"
    scene.render.threads_mode = "FIXED"
    scene.render.threads = os.cpu_count() or 2
    cycles = scene.cycles
    cycles.device = "CPU"
    cycles.samples = samples
    cycles.use_adaptive_sampling = True
    cycles.adaptive_threshold = 0.03
    cycles.use_denoising = True
    cycles.denoiser = "OPENIMAGEDENOISE"
    cycles.denoising_input_passes = "RGB_ALBEDO_NORMAL"
    cycles.max_bounces = 4
    cycles.diffuse_bounces = 3
    cycles.glossy_bounces = 2
    cycles.transmission_bounces = 2
    cycles.transparent_max_bounces = 8
    cycles.caustics_reflective = False
    cycles.caustics_refractive = False
    cycles.sample_clamp_indirect = 6.0


def render(view: View, scale: float, samples: int) -> FloatArray:
    """Render one view through a pinhole and return linear light, (H, W, 3) float32."""
    _settings(samples)
    _place_camera(view, scale)
    with tempfile.TemporaryDirectory() as folder:
        target = Path(folder) / "wide.exr"
        bpy.context.scene.render.filepath = str(target)
        bpy.ops.render.render(write_still=True)
        picture = bpy.data.images.load(str(target))
        picture.colorspace_settings.name = "Non-Color"
        width, height = picture.size
        flat = np.empty(width * height * 4, dtype=np.float32)
        picture.pixels.foreach_get(flat)
        bpy.data.images.remove(picture)
    # The renderer's rows run upwards.
    return flat.reshape(height, width, 4)[::-1, :, :3].copy()


def visible(view: View, wall_mm: FloatArray) -> list[bool]:
    """Tell for each (N, 3) wall-frame point whether the camera sees it."""
    graph = bpy.context.evaluated_depsgraph_get()
    eye = view.elevation.to_house(np.array([view.camera.pose.position_mm]))[0]
    answers = []
    for point in view.elevation.to_house(wall_mm):
        ray = RENDER_FROM_HOUSE @ (point - eye)
        length = float(np.linalg.norm(ray))
        origin = Vector(RENDER_FROM_HOUSE @ eye)
        limit = length - VISIBLE_TOLERANCE_MM / 1e3
        hit = bpy.context.scene.ray_cast(
            graph, origin, Vector(ray / length), distance=limit
        )
        answers.append(not hit[0])
    return answers

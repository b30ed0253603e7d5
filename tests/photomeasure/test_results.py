"""Soffits, gables, several photos, totals and advice, on scenes with known truth."""

import copy

import numpy as np
import pytest

from photomeasure.job.schema import Role
from photomeasure.results import MeasuredElevation, MeasuredLine
from tests.scenes import House, Noise, Scene, new_scene
from tests.simulation.houses import door, grid_points, level_and_plumb, tape, up_courses
from tests.simulation.runs import measure

HOUSE = House(left=-2600.0, right=2600.0, ground=-1500.0, eaves=2600.0)


def front_scene(noise=None, *, name="front", seed=3, yaw=0.15) -> Scene:
    """Return an upright view of :data:`HOUSE` from 8 m."""
    from dataclasses import replace

    from calibration.camera import rotation_looking

    errors = np.random.default_rng(seed + 1)
    scene = new_scene(np.random.default_rng(seed), errors, noise or Noise.none())
    scene.size_px = (4032, 3024)
    scene.document["camera"] = {
        "size_px": [4032, 3024],
        "focal_px": 3028.0,
        "focal_sd_px": 90.0,
    }
    scene.camera = replace(
        scene.camera,
        focal_px=3028.0,
        centre_px=np.array([2015.5, 1511.5]),
        k1=0.0,
        k2=0.0,
        standoff_mm=8000.0,
        R_wall_from_camera=rotation_looking(yaw, 0.06, 0.01),
    )
    scene.document["name"] = name
    return scene


def measured(scene: Scene) -> MeasuredElevation:
    """Measure a scene alone."""
    entry = measure(scene.job()).elevations[0]
    assert isinstance(entry, MeasuredElevation), entry
    return entry


def line_of(entry: MeasuredElevation, name: str) -> MeasuredLine:
    """Return one measured line."""
    return next(line for line in entry.measured if line.name == name)


def test_a_wall_plane_reading_of_an_overhanging_eaves_is_4_percent_long():
    """300 mm in front of the wall at 8 m is d / (D - d) = 3.9 %, and is corrected."""
    scene = front_scene()
    grid_points(scene, HOUSE)
    eaves = [[-2500.0, 2600.0], [2500.0, 2600.0]]
    scene.line("eaves", "eaves", eaves, projection=300.0)
    wrong = copy.deepcopy(scene)
    wrong.document["lines"][0] |= {"projection_mm": 0.0}

    assert line_of(measured(scene), "eaves").length_mm == pytest.approx(5000.0, abs=0.01)
    long = line_of(measured(wrong), "eaves").length_mm / 5000.0 - 1.0
    assert long == pytest.approx(300.0 / (8000.0 - 300.0), rel=1e-4)


def test_traced_soffit_shows_overhang_and_height_above_ground():
    """Two traced edges give the overhang; a ground pick gives the height."""
    scene = front_scene()
    grid_points(scene, HOUSE)
    scene.soffit("soffit", (-2500.0, 2500.0), 2600.0, 290.0, [])
    foot = scene.camera.project(np.array([[500.0, HOUSE.ground, 0.0]]))[0]
    scene.document["soffits"][0]["ground"] = foot.tolist()
    soffit = measured(scene).soffits[0]

    # The usual overhang of 250 +- 250 mm pulls by a share of (u / 250)^2.
    assert soffit.overhang.values[0] == pytest.approx(290.0, abs=0.5)
    assert soffit.height.values[0] == pytest.approx(4100.0, abs=0.5)
    assert soffit.height_above == "ground"
    assert 3.0 < soffit.overhang.u[0] < 30.0


def test_line_at_a_soffit_takes_its_projection_from_it():
    """The eaves hangs where the soffit ends, with the soffit's uncertainty."""
    scene = front_scene()
    grid_points(scene, HOUSE)
    scene.soffit("soffit", (-2500.0, 2500.0), 2600.0, 290.0, ["eaves"])
    eaves = [[-2500.0, 2600.0], [2500.0, 2600.0]]
    scene.line("eaves", "eaves", eaves, soffit_mm=290.0)
    entry = measured(scene)
    line = line_of(entry, "eaves")

    assert line.length_mm == pytest.approx(5000.0, abs=0.5)
    assert line.points_mm[0, 2] == pytest.approx(entry.soffits[0].overhang.values[0])
    assert line.length.budget()["soffit"] > 0.3 * line.u_mm


def test_unstated_projection_is_wide_and_said():
    """Nobody said how far the eaves hangs: the length carries it and a caution says so."""
    scene = front_scene()
    grid_points(scene, HOUSE)
    scene.line("eaves", "eaves", [[-2500.0, 2600.0], [2500.0, 2600.0]], projection=300.0)
    stated = line_of(measured(scene), "eaves").u_mm
    del scene.document["lines"][0]["projection_mm"]
    del scene.document["lines"][0]["projection_sd_mm"]
    entry = measured(scene)
    line = line_of(entry, "eaves")

    assert line.trace.hanging.assumed
    assert line.u_mm > 3.0 * stated
    assert abs(line.length_mm - 5000.0) < 1.96 * line.u_mm
    assert any("eaves" in text and "assumed" in text for text in entry.cautions)
    assert "hangs in front" in entry.next_reference.what


def test_fascia_depth_and_pitch():
    """A plumb line across the fascia gives its depth; a rake gives its pitch."""
    scene = front_scene()
    grid_points(scene, HOUSE)
    scene.line(
        "depth", "fascia_depth", [[0.0, 2400.0], [0.0, 2622.0]], projection=300.0, sd_mm=5.0
    )
    rise = 2000.0 * np.tan(np.radians(38.0))
    scene.line("rake", "rake", [[-2000.0, 500.0], [0.0, 500.0 + rise]], projection=100.0)
    entry = measured(scene)

    assert line_of(entry, "depth").length_mm == pytest.approx(222.0, abs=0.01)
    rake = line_of(entry, "rake")
    assert np.degrees(rake.pitch.values[0]) == pytest.approx(38.0, abs=1e-4)
    assert 0.0 < np.degrees(rake.pitch.u[0]) < 0.5


def gable_scene(apex_x: float) -> MeasuredElevation:
    """Measure a gable of 4 m span and 1.5 m rise with its apex somewhere."""
    scene = front_scene(seed=8)
    grid_points(scene, HOUSE)
    apex = [apex_x, 2500.0]
    scene.line("left rake", "rake", [[-2000.0, 1000.0], apex], projection=100.0)
    scene.line("right rake", "rake", [[2000.0, 1000.0], apex], projection=100.0)
    return measured(scene)


def test_gable_agrees_with_half_span_and_pitch():
    """An even gable: sqrt(2000^2 + 1500^2) = 2500 mm both ways (a 3-4-5 triangle)."""
    gable = gable_scene(0.0).gables[0]

    assert gable.span.values[0] == pytest.approx(4000.0, abs=0.01)
    assert np.tan(gable.pitch.values[0]) == pytest.approx(0.75, abs=1e-6)
    for check in gable.checks:
        assert check.traced_mm == pytest.approx(2500.0, abs=0.01)
        assert check.half_span_mm == pytest.approx(2500.0, abs=0.01)
        assert check.agrees


def test_gable_with_its_apex_off_the_middle_is_said():
    """60 mm off the middle shows as disagreement and as a caution."""
    entry = gable_scene(60.0)

    assert len(entry.gables) == 1
    assert not any(check.agrees for check in entry.gables[0].checks)
    assert any("off the middle" in text for text in entry.cautions)


def four_runs(scene: Scene) -> None:
    for index, y in enumerate((-500.0, 300.0, 1100.0, 1900.0)):
        scene.line(
            f"run {index}", "eaves", [[-2400.0, y], [2400.0, y]], projection=0.0, sd_mm=1.0
        )


def test_total_keeps_the_common_scale():
    """Four runs on one scale are not four independent errors."""
    scene = front_scene()
    up_courses(scene, HOUSE)
    level_and_plumb(scene, HOUSE)
    four_runs(scene)
    job = measure(scene.job())
    total = next(total for total in job.totals if total.role is Role.EAVES)
    u = np.array([line.u_mm for line in job.elevations[0].measured])
    u_total = float(total.total.u[0])

    assert total.count == 4
    assert total.total.values[0] == pytest.approx(4 * 4800.0, rel=1e-4)
    assert u_total > 0.9 * u.sum()
    assert u_total > 1.7 * np.sqrt(np.sum(u**2))


def two_photos(same_gauge: bool):
    """Measure one eaves in two photos scaled by brick courses."""
    documents = []
    for name, yaw, seed in (("near", 0.2, 3), ("far", -0.25, 9)):
        scene = front_scene(name=name, yaw=yaw, seed=seed)
        up_courses(scene, HOUSE)
        level_and_plumb(scene, HOUSE)
        if not same_gauge and name == "far":
            scene.document["references"][0]["gauge_sd_mm"] *= 1.001
        scene.line(
            "eaves",
            "eaves",
            [[-2400.0, 2000.0], [2400.0, 2000.0]],
            projection=0.0,
            sd_mm=1.0,
        )
        documents.append(scene.document)
    return measure({"photomeasure_job": 1, "elevations": documents})


def test_two_photos_do_not_halve_the_gauge_they_share():
    """The gauge of one wall is one error in all its photos."""
    shared, apart = two_photos(same_gauge=True), two_photos(same_gauge=False)
    line = shared.combined[0]
    gauge = [
        e.measured[0].length.budget()["gauge of the brickwork"] for e in shared.elevations
    ]

    assert line.elevations == ("near", "far")
    assert line.agrees
    assert line.combined.values[0] == pytest.approx(4800.0, rel=1e-5)
    assert float(line.combined.u[0]) > 0.9 * min(gauge)
    assert float(apart.combined[0].combined.u[0]) < 0.8 * float(line.combined.u[0])


def test_photos_that_disagree_are_said_and_widened():
    """A length 4 % off in one photo is a disagreement, and the interval holds both."""
    scenes = []
    for name, yaw in (("near", 0.2), ("far", -0.25)):
        scene = front_scene(name=name, yaw=yaw)
        grid_points(scene, HOUSE)
        right = 2400.0 if name == "near" else 2600.0
        scene.line(
            "eaves",
            "eaves",
            [[-2400.0, 2000.0], [right, 2000.0]],
            projection=0.0,
            sd_mm=1.0,
        )
        scenes.append(scene.document)
    job = measure({"photomeasure_job": 1, "elevations": scenes})
    line = job.combined[0]
    low = line.combined.values[0] - 1.96 * line.combined.u[0]
    high = line.combined.values[0] + 1.96 * line.combined.u[0]

    assert not line.agrees
    assert low < 4800.0
    assert high > 5000.0


def test_the_advised_tape_brings_what_was_promised():
    """Adding the advised reference shrinks the worst interval about as far as stated."""
    scene = front_scene()
    door(scene, HOUSE)
    level_and_plumb(scene, HOUSE)
    scene.line(
        "eaves", "eaves", [[-2400.0, 2000.0], [2400.0, 2000.0]], projection=0.0, sd_mm=1.0
    )
    advice = measured(scene).next_reference

    assert advice is not None
    assert advice.kind == "distance"
    assert "4.6 m" in advice.what
    scene.distance([-2300.0, -1350.0], [4600.0, 0.0], "level", sd_mm=3.0)
    after = line_of(measured(scene), "eaves").u_mm
    assert after < 0.8 * advice.u_now_mm
    assert after == pytest.approx(advice.u_then_mm, rel=0.1)


def test_a_tape_that_is_2_percent_wrong_is_named():
    """The tape says 2.1 % more than courses taped themselves, and the words say so."""
    scene = front_scene()
    up_courses(scene, HOUSE)
    scene.document["references"][0] |= {"taped_count": 40, "taped_mm": 3000.0}
    level_and_plumb(scene, HOUSE)
    tape(scene, HOUSE)
    scene.document["references"][-1]["length_mm"] *= 1.021
    scene.line(
        "eaves", "eaves", [[-2400.0, 2000.0], [2400.0, 2000.0]], projection=0.0, sd_mm=1.0
    )
    entry = measured(scene)
    reliability = entry.solution.reliability
    suspects = {report.kind for report in reliability.suspects}

    assert suspects == {"distance", "courses"}
    assert any("tape says 2.1% more than the brick courses" in t for t in entry.cautions)
    assert any("cannot be told" in text for text in entry.cautions)
    line = line_of(entry, "eaves")
    assert abs(line.length_mm - 4800.0) < 1.96 * line.u_mm


def test_one_size_alone_is_called_unchecked():
    """Nothing checks the only size there is, and that is said."""
    scene = front_scene()
    tape(scene, HOUSE)
    level_and_plumb(scene, HOUSE)
    scene.line("eaves", "eaves", [[-2400.0, 2000.0], [2400.0, 2000.0]], projection=0.0)

    assert any("Nothing checks the scale" in text for text in measured(scene).cautions)

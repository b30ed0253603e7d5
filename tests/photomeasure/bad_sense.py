"""Elevations that keep the format but contradict themselves, the photo or geometry."""

from typing import Any

from tests.photomeasure.house import along_the_wall
from tests.photomeasure.mistakes import (
    ALONG,
    CORNERS,
    COURSES,
    LEVEL,
    PLUMB,
    POINTS,
    RECTANGLE,
    STRAIGHT,
    TAPE,
    UNDETERMINED,
    Row,
    drop,
    only,
    put,
    ref,
    scaled,
)


def many_picks(front: dict[str, Any]) -> None:
    """Trace ninety lines of 200 picks beside an edge of 15,000."""
    lines = [{"name": f"line {i}", "picks": ALONG[:200]} for i in range(90)]
    front.update(lines=lines, soffits=[])
    front["references"][STRAIGHT]["picks"] = ALONG[:15_000]


SENSE_ROWS = [
    Row("no references", put("references", to=[]), ("references", "no scale", "tape")),
    Row("no size, no photo", put("camera", to={}), ("camera.size_px", "missing")),
    Row(
        "pick off the photo",
        put("references", TAPE, "ends", 0, to=[-40, 5]),
        ("ends[0]", "off the photo", "1600 x 1200"),
    ),
    Row(
        "pick far off",
        put("references", LEVEL, "ends", 1, to=[1e300, 5]),
        ("ends[1]", "off"),
    ),
    Row(
        "ground off",
        put("soffits", 0, "ground", to=[5, 1201]),
        ("soffits[0].ground", "off"),
    ),
    Row(
        "centre off", put("camera", "centre_px", to=[5000, 5]), ("camera.centre_px", "off")
    ),
    Row(
        "ends on one spot",
        ref(TAPE, "ends", [[500, 500], [501, 500]]),
        ("[1].ends", "same spot"),
    ),
    Row(
        "level on one spot", ref(LEVEL, "ends", [[500, 500]] * 2), ("[4].ends", "same spot")
    ),
    Row(
        "edge on one spot",
        ref(STRAIGHT, "picks", [[50, 50]] * 3),
        ("[6].picks", "one spot"),
    ),
    Row(
        "points on one spot",
        ref(POINTS, "picks", [[50, 50]] * 4),
        ("[3].picks", "one spot"),
    ),
    Row(
        "points of no size",
        ref(POINTS, "wall_mm", [[5, 5]] * 4),
        ("[3].wall_mm", "one spot"),
    ),
    Row(
        "corners crossed",
        ref(RECTANGLE, "corners", [CORNERS[i] for i in (0, 2, 1, 3)]),
        ("corners", "crossed"),
    ),
    Row(
        "corners clockwise",
        ref(RECTANGLE, "corners", CORNERS[::-1]),
        ("clockwise", "anticlockwise"),
    ),
    Row(
        "corners in line",
        ref(RECTANGLE, "corners", [[100, 100], [200, 101], [300, 102], [400, 103]]),
        ("in one line",),
    ),
    Row(
        "corner twice",
        ref(RECTANGLE, "corners", [CORNERS[i] for i in (0, 0, 2, 3)]),
        ("two corners",),
    ),
    Row("counts all equal", ref(COURSES, "counts", [8] * 5), ("counts", "the same")),
    Row(
        "counts nearly equal",
        ref(COURSES, "counts", [0, 0, 0, 0, 1e-9]),
        ("counts", "the same"),
    ),
    Row(
        "a count missing", ref(COURSES, "counts", [0, 8, 16, 24]), ("5 picks but 4 counts",)
    ),
    Row("a point missing", ref(POINTS, "wall_mm", [[0, 0], [1200, 0]]), ("4 picks but 2",)),
    Row("brick unknown", ref(COURSES, "format", "uk-metrik"), ("format", "uk-metric")),
    Row(
        "brick and gauge",
        ref(COURSES, "gauge_mm", 100),
        ("contradicts uk-metric", "count again"),
    ),
    Row("no gauge", drop("references", COURSES, "format"), ("neither format nor gauge",)),
    Row("half a tape", ref(COURSES, "taped_mm", 1500), ("taped_count", "both or neither")),
    Row(
        "name twice",
        lambda f: [r.update(name="tape") for r in f["references"][:2]],
        ("names two references",),
    ),
    Row(
        "line twice",
        put("lines", 1, "name", to="front eaves"),
        ("lines[1].name", "two lines"),
    ),
    Row(
        "soffit twice",
        lambda f: f["soffits"].append(f["soffits"][0]),
        ("soffits[1].name", "two soffits"),
    ),
    Row(
        "soffit of no line",
        put("soffits", 0, "lines", to=["rear eaves"]),
        ("soffits[0].lines", "'rear eaves'", "front eaves"),
    ),
    Row(
        "soffit of one spot",
        put("soffits", 0, "wall_edge", to=[[5, 5], [5, 6]]),
        ("wall_edge", "spot"),
    ),
    Row(
        "line at two soffits",
        lambda f: f["soffits"].append({**f["soffits"][0], "name": "b"}),
        ("hangs at two soffits",),
    ),
    Row("too much for the memory", many_picks, ("too many beside 18000 picks",)),
    Row(
        "a hundred rakes",
        lambda f: f.update(
            lines=[{**f["lines"][1], "name": f"r{i}"} for i in range(101)], soffits=[]
        ),
        ("more than 100 rakes",),
    ),
]

GEOMETRY_ROWS = [
    Row("only directions", only(LEVEL, PLUMB), ("fixes the scale", "add"), UNDETERMINED),
    Row("one tape", only(TAPE), ("front: references", "add"), UNDETERMINED),
    Row("a straight edge", only(STRAIGHT), ("scale", "add"), UNDETERMINED),
    Row(
        "unsized rectangle",
        only(
            RECTANGLE,
            also=lambda f: [f["references"][0].pop(k) for k in ("width_mm", "height_mm")],
        ),
        ("scale", "add"),
        UNDETERMINED,
    ),
    Row(
        "tape says double",
        scaled(TAPE, 2.0),
        ("the 6 m tape says", "more", "check"),
        UNDETERMINED,
    ),
    Row(
        "tape in centimetres",
        scaled(TAPE, 0.1),
        ("front: references", "the 0.3 m tape says 90% less"),
        UNDETERMINED,
    ),
    Row(
        "width and height swapped",
        lambda f: f["references"][0].update(width_mm=2040, height_mm=910),
        ("front: references", "check"),
        UNDETERMINED,
    ),
    Row(
        "reference behind the camera",
        ref(TAPE, "projection_mm", 50_000),
        ("front: references",),
        UNDETERMINED,
    ),
]


def beyond_the_horizon(front: dict[str, Any]) -> None:
    """Look along the wall, and pick on in the sky behind its vanishing point."""
    front.update(along_the_wall())
    front["lines"][1]["picks"] = [[900, 500], [1500, 500]]


LINE_ROWS = [
    Row("across the horizon", beyond_the_horizon, ("lines[1].picks", "horizon", "pick")),
    Row(
        "beyond the camera",
        put("lines", 1, "projection_mm", to=9000),
        ("lines[1].picks", "behind the camera"),
    ),
    Row(
        "off the photo",
        put("lines", 1, "picks", 0, to=[-5, 5]),
        ("lines[1].picks[0]", "off the photo"),
    ),
    Row(
        "on one spot",
        put("lines", 1, "picks", to=[[5, 5], [6, 5]]),
        ("lines[1].picks[0:2]", "same spot"),
    ),
    Row(
        "a ridge at no distance",
        lambda f: (f["lines"][1].pop("projection_mm"), f["lines"][1].update(role="ridge")),
        ("lines[1].projection_mm", "state how far"),
    ),
    Row(
        "a few pixels",
        put("lines", 1, "picks", to=[[500, 500], [503, 500]]),
        ("lines[1]", "known only to", "pick it larger"),
    ),
]

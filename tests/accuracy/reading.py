"""Photos read without a click, against truth.

    python -m tests.accuracy.reading [n [FOLDER [FIRST]]]

Groups: n drawn houses (tests.pictures, a renderer other than that of sample_images), three
in five of brick, the rendered houses of sample_images, and photographs of which only the
courses are known. Each photo with truth is read twice: alone,
and with its brick format stated. Houses are numbered from FIRST on, 200 if not given:
earlier ones were looked at while the rules were made, and so were 1000 to 1500.
"""

import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Final

import numpy as np

from calibration.brickwork.confidence import SURE
from calibration.photo import load_upright, read_header
from calibration.vanishing import PLUMB
from photomeasure.job.build import build_elevation, camera_of
from photomeasure.job.schema import CoursesSpec, ElevationSpec, LineSpec, Role
from photomeasure.measure import measure_elevation
from photomeasure.proposals import read_edges
from photomeasure.reading import FoundLine, PhotoReading, Told, read_photo
from photomeasure.results import COVERAGE_FACTOR, MeasuredLine, interval95
from tests.accuracy.brickwork import DOC
from tests.accuracy.joints import SAMPLES, lines_off
from tests.accuracy.reading_scenes import FIRST, Scene, TrueLine, drawn, rendered
from tests.accuracy.reading_table import Row, outcomes, share, table
from tests.accuracy.roof_scenes import between_edges
from tests.pictures.truth import Truth

RIGHT_EDGE: Final = 0.0015
"""As a share of the long side: the next edge is a board's thickness, twice as far, away."""

RIGHT_SHARE: Final = 0.97
RIGHT_OFF: Final = 0.5
"""A count is right if of so many of its joints the true number is the nearest, in courses:
a single pick may lie a third of a course off and still be counted rightly."""

LEAST_BRICKS: Final = (8, 4)
"""Courses and stretchers that are seen whole: fewer are not counted in the goal."""

PROPOSED: Final = 3


def judge(scene: Scene, group: str, *, told: bool) -> Row:
    """Read one photo and compare."""
    row = Row(scene.name, group, told, scene.joints is not None)
    row.enough = all(a >= b for a, b in zip(scene.bricks, LEAST_BRICKS, strict=True))
    words = Told(brick_format=scene.brick_format if told else None)
    start, cpu = time.perf_counter(), time.process_time()
    reading = read_photo(scene.path, words)
    row.wall_s, row.cpu_s = time.perf_counter() - start, time.process_time() - cpu
    _judge_bricks(row, scene, reading)
    _judge_lines(row, scene, reading)
    if reading.measured:
        row.agrees = reading.measured.solution.reliability.passed
        if row.brick:
            _judge_scale(row, scene, reading)
    row.said = reading.refused
    row.whole = any(_inside(line.ends_px, reading.size_px) for line in scene.lines)
    row.outcome = _outcome(row, reading)
    return row


def _judge_bricks(row: Row, scene: Scene, reading: PhotoReading) -> None:
    beds = [f for f in reading.references if f.spec.name == "bed joints"]
    if not beds or not isinstance(beds[0].spec, CoursesSpec):
        return
    row.sure = beds[0].confidence >= SURE
    if scene.joints is None:
        return
    px, number = np.array(beds[0].spec.picks), np.array(beds[0].spec.counts)
    counted, _ = scene.joints.counted(px)
    off = counted - number
    off -= np.median(off)
    good = np.abs(off) < RIGHT_OFF
    row.counted = bool(good.mean() > RIGHT_SHARE)
    course_px = np.median(np.hypot(*_course_ways(px, number).T)) if row.counted else np.nan
    row.picks_px = float(np.std(off[good]) * course_px)
    row.lattice_px = lines_off(beds[0].drawn_px, scene.joints) * course_px


def _outcome(row: Row, reading: PhotoReading) -> str:
    """Return what a person gets: lengths, a question, a refusal, or no line."""
    if reading.measured is None:
        bricks = [f for f in reading.references if f.spec.name == "bed joints"]
        return "asked" if bricks else "refused"
    return "lengths" if row.claimed else "no line"


def _course_ways(px: np.ndarray, number: np.ndarray) -> np.ndarray:
    """Return the way of one course in the photo, by a plane through the counts."""
    A = np.c_[px - px.mean(axis=0), np.ones(len(px))]
    slope = np.linalg.lstsq(A, number, rcond=None)[0][:2]
    return (slope / (slope @ slope))[None]


def _judge_scale(row: Row, scene: Scene, reading: PhotoReading) -> None:
    """Measure the true lines, at their true projection, with what the photo gave."""
    lines = [
        LineSpec(
            name=f"true {n}",
            role=Role.OTHER,
            picks=[tuple(end) for end in line.ends_px.tolist()],
            projection_mm=line.projection_mm,
            projection_sd_mm=1.0,
            pick_sd_px=0.3,
        )
        for n, line in enumerate(scene.lines)
        if _inside(line.ends_px, reading.size_px)
    ]
    true = [s.length_mm for s in scene.lines if _inside(s.ends_px, reading.size_px)]
    spec = reading.elevation.model_copy(update={"lines": lines, "soffits": []})
    found = measure_elevation(build_elevation(spec, scene.path.parent))
    by_name = {line.name: line for line in found.measured}
    for n, length in enumerate(true):
        line = by_name.get(f"true {n}")
        if line is not None:
            row.scale_errors.append(line.length_mm / length - 1.0)
            row.scale_held.append(_holds(line, length))


def _inside(ends: np.ndarray, size: tuple[int, int]) -> bool:
    return bool((ends >= 0).all() and (ends <= np.array(size) - 1).all())


def _judge_lines(row: Row, scene: Scene, reading: PhotoReading) -> None:
    for true in scene.lines:
        offered = [line for line in reading.lines if line.spec.role == true.role]
        slope = _slope(true.ends_px)
        if true.role == "rake":
            offered = [o for o in offered if _slope(np.array(o.spec.picks)) * slope > 0]
        right = [line for line in offered[:PROPOSED] if _is(true, line, reading)]
        row.found.append(bool(right))
        if right and right[0].measured:
            row.offered_held.append(_holds(right[0].measured, true.length_mm))
    for line in (line for line in reading.lines if line.used):
        mine = [t for t in scene.lines if t.role == line.spec.role]
        boards = [true for true in mine if _on_board(true, line, reading)]
        row.claimed.append(bool(boards))
        row.edges.append(any(_is(true, line, reading) for true in mine))
        row.confidence.append(round(line.board, 2))
        if line.measured:
            row.length_held.append(_judge_length(row, boards, line))


def _judge_length(row: Row, boards: list[TrueLine], line: FoundLine) -> bool:
    """Tell whether a line lies on a true board and its interval holds that one's length."""
    if not boards or line.measured is None:
        return False
    picks = np.array(line.spec.picks)
    ends = boards[0].ends_px[np.argsort(boards[0].ends_px[:, 0])]
    off = np.hypot(*(picks[np.argsort(picks[:, 0])] - ends).T)
    row.ends_px += off.tolist()
    row.half_width.append(COVERAGE_FACTOR * line.measured.u_mm / boards[0].length_mm)
    return _holds(line.measured, boards[0].length_mm)


def _holds(line: MeasuredLine, true_mm: float) -> bool:
    low, high = interval95(line.length_mm, line.u_mm)
    return bool(low <= true_mm <= high)


def _slope(ends: np.ndarray) -> float:
    way = ends[-1] - ends[0]
    return float(way[0] * way[1])


def _is(true: TrueLine, line: FoundLine, reading: PhotoReading) -> bool:
    """Tell whether a line lies on the true edge, over half of its length at least."""
    off, shared = _beside(true, np.array(line.spec.picks))
    return bool(np.abs(off).mean() < _right_px(reading) and shared > 0.5)


def _on_board(true: TrueLine, line: FoundLine, reading: PhotoReading) -> bool:
    """Tell whether a line lies between the outermost edges of a true board."""
    picks = np.array(line.spec.picks)
    between = between_edges(picks, true.ends_px, true.board_px, _right_px(reading))
    return bool(between and _beside(true, picks)[1] > 0.5)


def _right_px(reading: PhotoReading) -> float:
    return RIGHT_EDGE * max(reading.size_px)


def _beside(true: TrueLine, picks: np.ndarray) -> tuple[np.ndarray, float]:
    """Return how far picks lie off a true line, signed, and the share of it they span."""
    way = true.ends_px[1] - true.ends_px[0]
    size = float(np.hypot(*way))
    unit = way / size
    delta = picks - true.ends_px[0]
    across = unit[0] * delta[:, 1] - unit[1] * delta[:, 0]
    along = np.sort(np.clip(delta @ unit, 0.0, size))
    return across, float(along[-1] - along[0]) / size


def photographs() -> Iterator[str]:
    """Yield a line of the table for each photograph without truth."""
    from PIL import Image
    from skimage import data

    with tempfile.TemporaryDirectory() as name:
        path = Path(name) / "brick.png"
        Image.fromarray(np.rot90(data.brick(), -1)).save(path)
        yield _photograph("brick of scikit-image, turned", path)
    for name in ("leuvenA", "leuvenB", "building", "home"):
        if (DOC / f"{name}.jpg").exists():
            yield _photograph(name, DOC / f"{name}.jpg")


def _photograph(name: str, path: Path) -> str:
    reading = read_photo(path)
    beds = [f for f in reading.references if f.spec.name == "bed joints"]
    brick = (
        f"{beds[0].said} ({beds[0].confidence:.2f})"
        if beds
        else "; ".join(s.split(";")[0] for s in reading.missing) or "-"
    )
    used = ", ".join(f"{line.spec.name} {line.confidence:.2f}" for line in reading.lines)
    lengths = "lengths" if reading.measured else "no lengths"
    return f"| {name} | {brick} | {used or '-'} | {lengths} |"


def memory_and_time(photo: Path) -> str:
    """Read a photo of 12 megapixels in a process of its own."""
    start = time.perf_counter()
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    command = [sys.executable, "-m", "photomeasure.cli", "read", str(photo)]
    subprocess.run(command, check=False, capture_output=True)  # noqa: S603
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    cpu = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return (
        f"{photo.name}: {time.perf_counter() - start:.1f} s, {cpu:.1f} s of processor, "
        f"{after.ru_maxrss / 1024:.0f} MB at most, program start included"
    )


CLEAR_RAD: Final = float(np.radians(1.5))
"""A clear direction further off is wrong: the adjustment would lean by as much."""


def clear_directions(count: int, folder: Path, first: int) -> tuple[list[bool], list[bool]]:
    """Return for each clear plumb and main level direction whether it is right.

    Level is right along the wall or square to it: side walls are level too.
    """
    plumb, level = [], []
    for scene in drawn(count, folder, first):
        header = read_header(scene.path)
        base = ElevationSpec(name="x", photo=scene.path.name)
        camera, _ = camera_of(base, header, header.upright_size_px)
        seen = read_edges(load_upright(scene.path), camera)
        if seen is None:
            continue
        truth = Truth.from_json(scene.path.with_suffix(".truth.json").read_text("utf-8"))
        axes = truth.view.camera.R_wall_from_camera
        found = seen.vanishing
        turn = np.arccos(np.clip(np.abs(found.directions @ axes.T), 0.0, 1.0))
        if found.clear[PLUMB]:
            plumb.append(bool(turn[PLUMB, 1] < CLEAR_RAD))
        if found.clear[PLUMB + 1]:
            level.append(bool(turn[PLUMB + 1, [0, 2]].min() < CLEAR_RAD))
    return plumb, level


def main() -> None:
    """Measure and print."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 20
    folder = Path(sys.argv[2]) if len(sys.argv) > 2 else Path(tempfile.mkdtemp())
    first = int(sys.argv[3]) if len(sys.argv) > 3 else FIRST
    rows: list[Row] = []
    groups = (("rendered", rendered()), ("drawn", drawn(count, folder, first)))
    for group, scenes in groups:
        for scene in scenes:
            kind = "of brick" if scene.joints is not None else "without brick"
            for told in (False, True) if scene.joints is not None else (False,):
                rows.append(judge(scene, f"{group} houses {kind}", told=told))
                say(_told_of(rows[-1]))
    say(table(rows))
    say(outcomes(rows))
    plumb, level = clear_directions(count, folder, first)
    say(f"clear directions right: plumb {share(plumb)}, level {share(level)}")
    say("\n".join(photographs()))
    say(memory_and_time(SAMPLES / "front.jpg"))
    seconds = [row.cpu_s for row in rows]
    say(f"{np.median(seconds):.1f} s of processor a photo, worst {max(seconds):.1f}")


def _told_of(row: Row) -> str:
    errors = " ".join(f"{error:+.2%}" for error in row.scale_errors)
    return (
        f"{row.name}{' told' if row.told else ''}: sure {row.sure} counted {row.counted} "
        f"enough {row.enough} {row.outcome} picks {row.picks_px:.2f} "
        f"lattice {row.lattice_px:.2f} px "
        f"scale {errors} held {row.scale_held} found {row.found} "
        f"claimed {row.claimed} {row.edges} {row.confidence} "
        f"lengths {row.length_held} {row.offered_held} "
        f"fits {row.agrees} {row.wall_s:.1f} s {row.said}"
    )


def say(text: str) -> None:
    """Write now: the report takes minutes."""
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main()

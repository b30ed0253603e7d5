"""The use case: one photo in, a job that a person confirms out."""

from pathlib import Path
from typing import Final

from calibration.photo import load_upright, read_header
from calibration.photo.pixels import RgbImage
from calibration.priors import CameraPrior
from photomeasure.job.build import camera_of
from photomeasure.job.schema import ElevationSpec
from photomeasure.proposals import Proposals, Reading, of_a_house, propose_from, read_edges
from photomeasure.reading.bricks import (
    Bricks,
    as_if,
    check_told,
    format_question,
    if_it_is,
    read_bricks,
)
from photomeasure.reading.edges import EdgeFinds, edge_references
from photomeasure.reading.lines import found_lines, found_soffits, whole_lines
from photomeasure.reading.model import (
    NOTHING_TOLD,
    Ask,
    FoundLine,
    PhotoReading,
    Question,
    Told,
    Way,
    likely,
)
from photomeasure.reading.settle import Settled, in_doubt, settle
from photomeasure.reading.sheets import Sheets, read_marker_sheets

NO_EDGES: Final = (
    "No level and plumb edges: trace the eaves and rakes by hand, or take the photo "
    "from where more of the house is seen."
)
NO_LINES: Final = "No eaves or rakes that are likely enough: trace them by hand."


def read_photo(photo: Path, told: Told = NOTHING_TOLD) -> PhotoReading:
    """Find scale, level and roofline in a photo, and measure.

    Parameters
    ----------
    photo : Path
    told : Told
        What a person says beside it.

    Returns
    -------
    PhotoReading
        With what could not be found, in words.

    Raises
    ------
    UnreadablePhoto
        If the file cannot be read.
    BadReference, UnknownName
        If what was told contradicts itself.
    """
    check_told(told)
    header = read_header(photo)
    size = header.upright_size_px
    base = ElevationSpec(name=photo.stem[:100].strip() or "photo", photo=photo.name)
    camera, _ = camera_of(base, header, size)
    pixels = load_upright(photo)
    (seen, proposals), bricks, sheets = _look(pixels, camera, told)
    edges = edge_references(seen, camera, bricks.along) if seen else EdgeFinds()
    if any(found.used for found in (*sheets.references, *bricks.references)):
        proposals = of_a_house(proposals)
    proposals, cut = whole_lines(proposals)
    lines = found_lines(proposals, edges.wall)
    soffits = found_soffits(proposals, lines)
    references = (*sheets.references, *bricks.references, *edges.references)
    settled = settle(base, references, lines, soffits, photo.parent)
    questions = bricks.questions
    if bricks.doubted and not settled.measured:
        trusted = tuple(as_if(found, bricks.formats[0]) for found in references)
        trial = settle(base, trusted, lines, soffits, photo.parent)
        questions += if_it_is(bricks, _likeliest(trial))
    if not sheets.references:  # a sheet has the scale whatever the brick is
        questions += format_question(bricks, _longest(settled), told)
    return PhotoReading(
        photo=photo,
        size_px=size,
        references=settled.references,
        lines=settled.lines,
        soffits=settled.soffits,
        questions=(*questions, *_which_line(settled)),
        missing=(*bricks.missing, *(cut or _missing_lines(seen, settled))),
        notes=(*sheets.notes, *edges.notes, *proposals.doubts, *settled.notes),
        elevation=settled.elevation,
        measured=settled.measured,
        refused=settled.refused,
    )


def _look(
    pixels: RgbImage, camera: CameraPrior, told: Told
) -> tuple[tuple[Reading | None, Proposals], Bricks, Sheets]:
    """Read lines beside bricks and sheets: each takes one core most of the time."""
    from concurrent.futures import ThreadPoolExecutor

    with ThreadPoolExecutor(2) as workers:
        bricks = workers.submit(read_bricks, pixels, camera, told)
        lines = workers.submit(_lines, pixels, camera)
        sheets = workers.submit(read_marker_sheets, pixels, told)
        return lines.result(), bricks.result(), sheets.result()


def _lines(pixels: RgbImage, camera: CameraPrior) -> tuple[Reading | None, Proposals]:
    seen = read_edges(pixels, camera)
    return seen, propose_from(seen) if seen else Proposals()


def _likeliest(settled: Settled) -> tuple[str, float] | None:
    """Return name and length of the line that is likeliest what it seems."""
    measured = [line for line in settled.lines if line.measured]
    best = max(measured, key=lambda line: line.confidence, default=None)
    if best is None or best.measured is None:
        return None
    return best.spec.name, best.measured.length_mm


def _longest(settled: Settled) -> tuple[str, float] | None:
    """Return name and length of the longest line that is used."""
    lengths = [
        (line.spec.name, line.measured.length_mm)
        for line in settled.lines
        if line.used and line.measured
    ]
    return max(lengths, key=lambda pair: pair[1], default=None)


def _which_line(settled: Settled) -> tuple[Question, ...]:
    """Ask which line is meant where none of a kind is likely enough: the best two."""
    said = []
    for kind in ("eaves", "left rake", "right rake"):
        mine = [line for line in settled.lines if line.kind == kind]
        likeliest = [line for line in mine if in_doubt(line, mine)]
        if not likeliest:
            continue
        ways = " or ".join(_way(line) for line in likeliest)
        text = f"Is there {_ARTICLE[kind]} {kind}? It may be {ways}."
        answers = tuple(
            Way(
                said=f"{line.spec.name} ({likely(line.confidence)})",
                line=line.spec.name,
            )
            for line in likeliest
        )
        said.append(Question(text, Ask.LINE, answers))
    return tuple(said)


_ARTICLE: Final = {"eaves": "an", "left rake": "a", "right rake": "a"}


def _way(line: FoundLine) -> str:
    length = ""
    if line.measured:
        m = line.measured
        length = f", {m.length_mm / 1000:.2f} m"
    return f'"{line.spec.name}" ({likely(line.confidence)}{length})'


def _missing_lines(seen: Reading | None, settled: Settled) -> tuple[str, ...]:
    if seen is None:
        return (NO_EDGES,)
    return () if settled.lines else (NO_LINES,)

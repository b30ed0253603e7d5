"""Job documents for a board: part of it is the reference, the rest is measured.

Corners with even column and even row serve as references and straight edges, the
others as ends of lines, so no pick is used twice.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import combinations, product
from typing import Any, Final

import numpy as np

from tests.accuracy.chessboards import (
    COLUMNS,
    PUBLISHED_FOCAL_PX,
    ROWS,
    SQUARE_MM,
    Board,
    wall_mm,
)

Corner = tuple[int, int]
Document = dict[str, Any]

CORNER_SD_PX: Final = 0.12
"""Scatter of a found corner: median of ``corner_noise_px`` over the 26 photos."""

PRINT_SD_MM: Final = 0.1
"""How regular the printed grid is; :mod:`tests.accuracy.board_shape` finds 0.07."""

FLAT_SD_MM: Final = 0.1
"""How flat the board is; :mod:`tests.accuracy.board_shape` finds 0.09."""

ON_THE_BOARD_MM: Final = 1e-3
"""Lines lie on the board: its flatness is stated once, for all."""

UNKNOWN_K1_SD: Final = 0.3
"""A lens of which nothing is known: from a strong barrel to a strong pincushion."""

_K1: Final = (("distortion_k1", 0.0), ("distortion_k1_sd", UNKNOWN_K1_SD))

HAND_SD_PX: Final = 1.0
"""Scatter of a person's click."""

LINES: Final = 40
SHORTEST_MM: Final = 50.0

PARTS: Final = tuple(product((0, 4), (0, 2)))
"""Lower left corner of the part that is the reference: each quarter of the board."""

PART_SIZE: Final = (4, 2)
"""Squares of the part: 100 x 50 mm of the 200 x 125 mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Variant:
    """What the job says of a photo.

    Attributes
    ----------
    key, title : str
        Short name and words for the table.
    reference : {'rectangle', 'points', 'tapes'}
        What of the part is known.
    camera : tuple of (str, value)
        The job's camera.
    straight : bool
        Whether grid rows and columns serve as straight edges.
    hand_sd_px : float
        Scatter added to every pick.
    relief_sd_mm : float or None
        Stated flatness; None leaves it unstated.
    """

    key: str
    title: str
    reference: str = "rectangle"
    camera: tuple[tuple[str, Any], ...] = _K1
    straight: bool = True
    hand_sd_px: float = 0.0
    relief_sd_mm: float | None = FLAT_SD_MM

    @property
    def pick_sd_px(self) -> float:
        """Standard uncertainty that the job states for a pick."""
        return float(np.hypot(CORNER_SD_PX, self.hand_sd_px))

    def by_hand(self) -> "Variant":
        """Return the same with the scatter of a person's clicks."""
        return replace(
            self,
            key=f"{self.key}-hand",
            title=f"{self.title}; picks ± {HAND_SD_PX:g} px",
            hand_sd_px=HAND_SD_PX,
        )


def job(board: Board, variant: Variant, part: Corner, seed: int) -> Document:
    """Return the job document of one photo.

    Parameters
    ----------
    board : Board
    variant : Variant
    part : (column, row)
        Lower left corner of the reference.
    seed : int
        Draws the lines and the hand's scatter.

    Returns
    -------
    dict
        One elevation; the name of a line is its corners, see :func:`true_length_mm`.
    """
    rng = np.random.default_rng(seed)

    def pick(*corners: Corner) -> list[list[float]]:
        scatter = variant.hand_sd_px * rng.standard_normal((len(corners), 2))
        picks: list[list[float]] = (
            np.array([board.pick(corner) for corner in corners]) + scatter
        ).tolist()
        return picks

    references = [*_REFERENCES[variant.reference](pick, part)]
    if variant.straight:
        references += _straight_edges(pick)
    relief = variant.relief_sd_mm
    flat = {} if relief is None else {"wall_relief_sd_mm": relief}
    elevation = {
        "name": f"{board.name} {part}",
        "photo": board.photo,
        "camera": dict(variant.camera),
        "pick_sd_px": variant.pick_sd_px,
        "references": references,
        "lines": [
            {
                "name": line_name(*ends),
                "role": "wall",
                "picks": pick(*ends),
                "projection_mm": 0.0,
                "projection_sd_mm": ON_THE_BOARD_MM,
            }
            for ends in lines(part, rng)
        ],
        **flat,
    }
    return {"photomeasure_job": 1, "elevations": [elevation]}


def whole_board(board: Board) -> Document:
    """Return a job in which all corners are one reference, so each checks the others."""
    corners = [*product(range(COLUMNS), range(ROWS))]
    everything = {
        "kind": "points",
        "picks": [board.pick(corner).tolist() for corner in corners],
        "wall_mm": [wall_mm(corner).tolist() for corner in corners],
        "sd_mm": PRINT_SD_MM,
        "rotated": True,
    }
    elevation = {
        "name": board.name,
        "photo": board.photo,
        "camera": dict(_K1),
        "pick_sd_px": CORNER_SD_PX,
        "wall_relief_sd_mm": FLAT_SD_MM,
        "references": [everything],
    }
    return {"photomeasure_job": 1, "elevations": [elevation]}


def lines(part: Corner, rng: np.random.Generator) -> list[tuple[Corner, Corner]]:
    """Draw the lines that are measured, each with an end outside the part."""
    free = [
        (column, row)
        for column, row in product(range(COLUMNS), range(ROWS))
        if column % 2 or row % 2
    ]
    long = [
        (a, b)
        for a, b in combinations(free, 2)
        if true_length_mm(line_name(a, b)) >= SHORTEST_MM
        and not (_inside(a, part) and _inside(b, part))
    ]
    return [long[i] for i in rng.choice(len(long), LINES, replace=False)]


def line_name(a: Corner, b: Corner) -> str:
    """Return the name of a line from corner to corner."""
    return f"{a[0]},{a[1]} to {b[0]},{b[1]}"


def true_length_mm(name: str) -> float:
    """Return the nominal length of a line by its name."""
    a, b = (tuple(map(int, end.split(","))) for end in name.split(" to "))
    return float(np.hypot(*(wall_mm(b) - wall_mm(a))))


def _inside(corner: Corner, part: Corner) -> bool:
    return all(0 <= corner[i] - part[i] <= PART_SIZE[i] for i in (0, 1))


def _rectangle(pick, part: Corner) -> Iterator[Document]:
    (c, r), (w, h) = part, PART_SIZE
    corners = [(c, r), (c + w, r), (c + w, r + h), (c, r + h)]
    yield {
        "kind": "rectangle",
        "corners": pick(*corners),
        "width_mm": w * SQUARE_MM,
        "height_mm": h * SQUARE_MM,
        "sd_mm": PRINT_SD_MM,
        "rotated": True,
    }


def _points(pick, part: Corner) -> Iterator[Document]:
    """Six corners, every second one, of the part; the origin anywhere."""
    (c, r), (w, h) = part, PART_SIZE
    corners = [*product(range(c, c + w + 1, 2), range(r, r + h + 1, 2))]
    yield {
        "kind": "points",
        "picks": pick(*corners),
        "wall_mm": [(wall_mm(corner) - wall_mm(part)).tolist() for corner in corners],
        "sd_mm": PRINT_SD_MM,
        "rotated": True,
    }


def _tapes(pick, part: Corner) -> Iterator[Document]:
    """Tape two sides of the part; pick level and plumb lines of the grid."""
    (c, r), (w, h) = part, PART_SIZE
    for direction, end in (("level", (c + w, r)), ("plumb", (c, r + h))):
        yield {
            "kind": "distance",
            "ends": pick((c, r), end),
            "length_mm": float(np.hypot(*(wall_mm(end) - wall_mm(part)))),
            "sd_mm": PRINT_SD_MM,
            "direction": direction,
        }
    for row in (0, 4):
        ends = pick((0, row), (COLUMNS - 1, row))
        yield {"kind": "level", "ends": ends, "sd_mm": PRINT_SD_MM}
    for column in (0, COLUMNS - 1):
        yield {
            "kind": "plumb",
            "ends": pick((column, 0), (column, 4)),
            "sd_mm": PRINT_SD_MM,
        }


def _straight_edges(pick) -> list[Document]:
    """Rows and columns of the grid: three of five picks, five of three."""
    rows = [[(c, r) for c in range(0, COLUMNS, 2)] for r in range(0, ROWS, 2)]
    columns = [[(c, r) for r in range(0, ROWS, 2)] for c in range(0, COLUMNS, 2)]
    return [
        {"kind": "straight", "picks": pick(*edge), "sd_mm": PRINT_SD_MM}
        for edge in rows + columns
    ]


_REFERENCES: Final = {"rectangle": _rectangle, "points": _points, "tapes": _tapes}

_FOCAL = (("focal_px", PUBLISHED_FOCAL_PX), ("focal_sd_px", 0.02 * PUBLISHED_FOCAL_PX))

VARIANTS: Final = (
    Variant(key="rectangle", title="rectangle"),
    Variant(key="points", title="six points", reference="points"),
    Variant(key="tapes", title="two tapes, level and plumb lines", reference="tapes"),
    Variant(key="focal", title="rectangle, focal length to 2 %", camera=_K1 + _FOCAL),
)
"""What a careful job says: straight edges, lens unknown, board flat."""

BY_HAND: Final = tuple(variant.by_hand() for variant in VARIANTS)

LIMITS: Final = (
    Variant(
        key="brickwork", title="rectangle; flatness unstated (4 mm)", relief_sd_mm=None
    ),
    Variant(key="no-edges", title="rectangle; no straight edges", straight=False),
    Variant(key="phone", title="rectangle; lens unstated, so a phone's", camera=()),
    Variant(
        key="nothing",
        title="rectangle; lens unstated, no straight edges",
        camera=(),
        straight=False,
    ),
)
"""What a job says that leaves something out."""

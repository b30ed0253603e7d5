"""How many strips, discs and trays: pure sums along a run."""

from calibration.errors import InputError
from photomeasure.takeoff.measured import check_positive, round_up


def pieces_along(length_mm: float, piece_mm: float, lap_mm: float = 0.0) -> int:
    """Return how many pieces cover a length, each lapping the next.

    Parameters
    ----------
    length_mm, piece_mm : float
        > 0.
    lap_mm : float
        From 0 to below the length of a piece.

    Returns
    -------
    int
        The fewest n with ``n * piece - (n - 1) * lap >= length``.

    Raises
    ------
    InputError
        If a number is out of its range.

    Examples
    --------
    >>> pieces_along(8000, 1000), pieces_along(8000, 1500, 100)
    (8, 6)
    """
    check_positive("ventilation", "length in mm", length_mm)
    check_positive("ventilation", "length of a piece in mm", piece_mm)
    if not 0.0 <= lap_mm < piece_mm:
        raise InputError(
            "ventilation",
            f"a lap of {lap_mm:g} mm does not go with pieces of {piece_mm:g} mm",
            "give a lap from 0 to below the length of a piece",
        )
    return max(1, round_up((length_mm - lap_mm) / (piece_mm - lap_mm)))


def spaced_along(length_mm: float, spacing_mm: float) -> int:
    """Return how many single openings stand at a spacing or closer.

    Parameters
    ----------
    length_mm, spacing_mm : float
        > 0.

    Returns
    -------
    int
        One for each begun spacing; the first stands half a spacing from the end.

    Raises
    ------
    InputError
        If a number is out of its range.

    Examples
    --------
    >>> spaced_along(8000, 600)
    14
    """
    check_positive("ventilation", "length in mm", length_mm)
    check_positive("ventilation", "spacing in mm", spacing_mm)
    return max(1, round_up(length_mm / spacing_mm))

"""Where the joints of a stretch may lie."""

from collections.abc import Iterator

from photomeasure.takeoff.cutting.run import Run, Supports


def joint_positions(
    run: Run, stretch: tuple[int, int], longest_mm: int, step_mm: int
) -> tuple[int, ...]:
    """List the positions a joint may take within one stretch of a run.

    Parameters
    ----------
    run : Run
        The run.
    stretch : (int, int)
        Start and end of the stretch on the run, millimetres.
    longest_mm : int
        Longest piece any board gives.
    step_mm : int
        Raster for a run without supports.

    Returns
    -------
    tuple of int
        Increasing positions from the start of the run, ends left out.
    """
    start, end = stretch
    if isinstance(run.supports, Supports):
        found = set(run.supports.positions_mm(run.length_mm))
    elif run.supports is not None:
        found = set(run.supports)
    else:
        found = set(range(start + step_mm, end, step_mm))
        found |= _decisive(run, stretch, longest_mm + run.gap_mm)
    return tuple(p for p in sorted(found) if start < p < end and run.is_clear(p))


def _decisive(run: Run, stretch: tuple[int, int], longest_mm: int) -> set[int]:
    """Positions that suffice for the fewest joints when they may lie anywhere.

    Joints x_1 < x_2 < ... obey x_i+1 - x_i >= shortest piece, <= longest piece,
    and x_i >= left end of the clear interval it lies in. The leftmost solution
    of such difference constraints is a longest path from those left ends, and
    on a chain that path runs one way: left end plus so many shortest pieces,
    or left end minus so many longest ones. Two neighbours of a shortest
    division are together longer than the longest piece, which bounds how many.
    """
    start, end = stretch
    most = 2 * (end - start) // longest_mm + 1
    found = set()
    for seed in (start, end, *_left_ends(run, stretch)):
        found |= {seed + n * run.min_piece_mm for n in range(most + 1)}
        found |= {seed - n * longest_mm for n in range(most + 1)}
    return found


def _left_ends(run: Run, stretch: tuple[int, int]) -> Iterator[int]:
    """Yield the first clear position after each position to be avoided."""
    start, end = stretch
    for avoid in run.avoid_mm:
        if start < avoid + run.clearance_mm < end:
            yield avoid + run.clearance_mm

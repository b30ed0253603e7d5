"""Random jobs for property tests, small enough to be solved in milliseconds."""

from hypothesis import strategies as st

from photomeasure.takeoff.cutting import Problem, Run, Saw, Stock, Supports
from tests.photomeasure.takeoff.cutting.jobs import WHITE, board, in_hand, pieces


@st.composite
def stocks(draw: st.DrawFn, longest: int) -> tuple[Stock, ...]:
    """Draw one board without limit that holds everything, and perhaps others."""
    priced = draw(st.booleans())
    price = st.integers(1, 30).map(str) if priced else st.none()
    found = [board(longest, draw(price))]
    for length in draw(st.lists(st.integers(4, longest + 4), max_size=2, unique=True)):
        kind = draw(st.sampled_from(["free", "few", "in hand"]))
        if kind == "in hand":
            found.append(in_hand(length, draw(st.integers(1, 2))))
        elif length != longest:
            count = draw(st.integers(1, 2)) if kind == "few" else None
            found.append(board(length, draw(price), count))
    return tuple(found)


@st.composite
def runs(draw: st.DrawFn, name: str) -> Run:
    """Draw a run that two to four boards of 12 divide, under random joint rules."""
    length = draw(st.integers(8, 26))
    supports = draw(
        st.one_of(
            st.none(),
            st.builds(Supports, st.integers(1, 5), st.integers(0, 3)),
        )
    )
    apexes = draw(st.lists(st.integers(1, length - 1), max_size=1))
    return Run(
        id=name,
        length_mm=length,
        material=WHITE,
        supports=supports,
        apexes_mm=tuple(apexes),
        avoid_mm=tuple(draw(st.lists(st.integers(0, length), max_size=1))),
        clearance_mm=draw(st.integers(0, 2)),
        min_piece_mm=draw(st.integers(1, 3)),
        gap_mm=draw(st.integers(0, 1)),
    )


@st.composite
def tiny_jobs(draw: st.DrawFn, most_runs: int = 1) -> Problem:
    """Draw a job that can be tried out exhaustively: boards of about 12 units."""
    wanted = draw(st.lists(st.integers(1, 10), min_size=1, max_size=5))
    count = draw(st.integers(0, most_runs))
    return Problem(
        stocks=draw(stocks(14)),
        pieces=pieces(wanted),
        runs=tuple(draw(runs(f"r{i}")) for i in range(count)),
        saw=Saw(draw(st.integers(0, 1)), draw(st.integers(0, 1))),
        keep_mm=draw(st.integers(1, 6)),
        joint_step_mm=1,
    )


@st.composite
def scarce_jobs(draw: st.DrawFn) -> Problem:
    """Draw a job whose boards are all counted, so that they may not suffice."""
    lengths = draw(st.lists(st.integers(6, 14), min_size=1, max_size=3, unique=True))
    longest = max(lengths)
    wanted = draw(st.lists(st.integers(1, longest), max_size=2))
    run = Run(
        id="r0",
        length_mm=draw(st.integers(6, 18)),
        material=WHITE,
        supports=Supports(draw(st.integers(3, 5)), draw(st.integers(0, 3))),
        min_piece_mm=draw(st.integers(1, 2)),
    )
    return Problem(
        stocks=tuple(board(n, count=draw(st.integers(1, 2))) for n in lengths),
        pieces=pieces(wanted),
        runs=(run,),
        saw=Saw(draw(st.integers(0, 1)), 0),
        joint_step_mm=1,
    )


@st.composite
def house_jobs(draw: st.DrawFn) -> Problem:
    """Draw a dozen pieces in millimetres with one or two board lengths."""
    wanted = draw(st.lists(st.integers(200, 4900), min_size=1, max_size=12))
    lengths = draw(st.sampled_from([(5000,), (5000, 4000), (6000, 4900, 3600)]))
    return Problem(
        stocks=tuple(map(board, lengths)),
        pieces=pieces(wanted),
        saw=Saw(draw(st.integers(0, 4)), 0),
    )

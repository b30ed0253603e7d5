"""Whatever happens to a file's bytes: a picture or one clear refusal."""

from datetime import timedelta
from functools import cache

import numpy as np
import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from calibration.errors import UnreadablePhoto
from calibration.photo import focal_prior, load_upright, read_header
from tests.calibration.photo.files import FORMATS, camera_exif, encode, scene, write

EACH = timedelta(seconds=2)  # a user waits that long without wondering

positions = st.floats(0, 1, exclude_max=True)
kept = st.one_of(st.just(1.0), positions)
edits = st.lists(st.tuples(positions, st.binary(min_size=1, max_size=4)), max_size=8)


@cache
def original(kind: str) -> bytes:
    return encode(scene(), kind, camera_exif(orientation=6))


def changed(
    data: bytes, overwritten: list[tuple[float, bytes]], keep: float, inserted: bytes
) -> bytes:
    """Overwrite some bytes, insert some in the middle and drop the end."""
    mutant = bytearray(data)
    for place, new in overwritten:
        at = int(place * len(mutant))
        mutant[at : at + len(new)] = new
    middle = len(mutant) // 2
    mutant[middle:middle] = inserted
    return bytes(mutant[: round(keep * len(mutant))])


@pytest.mark.parametrize("kind", FORMATS)
@settings(
    deadline=EACH,
    max_examples=60,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(
    overwritten=edits,
    keep=st.one_of(st.just(1.0), positions),
    inserted=st.binary(max_size=9),
)
@example(overwritten=[], keep=1.0, inserted=b"")
def test_a_changed_file_is_read_or_refused(kind, tmp_path, overwritten, keep, inserted):
    """No other error, no endless work, and the two readers agree about the size."""
    data = changed(original(kind), overwritten, keep, inserted)
    path = write(tmp_path, data)
    try:
        header = read_header(path)
        pixels = load_upright(path)
    except UnreadablePhoto as refusal:
        assert str(refusal).startswith("photo.bin: ")  # noqa: PT017 - either way is right
        return

    assert pixels.shape == (*header.upright_size_px[::-1], 3)
    prior = focal_prior(header)
    assert prior is None or np.isfinite(prior.sd_px)


@pytest.mark.parametrize("kind", FORMATS)
def test_the_unchanged_file_is_read(kind, tmp_path):
    """The test above would be empty if everything were refused."""
    path = write(tmp_path, original(kind))

    assert load_upright(path).shape[2] == 3


@settings(deadline=EACH)
@given(data=st.binary(max_size=400))
@pytest.mark.parametrize(
    "mark",
    [b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"RIFF\x60\x00\x00\x00WEBP", b"II*\x00",
     b"MM\x00*", b"\x00\x00\x00\x18ftypheic"],
)  # fmt: skip
def test_a_mark_before_noise_is_refused(mark, tmp_path_factory, data):
    """Random bytes behind a format's mark are no picture."""
    path = write(tmp_path_factory.getbasetemp(), mark + data)

    with pytest.raises(UnreadablePhoto):
        load_upright(path)

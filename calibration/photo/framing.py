"""Which part of the camera's own frame a picture shows.

A focal length in EXIF belongs to the frame the lens filled.  The picture may since have
been made smaller, which changes nothing but the number of pixels, or cut, which keeps
the focal length in pixels but moves the principal point and shortens the diagonal.
"""

import math
from dataclasses import dataclass

JPEG_BLOCK_PX = 16
"""Lossless turning and cutting may drop a part of one block at an edge."""

SENSOR_ASPECTS = (4 / 3, 3 / 2)
"""Shapes that sensors have.  From memory."""

WIDE_ASPECTS = (16 / 9, 2.0, 37 / 18, 13 / 6, 20 / 9)
"""Wide pictures of cameras, cut evenly out of the sensor.  From memory."""

IN_CAMERA_ASPECTS = (1.0, 5 / 4, *WIDE_ASPECTS)
"""Further shapes that cameras offer, cut evenly out of the sensor.  From memory."""

UNCUT_ASPECTS = (*SENSOR_ASPECTS, *WIDE_ASPECTS)
"""Shapes that a picture without camera data may have had from the camera.  A square or
5:4 is more often cut by a person or a program.  Common practice, no source."""

CUT_SHARE = 0.08
"""Standard deviation of the middle of a picture that a person cut, of each side: what is
left is six to ten tenths of a side, lying anywhere.  Common practice, no source."""

CUT_LOG_SD = 0.15
"""Standard deviation of the logarithm of what is left of the diagonal: uniform from six to
ten tenths."""

_ASPECT_TOLERANCE = 0.01  # 4608 x 3456, 4640 x 3472 and their like all count as 4:3
_UNIFORM = 1 / (2 * math.sqrt(3))  # standard deviation of a uniform value per width

_PROBABLY_CUT = (
    "The picture has a shape that no camera offers and has probably been cut; use the "
    "uncut original."
)

Pair = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Framing:
    """The camera's frame in pixels of the picture.

    Attributes
    ----------
    frame_px : tuple of float
        Width and height of the whole frame, in the picture's own pixels; geometric mean
        where two readings are possible.
    log_sd : float
        Standard deviation of the logarithm of ``frame_px``.
    centre_sd_px : tuple of float
        Standard deviation of the frame's centre about the picture's, x and y.
    advice : tuple of str
        Sentences for the user.
    """

    frame_px: Pair
    log_sd: float = 0.0
    centre_sd_px: Pair = (0.0, 0.0)
    advice: tuple[str, ...] = ()


def find_framing(size_px: Pair, exif_size_px: Pair | None) -> Framing:
    """Compare a picture's size with the size its EXIF block remembers.

    Parameters
    ----------
    size_px : tuple of float
        Width and height of the picture.
    exif_size_px : tuple of float or None
        Width and height in EXIF, in the same turn as `size_px`; also tried the other
        way round, because programs turn pictures and forget the tags.

    Returns
    -------
    Framing
        Full frame when EXIF is silent or the shape is the same; otherwise a cut.
    """
    if exif_size_px is None:
        return Framing(size_px)
    frames = (exif_size_px, (exif_size_px[1], exif_size_px[0]))
    if any(_same_shape(size_px, frame) for frame in frames):
        return Framing(size_px, advice=_resized(size_px, exif_size_px))
    for frame in frames:
        if _cut_without_resizing(size_px, frame):
            return _cut(size_px, frame)
    return _cut_and_perhaps_resized(size_px, frames[0])


def sensor_spread(frame_px: Pair) -> Framing:
    """Say how a frame whose shape is no sensor's may lie on its sensor.

    A camera set to 16:9 uses a part of a 4:3 sensor, and cameras differ in whether the
    35-mm equivalent they write is for the part or for the whole.

    Parameters
    ----------
    frame_px : tuple of float
        Width and height of the camera's frame.

    Returns
    -------
    Framing
        `frame_px` itself for the shapes of :data:`SENSOR_ASPECTS`; otherwise the mean
        of it and the 4:3 frame around it, with half their distance.  For shapes that
        no camera offers the centre is uncertain too, and the frame by more: somebody
        cut those, perhaps at all sides.
    """
    if _is_one_of(frame_px, SENSOR_ASPECTS):
        return Framing(frame_px)
    whole = _four_by_three_around(frame_px)
    half = math.log(math.hypot(*whole) / math.hypot(*frame_px)) / 2
    scaled = frame_px[0] * math.exp(half), frame_px[1] * math.exp(half)
    if _is_one_of(frame_px, IN_CAMERA_ASPECTS):
        advice = (
            "The picture's shape is no sensor's; its focal length may be meant for the "
            "whole sensor."
        )
        return Framing(scaled, half, advice=(advice,))
    return Framing(
        scaled, math.hypot(half, CUT_LOG_SD), _cut_play(frame_px), (_PROBABLY_CUT,)
    )


def unknown_framing(size_px: Pair) -> Framing:
    """Say what the shape alone tells of a picture without camera data.

    Parameters
    ----------
    size_px : tuple of float
        Width and height of the picture.

    Returns
    -------
    Framing
        The picture itself.  Its centre is uncertain, in both directions, if cameras
        offer no such shape: a cut to that shape may have taken more than it needs.
    """
    if _is_one_of(size_px, UNCUT_ASPECTS):
        return Framing(size_px)
    return Framing(size_px, centre_sd_px=_cut_play(size_px), advice=(_PROBABLY_CUT,))


def _cut(size: Pair, frame: Pair) -> Framing:
    advice = (
        f"The picture was cut out of one of {frame[0]:.0f} x {frame[1]:.0f} pixels; "
        "where is not known, so use the uncut original."
    )
    return Framing(frame, 0.0, _play(frame, size), (advice,))


def _cut_and_perhaps_resized(size: Pair, frame: Pair) -> Framing:
    """Return the mean of "only cut" and "cut as little as possible, then resized"."""
    scale = max(size[0] / frame[0], size[1] / frame[1])
    resized = frame[0] * scale, frame[1] * scale
    mean = frame[0] * math.sqrt(scale), frame[1] * math.sqrt(scale)
    plays = _play(frame, size), _play(resized, size)
    advice = (
        f"The picture was cut out of one of {frame[0]:.0f} x {frame[1]:.0f} pixels and "
        "perhaps resized; its focal length is hardly known, so use the uncut original."
    )
    play = max(p[0] for p in plays), max(p[1] for p in plays)
    return Framing(mean, abs(math.log(scale)) / 2, play, (advice,))


def _resized(size: Pair, exif_size: Pair) -> tuple[str, ...]:
    if max(size) == max(exif_size):
        return ()
    advice = (
        "The picture has been resized since it was taken; if it was cut to the same "
        "shape instead, its focal length is wrong."
    )
    return (advice,)


def _play(outer: Pair, inner: Pair) -> Pair:
    """Return the standard deviation of a window anywhere in a frame."""
    x, y = (abs(o - i) * _UNIFORM for o, i in zip(outer, inner, strict=True))
    return x, y


def _cut_play(size: Pair) -> Pair:
    """Return the spread of the centre of a picture that was cut to its odd shape."""
    least = _play(_four_by_three_around(size), size)
    if size[0] == size[1]:  # out of a frame that lay or stood
        least = (max(least),) * 2
    x, y = (max(play, CUT_SHARE * side) for play, side in zip(least, size, strict=True))
    return x, y


def _same_shape(size: Pair, frame: Pair) -> bool:
    """Tell whether rounding both sides to whole pixels explains the difference."""
    difference = abs(math.log(size[0] * frame[1] / (size[1] * frame[0])))
    return difference <= 1 / size[0] + 1 / size[1]


def _cut_without_resizing(size: Pair, frame: Pair) -> bool:
    gaps = frame[0] - size[0], frame[1] - size[1]
    return min(gaps) >= 0 and min(gaps) <= JPEG_BLOCK_PX


def _is_one_of(frame: Pair, aspects: tuple[float, ...]) -> bool:
    aspect = max(frame) / min(frame)
    return any(abs(aspect / a - 1) <= _ASPECT_TOLERANCE for a in aspects)


def _four_by_three_around(frame: Pair) -> Pair:
    long, short = max(frame), min(frame)
    long, short = max(long, short * 4 / 3), max(short, long * 3 / 4)
    return (long, short) if frame[0] >= frame[1] else (short, long)

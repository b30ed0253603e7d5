"""What a phone does to light: lens, blur, noise, tone curve, sharpening, JPEG, EXIF."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from PIL import ExifTags, Image
from scipy.ndimage import gaussian_filter, map_coordinates

from sample_images.scenes.views import EQUIVALENT_MM, View

if TYPE_CHECKING:
    from pathlib import Path

    from numpy.typing import NDArray

    from sample_images.scenes.camera import Camera

    Picture = NDArray[np.float32]

BLUR_SIGMA_PX = 0.45  # optics and demosaicing together
SHOT_NOISE = 0.010  # of full scale at full scale
READ_NOISE = 0.0016
SHARPEN_SIGMA_PX = 1.1
SHARPEN_AMOUNT = 0.55
KEY = 0.150  # middle grey that the automatic exposure aims at: whites not burnt out
REAL_FOCAL_MM = 5.6
LUMINANCE = np.array([0.2126, 0.7152, 0.0722], dtype=np.float32)


def through_lens(wide: Picture, camera: Camera, focal_wide_px: float) -> Picture:
    """Re-sample a wide pinhole picture into what the distorting lens sees.

    Cubic splines keep edges in place to a thousandth of a pixel; the usual
    convolution kernels on a 1/32 px grid would move them by up to 0.05 px.
    """
    width, height = camera.size_px
    x = (np.arange(width) - camera.principal_px[0]) / camera.focal_px
    y = (np.arange(height) - camera.principal_px[1]) / camera.focal_px
    ideal = camera.undistort(np.stack(np.meshgrid(x, y), axis=-1))
    middle = (np.array(wide.shape[1::-1]) - 1.0) / 2.0
    source = ideal * focal_wide_px + middle
    rows_columns = np.stack([source[..., 1], source[..., 0]]).astype(np.float32)
    # The spline rings at a sun glint: compress the range before, undo it after.
    compressed = np.log1p(wide)
    channels = [
        map_coordinates(compressed[..., c], rows_columns, order=3, mode="nearest")
        for c in range(3)
    ]
    return np.expm1(np.stack(channels, axis=-1)).clip(0.0, None)


def expose(linear: Picture) -> Picture:
    """Scale to the middle grey as an automatic exposure does, with some vignetting."""
    height, width = linear.shape[:2]
    y, x = np.ogrid[:height, :width]
    r2 = ((x - width / 2) ** 2 + (y - height / 2) ** 2) / (width**2 + height**2) * 4.0
    dimmed = linear * (1.0 - 0.13 * r2).astype(np.float32)[..., None]
    level = np.exp(np.mean(np.log(dimmed @ LUMINANCE + 1e-3)))
    return (dimmed * (KEY / level)).astype(np.float32)


def add_noise(linear: Picture, rng: np.random.Generator) -> Picture:
    """Blur as optics do, then add photon and read-out noise."""
    soft = gaussian_filter(linear, (BLUR_SIGMA_PX, BLUR_SIGMA_PX, 0.0))
    sigma = np.sqrt(SHOT_NOISE**2 * soft + READ_NOISE**2)
    noise = rng.standard_normal(soft.shape, dtype=np.float32)
    return (soft + sigma * noise).clip(0.0, None)


def develop(linear: Picture) -> Picture:
    """Turn linear light into display values in [0, 1] and sharpen them.

    The curve is the well-known rational fit to a film response (Narkowicz, 2015).
    """
    x = 0.82 * linear
    film = x * (2.51 * x + 0.03) / (x * (2.43 * x + 0.59) + 0.14)
    film = film.clip(0.0, 1.0)
    shown = np.where(film < 0.0031308, 12.92 * film, 1.055 * film ** (1 / 2.4) - 0.055)
    soft = gaussian_filter(shown, (SHARPEN_SIGMA_PX, SHARPEN_SIGMA_PX, 0.0))
    return (shown + SHARPEN_AMOUNT * (shown - soft)).clip(0.0, 1.0)


def exif(view: View) -> Image.Exif:
    """Return the EXIF of the demo phone: focal length, time, orientation, no place."""
    tags = Image.Exif()
    base, names = ExifTags.Base, ExifTags.IFD
    tags[base.Make] = "Demo"
    tags[base.Model] = "Demo phone"
    tags[base.Orientation] = 1
    tags[base.DateTime] = view.taken
    tags[base.Software] = "invented scene, rendered"
    details = tags.get_ifd(names.Exif)
    details[base.DateTimeOriginal] = view.taken
    details[base.FocalLength] = REAL_FOCAL_MM
    details[base.FocalLengthIn35mmFilm] = round(EQUIVALENT_MM)
    details[base.ExifImageWidth], details[base.ExifImageHeight] = view.camera.size_px
    return tags


def finish(view: View, wide: Picture, focal_wide_px: float, scale: float) -> Image.Image:
    """Return the finished picture of a view, before it is compressed."""
    sensor = view.camera.scaled(view.sensor_scale * scale)
    rng = np.random.default_rng([101, len(view.name)])
    linear = expose(through_lens(wide, sensor, focal_wide_px))
    shown = develop(add_noise(linear, rng))
    picture = Image.fromarray((shown * 255.0 + 0.5).astype(np.uint8))
    if view.sensor_scale == 1.0:
        return picture
    final = view.camera.scaled(scale).size_px
    return picture.resize(final, Image.Resampling.LANCZOS)


def save(view: View, picture: Image.Image, path: Path) -> None:
    """Write the JPEG; a view without a date is stripped of all EXIF."""
    if view.taken:
        picture.save(path, quality=view.quality, subsampling="4:2:0", exif=exif(view))
    else:
        picture.save(path, quality=view.quality, subsampling="4:2:0")


def at_scale(view: View, scale: float) -> View:
    """Return the view with a smaller camera, for previews."""
    return replace(view, camera=view.camera.scaled(scale))

"""What a phone does to light: blur, noise, tone, sharpening, compression, header."""

from dataclasses import dataclass, replace
from io import BytesIO

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import ExifTags, Image

from tests.pictures.cast import Texels

Rgb8 = NDArray[np.uint8]

_SENSOR_35MM = 43.2666


@dataclass(frozen=True, kw_only=True)
class Finish:
    """A phone and what became of its file.

    Attributes
    ----------
    blur_px : float
        Standard deviation of the lens blur.
    motion_px : tuple of float
        Right and down that the camera moved during exposure.
    shot, read : float
        Noise at full white and in the dark, parts of white.
    exposure : float
    sharpen : float
        Strength of the unsharp mask.
    saturation : float
    quality : int
        JPEG quality; 0 leaves the picture uncompressed.
    orientation : int
        EXIF orientation of the stored file: 1, 3, 6 or 8.
    exif : bool
        Whether the file has a header; a messenger strips it.
    curve : bool
        Whether shown values follow the tone curve; without it they are linear light.
    """

    blur_px: float = 0.55
    motion_px: tuple[float, float] = (0.0, 0.0)
    shot: float = 0.012
    read: float = 0.003
    exposure: float = 1.0
    sharpen: float = 0.35
    saturation: float = 0.95
    quality: int = 88
    orientation: int = 1
    exif: bool = True
    curve: bool = True


CLEAN = Finish(
    blur_px=0.5, shot=0.0, read=0.0, sharpen=0.0, saturation=1.0, quality=0, exif=False
)
"""No noise, no sharpening, no compression: what the scene itself looks like."""

LINEAR = replace(CLEAN, curve=False)
"""The same in linear light, where a blurred edge is steepest exactly on the edge."""

MESSENGER = Finish(blur_px=0.6, shot=0.02, read=0.006, sharpen=0.8, quality=72, exif=False)
"""Shrunk, sharpened, squeezed and without a header."""


def develop(light: Texels, finish: Finish, rng: np.random.Generator) -> Rgb8:
    """Return the picture, (H, W, 3) uint8, of linear light (H, W, 3)."""
    light = _blurred(light, finish) * np.float32(finish.exposure)
    if finish.shot or finish.read:
        sd = np.sqrt(finish.shot**2 * np.maximum(light, 0.0) + finish.read**2)
        light = light + sd * rng.standard_normal(light.shape, dtype=np.float32)
    if finish.saturation != 1.0:
        grey = light @ np.array([0.2126, 0.7152, 0.0722], dtype=np.float32)
        light = grey[..., None] + np.float32(finish.saturation) * (light - grey[..., None])
    shown = _tone(light) if finish.curve else light
    if finish.sharpen:
        soft = cv2.GaussianBlur(shown, (0, 0), 1.2)
        shown = shown + np.float32(finish.sharpen) * (shown - soft)
    picture = (np.clip(shown, 0.0, 1.0) * 255.0 + 0.5).astype(np.uint8)
    if finish.quality:
        return decode(encode(picture, finish, {}))
    return picture


def _blurred(light: Texels, finish: Finish) -> Texels:
    """Blur by the lens and by the hand."""
    if finish.blur_px > 0.0:
        light = cv2.GaussianBlur(light, (0, 0), finish.blur_px)
    length = float(np.hypot(*finish.motion_px))
    if length < 0.3:
        return light
    size = 2 * int(np.ceil(length)) + 3
    kernel = np.zeros((size, size), dtype=np.float32)
    middle = size // 2
    for share in np.linspace(-0.5, 0.5, 41):
        x, y = middle + share * np.array(finish.motion_px)
        c, r = int(np.floor(x)), int(np.floor(y))
        right, down = x - c, y - r
        kernel[r : r + 2, c : c + 2] += np.outer([1 - down, down], [1 - right, right])
    return cv2.filter2D(light, -1, kernel / kernel.sum(), borderType=cv2.BORDER_REFLECT)


_TONE_STEPS = 8192
"""Table entries a unit of linear light: half a step is a fifth of a grey level."""


def _tone(light: Texels) -> Texels:
    """Turn linear light into shown values: a soft shoulder, then sRGB's curve."""
    table = (np.arange(2 * _TONE_STEPS) + 0.5) / _TONE_STEPS
    soft = np.where(table > 0.8, 1.0 - 0.2 * np.exp(-(table - 0.8) / 0.2), table)
    curve = np.where(soft <= 0.0031308, 12.92 * soft, 1.055 * soft ** (1 / 2.4) - 0.055)
    index = np.clip(light * np.float32(_TONE_STEPS), 0.0, 2.0 * _TONE_STEPS - 1.0)
    return curve.astype(np.float32)[index.astype(np.int32)]


_TURNS = {1: None, 3: Image.Transpose.ROTATE_180, 6: Image.Transpose.ROTATE_90}
_TURNS[8] = Image.Transpose.ROTATE_270
"""How upright pixels are turned before a file of each orientation stores them."""


def encode(picture: Rgb8, finish: Finish, header: dict[str, float]) -> bytes:
    """Return JPEG bytes, turned as the orientation says, with or without a header."""
    image = Image.fromarray(picture)
    turn = _TURNS[finish.orientation] if header else None
    if turn is not None:
        image = image.transpose(turn)
    stream = BytesIO()
    options = {"quality": finish.quality or 95, "subsampling": "4:2:0"}
    if header:
        options["exif"] = _exif(header, image.size)
    image.save(stream, "JPEG", **options)
    return stream.getvalue()


def decode(data: bytes) -> Rgb8:
    """Return the pixels of a file as stored."""
    with Image.open(BytesIO(data)) as opened:
        return np.asarray(opened.convert("RGB"))


def _exif(header: dict[str, float], size: tuple[int, int]) -> Image.Exif:
    """Return a phone's header without any place."""
    tags = Image.Exif()
    base = ExifTags.Base
    tags[base.Make] = "Demo"
    tags[base.Model] = "Demo phone"
    tags[base.Orientation] = int(header["orientation"])
    tags[base.Software] = "invented scene, drawn"
    details = tags.get_ifd(ExifTags.IFD.Exif)
    details[base.FocalLength] = float(header["focal_mm"])
    if header.get("focal_35mm"):
        details[base.FocalLengthIn35mmFilm] = round(header["focal_35mm"])
    details[base.ExifImageWidth], details[base.ExifImageHeight] = size
    return tags

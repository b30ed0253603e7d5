"""The header of a picture file: everything but its pixels."""

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from calibration.photo.exif import Tag, Tags, read_exif, read_exif_of
from calibration.photo.lens import LensFacts, lens_facts
from calibration.photo.sniff import examine
from calibration.photo.source import ByteSource, open_source
from calibration.photo.structure import PhotoFormat

if TYPE_CHECKING:
    from PIL.ImageFile import ImageFile

_UPRIGHT = 1
_NOTHING: tuple[str, ...] = ()
_SIDEWAYS = (5, 6, 7, 8)
_PANORAMA_ASPECT = 2.5  # phones end at 20:9 = 2.22; common practice, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoHeader:
    """What is known of a photo before its pixels are decoded.

    Attributes
    ----------
    path : Path
        As given.
    format : PhotoFormat
        By content.
    stored_size_px : tuple of int
        Width and height as the decoder delivers them.
    orientation : int
        EXIF orientation still to be applied to the decoded pixels, 1 to 8.  Always 1
        for HEIC, whose decoder turns the picture itself.
    lens : LensFacts
        Believable EXIF facts.
    advice : tuple of str
        Sentences about what was ignored and what looks odd.
    """

    path: Path
    format: PhotoFormat
    stored_size_px: tuple[int, int]
    orientation: int
    lens: LensFacts
    advice: tuple[str, ...]

    @property
    def sideways(self) -> bool:
        """Whether turning the picture upright swaps width and height."""
        return self.orientation in _SIDEWAYS

    @property
    def upright_size_px(self) -> tuple[int, int]:
        """Width and height of the upright picture."""
        width, height = self.stored_size_px
        return (height, width) if self.sideways else (width, height)


def read_header(path: Path | str) -> PhotoHeader:
    """Read and check a picture file's header.

    Parameters
    ----------
    path : Path or str
        A JPEG, PNG, WEBP, TIFF or HEIC file.

    Returns
    -------
    PhotoHeader
        Of a file that is whole and within the limits.

    Raises
    ------
    UnreadablePhoto
        If the file is missing, of another kind, cut off, damaged or too large.
    """
    path = Path(path)
    with open_source(path) as source:
        return open_photo(source, path)[0]


def open_photo(source: ByteSource, path: Path) -> tuple[PhotoHeader, "ImageFile"]:
    """Check a file twice, by its structure and by its decoder's header reading.

    Parameters
    ----------
    source : ByteSource
        From :func:`calibration.photo.source.open_source`.
    path : Path
        For the header.

    Returns
    -------
    header : PhotoHeader
        What both agree on.
    picture : PIL.ImageFile.ImageFile
        Not yet decoded.

    Raises
    ------
    UnreadablePhoto
        If either refuses or they disagree.
    """
    structure = examine(source)
    # The decoder's library waits until a file has passed the cheap checks.
    from calibration.photo.decoder import open_picture

    picture = open_picture(source, structure)
    if structure.format is PhotoFormat.HEIC:
        size, block = picture.size, picture.info.get("exif") or b""
        tags, advice = read_exif(block.removeprefix(b"Exif\x00\x00"))
        orientation, odd = _UPRIGHT, _NOTHING
    else:
        size = structure.size_px
        is_tiff = structure.format is PhotoFormat.TIFF
        tags, advice = read_exif_of(source) if is_tiff else read_exif(structure.exif)
        orientation, odd = _orientation(tags)
    lens, ignored = lens_facts(tags)
    header = PhotoHeader(
        path=path,
        format=structure.format,
        stored_size_px=size,
        orientation=orientation,
        lens=lens,
        advice=(*advice, *odd, *ignored, *_panorama(size)),
    )
    return header, picture


def _orientation(tags: Tags) -> tuple[int, tuple[str, ...]]:
    """Return the orientation; a damaged tag does not stop the work."""
    value = tags.get(Tag.ORIENTATION, _UPRIGHT)
    if value in range(1, 9):
        return int(value), ()
    advice = (
        f"The file's orientation tag says {value!r} instead of 1 to 8; the picture is "
        "taken as it is stored, so check that it stands upright."
    )
    return _UPRIGHT, (advice,)


def _panorama(size: tuple[int, int]) -> tuple[str, ...]:
    if max(size) <= _PANORAMA_ASPECT * min(size):
        return ()
    advice = (
        "The picture is as long as stitched panoramas are; a stitched picture has no "
        "single viewpoint and cannot be measured."
    )
    return (advice,)

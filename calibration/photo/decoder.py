"""The only place that hands a file to a decoder.

The decoders' classes are used directly instead of ``Image.open``, which would try every
format there is and has a pixel limit of its own that big phone sensors exceed.
"""

import struct
import zlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import BinaryIO

from PIL import Image, ImageFile, JpegImagePlugin

from calibration.photo.source import SAVE_AS_JPEG, SIZE_ENTRY, ByteSource
from calibration.photo.structure import PhotoFormat, Structure

DECODER_ERRORS = (
    OSError,  # data end early or are broken
    SyntaxError,  # Pillow's "not this format"
    EOFError,
    ValueError,
    TypeError,
    LookupError,
    ArithmeticError,
    AttributeError,
    RuntimeError,  # libheif
    Warning,  # where a caller turns warnings into errors
    struct.error,
    zlib.error,
    Image.DecompressionBombError,
)
"""What decoders were seen, or are documented, to raise on broken files."""


class _UnturnedJpeg(JpegImagePlugin.JpegImageFile):
    """A JPEG whose EXIF block stays unread; this package reads it within bounds."""

    def _read_dpi_from_exif(self) -> None:  # Python 3.12
        """Read nothing: print resolution is of no use here."""


def open_picture(source: ByteSource, structure: Structure) -> ImageFile.ImageFile:
    """Let the decoder read the header.

    Parameters
    ----------
    source : ByteSource
        A file that passed :func:`calibration.photo.sniff.examine`.
    structure : Structure
        The result of that.

    Returns
    -------
    PIL.ImageFile.ImageFile
        Pixels not yet decoded; reads from `source`.

    Raises
    ------
    UnreadablePhoto
        If the decoder refuses the file or sees another size.
    """
    source.file.seek(0)
    with decoding(source):
        picture = _OPENERS[structure.format](source)
    if structure.format is PhotoFormat.HEIC:  # its size is known after its own turns
        same = picture.size[0] * picture.size[1] <= _area(structure)
    else:
        same = picture.size == structure.size_px
    if not same:
        raise source.damaged(SIZE_ENTRY)
    return picture


@contextmanager
def decoding(source: ByteSource) -> Iterator[None]:
    """Turn whatever a decoder raises into one sentence.

    Parameters
    ----------
    source : ByteSource
        Names the file.

    Yields
    ------
    None
        The decoder runs in the block.

    Raises
    ------
    UnreadablePhoto
        If it raised anything.
    """
    try:
        yield
    except MemoryError as error:
        what = "there is not enough memory for this picture"
        raise source.refusal(what, "save a smaller copy") from error
    except DECODER_ERRORS as error:
        what = "the picture data are damaged or of an unusual kind"
        raise source.refusal(what, SAVE_AS_JPEG) from error


def _area(structure: Structure) -> int:
    return structure.size_px[0] * structure.size_px[1]


def _open_jpeg(source: ByteSource) -> ImageFile.ImageFile:
    return _UnturnedJpeg(source.file)


def _open_png(source: ByteSource) -> ImageFile.ImageFile:
    from PIL.PngImagePlugin import PngImageFile

    return PngImageFile(source.file)


def _open_webp(source: ByteSource) -> ImageFile.ImageFile:
    from PIL.WebPImagePlugin import WebPImageFile

    return WebPImageFile(source.file)


def _open_tiff(source: ByteSource) -> ImageFile.ImageFile:
    from calibration.photo.unturned_tiff import UnturnedTiff

    return UnturnedTiff(source.file)


def _open_heic(source: ByteSource) -> ImageFile.ImageFile:
    from pillow_heif import HeifImageFile

    opener: Callable[[BinaryIO], ImageFile.ImageFile] = HeifImageFile
    return opener(source.file)


_OPENERS = {
    PhotoFormat.JPEG: _open_jpeg,
    PhotoFormat.PNG: _open_png,
    PhotoFormat.WEBP: _open_webp,
    PhotoFormat.TIFF: _open_tiff,
    PhotoFormat.HEIC: _open_heic,
}

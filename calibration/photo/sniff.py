"""Tell the format of a file by its first bytes, never by its name."""

from calibration.photo.heic import BRANDS, scan_heic
from calibration.photo.jpeg import scan_jpeg
from calibration.photo.png import scan_png
from calibration.photo.source import SAVE_AS_JPEG, ByteSource
from calibration.photo.structure import PhotoFormat, Structure
from calibration.photo.tiff import scan_tiff
from calibration.photo.webp import scan_webp

_LONGEST_MARK = 12
_STRANGERS = (
    (b"GIF8", "a GIF picture"),
    (b"BM", "a BMP picture"),
    (b"%PDF", "a PDF document"),
    (b"%!PS", "a PostScript document"),
    (b"8BPS", "a layered picture document"),
    (b"II+\x00", "a TIFF of the large kind"),
    (b"MM\x00+", "a TIFF of the large kind"),
    (b"<", "a web page or a drawing"),
)
_READ = ", ".join(PhotoFormat)


def examine(source: ByteSource) -> Structure:
    """Recognise and check a picture file without decoding anything.

    Parameters
    ----------
    source : ByteSource
        Any file.

    Returns
    -------
    Structure
        Of one of the formats that are read.

    Raises
    ------
    UnreadablePhoto
        If the file is no such picture, cut off, damaged or too large.
    """
    mark = source.read(0, min(_LONGEST_MARK, source.size))
    if mark.startswith(b"\xff\xd8\xff"):
        return scan_jpeg(source)
    if mark.startswith(b"\x89PNG\r\n\x1a\n"):
        return scan_png(source)
    if mark.startswith(b"RIFF") and mark[8:] == b"WEBP":
        return scan_webp(source)
    if mark.startswith((b"II*\x00", b"MM\x00*")):
        return scan_tiff(source)
    if mark[4:8] == b"ftyp" and mark[8:] in BRANDS:
        return scan_heic(source)
    what = f"{_stranger(mark)}; {_READ} are read"
    raise source.refusal(what, SAVE_AS_JPEG)


def _stranger(mark: bytes) -> str:
    if mark[4:8] == b"ftyp":
        kind = "an AVIF picture" if mark[8:11] == b"avi" else "a film"
        return f"this is {kind}"
    for start, kind in _STRANGERS:
        if mark.startswith(start):
            return f"this is {kind}"
    return "this is not a picture"

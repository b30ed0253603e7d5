"""What a picture may cost before it is refused.

A photo is somebody else's file.  Every limit here is checked before a decoder runs, so
that time and memory are bounded by these numbers and not by what the file claims.
"""

MAX_FILE_BYTES = 512 * 1024 * 1024
"""A 48-megapixel TIFF of 16 bits takes 288 MB; no phone writes more."""

MAX_PIXELS = 200_000_000
"""The largest phone sensors give 199.8 million pixels."""

MAX_SIDE_PX = 65_500
"""The JPEG library's own limit (``JPEG_MAX_DIMENSION``)."""

HARMLESS_PIXELS = 20_000_000
"""Below this a flat picture may be packed as tightly as it likes: it costs 60 MB."""

MAX_PIXELS_PER_BYTE = 2_000
"""Above :data:`HARMLESS_PIXELS` only bombs are packed tighter.

A photograph has 2 to 20 pixels a byte, a flat white PNG of three colours 343 and of
one grey 1030 (the ceiling of deflate).
"""

MAX_PARTS = 100_000
"""Segments, chunks or boxes walked through.

A 200-megapixel PNG cut into the usual chunks of 8 kB has 73,000; walking them takes a
fifth of a second.
"""

MAX_PROGRESSIVE_SCANS = 100
"""Passes over the picture in a progressive JPEG; usual encoders write about ten.

Each pass may touch every pixel and yet be a few bytes long in the file.
"""

MAX_DIRECTORY_BYTES = 16 * 1024 * 1024
"""Values of one TIFF directory or one HEIC ``meta`` box: profiles, notes, offsets."""

MAX_DIRECTORY_ENTRIES = 4096
"""Tags of one TIFF directory; cameras write at most two hundred."""

MAX_EXIF_BYTES = 1024 * 1024
"""An EXIF block; JPEG itself cannot hold more than 64 kB."""

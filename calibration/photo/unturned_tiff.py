"""TIFF pictures as they are stored."""

from PIL import TiffImagePlugin


class UnturnedTiff(TiffImagePlugin.TiffImageFile):
    """A TIFF that Pillow neither turns nor searches for further directories.

    Pillow applies the orientation tag to TIFF, and only to TIFF, while decoding; the
    turn would then be made twice.
    """

    def _setup(self) -> None:  # Python 3.12
        """Keep the stored width and height, which Pillow swaps for sideways files."""
        super()._setup()
        self._size = self._tile_size

    def load_end(self) -> None:  # Python 3.12
        """Do nothing after decoding."""

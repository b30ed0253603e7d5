"""Take out of a photo what tells more than measuring needs.

Kept are the picture as it is coded, its colour profile, and of the EXIF block what the
lens needs, the orientation, make and model of the camera and the time. Everything else
goes, because what is not known to be harmless is not: places, serial numbers, owners'
names, makers' notes, thumbnails, comments, second pictures behind the first.
"""

from photomeasure.privacy.clean import cleaned_photo, whole_photo

__all__ = ["cleaned_photo", "whole_photo"]

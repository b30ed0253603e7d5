"""Joints as they were measured on a flattened wall."""

from dataclasses import dataclass

from calibration.arrays import FloatArray, IntArray


@dataclass(frozen=True, slots=True, eq=False)
class Joints:
    """Joints measured along one direction.

    Attributes
    ----------
    uv : (N, 2) float64
        Measured places, courses of the plane that they were measured in.
    number : (N,) float64
        Their count: courses down, or cells along.
    course : (N,) int
        Course of a perpend, joint number of a bed.
    alike : (N,) float64
        Correlation with the usual profile.
    found : float
        Share of the places where joints were sure to be that had one.
    width : float
        Of the usual joint with the picture's blur, courses.
    cell : (N, 2) int
        Joint or course from the top of the raster, and length of it from the left.
    """

    uv: FloatArray
    number: FloatArray
    course: FloatArray
    alike: FloatArray
    found: float
    width: float
    cell: IntArray

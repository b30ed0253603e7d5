"""Checks at the door, so that an object that exists is valid."""

from photomeasure.takeoff.cutting.errors import BadCuttingInput

LONGEST_BOARD_MM = 50_000
"""Far beyond any board; more is a slip of units, and tables grow with it."""


def check_whole(where: str, name: str, value: object, least: int) -> None:
    """Raise unless ``value`` is a whole number not below ``least``."""
    if not isinstance(value, int) or isinstance(value, bool) or value < least:
        raise BadCuttingInput(
            where, f"{name} is {value!r}", f"give a whole number from {least} up"
        )


def check_name(where: str, value: object) -> None:
    """Raise unless ``value`` is a text with something in it."""
    if not isinstance(value, str) or not value.strip():
        raise BadCuttingInput(where, f"the name is {value!r}", "give it a name")


def check_inside(where: str, name: str, positions: tuple[int, ...], end: int) -> None:
    """Raise unless ``positions`` increase strictly and lie within (0, ``end``)."""
    for before, position in zip((0, *positions), positions, strict=False):
        check_whole(where, name, position, 1)
        if position <= before or position >= end:
            raise BadCuttingInput(
                where,
                f"{name} {position} mm is out of place",
                f"give increasing positions between 0 and {end} mm",
            )

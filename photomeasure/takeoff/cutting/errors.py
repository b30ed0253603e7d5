"""What can be wrong with a cutting job, each with its own sentence.

::

    InputError                  (calibration.errors)
      BadCuttingInput           a number or name out of its range
      NoStock                   nothing to cut a material from
      MissingPrice              some boards of a material are priced, this one is not
      PieceTooLong              a whole piece longer than any board
      NoJointAllowed            a run that no allowed set of joints divides
      StockShort                the boards there are do not suffice
    MeasureError
      UnsoundPlan               the plan broke one of its own rules (our mistake)
"""

from calibration.errors import InputError, MeasureError


class BadCuttingInput(InputError):
    """A number or a name of a cutting job is out of its range."""


class NoStock(InputError):
    """No board length is given for a material."""

    def __init__(self, material: str) -> None:
        super().__init__(material, "no board length is given", "add one to the stock")


class MissingPrice(InputError):
    """Some boards of a material have a price and this one has none."""

    def __init__(self, material: str, length_mm: int) -> None:
        super().__init__(
            material,
            f"the {length_mm} mm board has no price while others have one",
            "price every board of the material or none",
        )


class PieceTooLong(InputError):
    """A piece that must stay whole is longer than every board."""

    def __init__(self, piece_id: str, length_mm: int, longest_mm: int) -> None:
        super().__init__(
            piece_id,
            f"{length_mm} mm is longer than the {longest_mm} mm "
            "that the longest board gives",
            "add a longer board or enter it as a run that may be joined",
        )


class NoJointAllowed(InputError):
    """A run that cannot be divided as its joint rules demand."""

    def __init__(self, run_id: str, start_mm: int, end_mm: int) -> None:
        super().__init__(
            run_id,
            f"no allowed joints divide the stretch from {start_mm} to {end_mm} mm",
            "add supports or longer boards, or relax the clearance or shortest piece",
        )


class StockShort(InputError):
    """The boards there are cannot give every piece."""

    def __init__(self, material: str, *, proven: bool) -> None:
        what = (
            "the boards given cannot yield every piece"
            if proven
            else "no way was found in the time given to cut every piece "
            "from the boards given"
        )
        super().__init__(material, what, "add boards")


class UnsoundPlan(MeasureError):
    """A finished plan failed its own check; it must not reach a saw.

    Parameters
    ----------
    faults : tuple of str
        What the check found, one sentence each.
    """

    def __init__(self, faults: tuple[str, ...]) -> None:
        self.faults = faults
        super().__init__("The cutting plan failed its check: " + "; ".join(faults))

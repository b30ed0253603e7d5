"""What is refused on the panels: what, where, and what to do, all from the catalogue."""

from calibration.errors import InputError
from ui.texts import said


def refused(group: str, key: str, why: str, **words: object) -> InputError:
    """Return a refusal of what was typed into a box.

    Parameters
    ----------
    group, key : str
        Text of the box's label.
    why : str
        Text of the group of refusals; what to do has the same name and ``_do``.
    **words : object

    Returns
    -------
    InputError

    Examples
    --------
    >>> str(refused("papers", "number", "too_long"))
    'Number of the paper: is too long; shorten it.'
    """
    what, remedy = (said("refusals", name, **words) for name in (why, f"{why}_do"))
    return InputError(said(group, key), what, remedy)

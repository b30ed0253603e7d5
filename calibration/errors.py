"""Every error this project raises on purpose.

::

    MeasureError              str() is one sentence fit for a user
      InputError              the user can mend it: what, where, what to do
        UnreadablePhoto       the picture cannot be used
        BadReference          a reference or a line contradicts itself or the photo
        UnknownName           a word that is not in a closed list
      EstimationError         the data do not determine the answer: says what to add
        DegenerateGeometry    the references cannot fix the geometry
        AmbiguousViewpoint    two viewpoints fit equally well
        ReferencesDisagree    stated sizes contradict each other grossly
        NotConverged          the adjustment did not settle
        NoBrickwork           the photo shows no brickwork that can be counted
      StorageError            the store could not keep something or give it back
        NotInStore            there is no such job, revision, photo or paper
        JobChangedElsewhere   somebody saved the job since it was read
        StoreTooNew           a newer program wrote the store
        StoreDamaged          what is kept no longer matches its hash
        StoreBusy             another process holds the store
        StoreUnavailable      folder or database cannot be read or written

The command line maps ``InputError`` to exit status 3, ``EstimationError`` to 4 and
``StorageError`` to 5.
"""

from collections.abc import Iterable
from typing import Any


def printable(text: str) -> str:
    r"""Return foreign text on one line, without signs that could steer a terminal.

    Parameters
    ----------
    text : str

    Returns
    -------
    str
        With a space for each control character, direction mark and lone surrogate.

    Examples
    --------
    >>> printable("left\x1b[2J eaves\n")
    'left [2J eaves '
    """
    return "".join(c if c.isprintable() else " " for c in text)


class MeasureError(Exception):
    """Base of all errors raised on purpose; ``str()`` is one line fit for a user."""

    def __init__(self, sentence: str) -> None:
        super().__init__(printable(sentence))

    def __reduce__(self) -> tuple[Any, ...]:
        # An error of another process arrives as it was; by default its class would be
        # called with the sentence alone, and whoever waits for it would wait for ever.
        return _as_it_was, (type(self), self.args, self.__dict__)


def _as_it_was(
    kind: type[MeasureError], args: tuple[Any, ...], state: dict[str, Any]
) -> MeasureError:
    error = kind.__new__(kind)
    error.args = args
    error.__dict__.update(state)
    return error


class InputError(MeasureError):
    """Something the user gave cannot be used.

    Parameters
    ----------
    where : str
        The place, e.g. ``"front: references[2].corners"`` or a file name.
    what : str
        What is wrong there, without a final stop.
    remedy : str
        What to do about it, without a final stop.
    """

    def __init__(self, where: str, what: str, remedy: str) -> None:
        self.where = where
        self.what = what
        self.remedy = remedy
        super().__init__(f"{where}: {what}; {remedy}.")


class UnreadablePhoto(InputError):
    """The picture file is missing, damaged, too large or not a picture."""


class BadReference(InputError):
    """A reference, line or soffit contradicts itself or the photo."""


class UnknownName(InputError):
    """A word outside a closed list."""

    def __init__(self, where: str, name: str, allowed: Iterable[str]) -> None:
        super().__init__(
            where, f"{name!r} is not known", f"use one of {', '.join(sorted(allowed))}"
        )


class EstimationError(MeasureError):
    """The data do not determine the answer.

    Parameters
    ----------
    what : str
        What is not determined, with the numbers, without a final stop.
    remedy : str
        Which further reference would determine it, without a final stop.
    """

    def __init__(self, what: str, remedy: str) -> None:
        self.what = what
        self.remedy = remedy
        super().__init__(f"{what}; {remedy}.")


class DegenerateGeometry(EstimationError):
    """The references leave camera or wall plane free."""


class AmbiguousViewpoint(EstimationError):
    """Two mirrored viewpoints explain the references equally well."""


class ReferencesDisagree(EstimationError):
    """Stated sizes contradict each other so grossly that none can be used."""


class NotConverged(EstimationError):
    """The adjustment did not settle within its iteration limit."""


class NoBrickwork(EstimationError):
    """The photo shows no brickwork that can be counted."""


class StorageError(MeasureError):
    """The store could not keep something or give it back; nothing is half done.

    Parameters
    ----------
    where : str
        Job, photo, folder or database.
    what : str
        What happened, without a final stop.
    remedy : str
        What to do about it, without a final stop.
    """

    def __init__(self, where: str, what: str, remedy: str) -> None:
        self.where = where
        self.what = what
        self.remedy = remedy
        super().__init__(f"{where}: {what}; {remedy}.")


class NotInStore(StorageError):
    """There is no such job, revision, photo or paper."""


class JobChangedElsewhere(StorageError):
    """Somebody saved the job since it was read: saving now would undo their work.

    Parameters
    ----------
    where : str
        The job.
    base, latest : int
        Revision that was read, and the one that is now the last.
    who : str
        Who saved the last one.
    """

    def __init__(self, where: str, base: int, latest: int, who: str) -> None:
        self.base = base
        self.latest = latest
        self.who = who
        super().__init__(
            where,
            f"revision {base} was changed but {who} has saved revision {latest} since",
            "read that one and make the change again",
        )


class StoreTooNew(StorageError):
    """A newer program wrote the store; an older one must not touch it."""


class StoreDamaged(StorageError):
    """What is kept no longer matches its hash, or the database file is broken."""


class StoreBusy(StorageError):
    """Another process holds the store for longer than was waited."""


class StoreUnavailable(StorageError):
    """Folder or database cannot be read or written."""

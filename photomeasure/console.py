"""What every command shares: exit statuses, printing, complaining."""

import os
import sys
from typing import Final

from calibration.errors import InputError, MeasureError, StorageError

USAGE: Final = 2
UNUSABLE: Final = 3
UNDETERMINED: Final = 4
UNKEPT: Final = 5
INTERRUPTED: Final = 130


def status_of(error: MeasureError) -> int:
    """Return the exit status that a refusal means.

    Parameters
    ----------
    error : MeasureError

    Returns
    -------
    int
    """
    if isinstance(error, StorageError):
        return UNKEPT
    return UNUSABLE if isinstance(error, InputError) else UNDETERMINED


def say(text: str) -> None:
    """Print a result, or refuse if it cannot be written.

    Parameters
    ----------
    text : str

    Raises
    ------
    InputError
        If standard output cannot be written; a reader that has gone is no error.
    """
    try:
        print(text, flush=True)
    except OSError as error:
        # What is left in the buffer must not fail once more when the program ends.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        if not isinstance(error, BrokenPipeError):  # that reader has seen enough
            raise InputError(
                "standard output", f"cannot be written ({error.strerror})", "make room"
            ) from None


def complain(sentence: str) -> None:
    """Print one sentence on the standard error stream.

    Parameters
    ----------
    sentence : str
    """
    print(f"photomeasure: {sentence}", file=sys.stderr)

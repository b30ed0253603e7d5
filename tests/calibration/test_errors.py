"""Errors arrive in another process as they left."""

import pickle

import pytest

from calibration import errors
from calibration.errors import (
    BadReference,
    JobChangedElsewhere,
    MeasureError,
    NotConverged,
    StoreBusy,
    UnknownName,
)

SENT = (
    MeasureError("all is lost"),
    BadReference("front: references[2]", "is crossed", "pick it anew"),
    UnknownName("role", "eave", ["eaves", "rake"]),
    NotConverged("it wanders", "add a tape"),
    StoreBusy("database", "is held", "wait"),
    JobChangedElsewhere("job 3ecf", 2, 4, "the office"),
)


def below(kind: type) -> set[type]:
    """Return a class and all that derive from it."""
    return {kind}.union(*(below(child) for child in kind.__subclasses__()))


@pytest.mark.parametrize("error", SENT, ids=lambda error: type(error).__name__)
def test_an_error_is_the_same_after_a_journey(error):
    """Class, sentence and facts."""
    arrived = pickle.loads(pickle.dumps(error))  # noqa: S301 - our own

    assert type(arrived) is type(error)
    assert str(arrived) == str(error)
    assert vars(arrived) == vars(error)


def test_no_error_travels_in_a_way_of_its_own():
    """One rule for all, so that none is forgotten."""
    kinds = {kind for kind in below(MeasureError) if kind.__module__ == errors.__name__}

    assert len(kinds) > len(SENT)
    assert all(kind.__reduce__ is MeasureError.__reduce__ for kind in kinds)

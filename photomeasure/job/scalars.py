"""Numbers, names and blocks as the job file writes them."""

from typing import Annotated, Final

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field
from pydantic_core import PydanticCustomError

Number = Annotated[float, Field(strict=True, allow_inf_nan=False)]
"""A number as JSON writes it: "3000" in quotes and true are none."""


def _no_text(value: object) -> object:
    if isinstance(value, bool | str):
        kind = "no_number"
        raise PydanticCustomError(kind, "not a number")
    return value


WHOLE: Final = BeforeValidator(_no_text)
"""For whole numbers; 4032.0 is one, as in JSON Schema. Comes after the limits."""

YesNo = Annotated[bool, Field(strict=True)]

Millimetres = Annotated[Number, Field(ge=1, le=1e6)]

MAX_NAME = 200
"""Letters of a name."""

Name = Annotated[str, Field(min_length=1, max_length=MAX_NAME)]


class Strict(BaseModel):
    """Unknown words are refused, so that a typing mistake is never ignored."""

    model_config = ConfigDict(extra="forbid", frozen=True)

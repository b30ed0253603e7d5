"""Run a command in this process and look at everything it says."""

import json
import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from photomeasure.cli import main

COMPLAINT = "photomeasure: "


@dataclass(frozen=True, kw_only=True)
class Run:
    """What a command did.

    Attributes
    ----------
    status : int
    out, err : str
    """

    status: int
    out: str
    err: str

    @property
    def sentences(self) -> list[str]:
        """The complaints on the error stream, without the program's name."""
        return [
            line.removeprefix(COMPLAINT)
            for line in self.err.splitlines()
            if line.startswith(COMPLAINT)
        ]

    @property
    def result(self) -> dict[str, Any]:
        """The JSON on the output; NaN and Infinity are refused."""
        return json.loads(self.out, parse_constant=_refuse)

    def elevation(self, name: str) -> dict[str, Any]:
        """Return one elevation of the result."""
        return next(e for e in self.result["elevations"] if e["name"] == name)


def _refuse(word: str) -> None:
    message = f"{word} in the output"
    raise AssertionError(message)


def run(capsys: Any, *arguments: object) -> Run:
    """Run the command line."""
    capsys.readouterr()
    status = main([str(argument) for argument in arguments])
    out, err = capsys.readouterr()
    return Run(status=status, out=out, err=err)


def measure(capsys: Any, path: Path, *options: str) -> Run:
    """Measure a job with JSON output."""
    return run(capsys, "measure", path, "--json", *options)


def is_one_sentence(text: str) -> bool:
    """Whether a complaint says a place, what is wrong and what to do, on one line."""
    place, _, rest = text.partition(": ")
    what, _, remedy = rest.rpartition("; ")
    return bool(place and what and remedy and text.endswith(".")) and text.isprintable()


def numbers_in(node: object) -> Sequence[float]:
    """Return every number of a JSON document."""
    if isinstance(node, dict):
        return [n for value in node.values() for n in numbers_in(value)]
    if isinstance(node, list):
        return [n for value in node for n in numbers_in(value)]
    return [] if isinstance(node, bool | str | None) else [float(node)]


def all_finite(node: object) -> bool:
    """Whether every number of a JSON document is finite."""
    return all(math.isfinite(number) for number in numbers_in(node))

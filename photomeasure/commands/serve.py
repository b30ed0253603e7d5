"""``photomeasure serve``: the page, for a browser on this machine or in the office."""

import argparse
from importlib import import_module
from pathlib import Path
from typing import Final

from calibration.errors import InputError

PAGE: Final = "ui.server.start"
"""Lies above this package, so it is found by its name and only when it is asked for."""

_PORT: Final = 7421


def add(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Describe the command.

    Parameters
    ----------
    commands : argparse sub-parsers
    """
    serve = commands.add_parser("serve", help="open the page for a browser")
    serve.add_argument("--port", type=_port, default=_PORT, help=f"default {_PORT}")
    serve.add_argument(
        "--host",
        default="127.0.0.1",
        help="address to listen on; by default this machine alone, 0.0.0.0 for the network",
    )
    serve.add_argument(
        "--password-file", type=Path, metavar="FILE", help="sets it from the first line"
    )
    serve.add_argument(
        "--name", action="append", default=[], help="a name that browsers call it by"
    )
    serve.add_argument("--certificate", type=Path, metavar="FILE", help="PEM, for https")
    serve.add_argument("--key", type=Path, metavar="FILE", help="PEM, of the certificate")
    serve.add_argument("--open", action="store_true", help="open a browser too")
    serve.set_defaults(run=run)


def _port(text: str) -> int:
    port = int(text)
    if not 1 <= port <= 65535:
        raise argparse.ArgumentTypeError("1 to 65535")
    return port


def run(options: argparse.Namespace) -> int:
    """Serve the page until it is stopped.

    Parameters
    ----------
    options : argparse.Namespace

    Returns
    -------
    int
        Exit status.

    Raises
    ------
    InputError
        If the page is not installed.
    """
    try:
        page = import_module(PAGE)
    except ModuleNotFoundError as error:
        raise InputError(
            "serve", f"needs {error.name}, which is not installed", "install it whole"
        ) from None
    return int(page.serve(options))

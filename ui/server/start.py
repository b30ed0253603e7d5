"""Start the page: ``photomeasure serve``."""

import getpass
import logging
import socket
import sys
import webbrowser
from argparse import Namespace
from pathlib import Path
from threading import Timer
from typing import Final

from calibration.errors import InputError
from photomeasure.console import say
from photomeasure.store import find_place, open_store
from ui.server import passwords
from ui.server.settings import Settings, is_address

_OPEN_AFTER_S: Final = 1.0
_STOP_WITHIN_S: Final = 5


def serve(options: Namespace) -> int:
    """Serve the page until it is stopped.

    Parameters
    ----------
    options : argparse.Namespace
        Of ``photomeasure serve``.

    Returns
    -------
    int
        Exit status.

    Raises
    ------
    InputError
        If the port is taken, or the network may reach the page and there is no password.
    StorageError
    """
    import uvicorn

    home = find_place().home
    settings = settings_of(options, home)
    with open_store() as store, _listening(settings) as listener:
        from ui.server.app import build_page

        app = build_page(store, settings)
        config = uvicorn.Config(
            app,
            log_level="warning",
            access_log=False,  # addresses hold the ids of jobs
            server_header=False,
            # Anybody could write those headers; a proxy in front has to keep Host.
            proxy_headers=False,
            ssl_certfile=settings.certificate,
            ssl_keyfile=settings.key,
            timeout_graceful_shutdown=_STOP_WITHIN_S,
            ws="none",
        )
        _tell(settings, open_browser=options.open)
        uvicorn.Server(config).run(sockets=[listener])
    return 0


def settings_of(options: Namespace, home: Path) -> Settings:
    """Return how the page is to be served.

    Parameters
    ----------
    options : argparse.Namespace
    home : Path
        Where the password's hash is kept.

    Returns
    -------
    Settings

    Raises
    ------
    InputError
        If a password is needed and there is none.
    """
    settings = Settings(host=options.host, port=options.port)
    if options.password_file is not None:
        password = passwords.read_password(options.password_file)
        hash_: str | None = passwords.keep(home, password)
    else:
        # Once set it is asked for on the loopback too: other users share this machine.
        hash_ = passwords.kept_hash(home)
    if hash_ is None and not settings.local:
        hash_ = passwords.keep(home, _asked())
    if bool(options.certificate) != bool(options.key):
        raise InputError("--certificate", "needs --key beside it", "give both or neither")
    return Settings(
        host=options.host,
        port=options.port,
        names=_names(options.name, settings),
        password_hash=hash_,
        certificate=options.certificate,
        key=options.key,
    )


def _asked() -> str:
    if not sys.stdin.isatty():
        raise InputError(
            "--host",
            "opens the page to the network, and there is no password",
            "write one on the first line of a file and add --password-file FILE",
        )
    first = getpass.getpass("Password for the page: ")
    if getpass.getpass("Once more: ") != first:
        raise InputError("password", "was typed in two ways", "type it again")
    return first


def _names(stated: list[str], settings: Settings) -> tuple[str, ...]:
    """Return the names that browsers may use: those stated, and this machine's own."""
    own = [] if settings.local else [socket.gethostname(), f"{socket.gethostname()}.local"]
    host = [] if is_address(settings.host) else [settings.host]
    return tuple(name.casefold() for name in (*stated, *own, *host) if name)


def _listening(settings: Settings) -> socket.socket:
    """Return a socket that listens, or refuse in words."""
    family = socket.AF_INET6 if ":" in settings.host else socket.AF_INET
    # Unless the protocol is named, asyncio leaves Nagle's algorithm on: an answer's body
    # then waits 40 ms for the browser's delayed acknowledgement of its head.
    listener = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    try:
        if sys.platform != "win32":
            # There it would let another program take the same port.
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listener.bind((settings.host, settings.port))
        listener.listen(128)
    except OSError as error:
        listener.close()
        raise InputError(
            f"{settings.host} port {settings.port}",
            f"cannot be listened on ({error.strerror})",
            "stop the other program there, or give another --port",
        ) from None
    return listener


def _tell(settings: Settings, *, open_browser: bool) -> None:
    logging.getLogger("uvicorn.error").setLevel(logging.WARNING)
    scheme = "https" if settings.certificate else "http"
    host = settings.host
    if host in ("0.0.0.0", "::"):  # noqa: S104 - compared, not bound
        host = socket.gethostname()
    shown = f"[{host}]" if ":" in host else host
    address = f"{scheme}://{shown}:{settings.port}/"
    say(f"The page is at {address}  (stop it with Ctrl+C)")
    if not settings.local and scheme == "http":
        say("It is not encrypted: use it on a network you trust, or add a certificate.")
    if open_browser:
        timer = Timer(_OPEN_AFTER_S, webbrowser.open, (address,))
        timer.daemon = True
        timer.start()

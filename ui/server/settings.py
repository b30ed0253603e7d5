"""How the page is served, and what it takes from anybody."""

import ipaddress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from calibration.photo.limits import MAX_FILE_BYTES
from photomeasure.job.reading import MAX_BYTES

LOOPBACK: Final = ("localhost", "127.0.0.1", "::1")
PORT: Final = 7421
"""Not in IANA's list of registered ports. From memory."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """What one server takes before it says no.

    Attributes
    ----------
    photo_bytes : int
        Body of an upload: one photo as large as any that is read, and its envelope.
    document_bytes : int
        Body that holds a whole job.
    body_bytes : int
        Any other body.
    requests_per_s, burst : float
        Of one address; a page with its tiles takes a hundred at once.
    at_once : int
        Requests that compute at a time; more wait.
    waiting : int
        Requests that wait; more are refused.
    uploads_at_once : int
        Photos that are decoded at a time: each takes up to 600 MB.
    """

    photo_bytes: int = MAX_FILE_BYTES + 2**20
    document_bytes: int = MAX_BYTES
    body_bytes: int = 8 * 2**20
    requests_per_s: float = 100.0
    burst: float = 600.0
    at_once: int = 4
    waiting: int = 100
    uploads_at_once: int = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """How the page is served.

    Attributes
    ----------
    host : str
        Address that is listened on.
    port : int
    names : tuple of str
        Further names that browsers may call this server by.
    password_hash : str or None
        None where no password is asked for: on the loopback alone.
    certificate, key : Path or None
        For https.
    limits : Limits
    """

    host: str = LOOPBACK[1]
    port: int = PORT
    names: tuple[str, ...] = ()
    password_hash: str | None = None
    certificate: Path | None = None
    key: Path | None = None
    limits: Limits = field(default_factory=Limits)

    @property
    def local(self) -> bool:
        """Whether only programs on this machine can reach the server."""
        return is_loopback(self.host)

    def knows(self, name: str) -> bool:
        """Tell whether a Host header may name this server so.

        A page elsewhere can make its own name lead to this machine, but not a bare
        address: so on the network addresses are allowed, and names only if stated.
        """
        name = name.casefold()
        if name in LOOPBACK or name in self.names:
            return True
        return not self.local and is_address(name)


def is_loopback(host: str) -> bool:
    """Tell whether a host can be reached from this machine alone.

    Examples
    --------
    >>> is_loopback("127.0.0.1"), is_loopback("0.0.0.0"), is_loopback("localhost")
    (True, False, True)
    """
    if host == LOOPBACK[0]:
        return True
    return is_address(host) and ipaddress.ip_address(host).is_loopback


def is_address(name: str) -> bool:
    """Tell whether a name is a bare address of version 4 or 6."""
    try:
        ipaddress.ip_address(name)
    except ValueError:
        return False
    return True

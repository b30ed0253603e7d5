"""The password of a page that is open to the network, and who has given it."""

import hashlib
import secrets
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from calibration.errors import InputError
from photomeasure.disk import make_folder, write_whole

FILE: Final = "password.argon2"
"""In the store's home; holds the hash alone."""

SHORTEST: Final = 10
"""Letters. Guessing is slowed down, so this need not be longer. Common practice."""

LONGEST: Final = 1000
_MAX_FILE: Final = 10_000

IDLE_S: Final = 12 * 3600.0
"""A working day: who was away longer is asked again."""

OLDEST_S: Final = 7 * 24 * 3600.0
MOST_SESSIONS: Final = 100

FREE_TRIES: Final = 3
LONGEST_WAIT_S: Final = 300.0
TRIES_PER_MINUTE: Final = 30
"""By everybody together: each costs 64 MB and a tenth of a second on purpose."""

_MOST_ADDRESSES: Final = 10_000

Clock = Callable[[], float]


def hashed(password: str) -> str:
    """Return the argon2id hash of a password.

    Parameters
    ----------
    password : str

    Returns
    -------
    str

    Raises
    ------
    InputError
        If it is too short or too long.
    """
    from argon2 import PasswordHasher

    if len(password) < SHORTEST:
        raise InputError(
            "password", f"has fewer than {SHORTEST} letters", "choose a longer one"
        )
    if len(password) > LONGEST:
        raise InputError("password", f"has more than {LONGEST} letters", "shorten it")
    return PasswordHasher().hash(password)


def matches(password: str, hash_: str) -> bool:
    """Tell whether a password is the one that was hashed."""
    from argon2 import PasswordHasher
    from argon2.exceptions import InvalidHashError, VerificationError

    try:
        return PasswordHasher().verify(hash_, password[: LONGEST + 1])
    except (VerificationError, InvalidHashError):
        return False


def kept_hash(home: Path) -> str | None:
    """Return the hash that is kept in a store's home, if there is one."""
    try:
        return (home / FILE).read_text("ascii").strip() or None
    except FileNotFoundError:
        return None
    except (OSError, UnicodeDecodeError):
        raise InputError(
            str(home / FILE), "cannot be read", "set the password again"
        ) from None


def keep(home: Path, password: str) -> str:
    """Hash a password and keep the hash in a store's home.

    Parameters
    ----------
    home : Path
    password : str

    Returns
    -------
    str
        The hash.

    Raises
    ------
    InputError
    StoreUnavailable
    """
    made = hashed(password)
    make_folder(home)
    write_whole(home / FILE, (made.encode(),))
    return made


def read_password(path: Path) -> str:
    """Return the password that stands on the first line of a file.

    Parameters
    ----------
    path : Path

    Returns
    -------
    str

    Raises
    ------
    InputError
    """
    try:
        with path.open("rb") as file:
            text = file.read(_MAX_FILE).decode("utf-8-sig")
    except (OSError, ValueError):
        raise InputError(
            str(path), "cannot be read as a password file", "write it on its first line"
        ) from None
    lines = text.splitlines()
    return lines[0].strip() if lines else ""


@dataclass(slots=True)
class Sessions:
    """Who has given the password; kept in memory, so a restart asks again.

    Attributes
    ----------
    clock : Clock
        Seconds that never go backwards.
    """

    clock: Clock = time.monotonic
    _since: dict[str, tuple[float, float]] = field(default_factory=dict)

    def open(self) -> str:
        """Begin a session; the oldest goes if there are too many.

        Returns
        -------
        str
            The token for the browser; here only its hash is kept.
        """
        token = secrets.token_urlsafe(32)
        while len(self._since) >= MOST_SESSIONS:
            self._since.pop(min(self._since, key=lambda key: self._since[key][1]))
        now = self.clock()
        self._since[_digest(token)] = (now, now)
        return token

    def knows(self, token: str) -> bool:
        """Tell whether a session is open, and note that it is used."""
        key, now = _digest(token), self.clock()
        if key not in self._since:
            return False
        begun, used = self._since[key]
        if now - begun > OLDEST_S or now - used > IDLE_S:
            del self._since[key]
            return False
        self._since[key] = (begun, now)
        return True

    def close(self, token: str) -> None:
        """End a session."""
        self._since.pop(_digest(token), None)


def _digest(token: str) -> str:
    return hashlib.sha256(token.encode("utf-8", "replace")).hexdigest()


@dataclass(slots=True)
class Slowdown:
    """How long somebody has to wait before the next guess.

    Attributes
    ----------
    clock : Clock
    """

    clock: Clock = time.monotonic
    _failed: dict[str, tuple[int, float]] = field(default_factory=dict)
    _recent: list[float] = field(default_factory=list)

    def wait_s(self, address: str) -> float:
        """Return how long an address has to wait; 0 if it may try."""
        now = self.clock()
        self._recent = [when for when in self._recent if now - when < 60.0]
        if len(self._recent) >= TRIES_PER_MINUTE:
            return 60.0 - (now - self._recent[0])
        count, last = self._failed.get(address, (0, now))
        if count < FREE_TRIES:
            return 0.0
        pause = min(2.0 ** (count - FREE_TRIES + 1), LONGEST_WAIT_S)
        return max(0.0, last + pause - now)

    def tried(self, address: str) -> None:
        """Note a guess before it is looked at, so that guesses at once count as well."""
        now = self.clock()
        self._recent.append(now)
        if len(self._failed) >= _MOST_ADDRESSES and address not in self._failed:
            self._failed.pop(next(iter(self._failed)))
        count, _ = self._failed.get(address, (0, now))
        self._failed[address] = (count + 1, now)

    def succeeded(self, address: str) -> None:
        """Forget the wrong guesses of an address."""
        self._failed.pop(address, None)

"""The manager's PIN: kept as a salted scrypt hash in the state folder, tried slowly."""

from __future__ import annotations

import hashlib
import hmac
import json
import secrets
import threading
from collections.abc import Callable, Mapping
from contextlib import suppress
from itertools import pairwise
from pathlib import Path
from time import monotonic

from assistant.errors import InputError
from assistant.logbook.clips import write_whole
from assistant.logbook.troubles import explained

FILE_NAME = "manager_pin.json"
PEOPLE_NAME = "people.json"
SHORTEST, LONGEST = 6, 64
_ROWS = (
    "1234567890",
    "0123456789",
    "abcdefghijklmnopqrstuvwxyz",
    "qwertyuiop",
    "asdfghjkl",
    "zxcvbnm",
    "147258369",
)
_COMMON = (
    "password", "passcode", "kitchen", "manager", "welcome", "letmein", "admin", "restaurant", "112233",
    "123321", "159753", "696969", "654321", "pin",
)  # fmt: skip
"""From memory: what is tried first."""
_COST = {"n": 2**15, "r": 8, "p": 1}
_MEMORY = 64 * 1024 * 1024
_ONE_AT_A_TIME = threading.Lock()
FREE_TRIES = 5
"""Wrong PINs from one address before it has to wait."""
TRIES_IN_ALL, IN_SECONDS = 30, 900.0
"""Wrong PINs from all addresses together before everybody has to wait."""
HERE = ("127.0.0.1", "::1")
"""Whoever sits at the machine itself is not made to wait by wrong PINs from the network."""
_FIRST_WAIT, _LONGEST_WAIT = 60.0, 3600.0
_ADDRESSES = 5000


def set_pin(folder: Path, pin: str) -> Path:
    """Keep the hash of ``pin`` in ``folder``; raises ``InputError`` for one that is easily guessed."""
    check_strength(pin)
    path = folder / FILE_NAME
    with explained(path):
        write_whole(path, json.dumps(hashed(pin)).encode("ascii"))
    return path


def check_strength(pin: str, name: str = "") -> None:
    """Raise ``InputError`` for a PIN too short, too plain, a row of keys or digits, or the name itself."""
    if not SHORTEST <= len(pin) <= LONGEST:
        raise InputError(f"The PIN needs {SHORTEST} to {LONGEST} characters; choose another.")
    if len(set(pin)) < 3:
        raise InputError("The PIN repeats one or two characters only; choose another.")
    plain = pin.casefold()
    steps = {ord(second) - ord(first) for first, second in pairwise(plain)}
    doubled = plain + plain
    repeats = doubled.find(plain, 1) < len(plain)
    in_a_row = any(plain in row or plain in row[::-1] for row in _ROWS)
    words = [word for word in (*_COMMON, *name.casefold().split()) if len(word) > 2]
    common = any(plain.strip("0123456789!.-_ ") == word for word in words) or plain in _COMMON
    if (len(steps) == 1 and steps <= {-1, 0, 1}) or repeats or in_a_row or common:
        raise InputError("That PIN is among the first that anybody would try; choose another.")


def hashed(pin: str) -> dict[str, str | int]:
    """Return what is kept of a PIN: a salted hash and how it was made."""
    salt = secrets.token_bytes(16)
    return {"scheme": "scrypt", **_COST, "salt": salt.hex(), "hash": _digest(pin, salt, _COST).hex()}


def matches(pin: str, kept: Mapping[str, str | int]) -> bool:
    """Whether ``pin`` is the one of which ``kept`` is kept; raises ``ValueError`` for anything else there."""
    cost = {name: int(kept[name]) for name in _COST}
    salt, expected = bytes.fromhex(str(kept["salt"])), bytes.fromhex(str(kept["hash"]))
    if kept["scheme"] != "scrypt" or cost["n"] > 2**16 or cost["r"] > 8 or cost["p"] > 4:
        raise ValueError("no hash of this program's")
    if not SHORTEST <= len(pin) <= LONGEST:
        return False
    with _ONE_AT_A_TIME:
        return hmac.compare_digest(_digest(pin, salt, cost), expected)


def pin_is_set(folder: Path) -> bool:
    """Whether the folder holds a PIN, the manager's or somebody's own."""
    return (folder / FILE_NAME).exists() or (folder / PEOPLE_NAME).exists()


def pins_mark(folder: Path) -> str:
    """Return what differs as soon as any PIN is set, changed or taken away ('' for none)."""
    found = b""
    for name in (FILE_NAME, PEOPLE_NAME):
        with suppress(OSError):
            found += (folder / name).read_bytes()
    return hashlib.sha256(found).hexdigest() if found else ""


def pin_matches(folder: Path, pin: str) -> bool:
    """Whether ``pin`` is the manager's; raises ``InputError`` where the file is missing or altered."""
    path = folder / FILE_NAME
    try:
        return matches(pin, json.loads(path.read_text(encoding="ascii")))
    except (OSError, ValueError, KeyError, TypeError):
        raise InputError(
            f"The file {path} holds no PIN: set it again with 'kitchen manager set-pin'."
        ) from None


def _digest(pin: str, salt: bytes, cost: dict[str, int]) -> bytes:
    return hashlib.scrypt(pin.encode("utf-8"), salt=salt, maxmem=_MEMORY, dklen=32, **cost)


class TryLimit:
    """How long an address has to wait before its next PIN: doubling from a minute to an hour."""

    def __init__(self, seconds: Callable[[], float] = monotonic) -> None:
        """Count time with ``seconds``."""
        self._seconds = seconds
        self._lock = threading.Lock()
        self._wrong: dict[str, tuple[int, float]] = {}
        self._all: list[float] = []

    def attempt(self, address: str) -> float:
        """Return 0 when ``address`` may try a PIN now, else the seconds that it has to wait.

        A try counts as wrong from here on, until ``right`` takes it back: many at once gain nothing.
        """
        now = self._seconds()
        with self._lock:
            wait = self._wait(address, now)
            if not wait:
                self._count(address, now)
            return wait

    def forget(self) -> None:
        """Begin anew: somebody at the machine itself set a PIN."""
        with self._lock:
            self._wrong.clear()
            self._all.clear()

    def right(self, address: str) -> None:
        """Forget the wrong PINs of an address that gave the right one."""
        with self._lock:
            if self._wrong.pop(address, None) and self._all:
                self._all.pop()

    def _wait(self, address: str, now: float) -> float:
        count, until = self._wrong.get(address, (0, 0.0))
        self._all = [at for at in self._all if now - at < IN_SECONDS]
        crowded = len(self._all) >= TRIES_IN_ALL and address not in HERE
        everybody = self._all[0] + IN_SECONDS - now if crowded else 0.0
        return max(until - now if count >= FREE_TRIES else 0.0, everybody, 0.0)

    def _count(self, address: str, now: float) -> None:
        count = self._wrong.pop(address, (0, 0.0))[0] + 1
        pause = min(_FIRST_WAIT * 2.0 ** min(max(count - FREE_TRIES, 0), 10), _LONGEST_WAIT)
        self._wrong[address] = (count, now + pause)
        if address not in HERE:
            self._all.append(now)
        while len(self._wrong) > _ADDRESSES:
            del self._wrong[next(iter(self._wrong))]

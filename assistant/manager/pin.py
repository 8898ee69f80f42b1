"""The manager's PIN: kept as a salted scrypt hash in the state folder, tried slowly."""

from __future__ import annotations

import hashlib
import hmac
import json
import os
import secrets
import tempfile
import threading
from collections.abc import Callable
from pathlib import Path
from time import monotonic

from assistant.errors import InputError, LogWriteError

FILE_NAME = "manager_pin.json"
SHORTEST, LONGEST = 6, 64
_COST = {"n": 2**15, "r": 8, "p": 1}
_MEMORY = 64 * 1024 * 1024
_ONE_AT_A_TIME = threading.Lock()
FREE_TRIES = 5
"""Wrong PINs from one address before it has to wait."""
TRIES_IN_ALL, IN_SECONDS = 30, 900.0
"""Wrong PINs from all addresses together before everybody has to wait."""
_FIRST_WAIT, _LONGEST_WAIT = 60.0, 3600.0
_ADDRESSES = 5000


def set_pin(folder: Path, pin: str) -> Path:
    """Keep the hash of ``pin`` in ``folder``; raises ``InputError`` for one too short or too plain."""
    if not SHORTEST <= len(pin) <= LONGEST:
        raise InputError(f"The PIN needs {SHORTEST} to {LONGEST} characters; choose another.")
    if len(set(pin)) < 3:
        raise InputError("The PIN repeats one or two characters only; choose another.")
    salt = secrets.token_bytes(16)
    kept = {"scheme": "scrypt", **_COST, "salt": salt.hex(), "hash": _digest(pin, salt, _COST).hex()}
    path = folder / FILE_NAME
    try:
        folder.mkdir(parents=True, exist_ok=True)
        handle, unfinished = tempfile.mkstemp(dir=folder, prefix=".pin-")  # readable by its owner only
        with os.fdopen(handle, "w", encoding="ascii") as file:
            json.dump(kept, file)
            file.flush()
            os.fsync(file.fileno())
        os.replace(unfinished, path)
    except OSError as error:
        raise LogWriteError(f"The PIN cannot be kept in {folder} ({error.strerror}).") from None
    return path


def pin_is_set(folder: Path) -> bool:
    """Whether the folder holds a PIN."""
    return (folder / FILE_NAME).exists()


def pin_matches(folder: Path, pin: str) -> bool:
    """Whether ``pin`` is the one kept; raises ``InputError`` where the file is missing or altered."""
    path = folder / FILE_NAME
    try:
        kept = json.loads(path.read_text(encoding="ascii"))
        cost = {name: int(kept[name]) for name in _COST}
        salt, expected = bytes.fromhex(kept["salt"]), bytes.fromhex(kept["hash"])
        if kept["scheme"] != "scrypt" or cost["n"] > 2**16 or cost["r"] > 8 or cost["p"] > 4:
            raise ValueError
    except (OSError, ValueError, KeyError, TypeError):
        raise InputError(
            f"The file {path} holds no PIN: set it again with 'kitchen manager set-pin'."
        ) from None
    if not SHORTEST <= len(pin) <= LONGEST:
        return False
    with _ONE_AT_A_TIME:
        return hmac.compare_digest(_digest(pin, salt, cost), expected)


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

    def right(self, address: str) -> None:
        """Forget the wrong PINs of an address that gave the right one."""
        with self._lock:
            if self._wrong.pop(address, None) and self._all:
                self._all.pop()

    def _wait(self, address: str, now: float) -> float:
        count, until = self._wrong.get(address, (0, 0.0))
        self._all = [at for at in self._all if now - at < IN_SECONDS]
        everybody = self._all[0] + IN_SECONDS - now if len(self._all) >= TRIES_IN_ALL else 0.0
        return max(until - now if count >= FREE_TRIES else 0.0, everybody, 0.0)

    def _count(self, address: str, now: float) -> None:
        count = self._wrong.pop(address, (0, 0.0))[0] + 1
        pause = min(_FIRST_WAIT * 2.0 ** min(max(count - FREE_TRIES, 0), 10), _LONGEST_WAIT)
        self._wrong[address] = (count, now + pause)
        self._all.append(now)
        while len(self._wrong) > _ADDRESSES:
            del self._wrong[next(iter(self._wrong))]

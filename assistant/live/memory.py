"""Gives memory back to the system that is free again but that the C library keeps for later."""

from __future__ import annotations

import ctypes
from collections.abc import Callable
from functools import cache

EVERY_S = 60.0
"""How often, at a moment when nobody speaks. Without it 100 to 150 MB lie idle after some hours."""


class MemoryKeeper:
    """Gives back what is free, at most every so many seconds. Does nothing where the library cannot."""

    def __init__(self, clock: Callable[[], float]) -> None:
        self._clock = clock
        self._last = clock()

    def idle(self) -> None:
        """Nobody speaks just now: a few milliseconds are not missed."""
        now = self._clock()
        if now - self._last >= EVERY_S:
            self._last = now
            give_back()


def give_back() -> bool:
    """Return whether anything was given back."""
    trim = _trim()
    return trim is not None and bool(trim(0))


@cache
def _trim() -> Callable[[int], int] | None:
    """Return the C library's own function, which only GNU's has."""
    try:
        found = ctypes.CDLL(None).malloc_trim
    except (OSError, AttributeError, TypeError):
        return None
    found.argtypes, found.restype = (ctypes.c_size_t,), ctypes.c_int
    return found

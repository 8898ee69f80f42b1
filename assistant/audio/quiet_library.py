"""Keeps the sound library's own lines off the terminal, and counts how often the sound ran short."""

from __future__ import annotations

import ctypes
import sys
from typing import Any

underruns = 0
"""How often the speaker had nothing to play in the middle of a sound, as the library told it."""
_installed: Any = None  # the library keeps the pointer: it must live as long as the process

_HANDLER = ctypes.CFUNCTYPE(
    None, ctypes.c_char_p, ctypes.c_int, ctypes.c_char_p, ctypes.c_int, ctypes.c_char_p
)


def keep_quiet() -> None:
    """Take the lines of ALSA, Linux' sound library, once for this process. Elsewhere there are none."""
    global _installed
    if _installed is not None or sys.platform != "linux":
        return
    try:
        library = ctypes.CDLL("libasound.so.2")
        _installed = _HANDLER(_taken)
        library.snd_lib_error_set_handler(_installed)
    except (OSError, AttributeError):  # no such library: nothing that could print
        _installed = False


def _taken(file: bytes, line: int, function: bytes, error: int, form: bytes) -> None:
    global underruns
    if b"underrun" in (form or b""):
        underruns += 1

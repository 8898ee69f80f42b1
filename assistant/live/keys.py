"""Keys pressed in a terminal, read one by one while the screen goes on being drawn as usual."""

from __future__ import annotations

import _thread
import os
import sys
import threading
from contextlib import suppress
from types import TracebackType
from typing import Self

_ENDS = ("\x03", "\x04")
"""Ctrl-C where the terminal hands it on as a key, and Ctrl-D."""


class Keys:
    """Tells whether a key was pressed. Where standard input is no terminal, none ever is.

    The terminal gives keys at once and shows none, but still turns line ends into carriage returns and
    Ctrl-C into an interrupt: only ``with`` changes it, and its end gives it back as it was.
    """

    def __init__(self) -> None:
        self._pressed = threading.Event()
        self._before: list[object] | None = None

    def __enter__(self) -> Self:
        """Take the keys."""
        if sys.stdin.isatty():
            if sys.platform != "win32":
                import termios
                import tty

                self._before = termios.tcgetattr(sys.stdin.fileno())
                tty.setcbreak(sys.stdin.fileno())
            threading.Thread(target=self._read, daemon=True).start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Give the terminal back."""
        if sys.platform != "win32" and self._before is not None:
            import termios

            with suppress(termios.error):  # the terminal was closed
                termios.tcsetattr(sys.stdin.fileno(), termios.TCSADRAIN, self._before)  # type: ignore[arg-type]
            self._before = None

    def pressed(self) -> bool:
        """Tell whether a key was pressed since this was last asked."""
        was = self._pressed.is_set()
        self._pressed.clear()
        return was

    def _read(self) -> None:
        while key := _key():
            if key in _ENDS:
                _thread.interrupt_main()
                return
            self._pressed.set()


def _key() -> str:
    """Wait for one key; an empty string when the terminal is gone."""
    if sys.platform == "win32":
        import msvcrt

        return msvcrt.getwch()
    try:
        return os.read(sys.stdin.fileno(), 1).decode("latin-1")
    except OSError:
        return ""

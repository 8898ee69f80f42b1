"""A few lines at the foot of a terminal, drawn anew over themselves; what else is printed goes above them."""

from __future__ import annotations

import shutil
import sys
import textwrap
import threading
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from typing import Any, TextIO

REDRAW_S = 0.2
_HIDE, _SHOW = "\x1b[?25l", "\x1b[?25h"
_STYLES = {"": "", "bold": "\x1b[1m", "bold reverse": "\x1b[1;7m"}


@dataclass(frozen=True)
class Line:
    """One line, which is wrapped where the terminal is narrow; ``style`` is empty, bold, or bold reverse."""

    text: str
    style: str = ""

    def drawn(self, width: int) -> list[str]:
        """Return what is written for it."""
        on, off = _STYLES[self.style], "\x1b[0m" if self.style else ""
        parts = textwrap.wrap(self.text, width, subsequent_indent="  ", break_on_hyphens=False) or [""]
        return [f"{on}{part}{off}" for part in parts]


class Screen:
    """Draws what ``lines`` returns, five times a second and whenever it is asked to."""

    def __init__(self, lines: Callable[[], list[Line]]) -> None:
        self._lines = lines
        self._lock = threading.RLock()
        self._ended = threading.Event()
        self._drawer = threading.Thread(target=self._go_on, daemon=True)
        self._height = 0

    def start(self) -> None:
        """Take the foot of the terminal, and standard output and error with it."""
        if sys.platform == "win32":
            import colorama  # comes with the command line's library there

            colorama.just_fix_windows_console()
        self._out, self._error = sys.stdout, sys.stderr
        sys.stdout, sys.stderr = _Above(self, self._out), _Above(self, self._error)
        self._out.write(_HIDE)
        self.draw()
        self._drawer.start()

    def stop(self) -> None:
        """Leave the last picture standing, and give everything back."""
        self._ended.set()
        self._drawer.join()
        self.draw()
        sys.stdout, sys.stderr = self._out, self._error
        with suppress(OSError):  # the terminal may be gone
            self._out.write(f"{_SHOW}\n")
            self._out.flush()

    def draw(self) -> None:
        """Draw the lines over those that stand there."""
        self.write("", self._out)

    def write(self, text: str, to: TextIO) -> None:
        """Write whole lines above the picture."""
        width, height = shutil.get_terminal_size()
        drawn = [part for line in self._lines() for part in line.drawn(max(width - 1, 20))][: height - 1]
        with self._lock, suppress(OSError):
            up = f"\x1b[{self._height - 1}A" if self._height > 1 else ""
            self._out.write(f"\r{up}\x1b[J")
            if text:
                self._out.flush()
                to.write(text)
                to.flush()
            self._out.write("\n".join(drawn))
            self._out.flush()
            self._height = len(drawn)

    def _go_on(self) -> None:
        while not self._ended.wait(REDRAW_S):
            self.draw()


class _Above:
    """A stream whose whole lines go above the picture."""

    def __init__(self, screen: Screen, to: TextIO) -> None:
        self._screen, self._to = screen, to
        self._begun = ""

    def write(self, text: str) -> int:
        if not isinstance(text, str):
            raise TypeError("only text goes to a terminal")
        whole, ended, rest = (self._begun + text).rpartition("\n")
        if ended:
            self._screen.write(whole + ended, self._to)
        self._begun = rest
        return len(text)

    def flush(self) -> None:
        """Do nothing: whole lines are written at once."""

    def __getattr__(self, name: str) -> Any:
        return getattr(self._to, name)

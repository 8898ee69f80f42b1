"""Keeps what libraries write to the terminal by themselves off it: it is counted, and the last line is kept.

Sound and speech libraries print from C to the process's standard error, past Python, in the middle of a
drawn screen. What the program itself has to say goes on to the terminal.
"""

from __future__ import annotations

import os
import sys
import threading
from types import TracebackType
from typing import Self, TextIO

_STANDARD_ERROR = 2
_PATIENCE_S = 1.0


class StrayLines:
    """While open, takes lines written to the process's standard error, if that is a terminal.

    ``count`` is how many came, ``last`` the last of them.
    """

    def __init__(self) -> None:
        self.count = 0
        self.last = ""
        self._terminal = -1
        self._before: TextIO | None = None
        self._reader: threading.Thread | None = None

    def __enter__(self) -> Self:
        """Take the lines from here on."""
        if not sys.stderr.isatty():
            return self  # a journal or a file keeps them, where whoever mends things looks for them
        sys.stderr.flush()
        self._terminal = os.dup(_STANDARD_ERROR)
        ours, its = os.pipe()
        os.dup2(its, _STANDARD_ERROR)
        os.close(its)
        self._before = sys.stderr
        sys.stderr = open(
            self._terminal, "w", buffering=1, encoding=self._before.encoding, errors="backslashreplace"
        )
        self._reader = threading.Thread(target=self._read, args=(ours,), daemon=True)
        self._reader.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Let everything through again."""
        if self._before is None:
            return
        os.dup2(self._terminal, _STANDARD_ERROR)
        sys.stderr.close()
        sys.stderr, self._before = self._before, None
        if self._reader is not None:
            self._reader.join(_PATIENCE_S)  # a child that lives on holds the other end

    def told(self) -> str:
        """Return one sentence about what was taken, empty for nothing."""
        if not self.count:
            return ""
        lines = "1 line" if self.count == 1 else f"{self.count} lines"
        return f"{lines} from sound or speech libraries kept off the screen, the last: {self.last}"

    def _read(self, handle: int) -> None:
        with open(handle, encoding="utf-8", errors="replace") as lines:
            for line in lines:
                if line.strip():
                    self.last = line.strip()[:200]
                    self.count += 1

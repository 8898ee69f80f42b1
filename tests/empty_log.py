"""A log without entries, begun as the program begins one and then copied: making its tables takes longest.

How a log is made where none is, is tested in tests/logbook, which does without this.
"""

from __future__ import annotations

import os
import tempfile
from functools import cache
from pathlib import Path

from assistant.logbook.clock import Clock
from assistant.logbook.database import FILE_NAME
from assistant.logbook.store import Logbook


@cache
def _file() -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        Logbook.open(folder).close()
        return (Path(folder) / FILE_NAME).read_bytes()


def open_empty(folder: Path, clock: Clock) -> Logbook:
    """Open an empty log in a folder that is not there yet, for its owner alone as the program makes it."""
    folder.mkdir(mode=0o700, parents=True)
    with os.fdopen(os.open(folder / FILE_NAME, os.O_WRONLY | os.O_CREAT, 0o600), "wb") as file:
        file.write(_file())
    return Logbook.open(folder, clock=clock)

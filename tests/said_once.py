"""What the net says of a sentence, told by one process of a test run to the others.

Asking it takes longer than all the rest of a typed turn, it knows words only, and every sixth sentence of the
tests is said in two processes. Nothing of it outlives the run.
"""

from __future__ import annotations

import pickle
import sqlite3
from collections.abc import Callable
from pathlib import Path

from intents.meaning import Meaning

Words = tuple[str, ...]
Ask = Callable[[Words, Words], Meaning]


class SaidOnce:
    """Asks the net only what no process that has the same file has asked."""

    def __init__(self, ask: Ask, file: Path) -> None:
        self._ask = ask
        self._file = sqlite3.connect(file, isolation_level=None, timeout=60)
        self._file.execute("PRAGMA synchronous = OFF")
        self._file.execute("CREATE TABLE IF NOT EXISTS said (words BLOB PRIMARY KEY, meaning BLOB)")

    def meaning_of(self, words: Words, before: Words = ()) -> Meaning:
        """Return what the words mean after those said before them."""
        key = repr((words, before)).encode()
        row = self._file.execute("SELECT meaning FROM said WHERE words = ?", (key,)).fetchone()
        if row is not None:
            known: Meaning = pickle.loads(row[0])
            return known
        meaning = self._ask(words, before)
        self._file.execute("INSERT OR IGNORE INTO said VALUES (?, ?)", (key, pickle.dumps(meaning)))
        return meaning

    def close(self) -> None:
        """Let go of the file."""
        self._file.close()

"""The SQL files that this package ships, whole or as single statements."""

from __future__ import annotations

import sqlite3
from functools import cache
from pathlib import Path

SCRIPTS = ("schema.sql", "standing.sql")
"""What makes an empty log, in order."""


def script(name: str) -> str:
    """Return the text of one of the package's SQL files."""
    return Path(__file__).with_name(name).read_text(encoding="utf-8")


@cache
def statements(name: str) -> tuple[str, ...]:
    """Return the statements of an SQL file; a blank line parts them or follows a semicolon."""
    found: list[str] = []
    lines: list[str] = []
    for line in script(name).splitlines():
        if line.startswith("--"):
            continue
        lines.append(line)
        text = "\n".join(lines).strip()
        if sqlite3.complete_statement(text):
            found.append(text.rstrip(";") if not text.endswith("END;") else text)
            lines = []
    return tuple(found)

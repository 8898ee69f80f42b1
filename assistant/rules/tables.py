"""Reads the package's own tables (CSV beside this file). The only reading of files in ``rules``."""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path

_HERE = Path(__file__).parent


@cache
def read_table(name: str) -> tuple[dict[str, str], ...]:
    """Return the rows of ``tables/<name>.csv`` or ``limits/<name>.csv`` as plain text by column."""
    folder, _, stem = name.rpartition("/")
    text = (_HERE / (folder or "tables") / f"{stem}.csv").read_text(encoding="utf-8")
    return tuple(csv.DictReader(text.splitlines()))

"""The gate's table, read once."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Any


@cache
def gate_table() -> dict[str, Any]:
    """Return the table of thresholds and sound-alike numbers."""
    return tomllib.loads(Path(__file__).with_name("gate.toml").read_text(encoding="utf-8"))

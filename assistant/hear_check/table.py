"""The table of what is asked to be said and of the limits, read once."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any


@cache
def table() -> dict[str, Any]:
    """Return ``hear_check.toml``."""
    return tomllib.loads((files("assistant.hear_check") / "hear_check.toml").read_text(encoding="utf-8"))

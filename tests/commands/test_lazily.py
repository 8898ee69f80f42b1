"""A module that libraries import and we never use is loaded by its first use, not before."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
BEGIN = "import sys; from assistant.lazily import lazily; lazily('colorsys'); "
"""Modules of the standard library that nothing else here loads."""


def printed(code: str) -> str:
    """Return what a fresh Python prints for ``code``."""
    done = subprocess.run(
        [sys.executable, "-c", BEGIN + code], capture_output=True, text=True, check=True, cwd=ROOT
    )
    return done.stdout.strip()


def test_imported_it_is_not_loaded() -> None:
    """Until something of it is used a stand-in has its place, at the second import, too."""
    code = "import colorsys; import colorsys; print(type(sys.modules['colorsys']).__name__)"
    assert printed(code) == "_StandIn"


def test_used_it_is_the_real_one() -> None:
    """Whoever imported it has all of it, and it stands in its own place then. Red is hue 0 (definition)."""
    code = "import colorsys as c; print(c.rgb_to_hsv(1, 0, 0)[0], type(sys.modules['colorsys']).__name__)"
    assert printed(code) == "0.0 module"


def test_a_package_whose_parts_are_wanted_is_loaded() -> None:
    """``import asyncio.subprocess`` finds the part where the package was imported by name only."""
    code = "lazily('asyncio'); import asyncio, asyncio.subprocess as s; print(s.Process, asyncio.run)"
    assert "asyncio.subprocess.Process" in printed(code)


def test_a_function_taken_out_of_it_loads_it_when_called() -> None:
    """As pydantic takes ``entry_points``, which finds what is installed here: pytest is."""
    code = (
        "lazily('importlib.metadata', 'entry_points'); from importlib.metadata import entry_points;"
        "print('email' in sys.modules, len(entry_points(group='pytest11')) > 0, 'email' in sys.modules);"
        "import importlib.metadata; print(importlib.metadata.version('pytest')[0])"
    )
    assert printed(code).split()[:3] == ["False", "True", "True"]

"""How a child process of the program is started."""

from __future__ import annotations

import sys


def child_command(module: str, *arguments: str) -> list[str]:
    """Return the command that runs ``module`` of this program in a fresh interpreter.

    The working folder takes no part in finding modules: a file ``platform.py`` or a folder ``models`` that
    happens to lie there must not stand in for what the program means.
    """
    return [sys.executable, "-P", "-m", module, *arguments]

"""How a child process of the program is started; run as a file, it is what the child runs first."""

from __future__ import annotations

import runpy
import sys
from pathlib import Path

PROGRAM = str(Path(__file__).resolve().parents[2])
"""The folder that the program's own modules are in."""


def child_command(module: str, *arguments: str) -> list[str]:
    """Return the command that runs ``module`` of this program in a fresh interpreter.

    The working folder takes no part in finding modules: a file ``platform.py`` or a folder ``models`` that
    happens to lie there must not stand in for what the program means. Nor does an installed package of the
    same name: the program's own folder comes first.
    """
    return [sys.executable, "-P", str(Path(__file__).resolve()), module, *arguments]


if __name__ == "__main__":
    sys.path.insert(0, PROGRAM)
    del sys.argv[0]
    runpy.run_module(sys.argv[0], run_name="__main__", alter_sys=True)

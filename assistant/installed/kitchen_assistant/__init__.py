"""The name under which the program is installed: it puts the program's own folders first, then starts it.

The folders ``assistant``, ``intents`` and ``models`` have names that others use, too. In an installed package
they lie in ``program`` below this file, out of the way of what else is installed, and it out of theirs.
"""

from __future__ import annotations

import os
import sys

_HERE = os.path.dirname(os.path.abspath(__file__))
_CARRIED = os.path.join(_HERE, "program")
_CHECKOUT = os.path.dirname(os.path.dirname(os.path.dirname(_HERE)))
PROGRAM = _CARRIED if os.path.isdir(_CARRIED) else _CHECKOUT
"""The folder that holds the program's own: carried along when installed, else that of the checkout."""


def main() -> None:
    """Start the program."""
    sys.path.insert(0, PROGRAM)
    from assistant.cli import main as start

    start()

"""Where the program starts. Imports nothing heavy, so that Ctrl-C in the first second ends it quietly too."""

from __future__ import annotations

import os
import signal
import sys
from types import FrameType

from assistant.errors import STOPPED


def main() -> None:
    """Load the commands and run the one that was asked for."""
    before = signal.signal(signal.SIGINT, _leave)
    from assistant.door import run

    signal.signal(signal.SIGINT, before)
    run(sys.argv[1:])


def _leave(number: int, frame: FrameType | None) -> None:
    """End at once: while modules load nothing is open yet, and an exception would print where it struck."""
    sys.stderr.write("\nStopped.\n")
    sys.stderr.flush()
    os._exit(STOPPED)


if __name__ == "__main__":
    main()

"""Where the program starts. Imports nothing heavy, so that Ctrl-C in the first second ends it quietly too."""

from __future__ import annotations

import gc
import os
import signal
import sys
from types import FrameType

from assistant.errors import STOPPED


def main() -> None:
    """Load the commands and run the one that was asked for."""
    one_thread_for_arrays()
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")  # none: it need not look for them
    gc.disable()  # what is loaded stays: looking through it for rubbish takes a tenth of a short command
    before = signal.signal(signal.SIGINT, _leave)
    from assistant.lazily import lazily

    lazily("asyncio")  # imported by the library that runs the net, with ssl
    lazily("importlib.metadata", "entry_points")  # by pydantic for its plugins, with email and zipfile
    from assistant.door import run

    signal.signal(signal.SIGINT, before)
    try:
        run(sys.argv[1:])
    finally:
        gc.freeze()  # nor at the end, when all of it goes anyway


def one_thread_for_arrays() -> None:
    """Keep numpy's matrix library to one thread; call it before numpy is imported.

    Our matrices are small: more threads cost each other more time than they save, and the recogniser's too.
    """
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")


def _leave(number: int, frame: FrameType | None) -> None:
    """End at once: while modules load nothing is open yet, and an exception would print where it struck."""
    sys.stderr.write("\nStopped.\n")
    sys.stderr.flush()
    os._exit(STOPPED)


if __name__ == "__main__":
    main()

"""How libraries that compute in parallel share the cores: OpenMP's variables, set while one is loaded."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from threading import Lock

_LOADING = Lock()


@contextmanager
def openmp(variable: str, value: str) -> Iterator[None]:
    """Import a library in here to have it read ``variable``, one of the OpenMP standard's: it does so once.

    Each of our libraries carries an OpenMP of its own, so that one's setting is not another's. A value that
    the user has set stays.
    """
    with _LOADING:
        ours = variable not in os.environ
        os.environ.setdefault(variable, value)
        try:
            yield
        finally:
            if ours:
                del os.environ[variable]

"""Tells that a log's list of open actions is made anew after an update, and keeps systemd waiting for it.

A million entries take minutes on a slow machine; a service that has not begun by then would be stopped and
started again, for ever.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import click

from assistant.service_unit import tell_manager

FEWEST = 40_000
"""Steps, two an entry, below which it takes seconds and nothing is said."""
PAUSE_S = 5.0
"""Between two lines on the screen."""
PATIENCE_S = 120
"""How much longer systemd waits after each sign; a few thousand entries take a second or two."""


def telling(clock: Callable[[], float] = time.monotonic) -> Callable[[int, int], None]:
    """Return what hears how many steps are done, of how many: tells systemd each, the screen at times."""
    said: list[float] = []

    def tell(done: int, steps: int) -> None:
        tell_manager(f"EXTEND_TIMEOUT_USEC={PATIENCE_S * 1_000_000}")
        if steps < FEWEST or (said and clock() - said[-1] < PAUSE_S):
            return
        said.append(clock())
        text = f"After the update the list of open actions is made anew: {100 * done // steps} %"
        tell_manager(f"STATUS={text}")
        click.echo(f"{text} ...", err=True)

    return tell

"""A microphone that gives nothing but silence from the start is told once; it may be turned on any time."""

from __future__ import annotations

import time
from collections.abc import Callable

from assistant.live.events import Event, Level

MUTE_S = 10.0
"""Silence without any noise from the first sound on, for so long, is no quiet kitchen (judgement)."""
_ONE_STEP = 1.5 / 20_000
"""A level of one step of 16-bit sound, and a little."""


def telling_mute(
    watch: Callable[[Event], None], tell: Callable[[], None], clock: Callable[[], float] = time.monotonic
) -> Callable[[Event], None]:
    """Pass every event on, and ``tell`` once where the first ``MUTE_S`` held nothing."""
    since: float | None = None
    done = False

    def see(event: Event) -> None:
        nonlocal since, done
        if not done and isinstance(event, Level):
            since = clock() if since is None else since
            if event.level > _ONE_STEP:
                done = True
            elif clock() - since >= MUTE_S:
                done = True
                tell()
        watch(event)

    return see

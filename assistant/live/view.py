"""The terminal view while listening: time, level, state, last exchange, what is due, what is open."""

from __future__ import annotations

import time
from datetime import datetime
from types import TracebackType
from typing import Self

from rich.console import Console, Group
from rich.live import Live
from rich.text import Text

from assistant.audio.stray_lines import StrayLines
from assistant.dialogue.due import Reminder, due
from assistant.kitchen import Kitchen
from assistant.live.events import Answered, Event, Level, StateChanged

BAR = 30
REDRAW_S = 0.2
SHOWN_OPEN = SHOWN_DUE = 4
LOOK_S = 20.0
"""How often what is due is looked up again: it changes with the time, too."""
_WORDS = {
    "sleeping": "Say the wake phrase",
    "listening": "LISTENING",
    "hearing": "HEARING YOU",
    "thinking": "...",
    "speaking": "SPEAKING",
    "no microphone": "NO MICROPHONE",
    "log fault": "CANNOT WRITE THE LOG",
}


class TerminalView:
    """A screen that can be read from two metres: short lines, words before colours."""

    def __init__(
        self, kitchen: Kitchen, console: Console | None = None, stray: StrayLines | None = None
    ) -> None:
        self._kitchen = kitchen
        self._stray = stray or StrayLines()
        self._state = "sleeping"
        self._note = ""
        self._level = 0.0
        self._heard = self._reply = ""
        self._open: tuple[str, ...] = ()
        self._due: tuple[str, ...] = ()
        self._drawn = self._looked = 0.0
        self._live = Live(
            console=console or Console(), refresh_per_second=5, get_renderable=self.picture
        )  # drawn anew without any event, too: the clock goes on where no microphone is

    def __enter__(self) -> Self:
        """Take the screen."""
        self._look_up()
        self._live.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Give the screen back."""
        self._live.stop()

    def show(self, event: Event) -> None:
        """Take an event and redraw, a few times a second at most for the level."""
        if isinstance(event, Level):
            self._level = event.level
            if time.monotonic() - self._drawn < REDRAW_S:
                return
        elif isinstance(event, StateChanged):
            self._state, self._note = event.state, event.note
        elif isinstance(event, Answered):
            self._heard, self._reply = event.turn.heard, event.turn.reply
            self._look_up()
        self._drawn = time.monotonic()
        if self._drawn - self._looked > LOOK_S:
            self._look_up()
        self._live.refresh()

    def picture(self) -> Group:
        """Return what is on the screen now."""
        filled = int(self._level * BAR)
        wake = f' "{self._kitchen.site.kitchen.wake_phrase}"' if self._state == "sleeping" else ""
        lines = [
            Text(f"  {self._kitchen.clock.now():%H:%M}", style="bold"),
            Text(f"[{'#' * filled}{'.' * (BAR - filled)}]", style="bold"),
            Text(f"  {_WORDS[self._state]}{wake}", style="bold reverse"),
        ]
        if self._note:
            lines.append(Text(f"  {self._note}", style="bold"))
        lines += [
            Text(""),
            Text(f"  You:     {self._heard}"),
            Text(f"  Kitchen: {self._reply}", style="bold"),
            Text(""),
        ]
        lines.append(Text("  Due:  " + ("; ".join(self._due) if self._due else "nothing is running")))
        lines.append(Text("  Open: " + ("; ".join(self._open) if self._open else "nothing")))
        if self._stray.count:
            lines.append(Text(f"  Sound:  {self._stray.count} complaints of its library (kitchen doctor)"))
        return Group(*lines)

    def _look_up(self) -> None:
        lines = self._kitchen.log.views.open_actions(limit=SHOWN_OPEN + 1)
        names = [f"{line.entry.subject} ({line.entry.note})" for line in lines[:SHOWN_OPEN]]
        self._open = (*names, *(("and more",) if len(lines) > SHOWN_OPEN else ()))
        now = self._kitchen.clock.now()
        running = due(now, self._kitchen.log.views, self._kitchen.site)
        shown = [_coming(reminder, now) for reminder in running[:SHOWN_DUE]]
        self._due = (*shown, *(("and more",) if len(running) > SHOWN_DUE else ()))
        self._looked = time.monotonic()


def _coming(reminder: Reminder, now: datetime) -> str:
    """Return a running batch or clock and its next limit in a few words."""
    limit = reminder.values.get("limit")
    to = f" at {limit}" if limit is not None else ""
    late = "LATE: " if reminder.late(now) else ""
    return f"{late}{reminder.values['subject']}{to} by {reminder.at:%H:%M} ({reminder.kind})"

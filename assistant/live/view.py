"""The terminal view while listening: time, level, state, last exchange, what is due, what is open."""

from __future__ import annotations

import time
from datetime import datetime
from types import TracebackType
from typing import Self

from assistant.audio.stray_lines import StrayLines
from assistant.dialogue.due import Reminder, due
from assistant.kitchen import Kitchen
from assistant.live.events import Answered, Event, Level, StateChanged
from assistant.live.screen import REDRAW_S, Line, Screen

BAR = 30
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

    def __init__(self, kitchen: Kitchen, stray: StrayLines | None = None) -> None:
        self._kitchen = kitchen
        self._stray = stray or StrayLines()
        self._state = "sleeping"
        self._note = ""
        self._level = 0.0
        self._heard = self._reply = ""
        self._open: tuple[str, ...] = ()
        self._due: tuple[str, ...] = ()
        self._drawn = self._looked = 0.0
        self._screen = Screen(self.picture)  # drawn without any event, too: the clock goes on

    def __enter__(self) -> Self:
        """Take the screen."""
        self._look_up()
        self._screen.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Give the screen back."""
        self._screen.stop()

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
        self._screen.draw()

    def picture(self) -> list[Line]:
        """Return what is on the screen now."""
        filled = int(self._level * BAR)
        wake = f' "{self._kitchen.site.kitchen.wake_phrase}"' if self._state == "sleeping" else ""
        lines = [
            Line(f"  {self._kitchen.clock.now():%H:%M}", "bold"),
            Line(f"[{'#' * filled}{'.' * (BAR - filled)}]", "bold"),
            Line(f"  {_WORDS[self._state]}{wake}", "bold reverse"),
        ]
        if self._note:
            lines.append(Line(f"  {self._note}", "bold"))
        lines += [
            Line(""),
            Line(f"  You:     {self._heard}"),
            Line(f"  Kitchen: {self._reply}", "bold"),
            Line(""),
        ]
        lines.append(Line("  Due:  " + ("; ".join(self._due) if self._due else "nothing is running")))
        lines.append(Line("  Open: " + ("; ".join(self._open) if self._open else "nothing")))
        if self._stray.count:
            lines.append(Line(f"  Sound:  {self._stray.count} complaints of its library (kitchen doctor)"))
        return lines

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

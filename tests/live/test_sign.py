"""The sign of life: written at each change and once a minute, so that the page can tell."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

from assistant.live.events import Event, Level, StateChanged
from assistant.live.sign import EVERY_S, SignOfLife
from assistant.logbook import SetClock
from assistant.logbook.listening import read_listening


def test_a_lost_microphone_is_noted_at_once_and_quiet_minutes_too(tmp_path: Path) -> None:
    """Listening, gone, back, stopped; and every event is passed on."""
    clock = SetClock(datetime.fromisoformat("2026-03-01T09:00:00-06:00"))
    elapsed, passed = [0.0], list[Event]()
    sign = SignOfLife(tmp_path, clock.now, passed.append, lambda: elapsed[0])

    def happens(event: Event, seconds: float = 1.0) -> tuple[str, datetime, datetime]:
        clock.time += timedelta(seconds=seconds)
        elapsed[0] += seconds
        sign(event)
        told = read_listening(tmp_path)
        assert told is not None
        return told.state, told.since, told.seen

    nine = clock.now()
    first = happens(Level(0.1))
    assert first == ("listening", nine, nine + timedelta(seconds=1))
    assert happens(Level(0.1)) == first
    assert happens(Level(0.1), EVERY_S)[2] == clock.now()
    assert happens(StateChanged("no microphone", "it was unplugged"))[:2] == ("no microphone", clock.now())
    gone = clock.now()
    assert happens(Level(0.0), EVERY_S) == ("no microphone", gone, clock.now())
    assert happens(StateChanged("sleeping"))[0] == "listening"
    sign.stop()
    told = read_listening(tmp_path)
    assert told is not None
    assert told.state == "stopped"
    assert len(passed) == 6

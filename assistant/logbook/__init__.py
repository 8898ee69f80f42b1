"""The append-only log: entries, the store, playback, verification and export."""

from assistant.logbook.clock import Clock, SetClock, SystemClock
from assistant.logbook.entry import Clip, Draft, Entry, Kind, Limits
from assistant.logbook.query import Cursor, Filter
from assistant.logbook.store import Logbook, open_views
from assistant.logbook.views import DaySummary, Head, Line, Page, Views

__all__ = [
    "Clip",
    "Clock",
    "Cursor",
    "DaySummary",
    "Draft",
    "Entry",
    "Filter",
    "Head",
    "Kind",
    "Limits",
    "Line",
    "Logbook",
    "Page",
    "SetClock",
    "SystemClock",
    "Views",
    "open_views",
]

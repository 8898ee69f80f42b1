"""One corrective action as one story: the reading, what was done, rechecks, discards, how it ended."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import islice

from assistant.logbook.query import Filter
from assistant.logbook.views import Line, Views
from assistant.manager import shown

_MOST = 40
_LONG_HOURS = 48
"""From so long on it is told in days."""
_AFTER = timedelta(days=1)
"""A discard so long after the reading may still belong to it, while nothing has closed it."""


@dataclass(frozen=True, slots=True)
class Step:
    """Something that happened after the reading: the entry, and in words."""

    line: Line
    told: str


@dataclass(frozen=True, slots=True)
class Story:
    """A reading that failed (or the like), its action if one was opened, and all that followed."""

    cause: Line
    action: Line | None
    steps: tuple[Step, ...]
    ended: datetime | None

    @property
    def open(self) -> bool:
        """Whether the action still waits."""
        return self.action is not None and self.action.open

    def minutes(self, now: datetime) -> int:
        """Return how long the action was open, or has been."""
        return max(0, int(((self.ended or now) - shown.moment(self.cause.now)).total_seconds() // 60))

    def lasted(self, now: datetime) -> str:
        """Say how long: "open for 42 min", "closed after 1 h 5 min"; '' without an action."""
        if self.action is None:
            return ""
        hours, rest = divmod(self.minutes(now), 60)
        if hours >= _LONG_HOURS:
            span = f"{hours // 24} d {hours % 24} h"
            return f"open for {span}" if self.open else f"closed after {span}"
        span = f"{hours} h {rest} min" if hours and rest else f"{hours} h" if hours else f"{rest} min"
        return f"open for {span}" if self.open else f"closed after {span}"


def story_of(views: Views, line: Line) -> Story | None:
    """Return the story that a line belongs to as reading or as action; ``None`` where there is none."""
    cause = line
    if line.entry.kind == "action_opened":
        found = views.line(line.entry.refers_to, line.site) if line.entry.refers_to else None
        return _told(views, found or line, line)
    if line.entry.kind not in ("reading", "event", "clock", "not_taken"):
        return None
    actions = _of(views, Filter(site=line.site, refers_to=cause.entry.id, kinds=("action_opened",)))
    if not actions and line.now.verdict != "fail":
        return None
    return _told(views, cause, actions[-1] if actions else None)


def _told(views: Views, cause: Line, action: Line | None) -> Story:
    steps: dict[int, Step] = {}
    closing = views.line(action.closed_by, action.site) if action and action.closed_by else None
    last = shown.moment(closing.now) if closing else None
    if action is not None:
        for line in _of(views, Filter(site=cause.site, refers_to=action.entry.id, standing_only=True)):
            steps[line.entry.id] = Step(line, _deed(line))
    begin = shown.moment(cause.now)
    end = max(last, begin) if last else begin + _AFTER
    for line in _of(views, Filter(
        site=cause.site, subject=cause.now.subject, kinds=("reading", "discard"), since=begin,
        until=end + timedelta(seconds=1), standing_only=True,
    )):  # fmt: skip
        same = line.now.kind == "discard" or line.now.measured == cause.now.measured
        if same and line.entry.id > cause.entry.id:
            steps[line.entry.id] = Step(line, _deed(line))
    if closing is not None and closing.entry.id not in steps:
        steps[closing.entry.id] = Step(closing, _deed(closing))
    return Story(cause, action, tuple(steps[each] for each in sorted(steps)), last)


def _of(views: Views, wanted: Filter) -> list[Line]:
    return list(islice(views.each(wanted), _MOST))


def _deed(line: Line) -> str:
    """Return a step in words."""
    entry = line.now
    if entry.kind == "reading":
        return f"read again: {shown.value(entry)}, {entry.verdict or 'not judged'}"
    if entry.kind == "discard":
        return f"thrown out: {entry.amount or 'the amount was not said'}"
    if entry.kind == "action_closed":
        return f"closed{f': {entry.note}' if entry.note else ''}"
    if entry.kind in ("correction", "withdrawal"):
        return "the reading was corrected" if entry.kind == "correction" else "the reading was taken back"
    return entry.note.removeprefix("done: ") or shown.kind(entry)

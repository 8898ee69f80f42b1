"""Answers from the log: played back, what failed, what is open, a place's last reading, the clip."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from assistant.dialogue.answer import Answer, Request, Value, answers, capital
from assistant.dialogue.moments import Span, span_of
from assistant.logbook.entry import Entry
from assistant.logbook.query import Filter
from assistant.logbook.unjudged import is_cooling, is_unjudged
from assistant.logbook.views import Line, Views
from assistant.rules.basis import Verdict
from assistant.site import Site

SPOKEN_AT_MOST = 4
"""Entries named in one spoken list; the rest is counted."""


def value_shown(entry: Entry) -> str:
    """Return an entry's value with its unit as shown."""
    if entry.value is None:
        return ""
    return (
        f"{entry.value}°{entry.unit}" if entry.unit in ("F", "C") else f"{entry.value} {entry.unit}".strip()
    )


def clock_shown(entry: Entry) -> str:
    """Return the local time of an entry on a twelve-hour clock ("2:05 pm")."""
    at = datetime.fromisoformat(entry.said_at or entry.at_local)
    return f"{at.hour % 12 or 12}:{at.minute:02d} {'am' if at.hour < 12 else 'pm'}"


def _item(line: Line, site: Site) -> str:
    entry = line.now
    name = site.spoken_name(entry.subject)
    return f"{name[:1].upper()}{name[1:]} {value_shown(entry)} at {clock_shown(entry)}"


def _list(lines: Sequence[Line], site: Site) -> str:
    named = "; ".join(_item(line, site) for line in lines[:SPOKEN_AT_MOST])
    more = len(lines) - SPOKEN_AT_MOST
    return f"{named}{f'; and {more} more' if more > 0 else ''}."


def _open_list(lines: Sequence[Line], site: Site) -> str:
    named = []
    for line in lines[:SPOKEN_AT_MOST]:
        note = f", {line.entry.note}" if line.entry.note else ""
        named.append(f"{site.spoken_name(line.entry.subject)}{note}")
    more = len(lines) - SPOKEN_AT_MOST
    return "; ".join(named) + (f"; and {more} more" if more > 0 else "") + "."


def _readings(views: Views, span: Span) -> list[Line]:
    return list(views.each(replace(span.filter(), kinds=("reading",), standing_only=True)))


@answers("log_playback")
def playback(request: Request) -> Answer:
    """Play a day back: fails and open items first, then the count and the latest readings."""
    span = span_of(request.slots, request.now)
    lines = _readings(request.views, span)
    if not lines:
        return Answer("empty", {"day": span.words})
    failed = [line for line in lines if line.now.verdict == "fail"]
    passed = [line for line in lines if line.now.verdict == "pass"]
    still_open = request.views.open_actions()
    unjudged = [line for line in lines if is_unjudged(line)]
    latest = {line.now.subject: line for line in lines if line not in failed and line not in unjudged}
    values: dict[str, Value] = {
        "day": capital(span.words),
        "readings": len(lines),
        "passed": len(passed),
        "failed": len(failed),
        "others": _others(len(unjudged), sum(map(is_cooling, lines))),
        "failed_list": f"Failed: {_list(failed, request.site)} " if failed else "",
        "unjudged_list": f"Not judged: {_list(unjudged, request.site)} " if unjudged else "",
        "open_list": f"Still open: {_open_list(still_open, request.site)} " if still_open else "",
        "rest": f"Then {_list(list(latest.values()), request.site)}" if latest else "",
    }
    return Answer("summary", values)


def _others(unjudged: int, cooling: int) -> str:
    """Return what else the readings were, so that the counts add up."""
    parts = ((unjudged, "not judged"), (cooling, "still cooling"))
    return "".join(f", {count} {what}" for count, what in parts if count)


@answers("log_failed")
def failed(request: Request) -> Answer:
    """Name what failed in a span."""
    span = span_of(request.slots, request.now)
    lines = list(request.views.each(replace(span.filter(), failed=True, kinds=("reading",))))
    if not lines:
        return Answer("none", {"day": span.words})
    return Answer("some", {"count": len(lines), "day": span.words, "list": _list(lines, request.site)})


@answers("log_open")
def still_open(request: Request) -> Answer:
    """Name the corrective actions that nothing has closed."""
    lines = request.views.open_actions()
    if not lines:
        return Answer("none")
    return Answer("some", {"count": len(lines), "list": _open_list(lines, request.site)})


@answers("log_value")
def value(request: Request) -> Answer:
    """Tell a place's latest reading in a span, and who logged it."""
    place = request.slots.places[0]
    asked_day = any(concept.startswith("day_") for concept in request.slots.concepts)
    span = span_of(request.slots, request.now)
    wanted = span.filter() if asked_day else Filter()
    line = request.views.latest(replace(wanted, subject=place, kinds=("reading",), standing_only=True))
    name = request.site.spoken_name(place)
    if line is None:
        return Answer("none", {"place": name, "day": span.words if asked_day else "is logged"})
    entry, values = line.now, _told(request, line)
    verdict = Verdict(entry.verdict) if entry.verdict in ("pass", "fail") else None
    return Answer("value", values, verdict=verdict)


def _told(request: Request, line: Line) -> dict[str, Value]:
    """Return an entry's place, value, time, person and verdict as told."""
    entry = line.now
    same_day = line.day == request.now.date().isoformat()
    day = "" if same_day else f" on {datetime.fromisoformat(line.day):%A %B} {int(line.day[8:])}"
    name = request.site.spoken_name(entry.subject)
    return {
        "place": capital(name),
        "value": value_shown(entry),
        "time": clock_shown(entry),
        "day": day,
        "who": f", by {entry.person}" if entry.person else ", nobody signed in",
        "verdict": {"pass": "Passed", "fail": "Failed"}.get(entry.verdict or "", "Not judged"),
    }


@answers("log_last")
def last(request: Request) -> Answer:
    """Tell the latest reading or discard that stands."""
    line = request.views.latest(Filter(kinds=("reading", "discard"), standing_only=True))
    if line is None:
        return Answer("none")
    values = _told(request, line)
    return Answer("value" if line.now.value is not None else "discard", values)


@answers("log_recording")
def recording(request: Request) -> Answer:
    """Play the kept sound of the last reading."""
    number = request.last_ids[-1] if request.last_ids else None
    line = request.views.line(number) if number else request.views.latest(Filter(kinds=("reading",)))
    if line is None or line.entry.clip is None:
        return Answer("none")
    values: dict[str, Value] = {
        "what": request.site.spoken_name(line.entry.subject),
        "time": clock_shown(line.entry),
    }
    return Answer("playing", values, play=(line.entry.clip,))

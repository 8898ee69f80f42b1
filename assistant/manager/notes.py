"""Notes on an entry or on a day: entries of their own, so that nothing that was logged changes."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import islice

from assistant.logbook.entry import Draft
from assistant.logbook.facts import SUBJECT
from assistant.logbook.query import Filter
from assistant.logbook.signed_days import LATEST_DAYS
from assistant.logbook.views import Line, Views

_MOST = 60


def note_draft(about: Line | date, text: str, person: str, engine: str) -> Draft:
    """Return the entry of a note on a line or on a local day."""
    if isinstance(about, date):
        return Draft(kind="note", subject=about.isoformat(), person=person, note=text, engine=engine)
    return Draft(
        kind="note",
        subject=about.now.subject,
        refers_to=about.entry.id,
        person=person,
        note=text,
        engine=engine,
    )


def notes_on(views: Views, line: Line) -> list[Line]:
    """Return the standing notes on an entry, the oldest first."""
    wanted = Filter(site=line.site, refers_to=line.entry.id, kinds=("note",), standing_only=True)
    return list(islice(views.each(wanted), _MOST))


def notes_of_day(views: Views, day: date) -> list[Line]:
    """Return the standing notes on a day, whenever they were written."""
    wanted = Filter(
        first_day=day, last_day=day + timedelta(days=LATEST_DAYS), kinds=("note",), subject=day.isoformat(),
        standing_only=True,
    )  # fmt: skip
    return list(islice(views.each(wanted), _MOST))


def is_remark(line: Line) -> bool:
    """Whether a note is a remark of somebody, not the telling of a changed set-up."""
    return line.now.kind == "note" and line.now.subject != SUBJECT


def on_a_day(line: Line) -> bool:
    """Whether a note is about a whole day, which is then its subject."""
    try:
        date.fromisoformat(line.now.subject)
    except ValueError:
        return False
    return True

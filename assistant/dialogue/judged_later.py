"""A reading logged before it could be judged, and judged by what was said afterwards: a correction of it."""

from __future__ import annotations

from datetime import datetime, timedelta

from assistant.dialogue.answer import Request
from assistant.logbook.entry import Draft
from assistant.logbook.query import Filter

_JUST_BEFORE = timedelta(minutes=5)
"""For so long an answer belongs to the reading logged before it: the patience of a question, and more."""


def in_its_stead(request: Request, draft: Draft) -> Draft:
    """Return a reading as the correction of the same number logged unjudged just before, if there is one."""
    if draft.kind != "reading":
        return draft
    wanted = Filter(kinds=("reading",), subject=draft.subject, standing_only=True)
    line = request.views.latest(wanted)
    if line is None or line.now.verdict != "cannot judge":
        return draft
    if (line.now.value, line.now.unit) != (draft.value, draft.unit):
        return draft
    if not timedelta(0) <= request.now - datetime.fromisoformat(line.entry.at_local) <= _JUST_BEFORE:
        return draft
    return draft.model_copy(update={"kind": "correction", "refers_to": line.entry.id})

"""The kitchen's places and rounds, kept in the chain: an entry for each change of the set-up.

So the office knows them without another road, and a past day can be read with the rounds that it had.
"""

from __future__ import annotations

import json

from pydantic import ValidationError

from assistant.logbook.entry import Draft
from assistant.logbook.query import Filter
from assistant.logbook.views import Views
from assistant.site import Site

SUBJECT = "set-up"
"""The subject of these entries, which are of the kind ``note``."""
_KITCHEN = {"units", "time_zone", "language", "closed_weekdays", "closed_dates"}
_EQUIPMENT = {"id", "name", "kind", "numbers"}
_ROUND = {"id", "name", "places", "cooling", "due"}


def facts_of(site: Site) -> str:
    """Return places, rounds and closed days as JSON: what reading the log needs, and no person's name."""
    facts = site.model_dump(
        mode="json",
        exclude_defaults=True,
        include={
            "kitchen": _KITCHEN,
            "equipment": {"__all__": _EQUIPMENT},
            "rounds": {"__all__": _ROUND},
        },
    )
    return json.dumps(facts, ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def site_of(facts: str, name: str) -> Site | None:
    """Return the kitchen that ``facts`` tell of, called ``name``; ``None`` where they cannot be read."""
    try:
        told = json.loads(facts)
        return Site.model_validate({**told, "kitchen": {**told.get("kitchen", {}), "name": name}})
    except (ValueError, AttributeError, TypeError, ValidationError):
        return None


def last_facts(views: Views, kitchen: str = "") -> str:
    """Return the facts that the log holds last ('' if none)."""
    wanted = Filter(kinds=("note",), subject=SUBJECT, site=kitchen, standing_only=True)
    for line in views.lines(wanted, limit=50, newest_first=True).lines:
        if line.entry.facts:
            return str(line.entry.facts)
    return ""


def facts_draft(site: Site, note: str, person: str = "", engine: str = "") -> Draft:
    """Return the entry that tells a change of the set-up."""
    return Draft(kind="note", subject=SUBJECT, person=person, note=note, engine=engine, facts=facts_of(site))

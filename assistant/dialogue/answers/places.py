"""The kinds of places that a question speaks of: of the site by name, others by a word for their kind."""

from __future__ import annotations

from assistant.dialogue.answer import Request

NAMED = "place_"
"""How the concepts of places begin that no site names (place_room, place_heat)."""
_OF_SITE = {
    "cold_holding": "cold",
    "egg_cooler": "cold",
    "freezer": "freezer",
    "blast_chiller": "cold",
    "hot_holding": "hot",
    "hand_sink": "hand_sink",
    "prep_sink": "water",
}
"""What a kind of equipment is to food that is put there."""


def kinds_said(request: Request) -> frozenset[str]:
    """Return what was said of where food is: cold, freezer, hot, heat, room, water, microwave, hand_sink."""
    said = {c.removeprefix(NAMED) for c in request.slots.concepts if c.startswith(NAMED)}
    site = {_OF_SITE.get(request.site.kind_of(place), "") for place in request.slots.places}
    return frozenset(said | site) - {""}

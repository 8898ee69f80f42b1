"""Questions about the rules of another place ("hot holding in New York"): its figures, said to be its own."""

from __future__ import annotations

from assistant.dialogue.answer import Request
from assistant.dialogue.slots import LAW, Slots
from assistant.rules.profile import DEFAULT_PROFILE, load_profile, profile_names
from assistant.site import Site

RULES = "which_rules"
"""The intent that asks which rules are in force here."""
UNHELD = "law_unheld"
"""The concept of places whose rules are not held."""


def site_asked(site: Site, slots: Slots) -> Site:
    """Return the kitchen as it would be under the rules asked about; its own where none are or none differ.

    Rules in other degrees are left alone once a number was said, which would be read in those degrees.
    """
    name = site.kitchen.profile if slots.has(RULES) else _profile_asked(site, slots)
    if name == site.kitchen.profile:
        return site
    if load_profile(name).unit != load_profile(site.kitchen.profile).unit and slots.measures:
        return site
    return site.model_copy(update={"overrides": ()}).with_profile(name)


def _profile_asked(site: Site, slots: Slots) -> str:
    if slots.has("law_fda"):
        return DEFAULT_PROFILE
    named = (name for name in profile_names() if slots.has(LAW + name))
    return next(named, DEFAULT_PROFILE if slots.has(UNHELD) else site.kitchen.profile)


def whose_rules(site: Site, request: Request) -> str:
    """Return the fragment to say first (``of_place``, ``not_held``, ``not_in_degrees``), or nothing."""
    if request.intent == RULES:
        return ""
    if request.slots.has(UNHELD):
        return "not_held"
    if request.site is not site:
        return "of_place"
    other = _profile_asked(site, request.slots) != site.kitchen.profile
    return "not_in_degrees" if other else ""

"""Answers about a worker who is ill: what each sign means for work, and who clears it."""

from __future__ import annotations

from assistant.dialogue.answer import Answer, Request, answers
from assistant.dialogue.answers.advice import told
from assistant.dialogue.slots import ILL
from assistant.rules.basis import Citation
from assistant.rules.referrals import referral

_SUBJECTS = ("ill_worker", "infected_wound", "return_to_work")
_EXCLUDED = Citation(
    "FDA Food Code 2022", "2-201.12; 2-201.13", "fda_2022", "MEMORY", "who may work, and when"
)
_DISCHARGE = Citation("FDA Food Code 2022", "2-401.12", "fda_2022", "MEMORY", "eyes, nose and mouth")
_NEAR, _WELL = "near", "well"
_GRAVEST_FIRST = ("norovirus", "infection", "jaundice", "vomit", "throat", "discharge")
"""Signs of illness; of several the one that keeps somebody out longest decides (2-201.12)."""
_STRICTER = {_NEAR, "throat", "norovirus"}
"""What keeps somebody out longer, or altogether, where the guests are highly susceptible."""


@answers("ill_worker")
def ill_worker(request: Request) -> Answer:
    """Say what the sign told means for work; without one, stop and report."""
    signs = _signs(request)
    sign = next((each for each in _GRAVEST_FIRST if each in signs), "")
    if {"throat", "discharge"} <= signs:
        sign = ""  # whichever it is: away from food
    if _NEAR in signs and (_WELL in signs or not sign):
        sign = _NEAR
    if request.site.kitchen.highly_susceptible_guests and sign in _STRICTER:
        sign += "_in_care"
    sources = (*(referral(subject).citation for subject in _SUBJECTS), _EXCLUDED)
    if sign == "discharge":
        sources = (_DISCHARGE, *sources)
    return told(request, sign or "answer", *sources)


def _signs(request: Request) -> set[str]:
    """Return the signs told and not denied."""
    slots = request.slots
    denied = {name for at, name in slots.concept_order if name.startswith(ILL) and slots.denied(at)}
    return {name.removeprefix(ILL) for name in slots.concepts - denied if name.startswith(ILL)}

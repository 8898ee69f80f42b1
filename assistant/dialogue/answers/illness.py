"""Answers about a worker who is ill: what each sign means for work, and who clears it."""

from __future__ import annotations

from assistant.dialogue.answer import Answer, Request, answers
from assistant.dialogue.answers.advice import told
from assistant.dialogue.slots import ILL
from assistant.rules.basis import Citation
from assistant.rules.referrals import referral
from intents.lexicon import load_lexicon

_SUBJECTS = ("ill_worker", "infected_wound", "return_to_work")
_EXCLUDED = Citation(
    "FDA Food Code 2022", "2-201.12; 2-201.13", "fda_2022", "MEMORY", "who may work, and when"
)
_DISCHARGE = Citation("FDA Food Code 2022", "2-401.12", "fda_2022", "MEMORY", "eyes, nose and mouth")
_NEAR, _WELL, _WOUND = "near", "well", "wound"
_GRAVEST_FIRST = ("norovirus", "infection", "jaundice", "vomit", "throat", "discharge")
"""Signs of illness; of several the one that keeps somebody out longest decides (2-201.12)."""
_DIAGNOSED = {"infection", "jaundice"}
_CLOSE = 4
"""So few words from "my sister" on her sign follows, where it is hers."""
_STRICTER = {_NEAR, "throat", "norovirus"}
"""What keeps somebody out longer, or altogether, where the guests are highly susceptible."""


@answers("ill_worker")
def ill_worker(request: Request) -> Answer:
    """Say what the sign told means for work; without one, stop and report."""
    signs = _signs(request)
    sign = next((each for each in _GRAVEST_FIRST if each in signs), "")
    if len({"throat", "discharge", _WOUND} & signs) > 1 and sign in ("throat", "discharge"):
        sign = ""  # whichever it is: away from food
    if {_NEAR, _WELL} <= signs and _of_another(request, sign) and _WOUND not in signs:
        sign = _NEAR
    if request.site.kitchen.highly_susceptible_guests and sign in _STRICTER:
        sign += "_in_care"
    sources = (*(referral(subject).citation for subject in _SUBJECTS), _EXCLUDED)
    if sign == "discharge":
        sources = (_DISCHARGE, *sources)
    return told(request, sign or "answer", *sources)


def _of_another(request: Request, sign: str) -> bool:
    """True where nobody here is ill: nothing was told, or of a relative who is named right before.

    What is diagnosed or shows in the eyes keeps a worker out, whosever it may be (2-201.12, 2-201.13).
    """
    slots, lexicon = request.slots, load_lexicon(request.slots.language)
    others = lexicon.list("third_person") | lexicon.list("same_as_before")
    if sign in _DIAGNOSED or {*slots.words} & others:
        return False
    told = [(at, name.removeprefix(ILL)) for at, name in slots.concept_order if name.startswith(ILL)]
    seen = [at for at, name in told if name in _GRAVEST_FIRST and not slots.denied(at)]
    if not seen:
        return not sign
    return len(seen) == 1 and any(name == _NEAR and 0 < seen[0] - at <= _CLOSE for at, name in told)


def _signs(request: Request) -> set[str]:
    """Return the signs told and not denied."""
    slots = request.slots
    denied = {name for at, name in slots.concept_order if name.startswith(ILL) and slots.denied(at)}
    return {name.removeprefix(ILL) for name in slots.concepts - denied if name.startswith(ILL)}

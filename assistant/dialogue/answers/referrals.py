"""Answers that hand a matter over: who decides, and the one safe thing to do now."""

from __future__ import annotations

from assistant.dialogue.answer import Answer, Request, answers
from assistant.dialogue.statements import asks
from assistant.rules.referrals import referral, referral_subjects

_PREFIX = "refer_"
_HOME = "refer_home_made_food"
_PRAISE = frozenset("better best love loves loved recipe reminds favorite famous always used".split())


@answers("referral")
def refer(request: Request) -> Answer | None:
    """Name who decides; what is urgent comes before anything else that was said."""
    if _only_praised(request):
        return None
    named = [subject for subject in referral_subjects() if request.slots.has(_PREFIX + subject)]
    if not named:
        return Answer("approval", sources=(referral("approval").citation,))
    subject = min(named, key=lambda name: not referral(name).urgent)
    return Answer(subject, sources=(referral(subject).citation,))


def _only_praised(request: Request) -> bool:
    """True for "my mom's chili is better": talk about home cooking, nothing to be served."""
    slots = request.slots
    named = {c for c in slots.concepts if c.startswith(_PREFIX)}
    heard = slots.heard
    return named == {_HOME} and heard is not None and not asks(heard) and bool(_PRAISE & set(slots.words))

"""Answers that hand a matter over: who decides, and the one safe thing to do now."""

from __future__ import annotations

from assistant.dialogue.answer import Answer, Request, answers
from assistant.rules.referrals import referral, referral_subjects

_PREFIX = "refer_"


@answers("referral")
def refer(request: Request) -> Answer:
    """Name who decides; what is urgent comes before anything else that was said."""
    named = [subject for subject in referral_subjects() if request.slots.has(_PREFIX + subject)]
    if not named:
        return Answer("approval", sources=(referral("approval").citation,))
    subject = min(named, key=lambda name: not referral(name).urgent)
    return Answer(subject, sources=(referral(subject).citation,))

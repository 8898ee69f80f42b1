"""Answers about hands: when and how to wash, what does not replace it, what is worn, eating at work."""

from __future__ import annotations

from decimal import Decimal

from assistant.dialogue.answer import Answer, Request, answers
from assistant.dialogue.answers.advice import always, told
from assistant.rules.basis import Citation
from assistant.rules.hands import hand_rules, judge_hand_wash, judge_instead_of_washing, must_wash
from assistant.rules.referrals import referral

WHEN = tuple(must_wash(event).citation for event in ("before_food_work", "raw_to_ready_to_eat", "toilet"))
TIMES = {"total": "hand_wash_min", "scrub": "hand_scrub_min"}


@answers("hand_when")
def when(request: Request) -> Answer:
    """Say when hands are washed: whatever was touched, the wash is the same."""
    limits = {**TIMES, "cold": "cold_holding_max"}
    return told(request, "answer", *WHEN, limits=limits)


@answers("hand_how")
def how(request: Request) -> Answer:
    """Say how hands are washed, or judge the time said."""
    said = request.slots.measure("duration")
    if said is not None and said.unit in ("hour", "day"):
        return told(request, "again", must_wash("task_change").citation, limits=TIMES)
    if said is None or said.unit not in ("second", "minute"):
        return told(request, "answer", limits=TIMES)
    seconds = Decimal(said.value) * (60 if said.unit == "minute" else 1)
    judged = judge_hand_wash(request.profile, seconds, None)
    return told(request, "fine" if judged.passed else "short", limits=TIMES, verdict=judged.verdict)


def _personal(name: str) -> Citation:
    return hand_rules("hand_personal")[name].citation


always("hand_instead", *judge_instead_of_washing("gel").citations, **TIMES)
always("hand_sink_water", least="hand_sink_supply_min")
always("cuts", referral("cut_or_bleeding").citation, referral("infected_wound").citation)
always("worn_items", *map(_personal, ("plain_ring", "fingernails", "hair_restraint")))
always("eat_drink", *map(_personal, ("eating", "closed_drink")))
always("hand_supplies", Citation("FDA Food Code 2022", "6-301.11; 6-301.12", "fda_2022", "MEMORY"))
always("hand_dry", Citation("FDA Food Code 2022", "2-301.12; 6-301.12", "fda_2022", "READ"))


always("apron", Citation("common practice, no source", "soiled aprons", flag="PRACTICE"))

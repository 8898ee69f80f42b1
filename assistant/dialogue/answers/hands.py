"""Answers about hands: when and how to wash, what does not replace it, what is worn, eating at work."""

from __future__ import annotations

from decimal import Decimal

from assistant.dialogue.answer import Answer, Request, answers
from assistant.dialogue.answers.advice import always, told
from assistant.rules.basis import Citation
from assistant.rules.hands import hand_rules, judge_hand_wash, judge_instead_of_washing, must_wash
from assistant.rules.referrals import referral

TIMES = {"total": "hand_wash_min", "scrub": "hand_scrub_min"}
EVENTS = (
    ("did_toilet", "toilet", "toilet"),
    ("did_raw", "raw_to_ready_to_eat", "raw"),
    ("did_phone", "phone", "wash"),
    ("did_money", "money", "wash"),
    ("did_trash", "trash", "wash"),
    ("did_cough", "cough_eat_drink_smoke", "wash"),
    ("did_smoke", "cough_eat_drink_smoke", "wash"),
    ("did_eat", "cough_eat_drink_smoke", "wash"),
    ("did_body", "touched_body", "wash"),
    ("did_dishes", "soiled_equipment", "wash"),
    ("did_chemical", "chemicals", "wash"),
    ("did_pet", "animals", "wash"),
    ("did_floor", "contamination", "wash"),
    ("did_boxes", "contamination", "wash"),
    ("did_apron", "contamination", "wash"),
    ("did_handle", "contamination", "handle"),
    ("did_break", "task_change", "wash"),
)
"""Concept, row of the rules' table of events, reply."""


def event_of(request: Request) -> tuple[str, str] | None:
    """Return the event that soiled the hands and its reply, the weightiest first."""
    for concept, event, reply in EVENTS:
        if request.slots.has(concept):
            return event, reply
    food = request.slots.food()
    return ("raw_to_ready_to_eat", "raw") if food is not None and food.raw_animal else None


@answers("hand_when")
def when(request: Request) -> Answer:
    """Say whether an event calls for washing; without one, when to wash."""
    limits = {**TIMES, "cold": "cold_holding_max"}
    found = event_of(request)
    if found is None:
        return told(request, "always", must_wash("before_food_work").citation, limits=limits)
    event, reply = found
    eggs = any("egg" in word for word in request.slots.words)
    if reply == "raw" and eggs and request.slots.has("ready_target"):
        reply = "eggs"
    return told(request, reply, must_wash(event).citation, limits=limits)


@answers("hand_how")
def how(request: Request) -> Answer:
    """Say how hands are washed, or judge the time said."""
    said = request.slots.measure("duration")
    if said is not None and said.unit in ("hour", "day"):
        return told(request, "again", must_wash("task_change").citation, limits=TIMES)
    if said is None or said.unit not in ("second", "minute"):
        return told(request, "answer", limits=TIMES)
    seconds = Decimal(said.value) * (60 if said.unit == "minute" else 1)
    rub = request.slots.has("rub_word")
    judged = judge_hand_wash(request.profile, None if rub else seconds, seconds if rub else None)
    answer = told(request, "fine" if judged.passed else "short", limits=TIMES)
    return Answer(answer.reply, answer.values, answer.sources, judged.verdict, caution=answer.caution)


@answers("hand_instead")
def instead(request: Request) -> Answer:
    """Say that only washing is washing."""
    slots = request.slots
    act, reply = "towel", "towel"
    if slots.has("act_gel"):
        act, reply = "gel", "gel"
    elif slots.has("act_wipe"):
        act, reply = "wet_wipe", "towel"
    elif slots.has("sanitizer_word", "bucket_word", "quat_word", "chlorine_word"):
        act, reply = "sanitizer_dip", "dip"
    elif slots.has("act_rinse"):
        act, reply = "rinse_only", "rinse"
    elif slots.has("act_apron"):
        act = "apron_wipe"
    return told(request, reply, *judge_instead_of_washing(act).citations, limits=TIMES)


@answers("hand_sink_water")
def sink_water(request: Request) -> Answer:
    """Say how warm a hand sink has to get, and what to do when it does not."""
    cold = request.slots.has("hand_cold", "trouble_word") and not request.slots.has(
        "temperature_word", "should"
    )
    return told(request, "cold" if cold else "answer", limits={"least": "hand_sink_supply_min"})


def _personal(name: str) -> Citation:
    return hand_rules("hand_personal")[name].citation


@answers("cuts")
def cuts(request: Request) -> Answer:
    """Say what to do with a cut or burn."""
    slots = request.slots
    if any(word in slots.words for word in ("infected", "pus")):
        return told(request, "infected", referral("infected_wound").citation)
    reply = "bleeding" if slots.has("bleeding_word") or "blood" in slots.words else "answer"
    return told(request, reply, referral("cut_or_bleeding").citation)


@answers("worn_items")
def worn(request: Request) -> Answer:
    """Say what may be worn on hands, arms and head."""
    slots = request.slots
    plain_ring = slots.has("ring_word") and not slots.has("jewelry_word")
    for concept, reply, row in (
        ("nail_word", "nails", "fingernails"),
        ("hair_word", "hair", "hair_restraint"),
    ):
        if slots.has(concept):
            return told(request, reply, _personal(row))
    return told(request, "ring" if plain_ring else "jewelry", _personal("plain_ring"))


@answers("eat_drink")
def eat_drink(request: Request) -> Answer:
    """Say where one may eat and drink."""
    eats = request.slots.has("eat_word", "smoke_self", "did_smoke") and not request.slots.has("drink_word")
    return told(request, "eat" if eats else "drink", _personal("eating" if eats else "closed_drink"))


always("hand_supplies", Citation("FDA Food Code 2022", "6-301.11; 6-301.12", "fda_2022", "MEMORY"))
always("hand_dry", Citation("FDA Food Code 2022", "2-301.12; 6-301.12", "fda_2022", "READ"))


always("apron", Citation("common practice, no source", "soiled aprons", flag="PRACTICE"))

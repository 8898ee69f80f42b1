"""Answers where the next best rule would hurt somebody: past dates, food put back, chemicals, allergens."""

from __future__ import annotations

from assistant.dialogue.answer import Answer, Request, Value, answers
from assistant.dialogue.answers.advice import always, cooked_text, strengths_here, told
from assistant.dialogue.answers.cooking import BEANS, COOKING, main_text
from assistant.dialogue.answers.food_words import food_of
from assistant.dialogue.answers.places import kinds_said
from assistant.dialogue.answers.reheating import TOXINS
from assistant.rules import allergens
from assistant.rules.basis import Citation
from assistant.rules.compare import warmer_than
from assistant.rules.referrals import referral
from assistant.rules.storage import PLACES
from assistant.rules.thawing import VACUUM_FISH

USE_BY = Citation("FDA Food Code 2022", "3-501.17(B); 3-501.18", flag="MEMORY", note="the maker's use-by")
TIMED = Citation("FDA Food Code 2022", "3-501.19(B)", flag="READ", note="served or discarded")
SERVED = Citation("FDA Food Code 2022", "3-306.14", flag="MEMORY", note="not served again")
CLOTHS = Citation("FDA Food Code 2022", "3-304.14", flag="READ", note="wiping cloths")
HISTAMINE = Citation("FDA Bad Bug Book", "scombroid poisoning", flag="MEMORY")
FUGU = Citation("FDA import advice", "puffer fish", flag="MEMORY")
ON_ICE = Citation("FDA Food Code 2022", "3-501.16(A)(2)", flag="READ")
SLOW = Citation("USDA slow cooker pages", "thaw first; no reheating", flag="MEMORY")

always("past_date", USE_BY)
always("ice_reuse", PLACES["ice"])
always("apron_wipe", CLOTHS)
always("chemical_taste", referral("chemical_on_food").citation)
always("allergen_crossed", referral("allergy_question").citation, allergens.HEAT)
always("fugu", FUGU)
always(
    "rim_touched",
    Citation("FDA Food Code 2022", "4-904.11", flag="MEMORY", note="food- and lip-contact parts"),
)
always("sneeze_guard", Citation("FDA Food Code 2022", "3-306.11", flag="MEMORY", note="food on display"))
always("mop_sanitizer", CLOTHS)
always("oil_drain", Citation("common practice, no source", "grease", flag="PRACTICE"))
always("hot_chemical", Citation("product labels", "hot surfaces", flag="PRACTICE"))
always(
    "machine_bleach",
    Citation("machine data plate", "sanitizer", flag="SITE"),
    referral("chemical_gas").citation,
)
always(
    "cool_outdoors",
    Citation("FDA Food Code 2022", "3-501.15", flag="READ"),
    first="cooling_start",
)
always("vacuum_fish", VACUUM_FISH, limit="vacuum_fish_max")
always("lotion", Citation("FDA Food Code 2022", "2-301.14; 2-301.16", flag="MEMORY"))


@answers("kills_it")
def kills(request: Request) -> Answer:
    """Say that neither heat nor cold nor acid mends food that went wrong."""
    foods = [food for i in range(len(request.slots.foods)) if (food := food_of(request, i)) is not None]
    food = next((one for one in foods if one.raw_animal), None)
    target = main_text(food, request) if food is not None else ""
    values: dict[str, Value] = {"target": target or cooked_text("poultry", request)}
    histamine = any("scombroid" in one.notes for one in foods)
    sources = (HISTAMINE,) if histamine else (TOXINS, COOKING)
    limits = {"hours": "time_control_hours_max"}
    return told(request, "histamine" if histamine else "heat", *sources, limits=limits, values=values)


@answers("straight_bleach")
def straight(request: Request) -> Answer:
    """Refuse sanitizer that was not thinned, and say the strength here."""
    span, sources = strengths_here(request)
    return told(request, "answer", *sources, caution="mixing", range=span)


@answers("put_back")
def put_back(request: Request) -> Answer:
    """Say what goes back: nothing that guests could touch; into a warmer only what was reheated first."""
    return told(request, "warmer" if "hot" in kinds_said(request) else "answer", SERVED, TIMED)


@answers("slow_cook")
def slow_cook(request: Request) -> Answer:
    """Say what may not go into a slow cooker: dry beans, frozen meat, cold food to be reheated."""
    food = food_of(request)
    if food is not None and "must_be_cooked" in food.notes:
        return told(request, "beans", BEANS)
    target = main_text(food, request) if food is not None and food.raw_animal else ""
    return told(request, "answer", SLOW, COOKING, target=target or cooked_text("poultry", request))


@answers("on_ice")
def on_ice(request: Request) -> Answer:
    """Say when ice will do to keep food cold; food that is too warm already has to be chilled."""
    cold, said = request.profile.limit("cold_holding_max"), request.slots.measure("temperature", "number")
    reading = request.slots.temperature(request.site.kitchen.units) if said is not None else None
    warm = reading is not None and warmer_than(reading, cold)
    limits = {"cold": cold.key, "hours": "time_control_hours_max"}
    return told(request, "warm" if warm else "answer", ON_ICE, limits=limits)

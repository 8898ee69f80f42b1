"""Answers about guests: those at risk, children, allergies (handed over), food that was on a table."""

from __future__ import annotations

from dataclasses import replace

from assistant.dialogue.answer import Answer, Request, answers, capital
from assistant.dialogue.answers.advice import always, cooked_text, told
from assistant.dialogue.answers.cooking import main_text
from assistant.dialogue.answers.food_words import food_of, said
from assistant.rules import allergens
from assistant.rules.basis import Citation
from assistant.rules.food_names import find_food
from assistant.rules.foods import Food
from assistant.rules.referrals import referral
from assistant.rules.susceptible import ADVISORY, SUSCEPTIBLE, judge_service
from intents.wording import meant

SERVED = Citation("FDA Food Code 2022", "3-306.14", flag="MEMORY", note="returned food is not served again")
HONEY = Citation("infant feeding advice", "honey", flag="MEMORY", note="infant botulism")
_AT_RISK = ("guest_in_care", "guest_at_risk", "guest_baby")


@answers("guests")
def guests(request: Request) -> Answer:
    """Say what guests at risk or children may not be served."""
    slots, food = request.slots, food_of(request)
    if food is None:
        return told(request, "list", SUSCEPTIBLE)
    name, child = said(request), slots.has("guest_child")
    target = main_text(food, request) or cooked_text("fish" if food.served_raw else "poultry", request)
    if food.name == "honey":  # who asks of guests and honey asks of a baby
        return told(request, "honey", HONEY)
    in_care = slots.has("guest_in_care") or request.site.kitchen.highly_susceptible_guests
    if not in_care and slots.has(*_AT_RISK) and _unlimited(food):
        return told(request, "diet", SUSCEPTIBLE)
    if not in_care and slots.has(*_AT_RISK):
        reply = "young" if slots.has("guest_baby") else "one_guest"
        return told(request, reply, ADVISORY, SUSCEPTIBLE, food=capital(name), target=target)
    if food.food_class == "raw_dough_batter" and not slots.has("as_cooked"):
        return told(request, "dough", food.citation)
    judged = judge_service(
        food,
        guests_highly_susceptible=in_care,
        undercooked=food.food_class == "egg_shell_to_order" or slots.has("as_undercooked", "as_raw"),
        childrens_menu=child,
        pasteurized=slots.has("as_pasteurized"),
    )
    if judged.reason == "with_advisory" or (judged.passed and not (in_care or child)):
        return told(request, "one_guest", *judged.citations, food=capital(name), target=target)
    if (
        judged.passed
        and in_care
        and slots.has("as_raw", "as_undercooked")
        and not slots.has("as_pasteurized")
    ):
        return told(request, "list", SUSCEPTIBLE)  # mayonnaise made of raw egg: what is raw in it decides
    if judged.passed:
        cooked = capital(main_text(food, request))
        return told(request, "fine_cooked" if cooked else "fine", *judged.citations, food=name, target=cooked)
    reply = "eggs" if food.species == "egg" else judged.reason
    if food.food_class == "sprouts_raw":
        reply = "raw_sprouts"
    return told(request, reply, *judged.citations, verdict=judged.verdict, target=target)


def _unlimited(food: Food) -> bool:
    """True for known food in which nothing is limited for any guest, as it may be served: brie, fruit."""
    judged = judge_service(food, guests_highly_susceptible=True, undercooked=True)
    return food.known and not food.raw_animal and judged.reason == "may_be_served"


_EATEN_RAW = ("raw_fish", "raw_fish_check", "cook_rare")
"""Intents of food to be eaten raw or undercooked: no freezing or advisory makes it fit for these guests."""


def not_for_them(request: Request) -> Answer | None:
    """Refuse food eaten raw to highly susceptible guests, named or this kitchen's own, whatever was asked.

    "We serve a care home, the salmon was frozen": against parasites, and it is raw all the same.
    """
    slots = request.slots
    food = food_of(request) if request.intent == "medical_advice" else None
    if food is not None and food.name == "honey":
        return replace(told(request, "honey", HONEY), intent="guests")
    if request.intent not in _EATEN_RAW:
        return None
    if not (slots.has("guest_in_care") or request.site.kitchen.highly_susceptible_guests):
        return None
    concepts = slots.concepts | {"guest_in_care", "as_raw"}
    answer = guests(replace(request, intent="guests", slots=replace(slots, concepts=concepts)))
    return replace(answer, intent="guests")


always("reserve_food", SERVED, reply="no")


@answers("allergy")
def allergy(request: Request) -> Answer:
    """Hand an allergy question over; never say that a food is free of anything."""
    profile, slots = request.profile, request.slots
    sources = (referral("allergy_question").citation, allergens.HEAT)
    named = {i: allergens.is_listed(name, profile).allergen for i, name in enumerate(slots.foods)}
    asked = {allergen for allergen in named.values() if allergen}
    dish = next((i for i, allergen in named.items() if not allergen), None)
    food = food_of(request, dish) if dish is not None else None
    usual = allergens.typical_allergens(food, profile) if food is not None and food.known else ()
    if dish is None or not usual or not asked <= set(usual) or slots.wants_leave:
        return Answer("refer", sources=sources)  # what it usually has must not sound like all that it has
    names = " and ".join(code.replace("_", " ") for code in usual)
    return Answer("typical", {"food": capital(said(request, dish)), "allergens": names}, sources)


_ONE_THING = frozenset({"produce_unwashed", "produce_washed", "produce_cut_tcs", "plant_raw_to_cook"})
"""Classes of food that hold nothing but themselves; of any other food nobody here knows what is in it."""


@answers("allergen_list")
def allergen_list(request: Request) -> Answer:
    """Name the listed allergens, or say whether a food is one."""
    which = allergens.allergen_list(request.profile)
    first = allergens.is_listed("milk", request.profile).citation
    word = next(iter(request.slots.foods), "") or request.slots.said_as("food", "value")
    if not word:
        names = [code.replace("_", " ") for code in allergens.listed_allergens(which)]
        return Answer("list", {"list": capital(", ".join(names))}, (first,))
    word = meant(request.slots.language, "allergens", word)
    found = allergens.is_listed(word, request.profile)
    food = find_food(word)
    if (
        not found.listed
        and food is not None
        and (usual := allergens.typical_allergens(food, request.profile))
    ):
        return Answer(
            "listed", {"word": usual[0].replace("_", " ")}, (food.citation,)
        )  # sesame seeds: sesame
    plain = food is not None and (food.raw_animal or food.food_class in _ONE_THING)
    reply = "listed" if found.listed else "not_listed" if found.reacts_as or plain else "unknown"
    return Answer(reply, {"word": word}, (found.citation,))


always("allergic_reaction", referral("allergic_reaction").citation, reply="call")

"""Answers about guests: those at risk, children, allergies (handed over), food that was on a table."""

from __future__ import annotations

from assistant.dialogue.answer import Answer, Request, Value, answers
from assistant.dialogue.answers.cooking import figures, main_text
from assistant.dialogue.answers.food_words import capital, food_of, said
from assistant.rules import allergens
from assistant.rules.basis import Citation
from assistant.rules.eggs import SUSCEPTIBLE
from assistant.rules.foods import Food
from assistant.rules.referrals import referral
from assistant.rules.susceptible import ADVISORY, judge_service

SERVED = Citation("FDA Food Code 2022", "3-306.14", flag="MEMORY", note="returned food is not served again")
HONEY = Citation("infant feeding advice", "honey", flag="MEMORY", note="infant botulism")
_BABY = {"baby", "babies", "infant", "infants"}
_PLACES = {
    *"nursing hospital hospice care daycare preschool living retirement center rehab".split(),
    *"patients tray trays school home residents ward facility folks seniors".split(),
}
"""Words of places that serve people at risk; "pregnant" alone is one guest."""


@answers("guests")
def guests(request: Request) -> Answer:
    """Say what guests at risk or children may not be served."""
    slots, food = request.slots, food_of(request)
    values: dict[str, Value] = {**figures(request), "food": said(request) if slots.foods else "it"}
    if slots.has("served_already") and not slots.has("can", "should", "guest_wants"):
        return Answer("served", values, (referral("guest_got_ill").citation,))
    if food is None:
        return Answer("who" if slots.has("who", "which") else "list", values, (SUSCEPTIBLE,))
    if slots.has("who") and not slots.has("susceptible_word", "children_word"):
        return Answer("who_not", values, (ADVISORY, SUSCEPTIBLE))
    values["target"] = main_text(food, request) or values["fish" if food.served_raw else "poultry"]
    at_risk = slots.has("susceptible_word") and (
        bool(_PLACES & set(slots.words)) or request.site.kitchen.highly_susceptible_guests
    )
    if _BABY & set(slots.words) and "honey" in slots.foods:
        return Answer("honey", values, (HONEY,))
    if slots.has("susceptible_word") and not at_risk:
        values["food"] = capital(said(request))
        if {*_BABY, "toddler", "toddlers"} & set(slots.words):
            return Answer("young", values, (SUSCEPTIBLE,))
        return Answer("one_guest", values, (ADVISORY, SUSCEPTIBLE))
    if food.food_class == "raw_dough_batter" and not slots.has("done_word", "cooked_word"):
        return Answer("dough", values, (food.citation,))
    judged = judge_service(
        food,
        guests_highly_susceptible=at_risk,
        undercooked=_undercooked(request, food),
        childrens_menu=slots.has("children_word"),
        pasteurized=slots.has("pasteurized_word"),
    )
    if judged.reason == "with_advisory":
        values["food"] = capital(said(request))
        return Answer("one_guest", values, judged.citations)
    if judged.passed:
        return Answer("fine", values, judged.citations)
    if food.food_class == "sprouts_raw":
        return Answer("raw_sprouts", values, judged.citations, judged.verdict)
    return Answer(
        "eggs" if food.species == "egg" else judged.reason, values, judged.citations, judged.verdict
    )


def _undercooked(request: Request, food: Food) -> bool:
    runny = food.food_class == "egg_shell_to_order"
    return request.slots.has("rare_word", "raw_word", "egg_dish_word", "color_word") or runny


@answers("reserve_food")
def again(request: Request) -> Answer:
    """Say that food from a table is not served again."""
    return Answer("no", sources=(SERVED,))


@answers("allergy")
def allergy(request: Request) -> Answer:
    """Hand an allergy question over; never say that a food is free of anything."""
    told = referral("allergy_question")
    sources = (told.citation, allergens.HEAT)
    if request.slots.has("remove_word", "pick_off", "same_word", "board_word", "clean_word"):
        return Answer("contact", sources=sources)
    food, name = _dish(request)
    usual = allergens.typical_allergens(food, request.profile) if food and food.known else ()
    asked = {"allergic", "allergy", "allergies"}.isdisjoint(request.slots.words)
    if usual and asked and not request.slots.has("guest_word"):
        names = " and ".join(code.replace("_", " ") for code in usual)
        return Answer("typical", {"food": capital(name), "allergens": names}, sources)
    return Answer("refer", sources=sources)


def _dish(request: Request) -> tuple[Food | None, str]:
    """Return the food asked about, not the allergen that it may hold: the curry of "peanuts in the curry"."""
    slots = request.slots
    if not slots.has("is_there_in", "holds_it"):
        return food_of(request), said(request) if slots.foods else ""
    dishes = [
        i for i, name in enumerate(slots.foods) if not allergens.is_listed(name, request.profile).allergen
    ]
    if not dishes:
        return None, ""
    return food_of(request, dishes[0]), said(request, dishes[0])


@answers("allergen_list")
def allergen_list(request: Request) -> Answer:
    """Name the listed allergens, or say whether a word is one."""
    which = allergens.allergen_list(request.profile)
    if not request.slots.has("is_allergen_word", "on_it", "count_word"):
        names = [code.replace("_", " ") for code in allergens.listed_allergens(which)]
        first = allergens.is_listed("milk", request.profile)
        return Answer("list", {"list": capital(", ".join(names))}, (first.citation,))
    for word in (*request.slots.foods, *request.slots.words):
        found = allergens.is_listed(word, request.profile)
        if found.listed or found.reacts_as:
            return Answer("listed" if found.listed else "not_listed", {"word": word}, (found.citation,))
    return Answer("not_listed", {"word": ""}, (allergens.is_listed("milk", request.profile).citation,))


@answers("allergic_reaction")
def reaction(request: Request) -> Answer:
    """Send for help first."""
    return Answer("call", sources=(referral("allergic_reaction").citation,))

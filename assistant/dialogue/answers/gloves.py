"""Answers about gloves and bare hands."""

from __future__ import annotations

from assistant.dialogue.answer import Answer, Request, answers
from assistant.dialogue.answers.advice import always, told
from assistant.dialogue.answers.hands import event_of
from assistant.rules.basis import Citation
from assistant.rules.gloves import BARE_HANDS, GLOVE, judge_glove_change, judge_glove_material, judge_touch
from assistant.rules.hands import judge_instead_of_washing

SPLIT = Citation("common practice, no source", "gloves every 4 hours in one task", flag="PRACTICE")


@answers("glove_change")
def change(request: Request) -> Answer:
    """Say when gloves come off and whether hands are washed in between."""
    slots = request.slots
    if slots.has("torn"):
        return told(request, "torn", *judge_glove_change("torn").citations)
    raw = slots.has("did_raw", "raw_uncooked") or any(
        food is not None and food.raw_animal for food in map(slots.food, range(len(slots.foods)))
    )
    kinds = {food.species for food in map(slots.food, range(len(slots.foods))) if food and food.raw_animal}
    if len(kinds) > 1:
        same = slots.has("same_gloves") and {"change", "swap", "switch", "new"}.isdisjoint(slots.words)
        return told(
            request, "raw_same" if same else "raw_raw", *judge_glove_change("raw_to_ready_to_eat").citations
        )
    if raw:
        return told(request, "raw", *judge_glove_change("raw_to_ready_to_eat").citations)
    if event_of(request) is not None or slots.has("soiled_water"):
        return told(request, "change", *judge_glove_change("soiled").citations)
    if "same task" in " ".join(slots.words):
        return told(request, "same", *judge_glove_change("fresh_pair_same_task").citations)
    return told(request, "often", *judge_glove_change("four_hours_same_task").citations, GLOVE)


@answers("glove_before")
def before(request: Request) -> Answer:
    """Say that clean hands go into gloves."""
    if request.slots.has("instead_gloves", "did_toilet"):
        return told(request, "no", *judge_instead_of_washing("new_gloves").citations)
    found = event_of(request)
    raw = found is not None and found[1] == "raw"
    sources = judge_instead_of_washing("new_gloves").citations
    return told(request, "raw" if raw else "answer", *sources)


@answers("bare_hands")
def bare(request: Request) -> Answer:
    """Say which food may be touched with bare hands."""
    slots = request.slots
    foods = [food for food in map(slots.food, range(len(slots.foods))) if food is not None]
    ready = slots.has("ready_food") or any(food.ready_to_eat for food in foods)
    raw = slots.has("raw_uncooked") or any(food.raw_animal for food in foods)
    if "washing" in slots.words and foods and not raw:
        return told(request, "washing", *judge_touch("washing_produce", "bare").citations)
    if raw and not ready:
        return told(request, "raw", *judge_touch("raw_to_be_cooked", "bare").citations)
    if ready and not raw:
        return told(request, "ready", *judge_touch("ready_to_eat", "bare").citations)
    return told(request, "both", BARE_HANDS)


@answers("glove_kind")
def kind(request: Request) -> Answer:
    """Say which gloves are for food."""
    if any(word in request.slots.words for word in ("cut", "mesh", "resistant")):
        return told(request, "cut", GLOVE)
    judged = judge_glove_material("latex", request.profile)
    return told(request, "answer" if judged.passed else "barred", *judged.citations)


always("glove_reuse", GLOVE)
always("glove_double", GLOVE)

"""The two facts asked of most foods, for one named alone: where it goes and how hot it is cooked."""

from __future__ import annotations

from assistant.dialogue.answer import Answer, Request, Value, answers, capital
from assistant.dialogue.answers.advice import always, told
from assistant.dialogue.answers.cooking import main_text
from assistant.dialogue.answers.food_words import food_of, said
from assistant.dialogue.answers.storage import place_key
from assistant.rules import storage
from assistant.rules.basis import Citation

_FOREIGN = Citation(
    "FDA Food Code 2022",
    "3-101.11; 3-701.11",
    "fda_2022",
    "MEMORY",
    note="what goes out: common practice",
)
_LEVELS = {
    "tier_145": "above ground meat and poultry",
    "tier_155": "below whole cuts, above poultry",
    "tier_165": "bottom shelf, under everything",
}


@answers("food_facts")
def facts(request: Request) -> Answer:
    """Say the shelf and the temperature of a food."""
    food = food_of(request)
    if food is None or not food.known:
        return Answer("unknown")
    target, key = main_text(food, request), place_key(food)
    values: dict[str, Value] = {"food": capital(said(request)), "target": target}
    reply = "produce" if key == "produce" else "ready"
    if key in _LEVELS and target:
        reply, values = "raw", {**values, "place": _LEVELS[key]}
    return told(request, reply, storage.SEPARATION, food.citation, values=values)


always("foreign_object", _FOREIGN)

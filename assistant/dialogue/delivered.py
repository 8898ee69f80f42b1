"""Several foods of one delivery, each with its temperature: judged and logged one by one."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.dialogue import recording
from assistant.dialogue.answer import Answer, Request, answer_function
from assistant.dialogue.clocks import running_clock
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.say import render
from assistant.dialogue.slots import Slots
from assistant.dialogue.statements import asks
from assistant.dialogue.talking import talks
from assistant.rules.basis import Verdict
from intents.readings import Reading

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

CHECK = "receive_check"
_HOTTER_THAN_ANY = 100
"""Fahrenheit; cold food that came on a truck is never as warm, so the word told of cooking (judgement)."""
_ORDER = (Verdict.FAIL, Verdict.CANNOT_JUDGE, Verdict.PASS)


@talks(CHECK)
def each(talk: Conversation, request: Request) -> Outcome | None:
    """Answer for every food with the number said after it; ``None`` leaves a single food to the answer.

    Where foods and numbers do not pair, nothing is logged and they are asked for one at a time.
    """
    slots = request.slots
    if (hot := _hot_off_the_fire(talk, request)) is not None:
        return recording.confirm(talk, (hot,))
    if _for_guests(talk, request):
        return Outcome(None, "", keep_context=True)
    if (cooling := _of_a_batch(talk, request)) is not None:
        return recording.log(talk, (cooling,))
    if len(slots.foods) <= 1 or not slots.all_measures("number", "temperature"):
        return None
    if slots.heard is None or asks(slots.heard):
        return None
    answers = [_one(request, one) for one in _pairs(slots)]
    if not answers or any(answer is None for answer in answers):
        return Outcome(Answer("one_at_a_time"), CHECK, keep_context=True)
    told = [(slots.foods[i], answer) for i, answer in enumerate(answers) if answer is not None]
    lines = [_line(talk, food, answer) for food, answer in told]
    verdicts = {answer.verdict for _, answer in told}
    return Outcome(
        Answer("pass", sources=tuple(source for _, answer in told for source in answer.sources)),
        CHECK,
        request,
        " ".join(lines),
        tuple(draft for _, answer in told for draft in answer.drafts),
        own_verdict=next((verdict for verdict in _ORDER if verdict in verdicts), None),
    )


def _hot_off_the_fire(talk: Conversation, request: Request) -> Reading | None:
    """Return the reading of "the chicken came in at one sixty five", too hot for a delivery."""
    slots = request.slots
    said = slots.temperature(talk.site.kitchen.units)
    number = slots.measure("temperature", "number")
    if len(slots.foods) != 1 or said is None or number is None or said.in_unit("F") < _HOTTER_THAN_ANY:
        return None
    if slots.heard is None or asks(slots.heard) or slots.has("hot_word", "hot_holding", "order_list"):
        return None
    return Reading(slots.foods[0], "food", said.value, "temperature", said.unit, "food")


def _for_guests(talk: Conversation, request: Request) -> bool:
    """True for "chicken for forty one", a table's: it was read of nothing."""
    slots, lexicon = request.slots, talk.interpreter.lexicon
    number = slots.measure("temperature", "number")
    if number is None or not number.start or lexicon.list("arrived") & set(slots.words):
        return False
    return slots.words[number.start - 1] in lexicon.list("meant_for")


def _of_a_batch(talk: Conversation, request: Request) -> Reading | None:
    """Return the reading of food that is cooling here, unless the words tell that it came on a truck."""
    slots = request.slots
    said = slots.temperature(talk.site.kitchen.units)
    if len(slots.foods) != 1 or said is None or slots.heard is None or asks(slots.heard):
        return None
    arrived = talk.interpreter.lexicon.list("arrived") & set(slots.words)
    clock = running_clock(talk.log.views, talk.clock.now(), "cooling", slots.foods[0])
    if arrived or clock is None:
        return None
    return Reading(slots.foods[0], "food", said.value, "temperature", said.unit, "food")


def _line(talk: Conversation, food: str, answer: Answer) -> str:
    short = replace(answer, reply="one_pass") if answer.reply == "pass" else answer
    text = render(short, CHECK, talk.catalogue)
    return f"{talk.shown(food).capitalize()}: {text[:1].lower()}{text[1:]}"


def _one(request: Request, slots: Slots) -> Answer | None:
    function = answer_function(CHECK)
    answer = function(replace(request, slots=slots)) if function else None
    return None if answer is None or answer.intent not in ("", CHECK) else answer


def _pairs(slots: Slots) -> list[Slots]:
    """Return the slots of each food with the one number between it and the next; empty if one has none."""
    ends = [start for start, _ in slots.food_spans[1:]] + [len(slots.words)]
    found = []
    for i, ((_, begin), end) in enumerate(zip(slots.food_spans, ends, strict=True)):
        mine = [m for m in slots.measures if begin <= m.start < end]
        if len(mine) != 1 or mine[0].kind not in ("number", "temperature"):
            return []
        food, span = (slots.foods[i],), (slots.food_spans[i],)
        found.append(replace(slots, foods=food, food_spans=span, measures=(mine[0],)))
    return found

"""Several foods of one delivery, each with its temperature: judged and logged one by one."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.dialogue import recording
from assistant.dialogue.answer import Answer, Request, answer_function
from assistant.dialogue.answers.receiving import SIGN, to_refuse
from assistant.dialogue.clocks import running_clock
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.say import render
from assistant.dialogue.slots import QUALITY, Slots
from assistant.dialogue.statements import asks
from assistant.dialogue.talking import talks
from assistant.rules.basis import Verdict
from intents.readings import Reading

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

CHECK, SIGNS = "receive_check", "receive_signs"
_NEAR = 3
"""So many words may stand between a sign and the food it is of ("no tag on the clams")."""
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
    return _several(talk, request) or Outcome(Answer("one_at_a_time"), CHECK, keep_context=True)


def _several(talk: Conversation, request: Request) -> Outcome | None:
    """Return several foods, each judged by its number or refused for a sign; ``None`` if one has neither."""
    slots = request.slots
    signs = _signs(slots)
    pairs = _pairs(slots, set(signs))
    answers = [(food, _one(request, one)) for food, one in pairs]
    if not pairs or any(answer is None for _, answer in answers):
        return None
    judged = [(food, answer) for food, answer in answers if answer is not None]
    lines = [_line(talk, food, answer) for food, answer in judged if food not in signs]
    drafts = [
        draft
        for food, answer in judged
        for draft in answer.drafts
        if food not in signs or draft.kind != "action_opened"
    ]
    verdicts = {answer.verdict for _, answer in judged}
    sources = [source for _, answer in judged for source in answer.sources]
    for food, sign in signs.items():
        refused = talk.ask(talk.request(SIGNS, _of_food(slots, food)))
        text = talk.rendered(refused)
        lines.append(f"{talk.shown(food).capitalize()}: {text[:1].lower()}{text[1:]}")
        drafts.append(to_refuse(food, sign=sign))
        verdicts.add(Verdict.FAIL)
        sources += refused.answer.sources if refused.answer is not None else ()
    return Outcome(
        Answer("pass", sources=tuple(sources)),
        CHECK,
        request,
        " ".join(lines),
        tuple(drafts),
        own_verdict=next((verdict for verdict in _ORDER if verdict in verdicts), None),
    )


def _of_food(slots: Slots, food: str) -> Slots:
    return replace(slots, foods=(food,), food_spans=())


def _signs(slots: Slots) -> dict[str, str]:
    """Return the foods with a sign of abuse and its words: the food behind it, else the one before."""
    heard = slots.heard
    spans = [s for s in heard.concepts if s.value.startswith(SIGN)] if heard is not None else []
    found: dict[str, str] = {}
    for sign in spans:
        behind = [i for i, (start, _) in enumerate(slots.food_spans) if 0 <= start - sign.end <= _NEAR]
        before = [i for i, (start, _) in enumerate(slots.food_spans) if start < sign.start]
        if index := [*behind[:1], *before[-1:]]:
            found.setdefault(slots.foods[index[0]], " ".join(slots.words[sign.start : sign.end]))
    return found


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


def _pairs(slots: Slots, signed: set[str]) -> list[tuple[str, Slots]]:
    """Return each food with the slots of the one number between it and the next.

    A food with a sign needs none. Empty if another has none, or several.
    """
    free = slots.heard.free_measures if slots.heard is not None else ()
    measures = [m for m in free if m.kind in ("number", "temperature")]
    ends = [start for start, _ in slots.food_spans[1:]] + [len(slots.words)]
    found: list[tuple[str, Slots]] = []
    for i, ((_, begin), end) in enumerate(zip(slots.food_spans, ends, strict=True)):
        mine = [m for m in measures if begin <= m.start < end]
        if not mine and slots.foods[i] in signed:
            continue
        if len(mine) != 1 or len(mine[0].options) != 1:
            return []
        food, span = slots.foods[i], (slots.food_spans[i],)
        told = replace(
            slots, foods=(food,), food_spans=span, measures=(mine[0],), clocks=(), concepts=_own(slots, i)
        )
        found.append((food, told))
    return found


def _own(slots: Slots, index: int) -> frozenset[str]:
    """Return the concepts without the qualities that stand beside another food ("and frozen peas")."""
    start, end = slots.food_spans[index]
    spans = slots.heard.concepts if slots.heard is not None else ()
    beside = {s.value for s in spans if start - 1 <= s.start < end or s.start == end}
    return frozenset(c for c in slots.concepts if not c.startswith((QUALITY, SIGN)) or c in beside)

"""Words that lean on what was said before, and whether a question is the trade's at all."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from assistant.dialogue.conversation import Conversation
from assistant.dialogue.hearing import Heard
from assistant.dialogue.policy import meant_after
from assistant.dialogue.slots import LAW, QUALITY, RELATIONS, Slots
from intents.interpret import Interpretation
from intents.meaning import BETWEEN, NONE

NEW = 0.7
"""With this share of the net an utterance means an intent of its own."""
SURELY_TALK = 0.9
"""From this share of talk on, words lean on nothing that was said to the assistant."""
A_FEW_WORDS = 3
"""So few words say little to the net: "or the salmon"."""
LEANING = frozenset({"food_facts", "reading", "which_rules", "yes", "no"})
"""Intents of words that lean on what was said before."""
BY_WHEN = {"thaw_how": "thaw_by"}
"""What is asked where a day is told with it: "how do I thaw this by tonight" wants a plan."""
SAID_BEFORE = timedelta(minutes=10)
"""For so long what was said and answered may be gone on with (judgement)."""


def said_before(talk: Conversation) -> tuple[str, ...]:
    """Return the words that what is said now may lean on: of the turns answered last, two at most."""
    turns = _turns_before(talk)
    return (*turns[0], BETWEEN, *turns[1]) if len(turns) > 1 else sum(turns, ())


def last_said(talk: Conversation) -> tuple[str, ...]:
    """Return the words of the turn answered last."""
    return sum(_turns_before(talk)[-1:], ())


def _turns_before(talk: Conversation) -> tuple[tuple[str, ...], ...]:
    at, now = talk.state.last_at, talk.clock.now()
    return talk.state.said_before if at is not None and timedelta(0) <= now - at <= SAID_BEFORE else ()


def leans(talk: Conversation, read: Interpretation) -> bool:
    """True where words mean something else after what was said before them than they do alone."""
    before = said_before(talk)
    if not before:
        return False
    alone = talk.interpreter.meaning_of(read.heard.words)
    return alone.best.intent != read.meaning.best.intent


def on_nothing(read: Interpretation) -> bool:
    """True for what the net surely takes for talk: "she puts salt in it" leans on nothing before."""
    best = read.meaning.best
    return best.intent == NONE and best.share >= SURELY_TALK and len(read.heard.words) > A_FEW_WORDS


def to_others(talk: Conversation, heard: Heard) -> bool:
    """True for what is said to somebody else while the assistant waits for an answer."""
    called = talk.addressed
    return not called and on_nothing(heard.interpretation)


def _joined_on(talk: Conversation, read: Interpretation) -> bool:
    leaning = talk.interpreter.lexicon.list("leaning")
    return read.heard.has("and_also") and read.heard.words[0] in leaning


def _of_its_own(talk: Conversation, read: Interpretation) -> bool:
    """True when the words mean another intent than the question before them, whatever that was."""
    last, best = talk.state.last_request, read.best
    if best is None or best.share < NEW or best.intent in LEANING:
        return False
    return last is None or best.intent != last.intent


def is_follow_up(talk: Conversation, read: Interpretation, slots: Slots) -> bool:
    """True when an utterance fills something else into the question before it."""
    last = talk.state.last_request
    if last is None or not talk.catalogue[last.intent].follow_up:
        return False
    opened = _joined_on(talk, read) or read.heard.words[0] in talk.interpreter.lexicon.list("or_that")
    told = any(concept.startswith((QUALITY, LAW)) for concept in slots.concepts)
    told = told or (len(last.slots.foods) > 1 and slots.has(*RELATIONS))  # "what about under it"
    fills = bool(slots.foods or slots.places or slots.measures or slots.clocks or told)
    # "And under?" means an intent that lacks its food: the one before has it.
    lacks = read.best is not None and bool(slots.lacking(talk.base_catalogue[read.best.intent].needs))
    return fills and opened and (lacks or not _of_its_own(talk, read))


def filled_in(talk: Conversation, read: Interpretation, slots: Slots) -> Slots:
    """Return the slots with what was said before, where the words lean on it ("what if I wear gloves")."""
    last = talk.state.last_request
    if last is None or not leans(talk, read):
        return slots
    best, table = read.meaning.best.intent, talk.base_catalogue
    other = best in table and "food" in table[best].of and bool(slots.said_as("food"))
    foods = slots.foods or (() if other else last.slots.foods)
    return replace(slots, foods=foods, places=slots.places or last.slots.places)


def meant_here(talk: Conversation, intent: str, slots: Slots) -> str:
    """Return the intent meant after what was asked just before (``policy.toml``), and in this kitchen.

    Of a chemical machine nobody asks where the only one rinses hot, but by its name.
    """
    last = talk.state.last_request
    if last is not None and talk.state.recent(talk.clock.now()):
        intent = meant_after(last.intent, intent)
    if any(concept.startswith("day_") for concept in slots.concepts):
        intent = BY_WHEN.get(intent, intent)
    mine, other = talk.base_catalogue[intent], talk.base_catalogue[intent].elsewise
    says = talk.interpreter.lexicon.says
    if not other or any(says(slots.words, f"named_{kind}") for kind in mine.of):
        return intent
    kinds = {talk.site.kind_of(place) for place in slots.places} or {i.kind for i in talk.site.places}
    return other if kinds & {*talk.base_catalogue[other].of} and not kinds & {*mine.of} else intent

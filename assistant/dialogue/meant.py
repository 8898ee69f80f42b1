"""From what was meant to what is done: the likeliest intents are tried, the policy decides on the answer."""

from __future__ import annotations

from dataclasses import replace

from assistant.dialogue import leaning
from assistant.dialogue.answer import Answer, Request, Value, capital
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.emergencies import emergency_in, emergency_intents, figurative
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.policy import Facts, Meant, Row, Stance, decide, spoken_of
from assistant.dialogue.reports import deeds
from assistant.dialogue.slots import Slots, Usage
from assistant.dialogue.state import Pending
from assistant.dialogue.which_place import say_again
from intents.meaning import NONE, UNSUPPORTED, Guess, Meaning

UNSURE = "unsure"
DEED = "action_done"
"""The intent of what was done, and of notes."""
READING = "reading"
LEAST_TRIED = 0.08
"""An intent with less share is not tried after one whose answer declined."""
CHOSEN = 0.5
"""From this share on, more words than a few choose between two intents by what they mean."""
A_FEW_WORDS = 3
"""So few words only choose: "when it's changed"."""
_NO_QUESTION = frozenset({"food_place", "frozen_check", "sign_in_unknown", UNSURE})
"""Intents that only answer a question of the assistant's: nobody means them out of the blue."""
_NEGATIONS = "negation"
"""The list of words that turn a sentence round."""


def answered(talk: Conversation, heard: Heard, slots: Slots) -> Outcome:
    """Return what is done with a sentence that is no report of readings."""
    meaning = heard.interpretation.meaning
    emergency = emergency_in(slots.words, talk.interpreter.lexicon)
    if emergency:
        return in_danger(talk, emergency, slots)
    guess, outcome = _first_answer(talk, heard, slots)
    row = decide(_facts(talk, heard, guess, outcome, slots))
    return replace(_carried_out(talk, row, guess, outcome, meaning, slots), decided=row.name)


def in_danger(talk: Conversation, emergency: str, slots: Slots) -> Outcome:
    """Return the advice of an emergency that its exact words name."""
    told = talk.ask(talk.request(emergency, slots))
    if told.intent == UNSURE:
        told = Outcome(Answer("emergency"), UNSURE)
    return replace(told, decided="an emergency is never silent")


def _first_answer(talk: Conversation, heard: Heard, slots: Slots) -> tuple[Guess, Outcome | None]:
    """Return the likeliest intent that has an answer to these words, with the answer."""
    meaning = heard.interpretation.meaning
    best = meaning.best
    if best.intent in (NONE, UNSUPPORTED):
        return best, None
    if best.intent == READING:  # told, but in no way that reads whole
        return best, say_again()
    for guess in meaning.guesses:
        if guess.intent in (NONE, UNSUPPORTED) or guess.share < min(LEAST_TRIED, best.share):
            continue
        if talk.base_catalogue[guess.intent].alone and (slots.foods or slots.places or slots.rounds):
            continue  # "hey Rosa, start the opening" signs nobody in
        if not _spoken_of(talk, guess.intent, slots):
            return best, None  # what is less likely is not meant instead
        outcome = deeds.as_of(talk, heard, guess.intent)
        if outcome is None:
            intent = leaning.meant_here(talk, guess.intent, slots)
            outcome = talk.ask(talk.request(intent, replace(slots, usage=Usage())))
        if outcome.intent != UNSURE:
            return (guess if guess is not best else best), outcome
    return best, None


def _spoken_of(talk: Conversation, intent: str, slots: Slots) -> bool:
    """True where what an intent is about is named, now or just before, and no other place in full."""
    named = spoken_of(intent)
    if not named:
        return True
    kinds, of = {talk.site.kind_of(place) for place in slots.places}, talk.base_catalogue[intent].of
    begin = tuple(talk.interpreter.lexicon.list(named))
    said = (*slots.words, *leaning.last_said(talk))
    return any(word.startswith(begin) for word in said) and not (kinds and of and not kinds & {*of})


def asked_for(request: Request, kind: str) -> Outcome:
    """Ask for a food, place, person, round or amount that the answer cannot do without."""
    reply, food = f"which_{kind}", request.slots.foods[:1]
    values: dict[str, Value] = {}
    if kind == "food" and food:
        reply, values = "which_food_too", {"food": capital(food[0])}
    waits = {"equipment": "place"}.get(kind, kind)
    return Outcome(Answer(reply, values, intent=UNSURE, ask=waits), request.intent, request)


def _facts(talk: Conversation, heard: Heard, guess: Guess, outcome: Outcome | None, slots: Slots) -> Facts:
    meaning = heard.interpretation.meaning
    meant: Meant = "topic"
    emergency = guess.intent in emergency_intents(talk.interpreter.lexicon)
    if guess.intent == NONE or (emergency and figurative(slots.words, talk.interpreter.lexicon)):
        meant = "none"
    elif guess.intent == UNSUPPORTED or outcome is None:
        meant = "unsupported"
    stance = _stance(talk, outcome)
    return Facts(
        meant=meant,
        share=guess.share,
        lead=guess.share - max((g.share for g in meaning.guesses if g is not guess), default=0.0),
        talk=meaning.talk if talk.addressed else meaning.sounds_like_talk,
        answers=meaning.share_of("answer"),
        # What was said of a number, or of food that needs no control, the rules judged: that is no plain yes.
        danger=0.0 if outcome is not None and outcome.verdict is not None else meaning.danger,
        addressed=talk.addressed,  # what answers an open question does not come here
        stance=stance,
        only_names=_only_names(talk, heard),
        names_nothing=_names_nothing(talk, heard),
        unused=outcome is not None and bool(_unused(talk, outcome, slots)),
        emergency=emergency,
        none=max((g.share for g in meaning.guesses if g.intent == NONE), default=0.0),
    )


def _only_names(talk: Conversation, heard: Heard) -> bool:
    """True for "the quat bucket": names and small words, and no word that tells of anything."""
    read = heard.interpretation.heard
    named = [span for spans in read.names.values() for span in spans]
    if read.names.get("round"):
        return False  # a round's name alone begins it
    return bool(named) and read.only(named, talk.interpreter.lexicon.small())


def _names_nothing(talk: Conversation, heard: Heard) -> bool:
    """True for a question that could be about anything, with nothing said before it: "is it done"."""
    read = heard.interpretation.heard
    asked = read.asks or heard.interpretation.asked
    return (
        asked
        and not leaning.said_before(talk)
        and read.only((), talk.interpreter.lexicon.small("of_anything"))
    )


def _stance(talk: Conversation, outcome: Outcome | None) -> Stance:
    """Return what an answer does; one that writes something down is told, whatever it says."""
    if outcome is None:
        return "neutral"
    if outcome.drafts:
        return "told"
    answer = outcome.answer
    if answer is None or outcome.text is not None:
        return "neutral"
    if answer.intent == UNSURE or outcome.intent == READING:
        return "asks"
    intent = answer.intent or outcome.intent
    return talk.base_catalogue[intent].stance(answer.reply) if intent in talk.base_catalogue else "neutral"


def _unused(talk: Conversation, outcome: Outcome, slots: Slots) -> tuple[str, ...]:
    """Return what could turn a yes and was looked at by nothing: a negation, a number."""
    negations = [word for word in slots.words if word in talk.interpreter.lexicon.list(_NEGATIONS)]
    usage = outcome.request.slots.usage if outcome.request is not None else Usage()
    numbers = [m.kind for m in slots.measures if not usage.looked_at(m.kind)]
    return (*negations, *numbers)


def _carried_out(
    talk: Conversation, row: Row, guess: Guess, outcome: Outcome | None, meaning: Meaning, slots: Slots
) -> Outcome:
    if row.step == "answer" and outcome is not None:
        return outcome
    if row.step == "which" and outcome is not None and outcome.answer is None and not outcome.text:
        return outcome  # the answer is to say nothing: there is nothing to choose
    if row.step == "which" and guess.intent == DEED:
        return Outcome(None, "")  # a note is offered, where somebody told something
    if row.step == "which" and (asked := which(talk, meaning, slots)) is not None:
        return asked
    if row.step == "silence":
        return Outcome(None, "")
    reply = row.step if row.step in ("not_sure", "of_what") else "unknown_question"
    return Outcome(Answer(reply), UNSURE)


def which(talk: Conversation, meaning: Meaning, slots: Slots) -> Outcome | None:
    """Ask one short question between the two likeliest intents that have an answer."""
    named = [g.intent for g in meaning.guesses if g.intent in talk.catalogue and _label(talk, g.intent)][:2]
    if len(named) < 2:
        return None
    first, second = (_label(talk, name) for name in named)
    waiting = Pending("meant", talk.clock.now(), request=talk.request(named[0], slots), intents=tuple(named))
    asked = Answer("which", {"first": capital(first), "second": second})
    return Outcome(asked, UNSURE, pending=waiting, keep_context=True)  # the thread is not lost by it


def _label(talk: Conversation, intent: str) -> str:
    """Return what an intent is about in a few words; nothing for one that has no answer of its own."""
    if not talk.base_catalogue[intent].replies or intent in _NO_QUESTION:
        return ""
    table = talk.catalogue[intent]
    about = table.briefly or table.about.partition(":")[0].partition(".")[0]
    return about[:1].lower() + about[1:]


def chosen(talk: Conversation, heard: Heard, waiting: Pending) -> Outcome | None:
    """Return the answer of the intent that was meant after ``which``; ``None`` for something new."""
    read = heard.interpretation
    first, second = read.heard.has("first_one"), read.heard.has("second_one")
    shares = {guess.intent: guess.share for guess in read.meaning.guesses}
    likeliest = max(waiting.intents, key=lambda name: shares.get(name, 0.0))
    if first != second:
        likeliest = waiting.intents[int(second)]
    elif shares.get(likeliest, 0.0) < CHOSEN and len(read.heard.words) > A_FEW_WORDS:
        return None  # something new: whatever is written down was told, never only not ruled out
    elif read.best is not None and read.best.share > shares.get(likeliest, 0.0) and read.best.share > 0.5:
        return None
    assert waiting.request is not None
    slots = waiting.request.slots.merged(Slots.of(read.heard))
    return talk.ask(talk.request(likeliest, slots))

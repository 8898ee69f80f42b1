"""What was done about a failed reading: noted on the open action, which only a passing reading closes."""

from __future__ import annotations

from dataclasses import replace

from assistant.dialogue import discards, noted
from assistant.dialogue.answer import Answer, Request, answer_function, capital
from assistant.dialogue.answers.record import THROWN, amount_in
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.record import on_action
from assistant.dialogue.slots import Slots
from assistant.dialogue.talking import talks
from assistant.dialogue.topic import food_meant
from assistant.logbook.entry import Draft
from assistant.logbook.views import Line
from intents.deeds import cooks

DONE = "action_done"
DISCARD = "discard"
WAS_DONE = "done: "
"""How the note of a deed about an open action begins."""
_SURELY, _TOLD = 0.9, 0.6
"""From these shares words that count a stock, too, tell of a discard, and words to us of a deed."""


@talks(DONE)
def done(talk: Conversation, request: Request) -> Outcome:
    """Log what was done, naming the action that it is about: of the place said, else the newest open one."""
    line = _open_action(talk, request)
    if line is None or _of_another(talk, request, line):
        if _told_to_us(talk, request):
            return noted.kept(talk, " ".join(request.slots.words), set(request.slots.places))
        return Outcome(None, "", keep_context=True)  # talk among cooks: nothing is open
    entry = line.entry
    is_food = not talk.site.kind_of(entry.subject)
    if is_food and set(request.slots.words) & talk.interpreter.lexicon.list("thrown"):
        wanted = Slots(foods=(entry.item or entry.subject,), concepts=frozenset({THROWN}))
        if (gone := thrown_out(talk, talk.request(DISCARD, wanted))) is not None:
            return gone
    draft = _done(line, request.slots.words, _place_to(talk, request, line))
    name = talk.shown(entry.subject)
    key = "noted_discard" if "discard" in entry.note else "noted"
    answer = Answer(key, {"place": capital(name)})
    return Outcome(answer, DONE, request, own_drafts=(draft,), keep_context=True)


def _told_to_us(talk: Conversation, request: Request) -> bool:
    """True where somebody who called tells, beyond doubt, what was done, or wants it noted."""
    meaning = request.slots.meaning
    if meaning is None or not talk.addressed or meaning.act in ("ask", "talk"):
        return False
    named = request.slots.foods or request.slots.places  # with a number it may be a reading of that
    share = sum(guess.share for guess in meaning.guesses if guess.intent in (DONE, *noted.SUPPLIES))
    return meaning.best.intent == DONE and share >= (_SURELY if named else _TOLD)


def _place_to(talk: Conversation, request: Request, line: Line) -> str:
    """Return where something was moved to: the last place named that is not the one that failed."""
    there = [place for place in request.slots.places if place != line.entry.subject]
    return there[-1] if there else ""


@talks(DISCARD)
def thrown_out(talk: Conversation, request: Request) -> Outcome | None:
    """Log food that was thrown out, of the batch and for the open action that it was, then ask how much.

    "It" is the food spoken of last. ``None`` leaves what names no food to its answer, and without an amount
    food that has neither an open action nor a clock: "tossed the chicken" may tell of flour.
    """
    asked_so = talk.state.pending.request if talk.state.pending is not None else None
    if asked_so is None or asked_so.intent != DISCARD:  # "yeah same, all night" answers nothing about it
        slots = replace(request.slots, concepts=request.slots.concepts - {"yes", "no"})
        request = replace(request, slots=slots)
    stock = talk.interpreter.lexicon.list("stock_words") & set(request.slots.words)
    meaning = request.slots.meaning
    surely = meaning is not None and meaning.best.intent == DISCARD and meaning.best.share >= _SURELY
    if stock and not surely and not request.slots.has(THROWN, "yes", "no"):
        return Outcome(None, "", keep_context=True)  # "there's forty pounds of chicken in the walk-in"
    heard, lexicon = request.slots.heard, talk.interpreter.lexicon
    thrown = heard is not None and request.slots.has(THROWN)
    asked = thrown and heard is not None and heard.asks and not lexicon.politely(heard.words)
    cooked = thrown and heard is not None and cooks(heard, lexicon)
    if cooked and not talk.addressed:
        return Outcome(None, "", keep_context=True)
    if asked or cooked:
        plain = replace(request.slots, concepts=request.slots.concepts - {THROWN})
        return Outcome(Answer("ask_thrown", ask="yes_no"), DISCARD, replace(request, slots=plain))
    function = answer_function(DISCARD)
    food = request.slots.foods[0] if request.slots.foods else food_meant(talk)
    if function is None or len(request.slots.foods) > 1:
        return None
    if not food:
        amount = amount_in(request).amount
        return discards.without_food(talk, amount) if amount else None
    told = discards.food_told(talk, request, food) or discards.amount_told(talk, request, food)
    if told is not None:
        return told
    batch = discards.batch_told(talk, request)
    clocks = discards.clocks(talk, request.now, food, batch)
    if len(clocks) > 1:
        return discards.which(talk, request, food, clocks)
    line = discards.action(talk, food, clocks[0].subject if clocks else "")
    slots = request.slots if request.slots.foods else replace(request.slots, foods=(food,))
    answer = function(replace(request, slots=slots))
    if answer is None or answer.reply in ("no", "ask_thrown"):
        return Outcome(answer, DISCARD, request) if answer is not None and line is not None else None
    if line is None and not clocks and not answer.drafts:
        return None
    return discards.logged(talk, replace(request, slots=slots), answer, food, line, clocks)


def _done(line: Line, words: tuple[str, ...], place: str = "") -> Draft:
    """Return what was done as an event that names the open action, and the place where the food went."""
    return on_action(line, f"{WAS_DONE}{' '.join(words)}", place)


def _of_another(talk: Conversation, request: Request, line: Line) -> bool:
    """True for what was done to another food, or another day: "I reheated the gravy yesterday"."""
    foods, subject = request.slots.foods, line.entry.subject
    if foods and not talk.site.kind_of(subject):
        said = {word for food in foods for word in food.split()}
        return not said & set(subject.split())
    return request.slots.has("day_yesterday") and not request.slots.places


def _open_action(talk: Conversation, request: Request) -> Line | None:
    """Return the action meant: of the place named, or the newest that what was done can be about."""
    lines = talk.log.views.open_actions()
    words, lexicon = set(request.slots.words), talk.interpreter.lexicon
    moved, remade = words & lexicon.list("moved"), words & lexicon.list("remade")
    named = [line for line in lines if line.entry.subject in request.slots.places and not moved]
    if named:
        return named[-1]
    fitting = [line for line in lines if not remade or _mixed(talk, line)]
    fitting = [line for line in fitting if not moved or not _mixed(talk, line)]
    return fitting[-1] if fitting else None


def _mixed(talk: Conversation, line: Line) -> bool:
    """True for a solution, which is remade and not moved."""
    return talk.site.kind_of(line.entry.subject).startswith("sanitizer")

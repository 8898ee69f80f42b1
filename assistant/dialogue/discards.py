"""Food thrown out: of which batch and for which open action, and how much, which may be told afterwards."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from assistant.dialogue import batches
from assistant.dialogue.answer import Answer, Request, answer_function
from assistant.dialogue.answers.record import THROWN, thrown
from assistant.dialogue.clocks import RunningClock, running_clocks, same_subject
from assistant.dialogue.gate import agreed
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports.batch_words import BatchWords, batch_words
from assistant.dialogue.say import listed_in
from assistant.dialogue.slots import Slots
from assistant.dialogue.state import Pending
from assistant.logbook.entry import Draft
from assistant.logbook.query import Filter
from assistant.logbook.views import Line
from intents.deed_amounts import Item
from intents.deeds import Deed, amounts
from intents.mentions import Understanding

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

DISCARD, COUNTED = "discard", "logged_count"
FOOD = "food"
"""The subject of a discard of which nobody said what it was."""
AMOUNT = "volume|weight|number|container_word|half_word"
"""What answers how much was thrown out."""
_JUST_BEFORE = timedelta(minutes=5)
"""For so long an amount belongs to the discard logged before it."""


def batch_told(talk: Conversation, request: Request) -> BatchWords | None:
    """Return the words that tell which batch went out, if they do."""
    heard = request.slots.heard
    ways = batch_words(heard, talk.interpreter.lexicon) if heard is not None else ()
    return next((way for each in ways for way in each if way.telling), None)


def clocks(talk: Conversation, now: datetime, food: str, told: BatchWords | None) -> tuple[RunningClock, ...]:
    """Return the clocks that run for the food thrown out: one, none, or several that must be asked about."""
    cooling = batches.cooling(talk, now, food)
    if told is not None and cooling:
        cooling = batches.fitting(cooling, told, talk.interpreter.lexicon)
    others = (c for c in running_clocks(talk.log.views, now) if c.kind in ("time", "thawing"))
    return cooling or tuple(clock for clock in others if same_subject(clock.food, food))


def action(talk: Conversation, food: str, batch: str = "") -> Line | None:
    """Return the newest open action of a food or batch, the soup's for "the chicken soup", too."""
    lines = [line for line in talk.log.views.open_actions() if not talk.site.kind_of(line.entry.subject)]
    exact = [line for line in lines if line.entry.subject in (batch or food, food)]
    if exact or batch:
        return exact[-1] if exact else None
    said = set(food.split())
    alike = [line for line in lines if _alike(said, line.entry.item or line.entry.subject)]
    return alike[-1] if len({line.entry.subject for line in alike}) == 1 else None


def _alike(said: set[str], name: str) -> bool:
    return said <= set(name.split()) or said >= set(name.split())


def which(talk: Conversation, request: Request, food: str, found: tuple[RunningClock, ...]) -> Outcome:
    """Ask which batch went out."""
    text = talk.words("which_batch", food=food, list=batches.shown(found, talk))
    told = replace(request, slots=replace(request.slots, foods=(food,)))
    waiting = Pending("slot", talk.clock.now(), "batch", told)
    return Outcome(Answer("ask_amount", {"food": food}), DISCARD, request, text=text, pending=waiting)


def logged(
    talk: Conversation,
    request: Request,
    answer: Answer,
    food: str,
    line: Line | None,
    found: tuple[RunningClock, ...],
) -> Outcome:
    """Return the discard of what ``answer`` tells, or its amount where the discard is logged already."""
    amount = next((draft.amount for draft in answer.drafts), "")
    told = batch_told(talk, request)
    if told is not None and not told.container and set(amount.split()) <= set(told.said.split()):
        amount = ""  # "the small chili" tells which one, not how much
    subject = found[0].subject if found else line.entry.subject if line is not None else food
    refers_to = line.entry.id if line is not None else found[0].entry_id if found else None
    draft = Draft(kind="discard", subject=subject, item=food, amount=amount, refers_to=refers_to)
    if amount:
        return Outcome(thrown(draft, counted=answer.reply == COUNTED), DISCARD, request)
    wanted = talk.request(DISCARD, Slots(foods=(subject,), concepts=frozenset({THROWN})))
    waiting = Pending("slot", talk.clock.now(), AMOUNT, wanted)
    asked = Answer("ask_amount", {"food": subject}, drafts=(draft,))
    return Outcome(asked, DISCARD, request, pending=waiting)


def told(talk: Conversation, heard: Heard, deed: Deed, *, alone: bool) -> Outcome | None:
    """Log what a deed tells to have been thrown out: every food, with or without its amount.

    Food that is not named is the one spoken of last; where there is none, it is logged and asked for.
    """
    read = heard.interpretation.heard
    items = deed.items or (Item(),)
    items = tuple(replace(i, food=whole_name(talk, i.food) if i.food else unsaid(talk, read)) for i in items)
    if not items[0].food:
        return without_food(talk, items[0].amount) if items[0].amount else None
    slots = Slots.of(read, heard.interpretation.meaning)
    slots = replace(slots, foods=tuple(i.food for i in items), concepts=slots.concepts | {THROWN})
    if alone and len(items) == 1:
        return talk.ask(talk.request(DISCARD, slots))
    return _several(talk, talk.request(DISCARD, slots), items)


def unsaid(talk: Conversation, read: Understanding | None = None) -> str:
    """Return the food meant by "tossed it": the one named in the breath, spoken of last, or that failed."""
    named = {span.value for span in read.names.get("food", ())} if read is not None else set()
    if named:
        return next(iter(named)) if len(named) == 1 else ""
    if spoken := talk.state.foods(talk.clock.now()):
        return spoken[0] if len(spoken) == 1 else ""
    failed = {line.entry.item for line in talk.log.views.open_actions() if line.entry.item}
    return next(iter(failed)) if len(failed) == 1 else ""


def whole_name(talk: Conversation, food: str) -> str:
    """Return "fish dip" for "the dip" where that was spoken of lately."""
    spoken = talk.state.foods(talk.clock.now())
    return next((each for each in spoken if set(food.split()) < set(each.split())), food)


def _several(talk: Conversation, request: Request, items: tuple[Item, ...]) -> Outcome:
    """Log foods thrown out in one breath; the first without an amount is asked about."""
    entries, unknown = [], []
    for item in items:
        found = clocks(talk, request.now, item.food, None)
        line = action(talk, item.food, found[0].subject if len(found) == 1 else "")
        one = found[0] if len(found) == 1 else None
        subject = one.subject if one else line.entry.subject if line is not None else item.food
        refers_to = line.entry.id if line is not None else one.entry_id if one else None
        draft = Draft(
            kind="discard", subject=subject, item=item.food, amount=item.amount, refers_to=refers_to
        )
        entries.append((draft, item.counted))
        unknown += [] if item.amount else [subject]
    text = talk.words("thrown_out", list=listed_in(talk, [amount_of(talk, *each) for each in entries]))
    answer = Answer("logged", {"what": ""}, drafts=tuple(draft for draft, _ in entries))
    outcome = Outcome(answer, DISCARD, request, text=text)
    if not unknown:
        return outcome
    wanted = talk.request(DISCARD, Slots(foods=(unknown[0],), concepts=frozenset({THROWN})))
    waiting = Pending("slot", talk.clock.now(), AMOUNT, wanted)
    asked = Outcome(Answer("ask_amount", {"food": listed_in(talk, unknown)}), DISCARD)
    return replace(outcome, text=f"{text} {talk.rendered(asked)}", pending=waiting)


def amount_of(talk: Conversation, draft: Draft, counted: bool) -> str:
    """Return "two kilos of yoghurt", "two eggs", or the food alone."""
    if not draft.amount:
        return talk.shown(draft.subject)
    key = "count_of" if counted else "amount_of"
    return talk.words(key, amount=draft.amount, food=talk.shown(draft.subject))


def without_food(talk: Conversation, amount: str) -> Outcome:
    """Log an amount thrown out of nobody knows what, and ask what it was."""
    draft = Draft(kind="discard", subject=FOOD, amount=amount)
    wanted = talk.request(DISCARD, Slots(concepts=frozenset({THROWN})))
    waiting = Pending("slot", talk.clock.now(), "food", wanted)
    asked = Answer("ask_food", {"what": amount}, drafts=(draft,))
    return Outcome(asked, DISCARD, wanted, pending=waiting)


def food_told(talk: Conversation, request: Request, food: str) -> Outcome | None:
    """Return what food the amount logged just before was of, told afterwards."""
    line = talk.log.views.latest(Filter(kinds=("discard",), subject=FOOD, standing_only=True))
    if line is None or (set(request.slots.concepts) != {THROWN} and request.slots.heard is None):
        return None
    ago = talk.clock.now() - datetime.fromisoformat(line.entry.at_local)
    if not (timedelta(0) <= ago <= _JUST_BEFORE) or line.now.subject != FOOD or not food:
        return None
    draft = Draft(kind="correction", subject=food, item=food, amount=line.now.amount, refers_to=line.entry.id)
    said = thrown(draft, counted=False)
    return Outcome(said, DISCARD, request, reading_ids=(line.entry.id,))


def amount_told(talk: Conversation, request: Request, subject: str) -> Outcome | None:
    """Return the amount of what was logged as thrown out just before, told afterwards."""
    before, function = _without_amount(talk, subject), answer_function(DISCARD)
    answer = function(request) if before is not None and function is not None else None
    amount = next((draft.amount for draft in answer.drafts), "") if answer is not None else ""
    if before is None or not amount:
        return None
    draft = Draft(kind="correction", subject=subject, amount=amount, refers_to=before.entry.id)
    said = thrown(draft, counted=answer is not None and answer.reply == COUNTED)
    return Outcome(said, DISCARD, request, reading_ids=(before.entry.id,))


def amended(talk: Conversation, heard: Heard, line: Line) -> Outcome | None:
    """Correct the amount of a discard: "wait, it was one quart, not two"; ``None`` where none is told."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    cut = next((i for i, word in enumerate(read.words) if i > 1 and word in lexicon.list("denying")), 0)
    if cut:  # "one quart, not two quarts"
        read = talk.interpreter.readings_of(read.words[:cut]).heard
    told = amounts(read, lexicon)
    if len(told) != 1 or not told[0].measured or not agreed(heard):
        return None
    amount, food = told[0].amount, line.now.item or line.now.subject
    draft = Draft(
        kind="correction",
        subject=line.now.subject,
        item=line.now.item,
        amount=amount,
        refers_to=line.entry.id,
    )
    said = replace(thrown(draft, counted=told[0].counted), drafts=(draft,))
    if food == FOOD:
        said = Answer("logged", {"what": amount}, drafts=(draft,))
    return Outcome(said, DISCARD, reading_ids=(line.entry.id,))


def _without_amount(talk: Conversation, subject: str) -> Line | None:
    """Return the discard of this food logged just before, of which nobody said how much yet."""
    line = talk.log.views.latest(Filter(kinds=("discard",), subject=subject, standing_only=True))
    if line is None or line.now.amount:
        return None
    ago = talk.clock.now() - datetime.fromisoformat(line.entry.at_local)
    return line if timedelta(0) <= ago <= _JUST_BEFORE else None

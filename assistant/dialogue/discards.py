"""Food thrown out: of which batch and for which open action, and how much, which may be told afterwards."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from assistant.dialogue import batches
from assistant.dialogue.answer import Answer, Request, answer_function, capital
from assistant.dialogue.answers.record import THROWN, amount_in, thrown
from assistant.dialogue.clocks import RunningClock, running_clocks, same_subject
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.hearing import Heard
from assistant.dialogue.moments import shown_time
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports.batch_words import BatchWords, batch_words
from assistant.dialogue.reports.deeds import told_at
from assistant.dialogue.reports.said_at import when
from assistant.dialogue.reports.times import Told
from assistant.dialogue.say import listed_in
from assistant.dialogue.slots import Slots
from assistant.dialogue.state import Pending
from assistant.dialogue.talking import talks
from assistant.dialogue.topic import food_meant, whole_name
from assistant.logbook.entry import Draft
from assistant.logbook.query import Filter
from assistant.logbook.views import Line
from intents.deed_amounts import Item
from intents.deeds import Deed, cooks
from intents.lexicon import Lexicon
from intents.mentions import Understanding

DISCARD, COUNTED, REFUSED, NOT_DONE = "discard", "logged_count", "refused", "not_done"
_DENIES = 2
"""So near before a verb stands what denies it: "didn't really toss"."""
AMOUNT_TOLD = "thrown_amount"
"""What a question of which food went out keeps of its amount."""
AMOUNT = "volume|weight|number|container_word|half_word"
"""What answers how much was thrown out."""
_JUST_BEFORE = timedelta(minutes=5)
"""For so long an amount belongs to the discard logged before it."""


STILL_MEANT, MOST = timedelta(minutes=30), 20
"""So long ago a discard may be meant by its food; so many are looked at, and no bare number is above."""
_TALK, _SURELY = 0.5, 0.9
"""From this share of talk on nothing is asked about words that may tell of a discard; from that of a discard
on they do, though they count a stock."""


def changed(line: Line, amount: str, note: str) -> Draft:
    return Draft(
        kind="correction", subject=line.now.subject, item=line.now.item, measured=line.now.measured,
        amount=amount, refers_to=line.entry.id, note=note,
    )  # fmt: skip


def stood(
    talk: Conversation, heard: Heard, deeds: Sequence[Deed], beside: frozenset[int] = frozenset()
) -> Told | None:
    """Return since when, or for how long, food that went out had stood."""
    if not any(deed.kind in ("thrown", "out") for deed in deeds):
        return None
    told = told_at(talk, heard, ("since", "span"), counting=True, beside=beside)
    return told[0] if told is not None and not _of_a_place(talk, heard, told[0].start) else None


def _of_a_place(talk: Conversation, heard: Heard, at: int) -> bool:
    """True in "the kettle's been off since nine, four quarts went out": so long no food stood in it."""
    read, leads = heard.interpretation.heard, talk.interpreter.lexicon.list("prepositions")
    named = [s for kind in ("equipment", "food") for s in read.names.get(kind, ()) if s.end <= at]
    last = max(named, key=lambda span: span.end, default=None)
    place = last is not None and last.value in {s.value for s in read.names.get("equipment", ())}
    return place and last is not None and not leads & {*read.words[max(0, last.start - 2) : last.start]}


def with_time(talk: Conversation, heard: Heard, outcome: Outcome, told: Told) -> Outcome:
    """Return a discard with the time that its food had stood, which is kept and said back."""
    found = when(told, talk.clock.now())
    at = found.at if found.kind == "told" else None  # "since saturday" is kept as said
    said = " ".join(heard.interpretation.heard.words[told.start : told.end])
    note = said if at is None else talk.words("since_time", time=shown_time(at))
    drafts = [d.model_copy(update={"note": note}) if d.kind == "discard" else d for d in outcome.drafts]
    if not any(draft.kind == "discard" for draft in drafts):
        return outcome
    text = talk.rendered(outcome)
    text = f"{text} {talk.words('kept_with', what=note)}"
    used = outcome.used | {*told.words}
    return replace(outcome, answer=outcome.bare, own_drafts=tuple(drafts), text=text, used=used)


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
    like = [line for line in lines if alike(said, line.entry.item or line.entry.subject)]
    return like[-1] if len({line.entry.subject for line in like}) == 1 else None


def alike(said: set[str], name: str) -> bool:
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
    spoken_of = food_meant(talk, read, deed.end) if not deed.some_stays or deed.it else ""
    items = items if any(item.food for item in items) else _all_spoken_of(talk, read, items)
    items = tuple(replace(i, food=whole_name(talk, i.food) if i.food else spoken_of) for i in items)
    if not items[0].food:
        return without_food(talk, items[0].amount) if items[0].amount else None
    slots = Slots.of(read, heard.interpretation.meaning)
    slots = replace(slots, foods=tuple(i.food for i in items), concepts=slots.concepts | {THROWN})
    running = clocks(talk, talk.clock.now(), items[0].food, None)
    counted = len(items) - len(deed.items or (Item(),))
    if alone and len(items) == 1 and not deed.some_stays and (len(running) > 1 or not items[0].amount):
        return talk.ask(talk.request(DISCARD, slots))
    whole = several(talk, talk.request(DISCARD, slots), items)
    numbers = {i for m in read.free_measures for i in range(m.start, m.end)} if counted else set()
    return replace(whole, used=whole.used | numbers)


def _all_spoken_of(talk: Conversation, read: Understanding, items: tuple[Item, ...]) -> tuple[Item, ...]:
    """Return every food spoken of for "dumping the three of them"; else the items told."""
    spoken = talk.state.foods(talk.clock.now())
    counted = {m.value for m in read.free_measures if m.kind == "number"}
    several = talk.interpreter.lexicon.list("deed_several") & {*read.words}
    whole = len(spoken) > 1 and len(spoken) in counted and several
    return tuple(Item(food) for food in spoken) if whole else items


def several(talk: Conversation, request: Request, items: tuple[Item, ...]) -> Outcome:
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
    answer = Answer("logged_food", drafts=tuple(draft for draft, _ in entries))
    outcome = Outcome(answer, DISCARD, request, text=text)
    if not unknown:
        return outcome
    wanted = talk.request(DISCARD, Slots(foods=(unknown[0],), concepts=frozenset({THROWN})))
    waiting = Pending("slot", talk.clock.now(), AMOUNT, wanted)
    asked = Outcome(Answer("ask_amount", {"food": listed_in(talk, unknown)}), DISCARD)
    return replace(outcome, text=f"{text} {talk.rendered(asked)}", pending=waiting)


def unmeasured(talk: Conversation, waiting: Pending | None) -> Outcome | None:
    """Log food of which it was asked how much went out, and nobody says: it is logged without an amount."""
    wanted = waiting.request if waiting is not None and waiting.slot == AMOUNT else None
    food = next(iter(wanted.slots.foods), "") if wanted is not None and wanted.intent == DISCARD else ""
    if wanted is None or not food or without_amount(talk, food) is not None:
        return None
    logged_so = several(talk, replace(wanted, now=talk.clock.now()), (Item(food),))
    text = talk.words("thrown_out", list=talk.shown(logged_so.drafts[0].subject))
    return replace(logged_so, text=text, pending=None)


def for_good(talk: Conversation, waiting: Pending) -> bool:
    """True where what it is asked about was told to have gone out or away, and nothing less plain."""
    words, lexicon = (
        waiting.request.slots.words if waiting.request is not None else (),
        talk.interpreter.lexicon,
    )
    return bool({*words} & (lexicon.list("deed_for_good") | lexicon.list("deed_out")))


def amount_of(talk: Conversation, draft: Draft, counted: bool) -> str:
    """Return "two kilos of yoghurt", "two eggs", or the food alone."""
    if not draft.amount:
        return talk.shown(draft.subject)
    key = "count_of" if counted else "amount_of"
    return talk.words(key, amount=draft.amount, food=talk.shown(draft.subject))


def without_food(talk: Conversation, amount: str) -> Outcome:
    """Ask what was thrown out, where nobody knows; it is logged once that is told."""
    wanted = talk.request(DISCARD, Slots(concepts=frozenset({THROWN})))
    waiting = Pending("slot", talk.clock.now(), "food", replace(wanted, memory={AMOUNT_TOLD: amount}))
    return Outcome(Answer("ask_food", {"what": capital(amount)}), DISCARD, wanted, pending=waiting)


def food_told(talk: Conversation, request: Request, food: str) -> Outcome | None:
    """Log the food of an amount that was told before it."""
    amount = request.memory.get(AMOUNT_TOLD, "")
    return several(talk, request, (Item(food, amount),)) if amount and food else None


def amount_told(talk: Conversation, request: Request, subject: str) -> Outcome | None:
    """Return the amount of what was logged as thrown out just before, told afterwards."""
    before, function = without_amount(talk, subject), answer_function(DISCARD)
    answer = function(request) if before is not None and function is not None else None
    amount = next((draft.amount for draft in answer.drafts), "") if answer is not None else ""
    if before is None or not amount:
        return None
    draft = Draft(kind="correction", subject=subject, amount=amount, refers_to=before.entry.id)
    said = thrown(draft, counted=answer is not None and answer.reply == COUNTED)
    return Outcome(said, DISCARD, request, reading_ids=(before.entry.id,))


def lately_out(talk: Conversation, food: str) -> Line | None:
    """Return the newest discard of a food in this half hour."""
    wanted = Filter(kinds=("discard",), since=talk.clock.now() - STILL_MEANT, standing_only=True)
    lines = talk.log.views.lines(wanted, limit=MOST).lines
    found = [line for line in lines if alike(set(food.split()), line.now.item or line.now.subject)]
    return max(found, key=lambda line: line.entry.id, default=None)


def without_amount(talk: Conversation, subject: str) -> Line | None:
    """Return the discard of this food logged just before, of which nobody said how much yet."""
    line = talk.log.views.latest(Filter(kinds=("discard",), subject=subject, standing_only=True))
    if line is None or line.now.amount:
        return None
    ago = talk.clock.now() - datetime.fromisoformat(line.entry.at_local)
    return line if timedelta(0) <= ago <= _JUST_BEFORE else None


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
    if heard is not None and _denied(heard, lexicon):
        return Outcome(Answer("planned"), NOT_DONE, keep_context=True)
    out = heard is not None and request.slots.has(THROWN)
    asked = out and heard is not None and heard.asks and not lexicon.politely(heard.words)
    cooked = out and heard is not None and cooks(heard, lexicon)
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
        return without_food(talk, amount) if amount else None
    told = food_told(talk, request, food) or amount_told(talk, request, food)
    if told is not None:
        return told
    batch = batch_told(talk, request)
    running = clocks(talk, request.now, food, batch)
    if len(running) > 1:
        return which(talk, request, food, running)
    line = action(talk, food, running[0].subject if running else "")
    slots = request.slots if request.slots.foods else replace(request.slots, foods=(food,))
    answer = function(replace(request, slots=slots))
    if answer is None or answer.reply in ("no", "ask_thrown"):
        return Outcome(answer, DISCARD, request) if answer is not None and line is not None else None
    if line is None and not running and not answer.drafts:
        return None
    return logged(talk, replace(request, slots=slots), answer, food, line, running)


def _denied(heard: Understanding, lexicon: Lexicon) -> bool:
    """True for "didn't toss the stew": nothing went out; not for "no, tossed it"."""
    denying = lexicon.list("deed_denied")
    for span in heard.spans(THROWN):
        begins = max((at for at in heard.breaks if at <= span.start), default=0)
        if not denying.isdisjoint(heard.words[max(begins, span.start - _DENIES) : span.start]):
            return True
    return False

"""Food thrown out: of which batch and for which open action, and how much, which may be told afterwards."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from assistant.dialogue import batches, named_among
from assistant.dialogue.answer import Answer, Request, answer_function, capital
from assistant.dialogue.answers.record import THROWN, thrown
from assistant.dialogue.clocks import RunningClock, running_clocks, same_subject
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.gate import agreed
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
from assistant.dialogue.topic import food_meant, whole_name
from assistant.logbook.entry import Draft
from assistant.logbook.query import Filter
from assistant.logbook.views import Line
from intents.deed_amounts import Item
from intents.deeds import Deed, amount_alone, amounts, only_amounts
from intents.mentions import Stretch, Understanding

DISCARD, COUNTED, REFUSED = "discard", "logged_count", "refused"
AMOUNT_TOLD = "thrown_amount"
"""What a question of which food went out keeps of its amount."""
AMOUNT = "volume|weight|number|container_word|half_word"
"""What answers how much was thrown out."""
_JUST_BEFORE = timedelta(minutes=5)
"""For so long an amount belongs to the discard logged before it."""


_STILL_MEANT, _MOST = timedelta(minutes=30), 20
"""So long ago a discard may be meant by its food; so many are looked at, and no bare number is above."""
_TALK = 0.5
"""From this share of talk on nothing is asked about words that may tell of a discard."""


def goes_on(talk: Conversation, heard: Heard) -> Outcome | None:
    """Log "and about a pound and a half of slaw" right after food was thrown out, or what is told of that."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    just = talk.state.recent(talk.clock.now()) and bool(talk.last_lines) and talk.addressed
    if not just or read.asks:
        return None
    if (told := _amount_after(talk, read) or _same_reason(talk, read)) is not None:
        return told
    if talk.last_lines[-1].entry.kind != DISCARD:
        return None
    phrases = (tuple(phrase.split()) for phrase in lexicon.list("thrown_same"))
    same = max((len(p) for p in phrases if read.words[: len(p)] == p), default=0)
    part = (
        talk.interpreter.readings_of(read.part(range(same, len(read.words)))).heard
        if read.words[same:]
        else read
    )
    opened = same or read.words[0] in lexicon.list("deed_joints")
    items = only_amounts(part, lexicon, counted=bool(same)) if opened else ()
    if not items:
        return None
    slots = Slots.of(read, heard.interpretation.meaning)
    slots = replace(slots, foods=tuple(i.food for i in items), concepts=slots.concepts | {THROWN})
    several = _several(talk, talk.request(DISCARD, slots), items)
    note = talk.last_lines[-1].now.note if same else ""  # it stood as long, and went for the same reason
    kept = f" {talk.words('kept_with', what=note)}" if note else ""
    drafts = tuple(draft.model_copy(update={"note": note}) for draft in several.drafts)
    text, used = f"{several.text}{kept}", frozenset(range(len(read.words)))
    return replace(several, answer=several.bare, own_drafts=drafts, text=text, used=used)


def _amount_after(talk: Conversation, read: Understanding) -> Outcome | None:
    """Return "four cases" as how much went of the one food just thrown out or sent back without an amount."""
    amount = amount_alone(read, talk.interpreter.lexicon)
    lines = [line for line in talk.standing if not line.now.amount]
    lines = [line for line in lines if line.entry.kind == DISCARD or line.now.note == REFUSED]
    if amount is None or len(lines) != 1:
        return None
    draft = _changed(lines[0], amount.amount, lines[0].now.note)
    if lines[0].entry.kind == DISCARD:
        return Outcome(thrown(draft, counted=amount.counted), DISCARD, reading_ids=(lines[0].entry.id,))
    answer = Answer(REFUSED, {"list": amount_of(talk, draft, amount.counted)}, drafts=(draft,))
    return Outcome(answer, "receive_check", reading_ids=(lines[0].entry.id,))


def _same_reason(talk: Conversation, read: Understanding) -> Outcome | None:
    """Keep "same reason" with what was just thrown out: the note of what went out before it."""
    small = talk.interpreter.lexicon.filler
    said = " ".join(word for word in read.words if word not in small)
    lines = [line for line in talk.standing if line.entry.kind == DISCARD]
    if said not in talk.interpreter.lexicon.list("same_reason") or not lines:
        return None
    since = talk.clock.now() - _STILL_MEANT
    wanted = Filter(kinds=("discard",), since=since, standing_only=True)
    before = [line for line in talk.log.views.lines(wanted, limit=_MOST).lines if line.now.note]
    note = max(before, key=lambda line: line.entry.id).now.note if before else ""
    if not note:
        return None
    drafts = tuple(_changed(line, line.now.amount, note) for line in lines if not line.now.note)
    text = capital(talk.words("kept_with", what=note))
    ids = tuple(line.entry.id for line in lines)
    return Outcome(Answer("ok"), DISCARD, text=text, own_drafts=drafts, reading_ids=ids)


def recounted(talk: Conversation, heard: Heard) -> Outcome | None:
    """Change the number of the amount logged last: "no wait, forty is what we put out, nineteen went"."""
    read, line = heard.interpretation.heard, next(iter(talk.last_lines[-1:]), None)
    if line is None or line.entry.kind != DISCARD or not line.now.amount or not agreed(heard):
        return None
    said = {" ".join(read.words[m.start : m.end]): m for m in read.measures if len(m.options) == 1}
    old = [words for words in said if f" {words} " in f" {line.now.amount} "]
    new = [words for words, m in said.items() if words not in old and m.kind == "number"]
    if len(old) != 1 or len(new) != 1 or not named_among.corrects(talk, heard):
        return None
    draft = _changed(
        line, f" {line.now.amount} ".replace(f" {old[0]} ", f" {new[0]} ").strip(), line.now.note
    )
    counted = draft.amount == new[0]
    used = frozenset(range(len(read.words)))
    return Outcome(thrown(draft, counted=counted), DISCARD, reading_ids=(line.entry.id,), used=used)


def _changed(line: Line, amount: str, note: str) -> Draft:
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
    return told[0] if told is not None else None


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
    spoken_of = food_meant(talk, read, deed.end)
    items = items if any(item.food for item in items) else _all_spoken_of(talk, read, items)
    items = tuple(replace(i, food=whole_name(talk, i.food) if i.food else spoken_of) for i in items)
    if not items[0].food:
        return without_food(talk, items[0].amount) if items[0].amount else None
    slots = Slots.of(read, heard.interpretation.meaning)
    slots = replace(slots, foods=tuple(i.food for i in items), concepts=slots.concepts | {THROWN})
    running = clocks(talk, talk.clock.now(), items[0].food, None)
    counted = len(items) - len(deed.items or (Item(),))
    if alone and len(items) == 1 and (len(running) > 1 or not items[0].amount):
        return talk.ask(talk.request(DISCARD, slots))
    several = _several(talk, talk.request(DISCARD, slots), items)
    numbers = {i for m in read.free_measures for i in range(m.start, m.end)} if counted else set()
    return replace(several, used=several.used | numbers)


def _all_spoken_of(talk: Conversation, read: Understanding, items: tuple[Item, ...]) -> tuple[Item, ...]:
    """Return every food spoken of for "dumping the three of them"; else the items told."""
    spoken = talk.state.foods(talk.clock.now())
    counted = {m.value for m in read.free_measures if m.kind == "number"}
    several = talk.interpreter.lexicon.list("deed_several") & {*read.words}
    whole = len(spoken) > 1 and len(spoken) in counted and several
    return tuple(Item(food) for food in spoken) if whole else items


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
    answer = Answer("logged_food", drafts=tuple(draft for draft, _ in entries))
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
    """Ask what was thrown out, where nobody knows; it is logged once that is told."""
    wanted = talk.request(DISCARD, Slots(concepts=frozenset({THROWN})))
    waiting = Pending("slot", talk.clock.now(), "food", replace(wanted, memory={AMOUNT_TOLD: amount}))
    return Outcome(Answer("ask_food", {"what": capital(amount)}), DISCARD, wanted, pending=waiting)


def food_told(talk: Conversation, request: Request, food: str) -> Outcome | None:
    """Log the food of an amount that was told before it."""
    amount = request.memory.get(AMOUNT_TOLD, "")
    return _several(talk, request, (Item(food, amount),)) if amount and food else None


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


def more_like(talk: Conversation, heard: Heard) -> Outcome | None:
    """Correct how much of a food went out lately: "the slaw was more like two", "make the rice three"."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    foods, words = read.names.get("food", ()), set(read.words)
    if read.asks or len(foods) > 1 or read.names.get("equipment") or not words & lexicon.list("amends"):
        return None
    line = lately_out(talk, foods[0].value) if foods else next(iter(talk.last_lines[-1:]), None)
    if line is None or line.entry.kind != "discard" or not (foods or talk.state.recent(talk.clock.now())):
        return None
    told: tuple[Stretch, ...] = (*foods, *read.measures, *read.spans("container_word"))
    small = lexicon.small("correction_small", "denying", "amends", "more_like", "deed_hedges")
    small |= lexicon.list("deed_articles") | lexicon.list("deed_containers")
    return amended(talk, heard, line) if read.only(told, small) else None


def lately_out(talk: Conversation, food: str) -> Line | None:
    """Return the newest discard of a food in this half hour."""
    wanted = Filter(kinds=("discard",), since=talk.clock.now() - _STILL_MEANT, standing_only=True)
    lines = talk.log.views.lines(wanted, limit=_MOST).lines
    found = [line for line in lines if _alike(set(food.split()), line.now.item or line.now.subject)]
    return max(found, key=lambda line: line.entry.id, default=None)


def amended(talk: Conversation, heard: Heard, line: Line) -> Outcome | None:
    """Correct the amount of a discard: "wait, it was one quart, not two"; ``None`` where none is told."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    told = amounts(read, lexicon)
    if not agreed(heard) or len(told) != 1 or not told[0].measured:
        return None
    draft = _changed(line, told[0].amount, line.now.note)
    said_back = replace(thrown(draft, counted=told[0].counted), drafts=(draft,))
    return Outcome(said_back, DISCARD, reading_ids=(line.entry.id,))


def _without_amount(talk: Conversation, subject: str) -> Line | None:
    """Return the discard of this food logged just before, of which nobody said how much yet."""
    line = talk.log.views.latest(Filter(kinds=("discard",), subject=subject, standing_only=True))
    if line is None or line.now.amount:
        return None
    ago = talk.clock.now() - datetime.fromisoformat(line.entry.at_local)
    return line if timedelta(0) <= ago <= _JUST_BEFORE else None

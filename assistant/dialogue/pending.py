"""Answers to the assistant's own questions: a yes, a missing fact, one of two readings.

Whatever does not answer the question is taken as something new, and the question is dropped. What a few words
surely answer need not be called (``awaited``).
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from assistant.dialogue import (
    agreed,
    amounts_told,
    batches,
    confirmed,
    discards,
    fresh_buckets,
    kept_words,
    lacking,
    leaning,
    meant,
    named_among,
    recording,
    round_talk,
    since_when,
    times_apart,
    which_place,
)
from assistant.dialogue.answer import Answer, Request
from assistant.dialogue.confirmed import is_only
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.gate import fits_place
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.places_meant import POINTING
from assistant.dialogue.reports import asked_for
from assistant.dialogue.reports.fits import only_topic
from assistant.dialogue.slots import Slots
from assistant.dialogue.small_talk import ALONE
from assistant.dialogue.state import Pending
from assistant.dialogue.unanswered import MOST_TIMES, question
from intents.interpret import Interpretation
from intents.mentions import READ, Measure, Stretch, Understanding
from intents.readings import Reading

PATIENCE_SECONDS = 120
"""How long a question stays open; after that an answer would be to something else."""
LOOKS_SECONDS = 300
"""Since when it was is asked of others before it is answered, in more words than a number (judgement)."""
ANSWERING = frozenset(
    {"reading", "yes", "no", "correction", "food_place", "frozen_check", "stop", "food_facts"}
)
"""Intents of words that may as well be the answer to a question."""
STRONG = 0.6
"""An intent with this share is a new question even while another one is open."""
MOST_NAMING = 6
"""So many words at most only name a place ("oh it was the one in the bar")."""
A_FEW_WORDS = 4
"""So few words with a container in them are an amount, where one was asked for ("a whole pan")."""
MOST_BARE_HOURS = 12
"""A bare number above this is no answer to "since when": more likely the next reading."""
CONTAINER = "container_word"
UNKNOWN = "unknown_time"
COOLING = "cooling_check"
OF_A_READING = frozenset({"time_out", "frozen_check", "food_place"})
"""Questions about the reading logged just before."""
MEASURES = frozenset({"percent", "volume", "weight", "duration", "temperature", "ppm", "altitude", "number"})


def answer(talk: Conversation, heard: Heard, now: datetime) -> Outcome | None:
    """Return the outcome if ``heard`` answers the pending question, else ``None``."""
    waiting = talk.state.pending
    assert waiting is not None
    read = heard.interpretation.heard
    request = waiting.request
    of_time = request is not None and request.intent == since_when.TIME_OUT and not _nothing_else(talk, read)
    patience = LOOKS_SECONDS if of_time else PATIENCE_SECONDS
    if (now - waiting.asked_at).total_seconds() > patience:
        return None
    answers_it = waiting.kind == "slot" and read.has(*waiting.slot.split("|"))
    partly_logged = waiting.kind == "choose" and bool(waiting.readings)
    if (_of_a_reading(waiting) or partly_logged) and is_only(read, "scratch", talk):
        return None  # the reading is taken back, not only the question about it
    if is_only(read, "dont_know", talk) and (out := discards.unmeasured(talk, waiting)) is not None:
        return out
    dropped = is_only(read, "stop", talk) or is_only(read, "scratch", talk)
    if dropped or (
        waiting.kind == "slot"
        and is_only(read, "no", talk)
        and "yes_no" not in waiting.slot.split("|")
        and not answers_it
    ):
        return Outcome(
            Answer("dropped" if waiting.kind != "slot" else "ok"),
            "reading" if waiting.kind != "slot" else "stop",
        )
    if waiting.kind == "confirm":
        return confirmed.answered(talk, heard, waiting)
    if waiting.kind == "agree":
        return agreed.answered(talk, heard, waiting)
    if waiting.kind == "value":
        return asked_for.answered(talk, heard, waiting)
    if waiting.kind == "note":
        return kept_words.answered(talk, heard)
    if waiting.kind == "meant":
        return meant.chosen(talk, heard, waiting)
    if waiting.kind == "choose":
        return _choose(talk, heard, waiting)
    if waiting.kind == "slot" and waiting.request is not None:
        return _slot(talk, heard, waiting, waiting.request)
    return None


def is_new(read: Interpretation, asked: str = "") -> bool:
    """True when an utterance surely means an intent of its own, other than the one that asked."""
    best = read.best
    if best is None or best.intent in ANSWERING or best.intent == asked or read.meaning.act == "answer":
        return False
    return best.share >= STRONG


def _of_a_reading(waiting: Pending) -> bool:
    request = waiting.request
    if request is None:
        return False
    cooling = request.intent == COOLING and request.slots.measure("temperature", "number") is not None
    return request.intent in OF_A_READING or cooling


def _choose(talk: Conversation, heard: Heard, waiting: Pending) -> Outcome | None:
    read, told = heard.interpretation.heard, heard.interpretation.readings.options
    every, guessed = which_place.several(talk, read, waiting.options)
    if every and (
        heard.rival is None or which_place.several(talk, heard.rival.heard, waiting.options)[0] == every
    ):
        sure = talk.addressed and not guessed
        taken = recording.take(talk, every, heard) if sure else recording.confirm(talk, every)
        return replace(taken, used=frozenset(range(len(read.words))))
    if is_only(read, "no", talk) and not waiting.partly_logged:
        return Outcome(Answer("dropped"), recording.READING)
    if told and min(map(len, told)) > max(map(len, waiting.options)):
        return None  # more than was asked about: told anew
    if (batch := batches.chosen(talk, waiting.options, read)) is not None:
        return recording.take(talk, batch, heard)
    said = {value for m in read.free_measures for value in m.options}
    places = {span.value for kind in ("equipment", "food") for span in read.names.get(kind, ())}
    numbers = any(m.kind in READ for m in read.free_measures)  # "the first one is thirty nine" tells anew
    told_aloud = len(waiting.options) <= which_place.MOST_ASKED and not (numbers or places)
    named = which_place.answered(talk, read, waiting.options, "yes", "note_unsure")
    which = _which_one(read)
    doubted = heard.rival is not None and _which_one(heard.rival.heard) != which
    if read.has("first_one", "second_one") and told_aloud and (len(named) != 1 or doubted):
        if which is None or doubted:
            return recording.ask_which(talk, waiting.options)
        return recording.log(talk, waiting.options[which])

    def fits(readings: tuple[Reading, ...]) -> bool:
        return any(r.value in said for r in readings) or (
            not said and any(r.subject in places for r in readings)
        )

    numbered = named if len(named) == 1 else []
    fitting = numbered or [option for option in waiting.options if fits(option)]
    if read.has("unit_degrees", "unit_fahrenheit", "unit_ppm") and len(fitting) != 1:
        quantity = "ppm" if read.has("unit_ppm") else "temperature"
        fitting = [option for option in waiting.options if all(r.quantity == quantity for r in option)]
    if len(fitting) == 1 and (numbered or not is_new(heard.interpretation)):
        taken = recording.take(talk, fitting[0], heard)
        used = frozenset(range(len(read.words))) if named == fitting else taken.used
        return replace(taken, used=used) if taken.drafts else taken  # what told the place is none beside it
    each = [reading for option in waiting.options for reading in option]
    anew = named_among.changed(talk, read, each) if talk.addressed and len(told) != 1 else None
    if anew is not None and len(each) == len({reading.subject for reading in each}):
        _, reading, plain = anew  # "the second's forty one"
        return recording.take(talk, (reading,), heard) if plain else recording.confirm(talk, (reading,))
    return _of_another_place(talk, heard, waiting) or _asked_again(talk, heard, waiting)


def _asked_again(talk: Conversation, heard: Heard, waiting: Pending) -> Outcome | None:
    """Ask once more which is meant after a few words that only point: "the left one", "them"."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    pointing = frozenset().union(*(lexicon.list(name) for name in (*POINTING, "row_left", "row_right")))
    small = lexicon.small("batch_one", "deed_of", "part_of_them", "list_joins", "back_small", "number_word")
    places = [reading.subject for option in waiting.options for reading in option]
    told: tuple[Stretch, ...] = (*named_among.lone_numbers(read, places), *read.spans("yes"))
    only = read.only(told, small | pointing)
    if not talk.addressed or not only or read.asks or waiting.times_asked >= MOST_TIMES:
        return None
    asks = replace(waiting, asked_at=talk.clock.now(), times_asked=waiting.times_asked + 1)
    return Outcome(Answer("say_again"), recording.READING, text=question(talk), pending=asks)


def _of_another_place(talk: Conversation, heard: Heard, waiting: Pending) -> Outcome | None:
    """Read back the number that was told as of the place now named, which was not among those asked."""
    read = heard.interpretation.heard
    places = {span.value for span in talk.interpreter.with_short_places(read).names["equipment"]}
    if is_new(heard.interpretation) or len(read.words) > MOST_NAMING:
        return None
    alike = {replace(reading, subject="") for option in waiting.options for reading in option}
    if len(places) != 1 or len(alike) != 1 or read.asks or any(m.kind in READ for m in read.free_measures):
        return None
    reading = replace(waiting.options[0][0], subject=places.pop())
    kinds = {reading.subject: talk.site.kind_of(reading.subject)}
    return recording.confirm(talk, (reading,)) if fits_place(reading, kinds) else None


def _which_one(read: Understanding) -> int | None:
    """Return 0 for the first, 1 for the second; nothing where both are named or one is refused."""
    first, second = read.has("first_one"), read.has("second_one")
    return None if first == second or read.has("no", "not") else int(second)


def _slot(talk: Conversation, heard: Heard, waiting: Pending, request: Request) -> Outcome | None:
    """Return the answer to a question, of an amount also with more behind it: "twelve cod, I see another"."""
    out = request.intent == discards.DISCARD and talk.addressed
    if out and (each := amounts_told.of_each(talk, heard)) is not None:
        return each
    whole = _slot_told(talk, heard, waiting, request)
    return amounts_told.amount_first(talk, heard, request) if out and whole is None else whole


def _slot_told(talk: Conversation, heard: Heard, waiting: Pending, request: Request) -> Outcome | None:
    read = heard.interpretation
    if read.readings.options:
        return None
    bare = _nothing_else(talk, read.heard)
    timed = request.intent == since_when.TIME_OUT
    if timed and (_rechecked(talk, read) or (not bare and _tells_another(talk, read))):
        return None
    if timed and (since := since_when.answered(talk, heard, request, alone=bare)) is not None:
        return since
    if timed and not bare and times_apart.any_told(talk, heard):
        return None
    if timed and not bare and not (talk.addressed or not since_when.to_another(heard)):
        return None
    kinds = waiting.slot.split("|")
    slots = lacking.told_in_short(talk, Slots.of(read.heard), *kinds)
    same_food = slots.foods in ((), request.slots.foods)
    contained = CONTAINER in kinds and same_food and read.heard.has(CONTAINER)  # "half a pan"
    if request.slots.foods and not same_food and "food" not in kinds:
        return None  # "two pounds of shrimp for tonight" is no amount of the wings
    alone = bare or (contained and len(read.heard.words) <= A_FEW_WORDS)
    if is_new(read, request.intent) and not alone:
        return None  # "ten litres" alone is what was asked for, whatever else it might be
    of_time = {"duration", "clock"} & set(kinds)
    if _of_a_reading(waiting) and of_time and not set(slots.foods) <= set(request.slots.foods):
        return None  # "twenty minutes on that risotto"
    wanted = [kind for kind in kinds if kind in MEASURES]
    if _bare(slots) and not contained and not bare:
        return None
    for kind in wanted:
        slots = replace(slots, measures=tuple(_as_kind(m, kind) for m in slots.measures))
    if UNKNOWN in kinds and is_only(read.heard, "dont_know", talk):
        slots = replace(slots, concepts=slots.concepts | {UNKNOWN})
    if request.intent == fresh_buckets.CLOCK and "place" in kinds and not slots.places:
        slots = replace(slots, places=fresh_buckets.named(talk, request, read.heard))
        slots = replace(slots, measures=() if slots.places else slots.measures)  # "two" is the bucket's
    filled = (
        any(slots.measure(kind) for kind in wanted)
        or ("food" in kinds and slots.foods)
        or ("place" in kinds and slots.places)
        or ("person" in kinds and slots.people)
        or ("round" in kinds and slots.rounds)
        or ("clock" in kinds and (slots.clocks or _hour(slots)))
        or ("yes_no" in kinds and (is_only(read.heard, "yes", talk) or is_only(read.heard, "no", talk)))
        or any(kind in slots.concepts for kind in kinds)
    )
    if not filled:
        return None
    if (
        "yes_no" in kinds
        and heard.rival is not None
        and _yes_or_no(talk, heard.rival.heard) != _yes_or_no(talk, read.heard)
    ):
        return Outcome(None, request.intent, text=talk.words("yes_or_no"), pending=waiting, keep_context=True)
    merged = request.slots.merged(slots)
    memory = {**request.memory, **talk.state.memory}
    last_ids = talk.state.last_reading_ids
    return talk.ask(replace(request, slots=merged, now=talk.clock.now(), memory=memory, last_ids=last_ids))


def _rechecked(talk: Conversation, read: Interpretation) -> bool:
    """True for what the failed place reads, now or after a deed: "cleared the vent, one forty"."""
    words, roles = read.heard.words, read.meaning.roles
    numbers = [m for m in read.heard.free_measures if m.kind in READ]
    if len(numbers) != 1 or any(q.marker in ("since", "for") for q in read.heard.quantities):
        return False
    done = read.best is not None and read.best.intent == meant.DEED and read.best.share >= STRONG
    done = done and not {*roles[numbers[0].start : numbers[0].end]} & {"since", "at"}
    if not done and not read.heard.has("now_word"):
        return False
    topic = only_topic(talk, words, " ".join(words[numbers[0].start : numbers[0].end]))
    return not done or (topic is not None and topic.waits)


def _tells_another(talk: Conversation, read: Interpretation) -> bool:
    """True for no time since when: "larder thirty seven, freezer minus two", "when are my four hours up"."""
    if talk.interpreter.lexicon.says(read.heard.words, "asks_time_left"):
        return True
    surely = read.best is not None and read.best.intent == "reading" and read.best.share >= STRONG
    return surely and bool(talk.interpreter.with_short_places(read.heard).names["equipment"])


def _yes_or_no(talk: Conversation, read: Understanding) -> str:
    return next((c for c in ("yes", "no") if is_only(read, c, talk)), "") or next(
        (c for c in ("soft_word", "solid_word") if read.has(c)), ""
    )


def _bare(slots: Slots) -> bool:
    """True when the only thing that was said is a number without a unit."""
    return bool(slots.measures) and all(m.kind == "number" for m in slots.measures) and not slots.clocks


def _nothing_else(talk: Conversation, read: Understanding) -> bool:
    """True when nothing but numbers and small words was said: an order called out is no answer."""
    return read.only(read.measures, talk.interpreter.lexicon.small("correction_openers"))


def _hour(slots: Slots) -> bool:
    return any(m.kind != "number" or m.value <= MOST_BARE_HOURS for m in slots.measures)


def _as_kind(measure: Measure, kind: str) -> Measure:
    """Take a bare number as the kind that was asked for."""
    if measure.kind != "number" or (kind == "duration" and measure.value > MOST_BARE_HOURS):
        return measure
    return replace(measure, kind=kind)


MAY_OPEN = ("no", "scratch", "stop")
"""Concepts with which a correction begins ("no, thirty nine"): alone they may be its first word."""


def awaited(talk: Conversation, read: Interpretation) -> bool:
    """Tell whether ``read`` answers an open question, a round's place, or follows up on the last answer."""
    now = talk.clock.now()
    if not read.heard.words or read.heard.has(*MAY_OPEN):
        return False
    heard = Heard(read, read.heard.text, agreement=1.0, typed=False)
    if talk.state.pending is not None and answer(talk, heard, now) is not None:
        return True
    if talk.state.asked_at is not None and round_talk.answered(talk, heard) is not None:
        return True
    if talk.state.last_request is None or not talk.state.recent(now):
        return False
    if leaning.goes_on(talk, read, Slots.of(read.heard)):
        return True
    return read.best is not None and read.best.intent in ALONE and read.best.share >= STRONG

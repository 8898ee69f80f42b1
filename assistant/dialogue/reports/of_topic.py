"""A number said without its place, of what was talked about: "well it's five now", "and at noon forty".

Taken at once where it is said to the assistant and only one thing waits for it; else it is read back, and
where it makes sense for two, asked.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.dialogue import batches, recording, round_talk
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports.said_at import When, when
from assistant.dialogue.reports.times import Way, ways
from assistant.dialogue.topic import Topic, can_be, topics
from intents.mentions import READ, Measure, Understanding
from intents.quantities import quantities
from intents.readings import Reading, ReadingParse

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

_TELLS_A_NUMBER = (
    "reading", "cooling_check", "cook_done", "food_place", "probe_off", "receive_check", "holding_check",
    "reheat_check", "log_value", "date_day", "strip_between",
)  # fmt: skip
"""Intents that the net may hear in a number that was measured."""
_TOLD = 0.5
"""With this share of telling, words beside a number are remarks on it (judgement)."""
_EARLY = 4
"""A number later in the words than this belongs to a story (judgement)."""
_TWO = 2


def report(talk: Conversation, heard: Heard, *, batches_only: bool = False) -> Outcome | None:
    """Return what is done with a number of the last topic; ``None`` for anything else."""
    if _waits_for_another(talk, heard):
        return None
    found = _number(talk, heard)
    if found is None:
        return None
    words, at, strict = found
    batch = _batch_named(talk, heard)
    first = heard.interpretation.heard.words[0] == words.split()[0]
    fits = [
        (t, r) for t in topics(talk) if (r := _reading(talk, t, words)) is not None and can_be(talk, t, r)
    ]
    fits = [(t, r) for t, r in fits if (t.batch or not batches_only) and (not batch or t.batch in batch)]
    waiting = [(t, r) for t, r in fits if t.waits]
    if len(waiting) > 1 and (heard.typed or talk.addressed):
        same = tuple((replace(reading, said_at=at.iso),) for _, reading in waiting)
        return recording.ask_which(talk, same)
    chosen = (waiting or fits)[:1]
    if not chosen or not (heard.typed or talk.addressed or talk.state.recent(talk.clock.now())):
        return None
    topic, reading = chosen[0]
    readings = (replace(reading, said_at=at.iso),)
    return _taken(talk, heard, topic, readings, sure=strict or first or bool(batch) or _told_now(talk, heard))


def named_batch(talk: Conversation, heard: Heard) -> bool:
    """True where the words begin with a food that cools and its number, whatever is asked behind them."""
    read = heard.interpretation.heard
    foods, numbers = read.names.get("food", ()), [m for m in read.free_measures if m.kind in READ]
    small = _small(talk) | talk.interpreter.lexicon.list("before_time")
    if read.asks or not numbers or not _batch_named(talk, heard):
        return False
    between = read.words[: foods[0].start] + read.words[foods[0].end : numbers[0].start]
    return all(word in small for word in between)


def _batch_named(talk: Conversation, heard: Heard) -> frozenset[int]:
    """Return the running batches of the one food that the words name."""
    foods = {span.value for span in heard.interpretation.heard.names.get("food", ())}
    if len(foods) != 1:
        return frozenset()
    return frozenset(c.entry_id for c in batches.cooling(talk, talk.clock.now(), *foods))


def _taken(
    talk: Conversation, heard: Heard, topic: Topic, readings: tuple[Reading, ...], *, sure: bool
) -> Outcome:
    called = heard.typed or talk.addressed
    asked_about = talk.state.last_request is not None and topic.name in talk.state.last_request.slots.places
    if not (called and sure and (topic.waits or asked_about)):
        return recording.confirm(talk, readings)
    core = replace(heard.interpretation, readings=ReadingParse((readings,)))
    return recording.take(talk, readings, replace(heard, interpretation=core))


def _waits_for_another(talk: Conversation, heard: Heard) -> bool:
    """True where a round asks for its next place, or the words are a question or read by themselves."""
    read = heard.interpretation
    running = round_talk.running(talk)
    if talk.state.asked_place or (running is not None and not running.paused) or read.readings.options:
        return True
    return read.heard.asks or read.heard.text.strip().endswith("?") or not read.heard.words


def _number(talk: Conversation, heard: Heard) -> tuple[str, When, bool] | None:
    """Return the words of the one number told, when it was, and whether nothing but small words is beside."""
    read, said = heard.interpretation, heard.interpretation.heard
    small = _small(talk)
    loose: tuple[str, When, bool] | None = None
    for way in ways(said, talk.interpreter.lexicon, read.meaning.roles):
        at = when(next((told for told in way if told.part == "at"), None), talk.clock.now())
        number = _measured(talk, said, way)
        if number is None or at.kind not in ("now", "told"):
            continue
        words = said.words[number.start : number.end]
        timed = {i for told in way for i in told.words} | set(range(number.start, number.end))
        timed |= {i for s in said.concepts if s.value == "note_again" for i in range(s.start, s.end)}
        if all(i in timed or word in small for i, word in enumerate(said.words)):
            return " ".join(words), at, True
        if loose is None and number.start <= _EARLY and _remarks(talk, heard, number):
            loose = " ".join(words), at, False
    return loose


def _small(talk: Conversation) -> frozenset[str]:
    lexicon = talk.interpreter.lexicon
    return lexicon.filler | lexicon.links | lexicon.list("short_small") | lexicon.list("read_at")


def _measured(talk: Conversation, said: Understanding, way: Way) -> Measure | None:
    """Return the one number outside the times of ``way`` that is no bound and no count ("over sixty")."""
    timed = {i for told in way for i in told.words}
    bounds = {
        i for q in quantities(said.words, said.language) if q.marker in ("over", "under", "of")
        for i in range(q.start, q.end)
    }  # fmt: skip
    counted = talk.interpreter.lexicon.list("counted_of")
    found = [
        m
        for m in said.free_measures
        if m.kind in READ
        and len(m.options) == 1
        and m.start not in timed | bounds
        and not set(said.words[m.end : m.end + 1]) & counted
    ]
    return found[0] if len(found) == 1 else None


def _remarks(talk: Conversation, heard: Heard, number: Measure) -> bool:
    """True where the net hears that a number is told with remarks around it, to the assistant."""
    read = heard.interpretation
    tells = read.best is not None and read.best.intent in _TELLS_A_NUMBER
    if read.best is None or not (tells or named_batch(talk, heard)) or read.heard.names.get("person"):
        return False
    kinds = ("equipment",) if _batch_named(talk, heard) else ("equipment", "food")
    named = (s for kind in kinds for s in read.heard.names.get(kind, ()))
    before = any(span.end <= number.start for span in named)
    roles = read.meaning.roles if len(read.meaning.roles) == len(read.heard.words) else ()
    before = before or "place" in roles[: number.start]  # "drawer thirty eight", of a drawer not known here
    if named_batch(talk, heard):
        return True
    first = number.start <= 1 and read.best.intent == "reading"
    return not before and (first or read.meaning.share_of("tell", "answer") >= _TOLD)


def _reading(talk: Conversation, topic: Topic, words: str) -> Reading | None:
    found = talk.interpreter.answer_for(topic.kind, topic.name, words).certain
    if len(found) != 1:
        return None
    return replace(found[0], batch=topic.batch) if topic.batch else found[0]


def _told_now(talk: Conversation, heard: Heard) -> bool:
    said, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    opened = set(said.words[:_TWO]) & (lexicon.list("present_is") | lexicon.list("told_now"))
    return (
        bool(opened)
        or said.has("now_word", "note_again")
        or bool(set(said.words[:1]) & lexicon.list("read_at"))
    )

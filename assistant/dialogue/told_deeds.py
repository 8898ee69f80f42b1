"""Deeds told, one or several in a breath: each is logged, asked about, or given back in words.

What is only planned is not logged. What else the breath says (a reading) is taken as an utterance of its own.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.dialogue import batches, discards, fresh_buckets, moves, refusals
from assistant.dialogue.answer import Answer, Request
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports import of_topic, take
from assistant.dialogue.site_places import in_short
from assistant.dialogue.slots import Slots
from intents.deeds import Breath, Deed, breath
from intents.interpret import Interpretation
from intents.lexicon import Span

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

NOT_DONE, WASHED = "not_done", "hand_washed"
OF_DEEDS = frozenset({"discard", "action_done", WASHED, "clock_bucket", NOT_DONE, "receive_check"})
"""Intents of sentences that tell of a deed."""
_MEANT, _SURELY, _TALK, _ASKED = 0.4, 0.6, 0.3, 0.9
"""Shares from which on a deed was told here, also where nobody called, and most of talk (judgement)."""


def told(talk: Conversation, heard: Heard) -> Breath:
    """Return the deeds that an utterance tells, with the site's places in short and foods that the net knows."""
    read = heard.interpretation
    return breath(read.heard, talk.interpreter.lexicon, _foods_by_role(read), in_short(talk, read.heard))


def report(talk: Conversation, heard: Heard) -> Outcome | None:
    """Return what is done with an utterance that tells of deeds; ``None`` when it is no such utterance."""
    read = heard.interpretation
    if not read.heard.words or read.heard.asks or read.readings.options:
        return None
    found = told(talk, heard)
    if not found.deeds or any(deed.denied for deed in found.deeds) or not _told_here(talk, heard, found):
        return None
    done = [deed for deed in found.deeds if not deed.planned]
    if not done:
        return Outcome(Answer("planned"), NOT_DONE, keep_context=True)
    if any(deed.bare and not _no_order(talk, deed) for deed in done):
        return None
    outcomes = [_one(talk, heard, deed, found) for deed in done]
    if not any(outcomes):
        return None
    return _joined(talk, heard, found, done, outcomes)


def is_new(talk: Conversation, heard: Heard, asked: Request | None) -> bool:
    """True for deeds that are no answer to a question of ``asked``: others than it asks about, or of other food."""
    if heard.interpretation.heard.asks:
        return False
    found = told(talk, heard)
    if not found.deeds or found.left:
        return False
    foods = {item.food for deed in found.deeds for item in deed.items} - {""}
    other_food = bool(foods - set(asked.slots.foods)) if asked is not None else bool(foods)
    return len(found.deeds) > 1 or other_food


def _told_here(talk: Conversation, heard: Heard, found: Breath) -> bool:
    """True where the deeds were told to the assistant: by its net, or in words that say nothing else."""
    meaning = heard.interpretation.meaning
    share = max((g.share for g in meaning.guesses if g.intent in OF_DEEDS), default=0.0)
    if not (talk.addressed or heard.typed or talk.state.pending is not None):
        return share >= _SURELY and meaning.share_of("talk") < _TALK
    asked = meaning.share_of("ask", "leave")
    if len(found.deeds) == 1 and (asked > _ASKED or (asked > _MEANT and found.left)):
        return False
    told_of = share >= _MEANT or meaning.share_of("tell", "command") > 0.5
    return not found.left or told_of or len(found.deeds) > 1


def _no_order(talk: Conversation, deed: Deed) -> bool:
    """True for "bin the stew, two and a half kilos" where that food is to go: done, and no order to somebody."""
    foods = [item.food for item in deed.items if item.amount]
    return deed.kind == "thrown" and any(discards.action(talk, food) for food in foods if food)


def _one(talk: Conversation, heard: Heard, deed: Deed, found: Breath) -> Outcome | None:
    if deed.kind == "thrown":
        return discards.told(talk, heard, deed, alone=len(found.deeds) == 1)
    if deed.kind == "moved":
        return moves.told(talk, heard, deed)
    if deed.kind == "refused":
        return refusals.told(talk, heard, deed)
    if deed.kind == "remade":
        return fresh_buckets.told(talk, heard, deed)
    return talk.ask(talk.request(WASHED, Slots()))


def _joined(
    talk: Conversation, heard: Heard, found: Breath, done: list[Deed], outcomes: list[Outcome | None]
) -> Outcome:
    """Return one outcome of all deeds, of what else was said, and of what could not be used."""
    whole = [each for each in outcomes if each is not None]
    if (batch := _of_batch(talk, heard, found)) is not None:
        whole = [*(_without_amount(each, batch) for each in whole), batch]
    elif (rest := _rest(talk, heard, found)) is not None:
        whole.append(rest)
    words = heard.interpretation.heard.words
    lost = [deed for deed, each in zip(done, outcomes, strict=True) if each is None]
    texts = [each.text if each.text is not None else talk.rendered(each) for each in whole]
    if lost:
        named = ", ".join(f"'{' '.join(words[d.spans[0][0] : d.spans[-1][1]])}'" for d in lost)
        texts.append(talk.words("unused", words=named))
    asking = next((each for each in whole if each.pending is not None), None)
    first = asking or whole[0]
    sources = tuple(s for each in whole if each.answer is not None for s in each.answer.sources)
    answer = replace(first.answer, drafts=(), sources=sources) if first.answer is not None else None
    verdicts = [each.verdict for each in whole if each.verdict is not None]
    return replace(
        first,
        answer=answer,
        text=" ".join(text for text in texts if text),
        own_drafts=tuple(draft for each in whole for draft in each.drafts),
        pending=asking.pending if asking is not None else None,
        readings=tuple(r for each in whole for r in each.readings),
        reading_ids=tuple(i for each in whole for i in each.reading_ids),
        own_verdict=verdicts[0] if verdicts else None,
        used=frozenset(found.used | _verbs(found)),
    )


def _verbs(found: Breath) -> set[int]:
    return {i for deed in found.deeds for i in range(deed.start, deed.end)}


def _of_batch(talk: Conversation, heard: Heard, found: Breath) -> Outcome | None:
    """Return the reading of a cooling batch before its move: "twenty point five, gone in the cold room".

    The number is no count of what was moved, and none of the place where it went.
    """
    deed, words = found.deeds[0], heard.interpretation.heard.words
    if len(found.deeds) > 1 or deed.kind != "moved" or any(item.measured for item in deed.items):
        return None
    if not batches.cooling(talk, talk.clock.now()):
        return None
    told = talk.interpreter.interpret(" ".join(words[: deed.start]))
    spoken = replace(heard, interpretation=replace(told, meaning=heard.interpretation.meaning))
    readings = told.readings.certain
    if len(readings) == 1 and readings[0].subject_kind == "food":
        cools = batches.cooling(talk, talk.clock.now(), readings[0].subject)
        return take.report(talk, spoken) if cools else None
    return None if told.readings.options else of_topic.report(talk, spoken, batches_only=True)


def _without_amount(moved: Outcome, batch: Outcome) -> Outcome:
    """Return a move without the number that was read, of the food that it was read of."""
    food = batch.readings[0].subject if batch.readings else ""
    change = {"amount": "", **({"subject": food, "item": food} if food else {})}
    own = tuple(d.model_copy(update=change) if d.kind == "event" else d for d in moved.own_drafts)
    answer = moved.answer
    if answer is not None:
        drafts = tuple(d.model_copy(update=change) if d.kind == "event" else d for d in answer.drafts)
        values = {**answer.values, **({"food": food} if food and "food" in answer.values else {})}
        answer = replace(answer, drafts=drafts, values=values)
    return replace(moved, own_drafts=own, answer=answer)


def _rest(talk: Conversation, heard: Heard, found: Breath) -> Outcome | None:
    """Return what a breath says besides its deeds: a reading, of the place something went to where none is said."""
    read = heard.interpretation.heard
    numbers = {i for m in read.free_measures for i in range(m.start, m.end)} & set(found.left)
    if not numbers:
        return None
    gone = found.used | _verbs(found)
    words = tuple(word for i, word in enumerate(read.words) if i not in gone)
    to = [deed.places[-1] for deed in found.deeds if deed.kind == "moved" and deed.places]
    ways = [words]
    if to:
        value = tuple(read.words[i] for i in sorted(numbers))
        ways.append((*talk.site.spoken_name(to[-1]).split(), *value))
    for way in ways:
        core = talk.interpreter.readings_of(way)
        if core.readings.options:
            return take.report(talk, replace(heard, interpretation=replace(core, meaning=heard.interpretation.meaning)))
    return None


def _foods_by_role(read: Interpretation) -> tuple[Span, ...]:
    """Return the words that the net takes for foods and no table knows ("bigos")."""
    words, roles = read.heard.words, read.meaning.roles
    if len(roles) != len(words):
        return ()
    known = {i for spans in read.heard.names.values() for s in spans for i in range(s.start, s.end)}
    found: list[Span] = []
    at = 0
    while at < len(words):
        end = at
        while end < len(words) and roles[end] == "food" and end not in known:
            end += 1
        if end > at:
            found.append(Span("food", " ".join(words[at:end]), at, end))
        at = max(end, at + 1)
    return tuple(found)

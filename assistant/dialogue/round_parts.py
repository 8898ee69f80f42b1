"""A round as it happens: several things in one breath, a place that is off, some left for later.

"Carry on, salad three nine", "dairy four, cold room four, skip salad, it's switched off", "rail's not on
yet", "buckets later, they're not mixed". No word of a reading is ever taken for the reason of a skip.
"""

from __future__ import annotations

from dataclasses import replace

from assistant.dialogue import recording, round_talk
from assistant.dialogue.answer import Answer
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports import pieces, take
from assistant.dialogue.rounds import RESUMED, RoundNow, round_draft
from intents.mentions import READ, Understanding

Words = tuple[str, ...]
_TWO = 2
SKIP, OFF = "skip_place", "out_of_order"


def report(talk: Conversation, heard: Heard) -> Outcome | None:
    """Return what is done with the parts of a breath in a round; ``None`` for anything else."""
    words = heard.interpretation.heard.words
    if talk.interpreter.lexicon.says(words, "all_told") and (told := round_talk.all_told(talk)) is not None:
        return told
    if heard.interpretation.heard.asks:
        return None
    here = round_talk.running(talk)
    if here is None or not here.left:
        return None
    return _gone_on(talk, heard, here) or _skipped(talk, heard, here) or _off_or_later(talk, heard, here)


def _gone_on(talk: Conversation, heard: Heard, here: RoundNow) -> Outcome | None:
    """Take "carry on, salad three nine": the round goes on, and a reading is told."""
    words = heard.interpretation.heard.words
    rest = _after_phrase(talk, words, "round_goes_on")
    taken = _readings(talk, heard, rest) if rest else None
    if taken is None:
        return None
    resumed = (round_draft(here.plan, RESUMED),) if here.paused else ()
    return replace(taken, own_drafts=(*resumed, *taken.own_drafts))


def _after_phrase(talk: Conversation, words: Words, name: str) -> range:
    """Return where what follows a phrase of a list at the beginning, small words before it left out."""
    lexicon = talk.interpreter.lexicon
    phrases = sorted((tuple(p.split()) for p in lexicon.list(name)), key=len, reverse=True)
    for start in range(len(words)):
        said = next((p for p in phrases if words[start : start + len(p)] == p), ())
        if said:
            return range(start + len(said), len(words))
        if words[start] not in lexicon.filler | lexicon.list("openers"):
            break
    return range(0)


def _readings(talk: Conversation, heard: Heard, words: range) -> Outcome | None:
    """Return what is logged or asked for words that read as readings and as nothing else."""
    part = replace(heard, interpretation=talk.interpreter.interpret(heard.interpretation.heard.part(words)))
    several = pieces.plainly(talk, part)
    taken = several[1] if several is not None else None
    taken = taken or take.report(talk, part)
    return taken if taken is not None and (taken.drafts or taken.pending) else None


def _skipped(talk: Conversation, heard: Heard, here: RoundNow) -> Outcome | None:
    """Take readings and a skip: "dairy four, skip salad, it's off"; asked again where they do not part."""
    read = heard.interpretation.heard
    at = min((s.start for s in read.concepts if s.value == SKIP), default=-1)
    numbers = [m for m in read.free_measures if m.kind in READ]
    if at < 0 or here.paused or not numbers:
        return None
    before = any(m.end <= at for m in numbers)
    if not before and len(_left_places(talk, read, here)) < _TWO:
        return None  # "skip the freezer, he comes at two"
    told, skipped = (range(at), range(at, len(read.words))) if before else _parted(talk, read, at)
    last = talk.interpreter.interpret(read.part(skipped)).heard
    places = _left_places(talk, last, here)
    taken = _readings(talk, heard, told) if told and len(places) == 1 else None
    if taken is None or not taken.own_drafts or taken.pending is not None:
        return Outcome(Answer("say_again"), recording.READING, keep_context=True)
    skip = _not_taken(talk, last, places[0])
    text = f"{talk.rendered(taken)} {talk.rendered(skip)}"
    return replace(taken, text=text, own_drafts=(*skip.own_drafts, *taken.own_drafts))


def _parted(talk: Conversation, read: Understanding, at: int) -> tuple[range, range]:
    """Return the readings behind a skip, and the skip: "skip dairy, and the cold room is four"."""
    every = range(len(read.words))
    for cut in every[at + _TWO :]:
        if talk.interpreter.readings_of(read.said(every[cut:])).readings.options:
            return every[cut:], every[at:cut]
    return range(0), every


def _off_or_later(talk: Conversation, heard: Heard, here: RoundNow) -> Outcome | None:
    """Take "rail's not on yet" as not read, and why; "buckets later" leaves them for later."""
    read, roles = heard.interpretation.heard, heard.interpretation.meaning.roles
    numbers = [m for m in read.free_measures if m.kind in READ]
    timed = len(roles) == len(read.words) and all(roles[m.start] in ("at", "since", "span") for m in numbers)
    places = _left_places(talk, read, here)
    if not places or here.paused or heard.interpretation.readings.options or not timed:
        return None
    if talk.interpreter.lexicon.says(read.words, "for_later"):
        return round_talk.put_off(talk, here, tuple(place for place in here.left if place not in places))
    if read.has(OFF) and len(places) == 1:
        return _not_taken(talk, read, places[0])
    return None


def _not_taken(talk: Conversation, read: Understanding, place: str) -> Outcome:
    reason = round_talk.reason_of(talk, talk.interpreter.with_short_places(read))
    return round_talk.not_taken(talk, place, reason)


def _left_places(talk: Conversation, read: Understanding, here: RoundNow) -> tuple[str, ...]:
    """Return the places left in the round that are named: in full, in short, or the numbers of one."""
    spans = talk.interpreter.with_short_places(read).names.get("equipment", ())
    named = [span.value for span in spans]
    found = [place for name in named for place in here.left if place == name or place.startswith(f"{name} ")]
    return tuple(dict.fromkeys(found))

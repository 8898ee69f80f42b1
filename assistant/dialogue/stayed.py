"""A reading told with how long it has been so: "the walk-in has been at forty eight since last night".

The number is logged like any other; since when is known at once and need not be asked.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from assistant.dialogue import recording
from assistant.dialogue.doubt import times_differ
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.slots import Slots
from assistant.dialogue.statements import asks
from intents.mentions import Measure, Understanding
from intents.readings import ReadingParse

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

TIME_OUT = "time_out"
UNKNOWN = "unknown_time"
_TELL_NO_HOURS = (UNKNOWN, "note_unknown_time")
"""How long it was so is not known in hours."""


@dataclass(frozen=True)
class _Since:
    """Where the words tell since when, and what they tell."""

    start: int
    end: int
    slots: Slots


def report(talk: Conversation, heard: Heard) -> Outcome | None:
    """Log the reading and judge the food by the time told; ``None`` where no such thing was said."""
    read = heard.interpretation.heard
    if heard.interpretation.readings.options or asks(read):
        return None
    lexicon = talk.interpreter.lexicon
    since = _since(talk, read)
    if since is None or (set(read.words) & lexicon.list("past_only") and "been" not in read.words):
        return None
    rest = (*read.words[: since.start], *read.words[since.end :])
    text = " ".join(word for word in rest if word not in lexicon.list("has_been"))
    readings = talk.interpreter.interpret(text).readings.certain
    if len(readings) != 1 or readings[0].subject_kind != "equipment":
        return None
    whole = replace(heard, interpretation=replace(heard.interpretation, readings=ReadingParse((readings,))))
    taken = recording.take(talk, readings, whole)
    return taken if not heard.typed and times_differ(heard) else _with_time(talk, taken, since)


def _with_time(talk: Conversation, taken: Outcome, since: _Since) -> Outcome:
    """Answer the question since when, where the call-back ended in it."""
    asked = taken.pending.request if taken.pending is not None else None
    if asked is None or asked.intent != TIME_OUT or not taken.own_drafts:
        return taken
    told = talk.ask(replace(asked, slots=asked.slots.merged(since.slots)))
    text = recording.without_question(taken.text or "")
    return replace(taken, text=f"{text} {talk.rendered(told)}", pending=told.pending)


def _since(talk: Conversation, read: Understanding) -> _Since | None:
    """Return the one time said since when, or for how long, it has been so."""
    lexicon = talk.interpreter.lexicon
    found = [(s.start, s.end) for s in read.concepts if s.value in _TELL_NO_HOURS]
    found += _said(read.words, lexicon.list("long_since"))
    if found:
        start, end = max(found, key=lambda s: s[1] - s[0])
        return _Since(start, end, Slots(concepts=frozenset({UNKNOWN})))
    lasted = [m for m in read.free_measures if m.kind == "duration"]
    since = next((i for i, word in enumerate(read.words) if word in lexicon.list("since")), None)
    if len(lasted) == 1 and since is None:
        return _lasted(talk, read, lasted[0])
    clock = next((c for c in read.clocks if since is not None and c.start == since + 1), None)
    if clock is None or since is None or lasted:
        return None
    return _Since(since, clock.end, Slots(clocks=(clock.value,)))


def _lasted(talk: Conversation, read: Understanding, span: Measure) -> _Since | None:
    """Return "for about two hours now"; ``None`` where the hours were not said to have passed."""
    lexicon = talk.interpreter.lexicon
    start, end = span.start, span.end
    while start and read.words[start - 1] in lexicon.list("before_span"):
        start -= 1
    while end < len(read.words) and read.words[end] in lexicon.list("after_span"):
        end += 1
    passed = "been" in read.words or set(read.words[start : span.start]) & lexicon.list("held_for")
    return _Since(start, end, Slots(measures=(span,))) if passed else None


def _said(words: tuple[str, ...], phrases: Iterable[str]) -> list[tuple[int, int]]:
    """Return where any of ``phrases`` stands."""
    known = [tuple(phrase.split()) for phrase in phrases]
    return [
        (at, at + len(phrase))
        for at in range(len(words))
        for phrase in known
        if words[at : at + len(phrase)] == phrase
    ]

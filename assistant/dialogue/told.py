"""Reports in words that the reading grammar does not know, each kind asked in turn."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.dialogue import (
    action_talk,
    cooling_begun,  # noqa: F401  (registers what it handles)
    implied,
    rechecked,
    recording,
    remarked,
    strip_on,
    told_cooked,
    wrong_place,
)
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation


def report(talk: Conversation, heard: Heard) -> Outcome | None:
    """Return the outcome of the first kind of report that fits; ``None`` when none does."""
    alone = _report_alone(talk, heard)
    if alone is not None:
        plain = alone.interpretation.readings.options
        return recording.report(talk, alone) if plain else _by_kind(talk, alone)
    return _by_kind(talk, heard)


def _report_alone(talk: Conversation, heard: Heard) -> Heard | None:
    """Return "walk-in is at fifty, what do I do" without its end: what to do is part of every call-back."""
    words = heard.interpretation.heard.words
    ends = [tuple(phrase.split()) for phrase in talk.interpreter.lexicon.list("supposed_asks")]
    end = max((e for e in ends if words[-len(e) :] == e), key=len, default=())
    if not end or len(words) == len(end):
        return None
    return replace(heard, interpretation=talk.interpreter.interpret(" ".join(words[: -len(end)])))


def _by_kind(talk: Conversation, heard: Heard) -> Outcome | None:
    return (
        action_talk.report(talk, heard)
        or strip_on.report(talk, heard)
        or implied.report(talk, heard)
        or told_cooked.report(talk, heard)
        or wrong_place.both(talk, heard)
        or wrong_place.instead(talk, heard)
        or remarked.report(talk, heard)
        or rechecked.report(talk, heard)
        or implied.unsure(talk, heard)
    )

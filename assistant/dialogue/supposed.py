"""Numbers that are no reading of now: supposed ("what if the walk-in's at fifty") or of another day."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.dialogue import recording
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from intents.interpret import Interpretation
from intents.words import tokenise

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

_SURE = 0.6
_OTHER_DAY = ("day_yesterday", "day_last_week", "other_day")


def judged(talk: Conversation, heard: Heard) -> Outcome | None:
    """Judge, and do not log, the reading of a place that is only supposed; ``None`` for anything else."""
    words, lexicon = heard.interpretation.heard.words, talk.interpreter.lexicon
    opener = next((n for n in (5, 4, 3, 2, 1) if " ".join(words[:n]) in lexicon.list("supposing")), 0)
    if not opener or not words:
        return None
    best = heard.interpretation.best
    if best is not None and best.share >= _SURE and talk.catalogue[best.intent].topic != "log":
        return None  # "what if the dish machine only hits one seventy" has an answer of its own
    rest, asked = _without_question(words[opener:], lexicon.list("supposed_asks"))
    if not asked and " ".join(words[:opener]) not in lexicon.list("supposing_alone"):
        return None
    readings = talk.interpreter.interpret(" ".join(rest)).readings.certain
    if not readings or any(r.subject_kind != "equipment" for r in readings):
        return None
    return recording.judge_only(talk, readings)


def _without_question(words: tuple[str, ...], endings: frozenset[str]) -> tuple[tuple[str, ...], bool]:
    """Return the words without "what do I do" at their end, and whether it was there."""
    for ending in sorted((tokenise(each) for each in endings), key=len, reverse=True):
        if ending and words[-len(ending) :] == ending:
            return words[: -len(ending)], True
    return words, False


def of_another_day(talk: Conversation, read: Interpretation) -> bool:
    """True for "last week the freezer hit twenty": told, not asked, and no reading of now."""
    heard = read.heard
    asking = talk.interpreter.lexicon.list("asking")
    if heard.text.strip().endswith(("?", "？")) or set(heard.words[:1]) & asking:
        return False
    if heard.has("unknown_time"):
        return False  # "has been at forty eight since last night" is still so
    numbers = [m for m in heard.free_measures if m.kind in ("number", "temperature", "ppm")]
    return bool(numbers and heard.names.get("equipment") and heard.has(*_OTHER_DAY) and not _asks(read))


def _asks(read: Interpretation) -> bool:
    return read.heard.has(
        "what",
        "how",
        "which",
        "who",
        "can",
        "should",
        "why_word",
        "do_now",
        "log_word",
        "backdate",
        "made_up",
        "log_as",
    )

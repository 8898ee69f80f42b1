"""A question in one breath with numbers or a deed: they are used and it is answered, whichever was taken.

What asks whether the numbers will do is answered by their own verdict; any other question as if it had been
asked next, of what was told. Beside a question nothing is logged without a yes.
"""

from __future__ import annotations

from dataclasses import replace

from assistant.dialogue import notes, recording, remembering
from assistant.dialogue.clauses import Part, cut
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.hearing import Heard
from assistant.dialogue.meant import UNSURE
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.policy import threads
from assistant.dialogue.reports import ledger, take
from assistant.dialogue.statements import asks
from intents.meaning import NONE, UNSUPPORTED
from intents.mentions import READ

_ASKS, _SURELY, _ALONE, _FEW = 0.8, 0.5, 0.7, 2
"""Least share of asking of a clause, of what it asks, and of one by itself; fewest words (judgement)."""
_NO_QUESTION = frozenset({NONE, UNSUPPORTED, UNSURE, "yes", "no", "correction", *take.READS})


def both(talk: Conversation, heard: Heard, outcome: Outcome) -> Outcome:
    """Return what was decided with the question answered, or with the numbers, that it left out."""
    judged = outcome.drafts or outcome.verdict is not None
    parts = _apart(talk, heard) if talk.addressed and not judged else None
    if parts is None:
        return outcome
    told, asked = (talk.part(heard, range(*part)) for part in parts)
    waiting = outcome.pending
    if not any(m.kind in READ for m in told.interpretation.heard.free_measures):
        return _with_note(talk, told, outcome) if waiting is None else outcome
    if waiting is not None and (waiting.kind != "confirm" or waiting.partly_logged):
        return outcome
    if waiting is None:
        return _with_report(talk, heard, told, outcome)
    if outcome.intent != recording.READING or not asks(asked.interpretation.heard):
        return outcome  # "date today": a question to the net alone
    if _of_them(talk, told, asked):
        return recording.judge_only(talk, waiting.readings, offer=True)
    return _with_answer(talk, told, asked, outcome)


def _apart(talk: Conversation, heard: Heard) -> tuple[Part, Part] | None:
    """Return what is told, with its numbers, and the question behind or before it; ``None`` without both."""
    read = heard.interpretation.heard
    parts = cut(talk, read)
    last = next((n for n in range(len(parts), 0, -1) if not _question(talk, heard, parts[n - 1])), 0)
    first = next((n for n, part in enumerate(parts) if not _question(talk, heard, part)), len(parts))
    if 0 < last < len(parts):
        told, asked = (0, parts[last - 1][1]), (parts[last][0], len(read.words))
    elif 0 < first < len(parts) and (
        parts[first][0] in read.breaks or parts[first - 1][1] < parts[first][0]
    ):  # no "why is the | walk-in forty"
        told, asked = (parts[first][0], len(read.words)), (0, parts[first - 1][1])
    else:
        return None
    alone = talk.part(heard, range(*told)).interpretation
    supposed = talk.interpreter.lexicon.says(alone.heard.words, "supposing") or asks(alone.heard)
    return None if supposed else (told, asked)


def _question(talk: Conversation, heard: Heard, part: Part) -> bool:
    """True for a clause without a number that asks for something by itself."""
    read = heard.interpretation.heard
    if part[1] - part[0] < _FEW or any(m.start in range(*part) for m in read.free_measures if m.kind in READ):
        return False
    words = read.words[slice(*part)]
    ways = [talk.interpreter.meaning_of(words, before) for before in ((), read.words[: part[0]])]
    found = max(ways, key=lambda meaning: meaning.share_of("ask", "leave"))
    asked = found.best.intent not in _NO_QUESTION and found.best.share >= _SURELY
    return asked and found.share_of("ask", "leave") >= _ASKS


def _of_them(talk: Conversation, told: Heard, asked: Heard) -> bool:
    """True for "too low, right?": it is asked whether the numbers told will do, and of nothing else."""
    read = asked.interpretation.heard
    if any(read.names.values()):
        return False
    there = talk.interpreter.meaning_of(read.words, told.interpretation.heard.words).best.intent
    return there in threads().judges or asked.interpretation.meaning.best.intent in threads().judges


def _with_answer(talk: Conversation, told: Heard, asked: Heard, outcome: Outcome) -> Outcome:
    """Return what is read back behind the answer to a question asked next."""
    if not _meant(talk, told, asked):
        return outcome  # "is the chicken in there still ok": in what was read, or on what was touched
    before = talk.state
    talk.state = replace(remembering.after(talk, outcome, told, (), talk.rendered(outcome)), pending=None)
    try:
        answer = talk.again(asked)
    finally:
        talk.state = before
    none = answer.answer is None or answer.answer.ask or answer.intent in _NO_QUESTION
    if none or answer.drafts or answer.pending is not None:
        return outcome
    return replace(outcome, text=f"{talk.rendered(answer)} {talk.rendered(outcome)}")


def _meant(talk: Conversation, told: Heard, asked: Heard) -> str:
    """Return what a question means by itself and behind what is told; nothing where these differ."""
    words, before = asked.interpretation.heard.words, told.interpretation.heard.words
    one, other = talk.interpreter.meaning_of(words).best, talk.interpreter.meaning_of(words, before).best
    return one.intent if one.intent == other.intent and one.share >= _ALONE else ""


def _with_note(talk: Conversation, told: Heard, outcome: Outcome) -> Outcome:
    """Return an answer with the deed, or what was to be noted, that was told beside the question."""
    found = talk.again(told)
    if not found.drafts or not all(map(notes.is_note, found.drafts)):
        return outcome
    if outcome.answer is None or outcome.intent in _NO_QUESTION or outcome.answer.ask:
        return found
    return replace(outcome, own_drafts=found.drafts, text=f"{talk.rendered(outcome)} {talk.rendered(found)}")


def _with_report(talk: Conversation, heard: Heard, told: Heard, outcome: Outcome) -> Outcome:
    """Return an answer with the numbers read back that it did not use."""
    if not ledger.unused(talk, heard, outcome) or heard.interpretation.meaning.talk >= _SURELY:
        return outcome
    found = talk.again(told)
    readings = found.readings or ledger.pending_readings(found)
    numbers = [m for m in told.interpretation.heard.free_measures if m.kind in READ]
    if not readings or len(readings) > len(numbers) or not take.sensible(talk, readings):
        return outcome
    asked = recording.confirm(talk, readings)
    if outcome.answer is None or outcome.intent in _NO_QUESTION:
        return asked
    text = f"{talk.rendered(outcome)} {talk.rendered(asked)}"
    return replace(asked, intent=outcome.intent, text=text, answer=outcome.answer, request=outcome.request)

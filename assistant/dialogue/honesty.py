"""Entries of what was not measured, asked for in plain words: refused aloud, and nothing is logged.

"Say the cod came in at forty, it was forty eight"; "copy yesterday's numbers"; "put ten hand washes in"; and
what leans on the talk before: "can you write it as five", "leave that one out", "nobody checks it".
"""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from assistant.dialogue.conversation import Conversation
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.slots import Slots
from intents.lexicon import Lexicon
from intents.mentions import READ
from intents.quantities import Number, quantities

MADE_UP = "made_up"
DELETE = "delete"
REFUSALS = (MADE_UP, DELETE, "backdate")
_JUST_SAID = timedelta(minutes=15)
"""For so long after a fail another number to be written is for that one (judgement)."""
_ANOTHER = 0.8
_SAYS_LITTLE = ("none", "no", "not_done", "unsupported", "repeat", "log_open", *REFUSALS)
"""From that share on any intent but these is meant, even after a refusal."""
_WANTS = 0.5
"""With this share of asking, leave and commands something is wanted of the assistant."""
_TWO = 2


def refused(talk: Conversation, heard: Heard) -> Outcome | None:
    """Return the refusal; ``None`` for words that ask for no such thing. An open question stays open."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    words = read.words
    if _unmeasured(heard, lexicon):
        return _no(talk, MADE_UP, heard)
    if not words or heard.interpretation.readings.options:
        return None
    made_up = bool(set(words[:3]) & lexicon.list("to_enter")) and (
        _two_truths(heard, lexicon) or _older(words, lexicon) or _washes(words, lexicon)
    )
    wants = heard.interpretation.meaning.share_of("command", "leave", "ask") >= _WANTS
    called = talk.addressed
    plain = _filled_in(heard, lexicon) or lexicon.says(words, "made_to_look")
    made_up = made_up or (plain and (wants or called)) or (wants and _rewritten(talk, heard))
    if made_up or _insisted(talk, heard):
        return _no(talk, MADE_UP, heard)
    return None


def _no(talk: Conversation, intent: str, heard: Heard) -> Outcome:
    said = talk.ask(talk.request(intent, Slots.of(heard.interpretation.heard)))
    waiting = talk.state.pending
    return replace(said, pending=waiting) if waiting is not None and waiting.kind == "slot" else said


def _unmeasured(heard: Heard, lexicon: Lexicon) -> bool:
    """True for a number that the last words take back: "the cooler's forty two but I didn't look"."""
    read = heard.interpretation.heard
    numbers = [m for m in read.free_measures if m.kind in READ]
    last = read.words[numbers[-1].end :] if numbers else ()
    said = f"{' '.join(last)} "
    ends = any(said.endswith(f" {phrase} ") for phrase in lexicon.list("unmeasured"))
    return ends and len({m.value for m in numbers}) == 1 and bool(read.names.get("equipment"))


def _filled_in(heard: Heard, lexicon: Lexicon) -> bool:
    """True for gaps of the record to be filled with a number: "just fill them in with fours"."""
    read = heard.interpretation.heard
    gaps = lexicon.says(read.words, "record_gaps")
    foods = {i for span in read.names.get("food", ()) for i in range(span.start, span.end)}
    words = tuple("" if i in foods else word for i, word in enumerate(read.words))  # "chuleta rellena"
    return lexicon.says(words, "filling_in") and (gaps or bool(read.measures))


def _rewritten(talk: Conversation, heard: Heard) -> bool:
    """True for another number to be written for what just failed: "can you write it as five".

    What was misread is corrected, and what was read again is told so.
    """
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    best = heard.interpretation.best
    if (
        read.names.get("equipment")
        or read.has("now_word", "note_again")
        or lexicon.says(read.words, "own_mistake")
    ):
        return False
    if (
        best is None
        or best.intent in ("correction", "reading")
        or not set(read.words) & lexicon.list("to_enter")
    ):
        return False
    failed = any(line.now.verdict == "fail" for line in talk.standing)
    as_it = any(read.words[max(0, m.start - 1)] in lexicon.list("instead_of_it") for m in read.free_measures)
    return (
        failed
        and as_it
        and talk.state.last_at is not None
        and talk.clock.now() - talk.state.last_at <= _JUST_SAID
    )


def _insisted(talk: Conversation, heard: Heard) -> bool:
    """True for a reason given after a refusal: "nobody checks it", "come on, just this once"."""
    read, last, lexicon = heard.interpretation.heard, talk.state.last_request, talk.interpreter.lexicon
    if last is None or last.intent not in REFUSALS or not talk.state.recent(talk.clock.now()):
        return False
    told = read.measures or any(read.names.get(kind) for kind in ("equipment", "food", "round", "person"))
    best = heard.interpretation.best
    another = best is not None and best.share >= _ANOTHER and best.intent not in _SAYS_LITTLE
    called = talk.addressed and not another
    return called and not told and not read.asks and bool(set(read.words) & lexicon.list("insisting"))


def _two_truths(heard: Heard, lexicon: Lexicon) -> bool:
    """True where one number is to be written and another one was read."""
    read = heard.interpretation.heard
    said = f" {' '.join(read.words)} "
    if lexicon.says(read.words, "own_mistake"):
        return False
    really = [said.index(f" {phrase} ") for phrase in lexicon.list("really_was") if f" {phrase} " in said]
    numbers = [m for m in read.free_measures if m.kind in READ]
    starts = [len(" ".join(read.words[: m.start])) for m in numbers]
    if len(numbers) != _TWO or numbers[0].value == numbers[1].value:
        return False
    return any(starts[0] < at < starts[1] + 1 for at in really)


def _older(words: tuple[str, ...], lexicon: Lexicon) -> bool:
    """True for the numbers of another day or round, to be written as today's."""
    return lexicon.says(words, "older_numbers") and bool(set(words) & lexicon.list("numbers_words"))


def _washes(words: tuple[str, ...], lexicon: Lexicon) -> bool:
    """True for several hand washes to be written at once: each is told when it is done."""
    if not set(words) & lexicon.list("wash_words") or "sink" in words:
        return False
    found = (m for q in quantities(words, lexicon.language) for m in q.meanings if isinstance(m, Number))
    return any(value >= _TWO for number in found for value in number.values)

"""A reading said of the wrong place ("wrong cooler")."""

from __future__ import annotations

from dataclasses import replace

from assistant.dialogue import recording
from assistant.dialogue.amend import Amendment, parse_amendment
from assistant.dialogue.answer import Answer
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.gate import fits_place
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports.place_marks import alike
from assistant.dialogue.slots import Slots
from assistant.dialogue.state import Pending
from assistant.dialogue.withdrawing import CORRECTION
from intents.readings import Reading

_TWO = 2
_JOINS = frozenset({"but", "and", "oh", "uh", "um"})


def moved(talk: Conversation, heard: Heard) -> Outcome | None:
    """Return the outcome of "wrong cooler" right after a reading: the only other one, or which one.

    ``None`` when anything else was said or nothing was logged just before.
    """
    if (both_told := _moved_and_read(talk, heard)) is not None:
        return both_told
    read = heard.interpretation.heard
    wrong = read.has("wrong_place") or "meant" in read.words or _opened(talk, read.words)
    other = wrong and _says_only(talk, heard, "other_place", "wrong_place")
    if not other and not _says_only(talk, heard, "wrong_place"):
        return None
    if not talk.last_readings:
        return None
    last = talk.last_readings[-1].now
    place = last.place or last.subject
    others = [each for each in alike(talk, place) if each != place]
    if len(others) == 1:
        return recording.amend(talk, Amendment(place=others[0]), heard)
    request = talk.request(CORRECTION, Slots())
    waiting = Pending("slot", talk.clock.now(), "place", request)
    return Outcome(Answer("which"), CORRECTION, pending=waiting, keep_context=True)


def instead(talk: Conversation, heard: Heard) -> Outcome | None:
    """Read back what was meant of "reach-in forty two, sorry, prep cooler forty two"."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    words, every, opens = read.words, range(len(read.words)), lexicon.list("correction_openers")
    at = next((i for i, word in enumerate(words) if i and word in opens), 0)
    if not at or heard.interpretation.readings.options:
        return None
    first = talk.interpreter.interpret(read.part(every[: at - (words[at - 1] in _JOINS)])).readings
    if len(first.certain) != 1 or first.certain[0].subject_kind != "equipment":
        return None
    second = talk.interpreter.interpret(read.part(every[at + 1 :]))
    if len(second.readings.certain) == 1:
        return _read_back(talk, second.readings.certain[0])
    meant = parse_amendment(talk.interpreter.interpret(read.part(every[at:])).heard, lexicon)
    if meant is None or meant.takes_back or meant.food:
        return None
    old = first.certain[0]
    value = old.value if meant.value is None else meant.value
    return _read_back(talk, replace(old, subject=meant.place or old.subject, value=value))


def _read_back(talk: Conversation, reading: Reading) -> Outcome | None:
    """Read back what was meant, if its place can read so ("forty, no, thirty, thirty nine" is no 3039)."""
    kinds = {place: talk.site.kind_of(place) for place in (reading.subject, reading.place)}
    return recording.confirm(talk, (reading,)) if fits_place(reading, kinds) else None


def _moved_and_read(talk: Conversation, heard: Heard) -> Outcome | None:
    """Take "no, that's the reach-in, walk-in's thirty six": one is moved, and another read."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    places = read.names.get("equipment", ())
    if len(places) < _TWO or len(read.free_measures) != 1 or not _opens(talk, read.words):
        return None
    at = places[1].start
    said = talk.interpreter.interpret(read.part(range(at))).heard
    amendment = parse_amendment(said, lexicon)
    readings = talk.interpreter.interpret(read.part(range(at, len(read.words)))).readings.certain
    if amendment is None or not amendment.place or amendment.value is not None or len(readings) != 1:
        return Outcome(Answer("say_again"), recording.READING, keep_context=True)
    changed = recording.amend(talk, amendment, heard)
    read_back = recording.confirm(talk, readings)
    text = f"{talk.rendered(changed)} {read_back.text}"
    return replace(changed, text=text, pending=read_back.pending)


def _opens(talk: Conversation, words: tuple[str, ...]) -> bool:
    lexicon = talk.interpreter.lexicon
    return words[0] in lexicon.list("correction_openers") | lexicon.list("naming")


def _opened(talk: Conversation, words: tuple[str, ...]) -> bool:
    return words[0] in talk.interpreter.lexicon.list("correction_openers")


def _says_only(talk: Conversation, heard: Heard, *concepts: str) -> bool:
    """True when nothing was said but ``concepts`` and small words."""
    read, small = heard.interpretation.heard, talk.interpreter.lexicon.small("correction_openers")
    return read.has(*concepts) and read.only(tuple(s for each in concepts for s in read.spans(each)), small)

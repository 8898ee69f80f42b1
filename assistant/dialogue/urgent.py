"""An emergency told in any clause of a breath: its advice opens the reply, what else was told follows.

The clause is taken out: what is left, a reading, a discard or the yes to a read-back, is decided as if it had
been said alone, so nothing of the emergency is noted of the place that was read beside it.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import replace
from decimal import Decimal

from assistant.dialogue import meant, notes
from assistant.dialogue.clauses import ANSWERS, Part, cut, joints
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.emergencies import emergency_in, emergency_intents, figurative
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.policy import signs_of, telling
from assistant.dialogue.slots import Slots
from intents.deed_marks import verbs_in
from intents.meaning import Meaning
from intents.mentions import READ, Understanding
from intents.words import tokenise

_HURT = 0.6
"""Least share of a clause alone for an emergency that is told in other words (judgement)."""
_HURT_THERE = 0.5
"""Least share of it behind the other words, without a sign of harm: "back over the flame" is no fire."""
_NOBODY_HURT = {"premises_unfit"}
_READ_BACK = ("confirm", "choose", "agree")
_RECORDS = ("reading", "discard", "receive_check")
_OF_THE_RECORD = ("thrown", "refused")


def first(talk: Conversation, heard: Heard, whole: Callable[[Heard], Outcome]) -> Outcome | None:
    """Return the advice of an emergency, and behind it what ``whole`` decides of the other words."""
    read = heard.interpretation.heard
    if not talk.addressed and talk.interpreter.lexicon.says(read.words, "happened_elsewhere"):
        return _elsewhere(talk, whole(heard))
    found = _emergency(talk, read)
    named = emergency_in(_unnamed(talk, read), talk.interpreter.lexicon)
    if found is None or (heard.interpretation.asked and not named):
        return None
    left = [i for i in range(len(read.words)) if i not in range(*found)]
    while left and read.words[left[-1]] in joints(talk):
        left.pop()
    exact = emergency_in(_unnamed(talk, read)[slice(*found)], talk.interpreter.lexicon)
    if talk.state.pending is None and _only_answers(read, left):
        if not exact:
            return None
        left = []  # "yeah, Dev is turning blue" where nothing was asked
    if not _of_the_record(talk, read, left):
        all_of_it = whole(heard)
        deed = bool(left and all_of_it.drafts)  # of which the emergency is no part
        if all_of_it.intent in _grave(talk) or not (exact or deed or hurts(talk, read, found)):
            return all_of_it
    alone = _alone(talk, heard, read.part(left))
    alone = alone if _numbers(alone) == _numbers(heard) else heard  # no number changes by what is left out
    rest = whole(alone) if left else Outcome(None, "")
    worth = _of_worth(rest) or (_answers(talk, read, left) and not rest.nothing)
    if not worth and (all_of_it := whole(heard)).intent in _grave(talk):
        return all_of_it
    said = _surely(talk, _alone(talk, heard, read.part(range(*found))))
    slots = Slots.of(said.interpretation.heard, said.interpretation.meaning)
    advice = meant.in_danger(talk, exact, slots) if exact else meant.answered(talk, said, slots)
    if not exact and advice.intent not in _grave(talk):
        return None
    return _beside(talk, advice, read.words[slice(*found)], rest, worth=worth)


def _elsewhere(talk: Conversation, decided: Outcome) -> Outcome:
    """Return what is decided of talk about another place: silence where that would be an alarm."""
    return Outcome(None, "") if decided.intent in _grave(talk) else decided


def _beside(
    talk: Conversation, advice: Outcome, words: tuple[str, ...], rest: Outcome, *, worth: bool
) -> Outcome:
    """Return the advice, with what was told for it noted and what else was told behind it."""
    kept = [notes.NoteDraft(" ".join(words))] if talk.addressed else []
    noted = notes.said(talk, kept, "words") if kept else ""
    told = (talk.rendered(advice).removeprefix("No. "), noted, talk.rendered(rest))  # nothing was asked
    drafts = (*rest.drafts, *(note.entry for note in kept))
    answer = rest.bare or advice.bare
    base = rest if worth else replace(advice, pending=rest.pending)
    return replace(base, answer=answer, text=" ".join(filter(None, told)), aloud="", own_drafts=drafts)


def _surely(talk: Conversation, said: Heard) -> Heard:
    """Return a clause that tells an emergency as one that tells nothing else."""
    meaning = said.interpretation.meaning
    grave = (guess.intent for guess in meaning.guesses if guess.intent in _grave(talk))
    meaning = meaning.with_best(next(grave, meaning.best.intent))
    return replace(said, interpretation=replace(said.interpretation, meaning=meaning))


def _of_worth(rest: Outcome) -> bool:
    """True where what else was told is logged, read back, asked about or refused."""
    asks = rest.pending is not None and (rest.pending.kind in _READ_BACK or rest.intent != "unsure")
    record = rest.intent in _RECORDS and not rest.nothing
    return bool(rest.drafts) or rest.dropped or asks or record


def _only_answers(read: Understanding, left: list[int]) -> bool:
    """True for "okay" with no number and no place beside it: nothing to log where nothing was asked."""
    measures = any(m.start in left for m in read.free_measures if m.kind in READ)
    answers = any(s.start == 0 and s.value in ANSWERS for s in read.concepts)
    return answers and not measures and not any(s.start in left for s in read.names.get("equipment", ()))


def _numbers(heard: Heard) -> list[tuple[str, Decimal]]:
    """Return the numbers that may be read off, in order."""
    return [(m.kind, m.value) for m in heard.interpretation.heard.free_measures if m.kind in READ]


def _grave(talk: Conversation) -> frozenset[str]:
    return emergency_intents(talk.interpreter.lexicon) | telling().people


def _alone(talk: Conversation, heard: Heard, text: str) -> Heard:
    return replace(heard, text=text, interpretation=talk.interpreter.interpret(text), rival=None)


def _answers(talk: Conversation, read: Understanding, left: list[int]) -> bool:
    """True where a question is open and what is left of the breath says yes or no to it."""
    spans = (s for s in read.concepts if s.value in ANSWERS)
    return talk.state.pending is not None and any(s.start in left for s in spans)


def _emergency(talk: Conversation, read: Understanding) -> Part | None:
    """Return the words that tell an emergency, with what is told on of it; ``None`` where none do."""
    parts = cut(talk, read)
    runs = (zip(parts, parts[n:], strict=False) for n in range(len(parts)))
    spans = ((before[0], after[1]) for run in runs for before, after in run)
    words = _unnamed(talk, read)
    exact = (span for span in spans if emergency_in(words[slice(*span)], talk.interpreter.lexicon))
    named = bool(read.names.get("person"))
    heard = (span for span in parts if (len(parts) > 1 or named) and hurts(talk, read, span))
    found = next(exact, None) or next(heard, None)
    if found is None:
        return None
    start, end = found
    for part in reversed(parts):
        if start - 1 <= part[1] <= start and _goes_on(talk, read, part, start):
            start = part[0]
    for part in parts:
        if end <= part[0] <= end + 1 and _goes_on(talk, read, part, part[0]):
            end = part[1]
    return start, end


def _goes_on(talk: Conversation, read: Understanding, part: Part, seam: int) -> bool:
    """True for a clause of the same story: tied to it by a joint, or told of the one who is hurt, too."""
    joined = seam not in read.breaks and seam - 1 not in read.breaks
    urgent = emergency_in(read.words[slice(*part)], talk.interpreter.lexicon)
    return not _of_the_record(talk, read, range(*part)) and bool(joined or urgent or hurts(talk, read, part))


def _of_the_record(talk: Conversation, read: Understanding, inside: Collection[int]) -> bool:
    """True for words with a number, a yes or no, a place or what went out: no more of an emergency."""
    words = tuple(read.words[i] for i in sorted(inside))
    places = any(s.start in inside for s in read.names.get("equipment", ()))
    verbs = any(kind in _OF_THE_RECORD for _, _, kind in verbs_in(words, talk.interpreter.lexicon))
    return _tells_or_answers(read, inside) or places or verbs


def _tells_or_answers(read: Understanding, inside: Collection[int]) -> bool:
    measures = any(m.start in inside for m in read.free_measures if m.kind in READ)
    return measures or any(s.start in inside for s in read.concepts if s.value in ANSWERS and s.start == 0)


def hurts(talk: Conversation, read: Understanding, part: Part) -> bool:
    """True for a clause that alone tells, in whatever words, that somebody is hurt or in danger."""
    if _tells_or_answers(read, range(*part)) or part[1] - part[0] < 2:
        return False
    grave, words = _grave(talk) - _NOBODY_HURT, read.words[slice(*part)]
    if figurative(words, talk.interpreter.lexicon):
        return False
    ways = [talk.interpreter.meaning_of(each[slice(*part)]) for each in (read.words, _unnamed(talk, read))]
    meaning, both = max(ways, key=lambda way: _share(way, grave)), [_share(way, grave) for way in ways]
    hurts = max(both[0], sum(both) / len(both))  # a name that nobody taught takes some of it away
    if hurts < _HURT or meaning.best.intent not in grave or meaning.share_of("tell") < _HURT:
        return False
    if not spoken_of(talk, read, part, meaning.best.intent):
        return False
    around = read.words[: part[0]] or read.words[part[1] :]
    there = talk.interpreter.meaning_of(words, around) if around else meaning
    return _share(there, grave) >= _HURT_THERE or not _signs(talk).isdisjoint(words)


def spoken_of(talk: Conversation, read: Understanding, part: Part, intent: str) -> bool:
    """True where a clause has a word of the emergency that it seems to tell, if that needs one."""
    words, lexicon = read.words[slice(*part)], talk.interpreter.lexicon
    nouns = {tokenise(item.name)[-1] for item in talk.site.places} - lexicon.list("deed_into")
    named = talk.interpreter.in_short(words) or not nouns.isdisjoint(words)
    listed = signs_of(intent, at_place=bool(named))
    signs = tuple(lexicon.list(listed)) if listed else ()
    return not signs or any(word.startswith(signs) for word in words)


def _unnamed(talk: Conversation, read: Understanding) -> tuple[str, ...]:
    """Return the words with "he" for each name of a person: the net knows nobody here."""
    names = {span.start for span in read.names.get("person", ()) if span.end - span.start == 1}
    somebody = next(iter(talk.interpreter.lexicon.list("for_a_name")), "")
    return tuple(somebody if i in names and somebody else word for i, word in enumerate(read.words))


def _signs(talk: Conversation) -> frozenset[str]:
    return talk.interpreter.lexicon.list("danger_signs")


def _share(meaning: Meaning, intents: Collection[str]) -> float:
    return sum(guess.share for guess in meaning.guesses if guess.intent in intents)

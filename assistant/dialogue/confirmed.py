"""Answers to a read-back: a yes, with more behind it or before it; another number or place; or a no."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from assistant.dialogue import agreed, corrected, each_verdict, named_among, notes, recording, which_place
from assistant.dialogue.amend import parse_amendment
from assistant.dialogue.answer import Answer
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports import restated
from assistant.dialogue.state import Pending
from intents.lexicon import Span
from intents.mentions import READ, Understanding

UNSURE = "unsure"
_TALK = 0.5
"""From this share of talk on a yes with more behind it that nobody called for is left alone."""

_OF_IT = frozenset({"correction", recording.READING, "yes", "no"})
_ELSEWHERE = 0.5
"""From this share on the words mean something else than what was read back (judgement)."""


def is_only(read: Understanding, concept: str, talk: Conversation) -> bool:
    """True when the utterance is nothing but ``concept`` and filler."""
    return read.has(concept) and read.only(read.spans(concept), talk.interpreter.lexicon.filler)


def answered(talk: Conversation, heard: Heard, waiting: Pending) -> Outcome | None:
    """Return what is done with the answer to a read-back; ``None`` for words that are none."""
    read = heard.interpretation.heard
    amends = named_among.corrects(talk, heard) or named_among.denies(talk, read, waiting.readings)
    swaps = corrected.swaps(talk, read)
    sure, asked = which_place.asked(talk, waiting.readings) or ((), None)
    options = asked.pending.options if asked is not None and asked.pending is not None else ()
    if options and (told := which_place.told_on(talk, read, options)):
        return recording.confirm(talk, (*sure, *told))
    if (each := each_verdict.given(talk, heard, waiting)) is not None:
        return each
    if (changed := corrected.of_those_read(talk, heard)) is not None:
        return changed
    if (amends or swaps) and (which := _which(talk, heard, waiting)) is not None:
        return which
    if waiting.disputed and read.has("yes") and not heard.interpretation.readings.options:
        return recording.confirm(talk, waiting.readings)
    if (yes := _agrees(talk, read, waiting)) is not None and not heard.interpretation.readings.options:
        rival = heard.rival is None or bool(_agrees(talk, heard.rival.heard, waiting))
        yes = yes and rival and not read.has("note_unsure")
        take = recording.log_whole if yes else recording.confirm
        return take(talk, waiting.readings)
    if (more := _yes_and_more(talk, heard, waiting)) is not None:
        return more
    if heard.interpretation.readings.options:
        return None
    if waiting.unnumbered and (number := _bare_number(read)) is not None:
        return _of_the_rest(talk, waiting, number)
    amendment = parse_amendment(read, talk.interpreter.lexicon)
    if amendment is not None and not amendment.takes_back:
        return recording.amend(talk, amendment, heard)
    if is_only(read, "no", talk) or (amendment is not None and amendment.takes_back):
        return Outcome(Answer("dropped"), recording.READING)
    named = which_place.answered(talk, read, (waiting.readings,), "yes") if read.has("yes") else []
    if (is_only(read, "yes", talk) or is_only(read, "cook", talk) or named) and not _questioned(talk, read):
        doubted = heard.rival is not None and not is_only(heard.rival.heard, "yes", talk)
        if doubted:
            return recording.confirm(talk, waiting.readings)
        return recording.log_whole(talk, waiting.readings)
    return None


def _questioned(talk: Conversation, read: Understanding) -> bool:
    """True for "is that ok", which asks about what was read back."""
    lexicon = talk.interpreter.lexicon
    asks = {*read.words[:2]} & lexicon.list("asking") and {*read.words} & lexicon.list("is_it_ok")
    return bool(asks) or read.text.strip().endswith("?")


def _which(talk: Conversation, heard: Heard, waiting: Pending) -> Outcome | None:
    """Ask which of those read back a correction is of, and keep them all.

    ``None`` where it tells no number, place or row, or the words are surely of something else.
    """
    read, best, lexicon = heard.interpretation.heard, heard.interpretation.best, talk.interpreter.lexicon
    denied = named_among.denied_numbers(talk, read, waiting.readings)
    several = len(waiting.readings) > 1
    if read.asks or len(heard.interpretation.readings.options) == 1 or not (several or denied):
        return None
    if not corrected.swaps(talk, read):
        elsewhere = best is not None and best.intent not in _OF_IT and best.share >= _ELSEWHERE
        if elsewhere or not (talk.addressed or heard.interpretation.meaning.talk < _TALK):
            return None
        subjects = [reading.subject for reading in waiting.readings]
        places, swapping = read.names.get("equipment"), {*read.words} & lexicon.list("swapping")
        numbers = any(m.kind in READ for m in read.free_measures)
        if not (
            numbers or denied or places or swapping or named_among.pointers(talk, read, subjects, told=True)
        ):
            return None
    return which_place.which_of_waiting(talk)


def _yes_and_more(talk: Conversation, heard: Heard, waiting: Pending) -> Outcome | None:
    """Log what was read back for "correct, that's the lot, sign me as Rosa", and do what else is said."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    yes = _plain_yes(talk, read)
    rival = heard.rival is None or _plain_yes(talk, heard.rival.heard) is not None
    if yes is None or not rival or read.has("no", "note_unsure", "scratch"):
        return None
    if not talk.addressed and heard.interpretation.meaning.talk >= _TALK:
        return None
    kept = [*range(yes.start), *range(yes.end, len(read.words))]
    while kept and read.words[kept[0]] in lexicon.list("deed_joints") | lexicon.filler:
        if read.words[kept[0]] in lexicon.list("asides"):
            return None  # "yes, but the second one ..."
        kept = kept[1:]
    words = tuple(read.words[i] for i in kept)
    doubts = lexicon.list("takes_back") | lexicon.list("correction_openers")
    if not words or doubts & {*words} or lexicon.says(words, "hold_on"):
        return None  # "yeah, hang on", "yes i think"
    rest = replace(heard, interpretation=talk.interpreter.interpret(read.part(kept)))
    known = {reading.subject for reading in waiting.readings}
    anew = {r.subject for option in rest.interpretation.readings.options for r in option}
    if known & anew or rest.interpretation.asked:
        return None
    logged, restatement = recording.log_whole(talk, waiting.readings), restated.first(talk, rest)
    more = restatement[1] if restatement is not None else talk.again(rest)
    added = more.pending.readings if more.pending is not None and more.pending.kind == "confirm" else ()
    if {(r.subject, r.value) for r in waiting.readings} <= {(r.subject, r.value) for r in added}:
        whole = recording.log_whole(talk, added)  # "yes, and that's since ten"
        return notes.with_yes(talk, whole, more.changes.get("notes", ()))
    again = {*more.readings, *(more.pending.readings if more.pending is not None else ())}
    if known & {reading.subject for reading in again}:
        return None  # "yes, it's forty one" after "39. Right?"
    if more.nothing or more.intent == UNSURE or (more.answer is None and more.text is None):
        said = rest.interpretation.heard
        if said.measures or talk.interpreter.in_short(words):
            return None  # "all four drawers, yeah" may not agree to what was read back
        left = talk.words("unused", words=f"'{' '.join(words)}'") if any(said.names.values()) else ""
        return replace(logged, text=f"{talk.rendered(logged)} {left}") if left else logged
    return agreed.both(talk, logged, more)


def _plain_yes(talk: Conversation, read: Understanding) -> Span | None:
    """Return the yes that an answer begins or ends with; "right" and "okay" may open anything else."""
    lexicon = talk.interpreter.lexicon
    for span in read.spans("yes"):
        said = " ".join(read.words[span.start : span.end])
        before, behind = read.words[: span.start], read.words[span.end :]
        edge = {*before} <= lexicon.filler or {*behind} <= lexicon.filler
        if said not in lexicon.list("no_plain_yes") and edge:
            return span
    return None


def _agrees(talk: Conversation, read: Understanding, waiting: Pending) -> bool | None:
    """True for "mm hm that's right, thirty nine", false with a doubt in it, ``None`` for other words."""
    lexicon = talk.interpreter.lexicon
    numbers = [m for m in read.free_measures if m.kind in READ]
    denying = lexicon.list("denying")
    denied = {m.start for m in numbers if {*read.words[max(0, m.start - 1) : m.start]} & denying}
    values = {reading.value for reading in waiting.readings}
    known = {name for reading in waiting.readings for name in (reading.subject, reading.place)}
    names = [span for kind in ("equipment", "food") for span in read.names.get(kind, ())]
    yes = [span for span in read.concepts if span.value == "yes"]
    told = [m for m in numbers if m.start not in denied]
    others = any(not values & {*m.options} for m in told) or any(s.value not in known for s in names)
    if not told or not yes or others:
        return None
    spans = [(m.start, m.end) for m in numbers] + [(s.start, s.end) for s in (*names, *yes)]
    covered = {i for start, end in spans for i in range(start, end)}
    small = lexicon.filler | lexicon.links | lexicon.list("short_small") | lexicon.list("said_yes_small")
    plain = all(i in covered or word in small for i, word in enumerate(read.words))
    return plain and not denied and not read.asks and not read.has("no")


def _of_the_rest(talk: Conversation, waiting: Pending, number: Decimal) -> Outcome:
    """Take a number alone as that of the one place told without one; of nobody knows which it is none."""
    place = waiting.unnumbered[0] if len(waiting.unnumbered) == 1 else ""
    told = talk.interpreter.answer_for("equipment", place, f"{number:f}").certain if place else ()
    asked = recording.confirm(talk, (*waiting.readings, *told))
    at = {reading.said_at for reading in waiting.readings}
    if told and len(at) == 1:
        same = replace(told[0], said_at=at.pop())  # told of the same time as the others
        asked = recording.confirm(talk, (*waiting.readings, same))
    rest = () if told else waiting.unnumbered
    return replace(asked, pending=replace(waiting, readings=asked.readings, unnumbered=rest))


def _bare_number(read: Understanding) -> Decimal | None:
    """Return the only number told, said first and of nothing that is named: "forty four, it was open"."""
    only = read.measures[0] if len(read.measures) == 1 and len(read.measures[0].options) == 1 else None
    named = any(read.names.get(kind) for kind in ("equipment", "food"))
    bare = only is not None and only.kind in READ and not only.start and not named and not read.asks
    return only.value if bare and only is not None else None

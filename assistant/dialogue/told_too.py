"""What a breath tells beside its readings, in the cook's own words: a deed, a cause, a state.

The one place that keeps it, whatever took the numbers. The net hears each clause that nothing used alone;
where one tells something, the breath is noted beside what was read, on the failure that is open there, or the
clauses are kept with the food that went out as its reason; and they are said back.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

from assistant.dialogue.answer import Answer
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.emergencies import emergency_in, emergency_intents
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.policy import telling
from assistant.dialogue.reports.times import ways
from assistant.logbook.entry import Draft
from assistant.logbook.query import Filter
from intents.deed_marks import verbs_in
from intents.meaning import Meaning
from intents.mentions import READ
from intents.quantities import Ordinal
from intents.readings import Reading

NOTE = "note: "
_WHOLE = (NOTE, "done: ", "moved: ")
"""So begin the notes that keep all words of a breath."""
_OTHERS = (
    "reading", "log_value", "correction", "yes", "no", "stop", "more", "discard", "reheat_check",
    "receive_check", "sign_in",
)  # fmt: skip
"""Intents of clauses that tell of the numbers, or answer."""
_DONE = "action_done"
_OF_DEEDS = frozenset({_DONE, "hand_washed", "contact_cleaned"})
_MEASURED = ("reading", "action_opened", "correction", "discard")
_STARTS = ("clock_", "round_")
_TELLS, _SURELY, _PERHAPS, _HARDLY, _TALK, _FEW = 0.6, 0.85, 0.4, 0.1, 0.3, 2
"""Least share of telling and most of talk of a clause that is kept; a lone word has to tell surely, many
words in any case (judgement)."""
_READ_BACK = re.compile(r"\d[^.?]*\. [^.?]{1,12}\?$|, or [^?]*\?$")
_LAST_ASKS = re.compile(r" [^.!?]*\?$")
_APART = ("thrown", "moved", "remade", "emptied", "refused", "out", "gloved")
_GONE = ("thrown", "washed", "gloved")
_SMALL = (
    "short_small", "deed_articles", "read_at", "still_it", "hesitating", "deed_hedges", "deed_all",
    "deed_halves",
)  # fmt: skip
"""Words that tell nothing of their own beside a number."""
_DELIVERY, _ANSWERED = "receive_check", ("sign_", "soft_word", "solid_word")
"""Concepts that the answer to a reading or a delivery looks at."""
_REMARKS = ("note_again", "note_unsure", "note_ask_verdict", "note_exact", "note_near", "note_cooked_to")
"""Remarks of the number itself."""
_SINCE = ("time_out", "frozen_check")
"""Intents whose answer keeps all that it was told."""


def kept(talk: Conversation, heard: Heard, outcome: Outcome) -> Outcome:
    """Return ``outcome`` with what the breath tells besides, where it does."""
    if not _may_have_more(talk, heard, outcome):
        return outcome
    words, notes = heard.interpretation.heard.words, " ".join(draft.note for draft in outcome.drafts)
    found = [(a, b) for a, b in _clauses(talk, heard, outcome) if " ".join(words[a:b]) not in notes]
    if not found and not _mostly(talk, heard, outcome):
        return outcome
    gone = [draft for draft in outcome.drafts if draft.kind == "discard"]
    told = [_whole(talk, heard, outcome, found, each) for each in found]
    said = ", ".join(" ".join(words[a:b]) for a, b in told)
    reason = found and not any(_of_another(talk, heard, *span) for span in found)
    every = (_advised(talk, heard, span, out=bool(gone)) for span in told)
    advice = [each for each in every if each is not None]
    if reason and not advice and len(gone) == 1 and not gone[0].note:
        drafts = tuple(d.model_copy(update={"note": said}) if d in gone else d for d in outcome.drafts)
        more = talk.words("kept_with", what=said)
    else:
        drafts = (*outcome.drafts, *_notes(talk, heard, outcome, told))
        more = talk.words("note_kept", text=said) if found else talk.words("noted")
    answer = replace(outcome.answer, drafts=()) if outcome.answer is not None else Answer("noted")
    first = outcome.intent not in {each.intent for each in advice}
    advised = (talk.rendered(each).removeprefix("No. ") for each in advice if first)  # nothing was asked
    more = " ".join([more, *dict.fromkeys(advised)])
    text = _among(talk.rendered(outcome), more)
    aloud = _among(outcome.aloud, more) if outcome.aloud else ""
    used = outcome.used.union(*(range(a, b) for a, b in told))
    pending = outcome.pending or next((each.pending for each in advice if each.pending is not None), None)
    return replace(
        outcome, answer=answer, own_drafts=drafts, text=text, aloud=aloud, used=used, pending=pending
    )


def _advised(talk: Conversation, heard: Heard, span: tuple[int, int], *, out: bool) -> Outcome | None:
    """Return what a clause alone is answered with, where that is an emergency or adds a duty.

    Of food that is ``out`` it gives the reason: only what hurts somebody is left to be said.
    """
    said, lexicon = " ".join(heard.interpretation.heard.words[slice(*span)]), talk.interpreter.lexicon
    alone = replace(heard, text=said, interpretation=talk.interpreter.interpret(said), rival=None)
    meaning, table = alone.interpretation.meaning, telling()
    urgent = emergency_intents(lexicon)
    if not (emergency_in(alone.interpretation.heard.words, lexicon) or _grave(meaning, urgent, out=out)):
        return None
    found = talk.again(alone)
    duty = found.intent in urgent | table.incidents | table.chemicals | table.always
    return found if duty and found.answer is not None else None


def _grave(meaning: Meaning, urgent: frozenset[str], *, out: bool) -> bool:
    """True for an emergency, what somebody may be hurt by, or an incident that leaves something to do."""
    table, best = telling(), meaning.best
    hurts = best.intent in urgent | table.people and best.share >= _PERHAPS
    sure = best.intent in table.always or best.share >= _SURELY
    return hurts or (not out and sure and table.duty(best.intent, meaning))


def _whole(
    talk: Conversation,
    heard: Heard,
    outcome: Outcome,
    found: list[tuple[int, int]],
    span: tuple[int, int],
) -> tuple[int, int]:
    """Return a clause with the time behind it, up to a comma, a joint, a number read or the next one."""
    read, joints = heard.interpretation.heard, talk.interpreter.lexicon.list("deed_joints")
    marks, (start, end) = _marks(talk, heard, outcome), span
    starts = {a for a, _ in found} | read.breaks | {len(read.words)}
    while end not in starts and marks[end] != "n" and read.words[end] not in joints:
        end += 1
    return start, end


def _mostly(talk: Conversation, heard: Heard, outcome: Outcome) -> bool:
    """True for a breath that mostly tells a deed, or one about what failed: "they fixed it, thirty nine"."""
    best, read = heard.interpretation.meaning.best, {reading.subject for reading in _read(outcome)}
    deed = any(g.intent == _DONE and g.share >= _HARDLY for g in heard.interpretation.meaning.guesses)
    failed = any(line.entry.subject in read for line in talk.log.views.open_actions())
    mostly = best.intent in _OF_DEEDS and best.share >= _TELLS
    return bool(read) and (mostly or (deed and failed))


def _of_another(talk: Conversation, heard: Heard, start: int, end: int) -> bool:
    """True for a clause beside a discard that gives no reason of it: a deed, or a name of something else."""
    read = heard.interpretation.heard
    names = (s for kind in ("food", "equipment") for s in read.names.get(kind, ()))
    meant = talk.interpreter.meaning_of(read.words[start:end])
    deed = sum(guess.share for guess in meant.guesses if guess.intent in _OF_DEEDS)
    return deed >= _PERHAPS or any(start <= span.start < end for span in names)


def _among(text: str, more: str) -> str:
    """Return what is said with ``more`` in it: before a question, and before what is read back."""
    if _READ_BACK.search(text):
        return f"{more} {text}"
    asks = _LAST_ASKS.search(text)
    return f"{text[: asks.start()]} {more}{asks[0]}" if asks is not None else f"{text} {more}"


def _may_have_more(talk: Conversation, heard: Heard, outcome: Outcome) -> bool:
    """True where somebody who called told what is logged or read back, and asked for nothing."""
    read, meaning = heard.interpretation, heard.interpretation.meaning
    asks = outcome.pending is not None and outcome.pending.kind in ("confirm", "choose") and outcome.readings
    if not talk.addressed or read.heard.asks or not (outcome.drafts or asks):
        return False
    if any(draft.note.startswith(_WHOLE) for draft in outcome.drafts) or read.heard.has("scratch"):
        return False
    if outcome.pending is not None and outcome.pending.disputed:
        return False
    asked = meaning.share_of("ask", "leave") >= _TELLS and read.asked
    return (
        not asked
        and (outcome.intent not in _SINCE or bool(_read(outcome)))
        and outcome.intent not in emergency_intents(talk.interpreter.lexicon)
    )


def _clauses(talk: Conversation, heard: Heard, outcome: Outcome) -> Iterator[tuple[int, int]]:
    """Give the stretches between commas, joints and numbers that tell something of which nothing is kept."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    marks = _marks(talk, heard, outcome)
    measured = bool(_read(outcome)) or any(d.kind in _MEASURED for d in outcome.drafts)
    if not (measured or outcome.used):
        return
    joints = lexicon.list("deed_joints") | lexicon.list("asides") | lexicon.list("thus")
    first, count = 0, len(read.words)
    for at in range(count + 1):
        number = marks[at : at + 1] == "n"
        cut = at == count or number or read.words[at] in joints
        if not cut and at not in read.breaks:
            continue
        while first < at and read.words[first] in lexicon.list("hesitating"):
            first += 1
        inside, leads = marks[first:at], number and at not in read.breaks
        least = _FEW * leads + (outcome.intent == _DELIVERY)  # "the freezer beside it is minus nineteen"
        own = inside.count("o") - least
        told = own > 0 and len(inside) > 1 and "v" not in inside and inside.count("u") <= inside.count("o")
        if told and _tells(talk, read.words[first:at], own, own + inside.count("t"), measured=measured):
            yield first, at
        first = at + 1 if cut else at


def _read(outcome: Outcome) -> tuple[Reading, ...]:
    """Return what was read off, logged or waiting for a yes."""
    waiting = outcome.pending.readings if outcome.pending is not None else ()
    return (*outcome.readings, *waiting)


def _marks(talk: Conversation, heard: Heard, outcome: Outcome) -> str:
    """Return a letter a word: n a number read, p a name, t a time or count, u used, . small, o of its own."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    marks = ["o"] * len(read.words)
    lists = _SMALL
    small = lexicon.small(*lists) | talk.interpreter.place_words
    times = next(iter(ways(read, lexicon, heard.interpretation.meaning.roles)), ())
    named = talk.interpreter.with_short_places(read).names.values()
    verbs = [v for v in verbs_in(read.words, lexicon) if outcome.drafts and _kept_so(*v)]
    used = outcome.used if any(d.kind not in _MEASURED[:2] for d in outcome.drafts) else frozenset[int]()
    spans = [(".", i, i + 1) for i, word in enumerate(read.words) if word in small]
    spans += [(".", s.start, s.end) for s in read.concepts if s.value in _REMARKS]
    spans += [("t", m.start, m.end) for m in read.measures]
    counts = (q for q in read.quantities if any(isinstance(m, Ordinal) for m in q.meanings))
    spans += [("t", q.start, q.end) for q in counts]  # "the third one"
    spans += [("n", m.start, m.end) for m in read.free_measures if m.kind in READ]
    spans += [("t", told.start, told.end) for told in times]
    spans += [("u", i, i + 1) for i in used]
    spans += [("p", s.start, s.end) for found in named for s in found]
    looked = _ANSWERED if outcome.drafts and outcome.intent.startswith("receive_") else _ANSWERED[1:]
    signs = (s for s in read.concepts if outcome.drafts and s.value.startswith(looked))
    spans += [("u", s.start, s.end) for s in signs]
    spans += [("v" if v[2] in _GONE else "u", v[0], v[1]) for v in verbs]
    values = {reading.value for reading in _read(outcome)}
    spans += [("n", m.start, m.end) for m in read.measures if values & {*m.options}]
    for letter, start, end in spans:
        marks[start:end] = [letter] * (end - start)
    return "".join(marks)


def _kept_so(start: int, end: int, kind: str) -> bool:
    """True for a deed's verb that an entry of its own tells; "washed" alone may be of anything."""
    return kind in _APART or (kind == "washed" and end - start > 1)


def _tells(talk: Conversation, words: tuple[str, ...], own: int, more: int, *, measured: bool) -> bool:
    """True where the net hears a clause alone as something told, or the clause is long and no talk.

    It has so many words of its ``own``, and with times and counts so many ``more``. Where nothing was
    ``measured``, only a deed is told beside the others.
    """
    meant, lexicon = talk.interpreter.meaning_of(words), talk.interpreter.lexicon
    best, tells = meant.best, meant.share_of("tell", "answer")
    another = best.share >= _TELLS and (best.intent in _OTHERS or best.intent.startswith(_STARTS))
    swaps = lexicon.says(words, "swapped") or {*words} & lexicon.list("swapping")
    if another or swaps or words[0] in lexicon.list("asking"):
        return False
    deed = sum(guess.share for guess in meant.guesses if guess.intent in _OF_DEEDS)
    if not measured:
        return deed >= _PERHAPS and own >= _FEW and meant.act == "tell"
    told = tells >= (_TELLS if own >= _FEW or deed >= _TELLS else _SURELY) or more > _FEW
    return told and meant.talk < _TALK


def _notes(
    talk: Conversation, heard: Heard, outcome: Outcome, found: list[tuple[int, int]]
) -> Iterator[Draft]:
    """Give a note for each place that the clauses are of: named in them, or read and sure."""
    words, told = heard.interpretation.heard.words, dict[str, list[str]]()
    for start, end in found or [(0, len(words))]:
        subject = _about(talk, heard, outcome, (start, end) if found else None)
        told.setdefault(subject, []).append(" ".join(words[start:end]))
    last = talk.log.views.latest(Filter(kinds=("event",), subject="note", standing_only=True))
    again = last.entry.note if last is not None and talk.state.pending is not None else ""
    notes = (_note(talk, heard, subject, ", ".join(said)) for subject, said in told.items())
    yield from (note for note in notes if note.subject != "note" or note.note != again)


def _about(talk: Conversation, heard: Heard, outcome: Outcome, span: tuple[int, int] | None) -> str:
    """Return the place that a clause is of: its own, else the one read, where it names nothing else.

    What waits for a yes may yet be of another place.
    """
    read, here = heard.interpretation.heard, range(*span) if span else range(0)
    places = {s.value for s in read.names.get("equipment", ()) if s.start in here}
    if span is not None and not places:
        others = (s for kind in ("food", "person") for s in read.names.get(kind, ()) if s.start in here)
        meant = talk.interpreter.meaning_of(read.words[slice(*span)]).best.intent
        if any(others) or meant in (telling().incidents | telling().chemicals) - telling().broken:
            return "note"
    asked = outcome.pending.readings if outcome.pending is not None else ()
    waiting = {r.place or r.subject for r in asked}
    opened = {line.entry.subject for line in talk.log.views.open_actions()}
    about = places or {r.place or r.subject for r in _read(outcome)}
    about = about or {draft.subject for draft in outcome.drafts}
    sure = len(about) == 1 and (places or not about & waiting or about & opened)
    return about.pop() if sure else "note"


def _note(talk: Conversation, heard: Heard, subject: str, words: str) -> Draft:
    """Return the note of what was told of a place, on its open failure."""
    opened = [line.entry for line in talk.log.views.open_actions() if line.entry.subject == subject]
    guesses = heard.interpretation.meaning.guesses
    if not opened:
        return Draft(kind="event", subject=subject, note=f"{NOTE}{words}")
    done = any(guess.intent == _DONE for guess in guesses)
    return Draft(
        kind="event", subject=subject, item=opened[-1].item, measured=opened[-1].measured,
        refers_to=opened[-1].id, note=f"{_WHOLE[done]}{words}",
    )  # fmt: skip

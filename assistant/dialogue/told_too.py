"""What a breath tells beside its readings and deeds, clause by clause: a deed, a cause, a state.

The net hears the whole breath, which tells the reasons, and each clause alone that nothing used. Where one
tells something it is a note of what was read, or the reason of the food that went out; a breath that mostly
tells a deed is noted whole.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from assistant.dialogue import notes, told_deeds, urgent, whole_remarks
from assistant.dialogue.answer import Answer
from assistant.dialogue.clauses import ANSWERS, Part, cut
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.discards import AMOUNT, DISCARD
from assistant.dialogue.emergencies import emergency_in, emergency_intents
from assistant.dialogue.hearing import Heard
from assistant.dialogue.judge import held_hot
from assistant.dialogue.notes import NOBODYS, NoteDraft
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.policy import telling
from assistant.dialogue.reports.times import ways
from assistant.dialogue.whole_remarks import OF_DEEDS
from intents.language import language
from intents.meaning import Guess, Meaning
from intents.mentions import READ, Understanding
from intents.readings import Reading

_DONE, _OUT = "action_done", "time_out"
_MEASURED = ("reading", "action_opened", "correction", DISCARD)
_TELLS, _SURELY, _PERHAPS, _AMONG_THEM = 0.6, 0.85, 0.4, 0.7
"""Least share of telling of an incident or a deed, sure or perhaps so; most of talk of one (judgement)."""
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


def kept(talk: Conversation, heard: Heard, outcome: Outcome) -> Outcome:
    """Return ``outcome`` with what the breath tells besides, where it does."""
    if not _may_have_more(talk, heard, outcome):
        return outcome
    found = [*_clauses(talk, heard, outcome)]
    if not found and not _mostly(heard, outcome):
        return outcome
    now, later = _notes(talk, heard, outcome, found)
    waiting = notes.waiting(talk, outcome, later)
    told = notes.beside(talk, waiting, now, "words" if found else "short")
    used = outcome.used.union(*(range(*part) for part in found))
    return replace(told, used=used, answer=told.answer or Answer("noted"))


def incident(talk: Conversation, heard: Heard) -> Outcome | None:
    """Return what the first clause is answered with that tells an emergency, or an incident with a duty."""
    read, roles = heard.interpretation.heard, heard.interpretation.meaning.roles
    lexicon = talk.interpreter.lexicon
    times = {i for way in ways(read, lexicon, roles)[:1] for told in way for i in told.words}
    since = {
        i for i, word in enumerate(read.words) if word in lexicon.list("since")
    }  # "since the power went"
    cuts = cut(talk, read, apart=times, tied=since)
    parts = [(a, b) for a, b in cuts if b - a > 1 and (a, b) != (0, len(read.words))]
    meant = {part: talk.interpreter.meaning_of(read.words[slice(*part)]) for part in parts}
    told = [part for part in parts if meant[part].share_of("tell") >= _TELLS]
    found = (_advised(talk, heard, Outcome(None, ""), part, least=0.0) for part in told)
    return next((each for each in found if each is not None), None)


def _waiting_for(outcome: Outcome) -> set[str] | None:
    """Return of which places and foods the answer is waited for before they are logged; ``None``: of none."""
    waiting = outcome.pending
    if waiting is None:
        return None
    if waiting.kind in ("confirm", "choose"):
        return {r.place or r.subject for option in (waiting.readings, *waiting.options) for r in option}
    return {*_how_much_of(outcome)} or None


def _how_much_of(outcome: Outcome) -> tuple[str, ...]:
    """Return the food of which it is asked how much went out, which is logged with the answer."""
    waiting = outcome.pending
    asks = waiting is not None and waiting.slot == AMOUNT and waiting.request is not None
    logged = any(draft.kind == DISCARD for draft in outcome.drafts)
    return waiting.request.slots.foods if asks and not logged and waiting and waiting.request else ()


def _notes(
    talk: Conversation, heard: Heard, outcome: Outcome, parts: list[Part]
) -> tuple[tuple[NoteDraft, ...], tuple[NoteDraft, ...]]:
    """Return a note for each place that the clauses are of, with what has to be done: now, and later.

    Without clauses the whole breath is one.
    """
    words = heard.interpretation.heard.words
    gone, waits = [draft for draft in outcome.drafts if draft.kind == DISCARD], _waiting_for(outcome)
    out = _goes_out(outcome)
    advice = {part: _advised(talk, heard, outcome, part, out=out) for part in parts}
    hurt = [each for each in advice.values() if each is not None and each.intent not in telling().of_food]
    of_food = parts and not hurt and not any(_of_another(talk, heard, p) for p in parts)
    may_be_why = bool(out and of_food and (not gone or (len(gone) == 1 and not gone[0].note)))
    whole = not _read(outcome)
    why = {i for i in _reasons(heard) if may_be_why}
    which = outcome.pending is not None and bool(outcome.pending.options)  # whose it is shows then
    told = dict[tuple[str, bool], NoteDraft]()
    for part in parts or [(0, len(words))]:
        said, about = " ".join(words[slice(*part)]), _about(talk, heard, outcome, part if parts else None)
        reason = may_be_why and (whole or bool(why & {*range(*part)}))
        subject, of_it = (
            about or NOBODYS,
            waits is not None and (which or reason or about in {*waits, NOBODYS}),
        )
        later = of_it and not advice.get(part) and (reason or not _by_itself(talk, heard, part))
        after = tuple(filter(None, [advice.get(part)]))
        if (first := told.get((subject, later))) is not None:
            told[subject, later] = replace(
                first, words=f"{first.words}, {said}", advice=(*first.advice, *after)
            )
            continue
        note = notes.of(talk, said, {subject} - {NOBODYS}, "named")
        done = note.line is not None and any(guess.intent == _DONE for guess in _guesses(heard))
        begins = notes.WAS_DONE if done else notes.NOTED
        told[subject, later] = replace(note, subject=subject, begins=begins, reason=reason, advice=after)
    now, waiting = (tuple(note for key, note in told.items() if key[1] is each) for each in (False, True))
    return now, waiting


def _by_itself(talk: Conversation, heard: Heard, part: Part) -> bool:
    """True for a deed or an incident: it was done, or happened, whatever was read."""
    meant = talk.interpreter.meaning_of(heard.interpretation.heard.words[slice(*part)])
    done = meant.best.intent in OF_DEEDS and meant.best.share >= _TELLS
    return done or (meant.best.intent not in telling().explains and telling().duty(meant.best.intent, meant))


def _guesses(heard: Heard) -> tuple[Guess, ...]:
    return heard.interpretation.meaning.guesses


def _advised(
    talk: Conversation,
    heard: Heard,
    outcome: Outcome,
    part: Part,
    *,
    out: bool = False,
    least: float = _SURELY,
) -> Outcome | None:
    """Return what a clause alone is answered with, where that is an emergency or adds a duty.

    Of food that is ``out`` it gives the reason: only who is ill or hurt, pests and things in food are left to
    be answered. Food that is hot where it is held hot has not been out.
    """
    said, lexicon = " ".join(heard.interpretation.heard.words[slice(*part)]), talk.interpreter.lexicon
    alone = replace(heard, text=said, interpretation=talk.interpreter.interpret(said), rival=None)
    read, meaning, table = alone.interpretation.heard, alone.interpretation.meaning, telling()
    hurting = emergency_intents(lexicon)
    answered = table.reasons if out else hurting | table.people
    spoken = urgent.spoken_of(talk, read, (0, len(read.words)), meaning.best.intent)
    grave = spoken and _grave(meaning, answered, out=out, least=least)
    if not (grave or emergency_in(read.words, lexicon)):
        return None
    hot = [held_hot(reading, talk.site) for reading in _read(outcome) if reading.quantity == "temperature"]
    if meaning.best.intent == _OUT and hot and all(hot) and _held_hot(talk, read):
        return None
    found = talk.again(alone)
    duty = found.intent in hurting | table.incidents | table.chemicals | table.always
    return found if duty and found.answer is not None else None


def _held_hot(talk: Conversation, read: Understanding) -> bool:
    """True where food is told to be in a place in which it is held hot, and never to have been out of it."""
    lexicon, words = talk.interpreter.lexicon, read.words
    named = (s for s in read.names.get("equipment", ()) if talk.site.kind_of(s.value) == "hot_holding")
    starts = (span.start for span in (*named, *read.spans("hot_holding")))
    before = (
        [word for word in words[:start] if word not in lexicon.list("deed_articles")][-1:] for start in starts
    )
    out = lexicon.list("held_no_more") & {*words}
    return not out and any({*each} & lexicon.list("deed_into") for each in before)


def _grave(meaning: Meaning, hurting: frozenset[str], *, out: bool, least: float) -> bool:
    """True for what somebody may be hurt by, or an incident that leaves something to do.

    Of an incident the share is ``least`` or more, of food that is ``out`` none counts.
    """
    table, best = telling(), meaning.best
    hurts = best.intent in hurting and best.share >= _TELLS
    sure = best.intent in table.always or best.share >= least
    of_talk = meaning.sounds_like_talk >= _AMONG_THEM  # "been busy since noon"
    return hurts or (not out and sure and not of_talk and table.duty(best.intent, meaning))


def _mostly(heard: Heard, outcome: Outcome) -> bool:
    """True for a breath that mostly tells a deed: "they fixed it, thirty nine"."""
    best = heard.interpretation.meaning.best
    return bool(_read(outcome)) and best.intent in OF_DEEDS and best.share >= _TELLS


def _of_another(talk: Conversation, heard: Heard, part: Part) -> bool:
    """True for a clause beside a discard that gives no reason of it: a deed, or a name of something else."""
    read = heard.interpretation.heard
    names = (s for kind in ("food", "equipment") for s in read.names.get(kind, ()))
    meant = talk.interpreter.meaning_of(read.words[slice(*part)])
    deed = sum(guess.share for guess in meant.guesses if guess.intent in OF_DEEDS)
    return deed >= _PERHAPS or any(span.start in range(*part) for span in names)


def _may_have_more(talk: Conversation, heard: Heard, outcome: Outcome) -> bool:
    """True where somebody who called told what is logged or read back, and asked for nothing."""
    read, meaning = heard.interpretation, heard.interpretation.meaning
    chosen = outcome.pending is not None and outcome.pending.options
    asks = _waiting_for(outcome) is not None and (chosen or outcome.readings or outcome.intent == DISCARD)
    if not talk.addressed or read.heard.asks or not (outcome.drafts or asks):
        return False
    if any(draft.note.startswith(notes.WHOLE) for draft in outcome.drafts):
        return False
    asked = meaning.share_of("ask", "leave") >= _TELLS and read.asked
    return not asked and outcome.intent not in emergency_intents(talk.interpreter.lexicon)


def _clauses(talk: Conversation, heard: Heard, outcome: Outcome) -> Iterator[Part]:
    """Give the stretches between commas, joints and numbers that tell something of which nothing is kept."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    marks, reasons = _marks(talk, heard, outcome), _reasons(heard)
    out = _goes_out(outcome)
    measured = bool(_read(outcome)) or any(d.kind in _MEASURED for d in outcome.drafts)
    if not (measured or _waiting_for(outcome) or outcome.intent == _DELIVERY):
        return
    tied = {i for i, mark in enumerate(marks) if mark in "tu"}
    tied |= {s.start for s in read.names.get("equipment", ())}
    tied |= {s.end for s in read.concepts if s.value in ANSWERS}  # "no towels there"
    numbers = {i for i, mark in enumerate(marks) if mark == "n"}
    for start, end in cut(talk, read, apart=numbers, tied=tied):
        leads = end not in read.breaks and marks[end : end + 1] == "n"
        start = _reason_from(read, marks, reasons, start, end) if out else start
        kept_back = outcome.intent == _DELIVERY and lexicon.list("deed_keeps") & {*read.words[start:end]}
        if kept_back and {*marks[start:end]} & {*"ptu"}:
            its = {s.value for s in read.names.get("food", ()) if start <= s.start and s.end <= end}
            if not (leads and its & {draft.subject for draft in outcome.drafts}):  # "kept the beef at" 38
                yield whole_remarks.trimmed(talk, read.words, (start, end), leads=leads)  # "kept the butter"
            continue
        spent = whole_remarks.FEW * leads + (outcome.intent == _DELIVERY)  # "the one beside it is nineteen"
        found = whole_remarks.remark(talk, heard, (start, end), marks, leads=leads, spent=spent, out=out)
        if found is not None:
            yield found


def _reason_from(read: Understanding, marks: str, reasons: list[int], start: int, end: int) -> int:
    """Return where the reason begins with which a clause ends, if nothing of its own is told before it."""
    first = end
    while first > start and first - 1 in reasons:
        first -= 1
    names = read.names.get("equipment", ())
    led = {i for span in names for i in range(span.start + 1, span.end + 1)}  # "the walk-in's fan is off"
    return first if first < end and first not in led and "o" not in marks[start:first] else start


def _reasons(heard: Heard) -> list[int]:
    """Return the words that the net hears as a reason in the whole breath."""
    roles = heard.interpretation.meaning.roles[: len(heard.interpretation.heard.words)]
    return [i for i, role in enumerate(roles) if role == "reason"]


def _goes_out(outcome: Outcome) -> bool:
    """True where food goes out, though nobody may have said yet how much."""
    return bool(_how_much_of(outcome)) or any(draft.kind == DISCARD for draft in outcome.drafts)


def _read(outcome: Outcome) -> tuple[Reading, ...]:
    """Return what was read off, logged or waiting for a yes."""
    waiting = outcome.pending.readings if outcome.pending is not None else ()
    return (*outcome.readings, *waiting)


def _marks(talk: Conversation, heard: Heard, outcome: Outcome) -> str:
    """Return a letter a word: n a number read, p a name, t a time or count, u used, . small, o of its own."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    roles, marks = heard.interpretation.meaning.roles, ["o"] * len(read.words)
    small, numbers = lexicon.small(*_SMALL) | talk.interpreter.place_words, language(read.language).numbers
    every, values = ways(read, lexicon, roles), {abs(r.value) for r in _read(outcome)}
    measured = {m.start for m in read.free_measures if not values or values & {abs(v) for v in m.options}}
    bare = (told for way in every for told in way if told.bare and not measured & {*told.words})
    kept = any(reading.said_at for reading in _read(outcome))  # "I took it at ten"
    times = (*next(iter(every), ()), *(() if kept else bare))  # "quit at ten"
    named = talk.interpreter.with_short_places(read).names.values()
    logs = bool(outcome.drafts) or _goes_out(outcome)
    deeds = told_deeds.told(talk, heard).deeds if logs else ()  # "the pilot went out" is no deed
    verbs = [v for v in ((d.start, d.end, d.kind) for d in deeds) if _kept_so(*v)]
    spans = [
        (".", i, i + 1) for i, word in enumerate(read.words) if word in small or numbers.is_number_word(word)
    ]
    spans += [(".", s.start, s.end) for s in read.concepts if s.value in _REMARKS]
    spans += [("n", m.start, m.end) for m in read.free_measures if m.kind in READ]
    joints = lexicon.list("deed_joints")
    spans += [("t", t.start, t.end - (read.words[t.end - 1] in joints)) for t in times]
    spans += [("t", i, i + 1) for i, role in enumerate(roles[: len(marks)]) if role in ("since", "span")]
    spans += [("u", i, i + 1) for i in outcome.used]
    spans += [("p", s.start, s.end) for found in named for s in found]
    looked = _ANSWERED if outcome.drafts and outcome.intent.startswith("receive_") else _ANSWERED[1:]
    judged = bool(outcome.drafts) or (outcome.pending is not None and outcome.pending.kind == "choose")
    signs = (s for s in read.concepts if judged and s.value.startswith(looked))
    spans += [("u", s.start, s.end) for s in signs]
    spans += [("v" if v[2] in _GONE else "u", v[0], v[1]) for v in verbs]
    for letter, start, end in spans:
        marks[start:end] = [letter] * (end - start)
    return "".join(marks)


def _kept_so(start: int, end: int, kind: str) -> bool:
    """True for a deed's verb that an entry of its own tells; "washed" alone may be of anything."""
    return kind in _APART or (kind == "washed" and end - start > 1)


def _about(talk: Conversation, heard: Heard, outcome: Outcome, part: Part | None) -> str:
    """Return the place that a clause is of: its own, else the one read; "" of something else."""
    read, here = heard.interpretation.heard, range(*part) if part else range(0)
    named = [
        s for kind in ("equipment", "food", "person") for s in read.names.get(kind, ()) if s.start in here
    ]
    places = {s.value for s in named if notes.by_name(talk, s, read.words)}
    about = {r.place or r.subject for r in _read(outcome)} | {r.subject for r in _read(outcome)}
    places = places or about & {span.value for span in named}
    if part is not None and not places:
        meaning = talk.interpreter.meaning_of(read.words[slice(*part)])
        if named or telling().duty(meaning.best.intent, meaning):
            return ""
    about = places or {r.place or r.subject for r in _read(outcome)}
    about = about or {draft.subject for draft in outcome.drafts} or _waiting_for(outcome) or set()
    return about.pop() if len(about) == 1 else NOBODYS

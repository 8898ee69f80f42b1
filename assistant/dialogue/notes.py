"""What is told in words and is no number, as a note: made, written down and said back here and nowhere else.

A note changes nothing: the entry beside which it stands stays as it is. What is told of an entry that waits
for an answer waits with it: it is written with it and never by itself. An incident and a deed wait for
nothing.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Literal

from assistant.dialogue import candidates, leaning, unanswered
from assistant.dialogue.answer import Answer, capital
from assistant.dialogue.candidates import is_made
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.discards import AMOUNT, DISCARD
from assistant.dialogue.moments import shown_time
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.state import Pending
from assistant.logbook.entry import Draft
from assistant.logbook.query import Filter
from assistant.logbook.views import Line
from intents.lexicon import Span
from intents.readings import Reading
from intents.words import tokenise

NOTED, WAS_DONE = "note: ", "done: "
"""How a note begins, and one of a deed about what failed."""
WHOLE = (NOTED, WAS_DONE, "moved: ")
"""So begin the notes that keep all words of a breath."""
_SINCE = "since"
"""So begins the note of since when."""
NOBODYS = "note"
"""The subject of a note of no place and no food."""
_ENTRIES = ("reading", "correction", DISCARD)
_LATER = timedelta(minutes=1)
"""A note written so long after it was told keeps the time it was told."""
_READ_BACK = re.compile(r"\d[^.?]*\. [^.?]{1,12}\?$|, or [^?]*\?$")
_LAST_ASKS = re.compile(r"(^|(?<=[.!?])\s)[^.!?]*\?$")

How = Literal["short", "place", "words", "both"]
"""What is said back: that it is noted, where it stands, its words, or both."""
Beside = Literal["failed", "any", "named"]
"""Which entry it stands beside: what failed, of the places named or read last; any; or of those named."""


@dataclass(frozen=True, slots=True)
class NoteDraft:
    """What was told, in the cook's own ``words``: of which ``subject``, beside which entry, since when.

    ``reason``: why food went out, which is kept with that. ``advice``: what has to be done after it.
    ``told_at``: when it was told, of a note that waits for the entry of one of ``waits_for``, a place or food
    with one of ``values`` where it is read off.
    """

    words: str
    subject: str = NOBODYS
    line: Line | None = None
    begins: str = NOTED
    place: str = ""
    said_at: str = ""
    reason: bool = False
    advice: tuple[Outcome, ...] = ()
    told_at: str = ""
    waits_for: frozenset[str] = frozenset()
    values: frozenset[Decimal] = frozenset()

    @property
    def entry(self) -> Draft:
        """The entry that is written."""
        beside = self.line.entry if self.line is not None and is_made(self.line) else None
        failed = beside if beside is not None and beside.kind == "action_opened" else None
        return Draft(
            kind="event", subject=self.line.entry.subject if self.line else self.subject, place=self.place,
            item=failed.item if failed else "", measured=failed.measured if failed else "",
            refers_to=beside.id if beside is not None else None, note=f"{self.begins}{self.words}",
            said_at=self.said_at or None,
        )  # fmt: skip


def is_note(draft: Draft) -> bool:
    """True for an entry that is a note, or a deed about what failed, in all the words told."""
    return draft.note.startswith(WHOLE[:2])


def of(
    talk: Conversation,
    words: str,
    places: Collection[str] = (),
    beside: Beside = "any",
    foods: Collection[str] = (),
) -> NoteDraft:
    """Return the note of what was told of ``places`` or ``foods``, or of what was read last."""
    asked = talk.state.last_request if beside == "any" and leaning.said_before(talk) else None
    places = places or set((asked.about or asked.slots.places) if asked is not None else ())
    line = _line(talk, places, beside, foods, tuple(words.split()))
    subject = line.entry.subject if line is not None else next(iter(places)) if len(places) == 1 else NOBODYS
    return NoteDraft(words, subject, line)


def by_name(talk: Conversation, span: Span, words: Sequence[str]) -> bool:
    """True for one place called by its name: "the prep table" is no prep cooler, "hand sink" any of three."""
    item = talk.site.equipment_by_id(span.value)
    said = {*words[span.start : span.end]}
    return (
        item is not None and not (span.value == item.id and item.numbers) and {*tokenise(item.name)} <= said
    )


def _line(
    talk: Conversation,
    places: Collection[str],
    beside: Beside,
    foods: Collection[str],
    words: tuple[str, ...] = (),
) -> Line | None:
    """Return the entry meant: of the places named, else what failed of what was read last, or that itself.

    What is told of the turkey is nothing of the chicken that was read.
    """
    opened = talk.log.views.open_actions()
    if found := [line for line in opened if line.entry.subject in places]:
        return found[-1]
    if places:
        one = next(iter(places)) if len(places) == 1 and beside == "any" else ""
        return talk.log.views.latest(Filter(subject=one, standing_only=True)) if one else None
    read = talk.interpreter.readings_of(words).heard
    failed = candidates.failed_of(talk, read) if beside != "named" else []
    told = {*words} & talk.interpreter.lexicon.list("it_stands_for")
    told |= {line.now.subject for line in candidates.pointed(talk, read, candidates.read_last(talk))}
    failed = [line for line in failed if told or is_made(line)]  # of what waits only what points at it
    found = [e for e in failed if not foods or e.entry.subject in foods or talk.site.kind_of(e.entry.subject)]
    if not found and beside == "any" and talk.state.recent(talk.clock.now()):
        found = [line for line in talk.standing if line.entry.subject != NOBODYS]
    return found[-1] if found else None


def _aloud(talk: Conversation, notes: Sequence[NoteDraft]) -> str:
    """Return the words of notes as they are said: since when, kept in one language, in that of the talk."""
    words = dict.fromkeys(note.words for note in notes if note.begins)
    since = dict.fromkeys(note.words.removeprefix(_SINCE).strip() for note in notes if not note.begins)
    keys = {each: "since_unknown" if each.startswith(":") else "since_time" for each in since}
    told = (talk.words(key, time=each) for each, key in keys.items())
    return ", ".join((*words, *told))


def said(talk: Conversation, notes: Sequence[NoteDraft], how: How) -> str:
    """Return how notes are said back."""
    first, text = notes[0], _aloud(talk, notes)
    subject = first.entry.subject
    place = capital(talk.shown(subject)) if subject != NOBODYS else ""
    if how == "words":
        return talk.words("note_kept", text=text)
    if how == "short":
        return talk.words("noted")
    if how == "both":
        key = (
            "note_beside"
            if first.line is not None and is_made(first.line)
            else "note_of"
            if place
            else "note_kept"
        )
        return talk.words(key, place=place, text=text)
    short = talk.words("about_noted", place=place) if place else talk.words("noted")
    if not first.said_at:
        return short
    time = shown_time(datetime.fromisoformat(first.said_at))
    return talk.words("noted_at", note=short.rstrip("."), time=time)


def alone(talk: Conversation, note: NoteDraft, how: How = "both") -> Outcome:
    """Return the outcome that writes one note and does nothing else."""
    return Outcome(
        Answer("noted"), "action_done", text=said(talk, (note,), how), own_drafts=(note.entry,),
        reading_ids=talk.state.last_reading_ids, keep_context=True,
    )  # fmt: skip


def beside(
    talk: Conversation,
    outcome: Outcome,
    notes: Sequence[NoteDraft],
    how: How = "words",
    *,
    first: bool = False,
    asked: bool = False,
) -> Outcome:
    """Return an outcome with notes written and said back, and with the advice that follows from them.

    Where they are what was told ``first``, an answer to them says no "no" to what nobody ``asked``.
    """
    if not notes:
        return outcome
    drafts, more = list(outcome.drafts), []
    advice = [each for note in notes for each in note.advice]
    reasons = [note for note in notes if note.reason]
    gone = [at for at, draft in enumerate(drafts) if draft.kind == DISCARD]
    if reasons and len(gone) == 1 and not drafts[gone[0]].note:
        text = ", ".join(note.words for note in reasons)
        drafts[gone[0]] = drafts[gone[0]].model_copy(update={"note": text})
        more.append(talk.words("kept_with", what=text))
        notes = [note for note in notes if not note.reason]
    if notes:
        for note in notes:
            drafts.append(_beside_action(note.entry, drafts))
        more.append(said(talk, notes, how))
    unsaid = (each for each in advice if outcome.intent not in {other.intent for other in advice})
    more += dict.fromkeys(talk.rendered(each).removeprefix("No. ") for each in unsaid)  # nothing was asked
    pending = outcome.pending or next((each.pending for each in advice if each.pending is not None), None)
    answer = outcome.bare or Answer("noted")
    said_too = _said_too(talk, outcome, more, first=first, asked=asked)
    return replace(said_too, answer=answer, own_drafts=tuple(drafts), pending=pending)


def _beside_action(note: Draft, before: Sequence[Draft]) -> Draft:
    """Return a note beside the action of its subject that this turn opens, where it has no other entry."""
    opened = [at for at, draft in enumerate(before) if draft.kind == "action_opened"]
    own = [at for at in opened if before[at].subject == note.subject]
    if note.refers_to is not None or not own:
        return note
    of = before[own[-1]]
    told = {"refers_to": own[-1] - len(before), "item": of.item, "measured": of.measured}
    return note.model_copy(update=told)


def waiting(talk: Conversation, outcome: Outcome, notes: Sequence[NoteDraft]) -> Outcome:
    """Return an outcome that asks, with notes that wait for the entry that it asks about."""
    if not notes:
        return outcome
    now, asked = talk.clock.now().isoformat(timespec="seconds"), outcome.pending
    several = len({reading.subject for reading in _waited(asked)}) > 1
    of = dict.fromkeys(note.subject for note in notes if several and not note.begins)
    key, place = "note_waits_of" if of else "note_waits", ", ".join(map(talk.shown, of))
    text = talk.words(key, place=place, text=_aloud(talk, notes))
    kept = tuple(_with(replace(note, told_at=now), _waited(asked), _foods_out(asked)) for note in notes)
    return replace(_said_too(talk, outcome, [text]), changes={**outcome.changes, "notes": kept})


def settled(talk: Conversation, outcome: Outcome) -> Outcome:
    """Return an outcome with the notes whose entry is written; those whose entry may still come wait on."""
    new: tuple[NoteDraft, ...] = outcome.changes.get("notes", ())
    said_now = [*(note.words for note in new), *(d.note.removeprefix(NOTED) for d in outcome.drafts)]
    before = tuple(note for note in talk.state.notes if note.words not in said_now)  # told twice, kept once
    silent = outcome.answer is None and outcome.text is None and not outcome.drafts
    if not talk.state.notes or silent:
        return outcome
    open_, drafts = _waited(talk.state.pending), [d for d in outcome.drafts if d.kind in _ENTRIES]
    coming = (_waited(outcome.pending), unanswered.lost(talk, outcome, {draft.subject for draft in drafts}))
    written, kept = list[NoteDraft](), list[NoteDraft]()
    for note in before:
        read = [d for d in drafts if _may_be_of(note, {d.subject, d.item, d.place}, _value(d), open_)]
        ways = (
            [r for r in each if _may_be_of(note, {r.subject, r.place}, r.value, open_)] for each in coming
        )
        still = next(filter(None, ways), [])
        if any({r.subject, r.place} & note.waits_for for r in still):  # another place may read the same
            read = [d for d in read if {d.subject, d.item, d.place} & note.waits_for]
        waits = _with(note, still, _foods_out(outcome.pending))
        written += [_anew(talk, note, read)] if read else []
        kept += [waits] if waits.waits_for and not read else []
    left = replace(outcome, changes={**outcome.changes, "notes": (*kept, *new)})
    return with_yes(talk, left, written)


def with_yes(talk: Conversation, outcome: Outcome, told: Sequence[NoteDraft]) -> Outcome:
    """Return the entry that a yes made with what was told of it before; since when is not asked again."""
    if any(not note.begins for note in told):
        outcome = unanswered.without_since_when(talk, outcome)
    return beside(talk, outcome, told)


def _value(draft: Draft) -> Decimal | None:
    return Decimal(draft.value) if draft.value is not None else None


def _waited(waiting: Pending | None) -> tuple[Reading, ...]:
    """Return the readings that a question asks about."""
    if waiting is None or waiting.kind not in ("confirm", "choose"):
        return ()
    whole = () if waiting.partly_logged else waiting.readings
    return (*whole, *(reading for option in waiting.options for reading in option))


def _foods_out(waiting: Pending | None) -> tuple[str, ...]:
    """Return the food of which it is asked how much went out."""
    asks = waiting is not None and waiting.kind == "slot" and waiting.slot == AMOUNT
    return waiting.request.slots.foods if asks and waiting is not None and waiting.request is not None else ()


def _with(note: NoteDraft, readings: Sequence[Reading], foods: Sequence[str]) -> NoteDraft:
    """Return a note that waits for one of ``readings`` or ``foods``, that of its own subject, if any."""
    of_it = [r for r in readings if note.subject in (r.subject, r.place)] or readings
    names = {name for r in of_it for name in (r.subject, r.place) if name} | {*foods}
    return replace(note, waits_for=frozenset(names), values=frozenset(r.value for r in of_it))


def _may_be_of(note: NoteDraft, names: set[str], value: Decimal | None, open_: Sequence[Reading]) -> bool:
    """True for what a note waits for; while that is asked about its place or number may change."""
    named, same = bool(names & note.waits_for), value in note.values or (value is None and not note.values)
    asked = any({r.subject, r.place} & note.waits_for for r in open_)
    return named or (same and value is not None) if asked else named and same


def _anew(talk: Conversation, note: NoteDraft, read: Sequence[Draft]) -> NoteDraft:
    """Return a note that waited as it is written now: of the place that was meant, with its time."""
    places = {draft.subject for draft in read}
    place = places.pop() if len(places) == 1 and note.subject not in places else note.subject
    told = datetime.fromisoformat(note.told_at)
    late = note.told_at if talk.clock.now() - told >= _LATER else ""
    line = _line(talk, {place} - {NOBODYS}, "named", ())
    return replace(note, subject=place, line=line, said_at=note.said_at or late)


def _said_too(
    talk: Conversation, outcome: Outcome, more: Sequence[str], *, first: bool = False, asked: bool = False
) -> Outcome:
    """Say ``more``, too: ``first``, or before a question and before what is read back."""
    added, text = " ".join(more), talk.rendered(outcome)
    if first:
        aloud = f"{added} {outcome.aloud}" if outcome.aloud else ""
        return replace(outcome, text=f"{added} {text if asked else text.removeprefix('No. ')}", aloud=aloud)
    return replace(
        outcome, text=_among(text, added), aloud=_among(outcome.aloud, added) if outcome.aloud else ""
    )


def _among(text: str, more: str) -> str:
    if _READ_BACK.search(text):
        return f"{more} {text}"
    asks = _LAST_ASKS.search(text)
    parts = (text[: asks.start()], more, asks[0].strip()) if asks is not None else (text, more)
    return " ".join(filter(None, parts))

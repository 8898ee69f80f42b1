"""What words may point at, in one order: what waits for a yes first, then what was logged last.

"It", "that one", "the first", "number two", a name, the number that it was not: whoever has to know what is
meant asks here. What waits is seen as the entries that a yes would make, so that whatever is told of
an entry is told of it as well; in the log is none of it, and a change of it is read back.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from decimal import Decimal
from typing import TYPE_CHECKING

from assistant.dialogue.judge import judge_all
from assistant.dialogue.named_among import chosen, corrects, pointers
from assistant.dialogue.record import drafts_for
from assistant.logbook.clock import utc_text
from assistant.logbook.entry import Draft, Entry
from assistant.logbook.query import Filter
from assistant.logbook.views import Line
from intents.mentions import Understanding
from intents.readings import Reading

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation
    from assistant.dialogue.hearing import Heard

STILL_WAITS = timedelta(minutes=90)
"""For so long what was read back may be spoken of (judgement)."""
LATER = timedelta(minutes=1)
"""A number confirmed so long after it was told keeps the time it was told."""
_RECHECKED = timedelta(minutes=2)
"""So long after a number another is one read again; before, it is said in its stead (judgement)."""
_UNMADE = 10**9
"""From this number on entries are counted that are not made yet."""
_OPENS, _ANYWHERE, _FIRST = ("correction_openers", "changing", "taking_back"), ("told_wrong", "denying"), 3
"""Lists of words that put right what was said: those among the first few, and those wherever they stand."""
_READ_AS = ("surface", "wash", "final rinse", "food", "boiling water", "ice water", "rinse")


def _unmade(talk: Conversation) -> list[tuple[Line, Reading]]:
    """Return the entries that a yes would make, each with the reading that it is or is the action of."""
    asked = talk.state.pending
    if asked is None or asked.kind != "confirm" or asked.in_a_crowd:
        return []
    if talk.clock.now() - asked.asked_at > STILL_WAITS:
        return []
    made = list[tuple[Line, Reading]]()
    for item in judge_all(asked.readings, talk.site):
        first = _UNMADE + len(made)
        drafts = enumerate(drafts_for((item,), talk.site), first)
        made += [(_line(draft, number, first, asked.asked_at), item.reading) for number, draft in drafts]
    return made


def _line(draft: Draft, number: int, first: int, at: datetime) -> Line:
    of = {"at_utc": utc_text(at), "at_local": at.isoformat(), "site": "", "previous_hash": "", "hash": ""}
    cause = first if draft.refers_to is not None else None
    entry = Entry.model_construct(**{**dict(draft), **of, "id": number, "refers_to": cause})
    return Line(entry, entry, "", "", open=draft.kind == "action_opened")


def waiting(talk: Conversation) -> list[Line]:
    """Return what waits for a yes as the entries that the yes would make, each failed one with its action."""
    return [line for line, _ in _unmade(talk)]


def is_made(line: Line) -> bool:
    """True for an entry of the log, false for one that waits for a yes."""
    return line.entry.id < _UNMADE


def read_last(talk: Conversation) -> list[Line]:
    """Return the readings that wait for a yes, else those logged last."""
    return [line for line in waiting(talk) if line.entry.kind == "reading"] or talk.last_readings


def as_read(talk: Conversation, line: Line) -> Reading:
    """Return the reading that an entry is, as it stands now or waits."""
    waits = {each.entry.id: reading for each, reading in _unmade(talk)}
    return waits.get(line.entry.id) or reading_of_line(line)


def reading_of_line(line: Line) -> Reading:
    """Return a logged reading as one that is told."""
    now = line.now
    quantity = {"ppm": "ppm", "pH": "ph"}.get(now.unit, "temperature")
    measured = now.measured if now.measured in _READ_AS else ""
    unit = now.unit if now.unit in ("F", "C") else ""
    kind = "food" if now.item else "equipment"
    found = Reading(now.subject, kind, Decimal(now.value or "0"), quantity, unit, measured)
    return replace(found, place=now.place) if now.item else found


def last_of(talk: Conversation, place: str = "") -> Reading | None:
    """Return what was read back or logged last, of a place if one is named."""
    if back := [reading for _, reading in _unmade(talk) if place in ("", reading.subject)]:
        return back[-1]
    since = talk.clock.now() - STILL_WAITS
    wanted = Filter(kinds=("reading",), subject=place, since=since, standing_only=True)
    line = talk.log.views.latest(wanted)
    return reading_of_line(line) if line is not None else None


def failed(talk: Conversation) -> list[Line]:
    """Return what failed, or cannot be judged, of what waits, else the open actions of what was logged."""
    if waits := waiting(talk):
        opened = {line.entry.refers_to for line in waits}
        open_so = (line for line in waits if line.open or line.now.verdict == "cannot judge")
        return [line for line in open_so if line.entry.id not in opened]
    ids = {*talk.state.last_reading_ids}
    return [line for line in talk.log.views.open_actions() if line.entry.refers_to in ids]


def pointed(talk: Conversation, read: Understanding, lines: Sequence[Line]) -> list[Line]:
    """Return those of ``lines`` that the words point at: by name or part of it, number or row."""
    subjects = [line.now.subject for line in lines]
    meant = chosen(pointers(talk, read, subjects, told=True), subjects)
    return [line for line in lines if line.now.subject in meant]


def failed_of(talk: Conversation, read: Understanding) -> list[Line]:
    """Return what failed that the words point at, the last where they point at nothing, all for "both"."""
    opened, lexicon = failed(talk), talk.interpreter.lexicon
    if {*read.words} & lexicon.list("both"):
        return opened
    named = {line.now.subject for line in pointed(talk, read, read_last(talk))}
    return [line for line in opened if not named or line.now.subject in named][-1:]


def with_change(talk: Conversation, line: Line, reading: Reading) -> tuple[Reading, ...]:
    """Return what waits with one of it changed; put right at once a number alone was read now."""
    asked, old = talk.state.pending, as_read(talk, line)
    before = asked.readings if asked is not None else ()
    every = told_then(talk, before, LATER if len(before) > 1 else _RECHECKED)
    at = next((i for i, each in enumerate(before) if each == old), len(before) - 1)
    return (*every[:at], replace(reading, said_at=every[at].said_at), *every[at + 1 :])


def told_then(talk: Conversation, told: Sequence[Reading], after: timedelta = LATER) -> tuple[Reading, ...]:
    """Return readings that wait, those told so long ago with the time they were told."""
    asked = talk.state.pending
    if asked is None or talk.clock.now() - asked.asked_at < after:
        return tuple(told)
    at = asked.asked_at.isoformat(timespec="seconds")
    return tuple(replace(reading, said_at=reading.said_at or at) for reading in told)


def beside(talk: Conversation, heard: Heard, drafts: Sequence[Draft]) -> tuple[Reading, ...]:
    """Return what waits still beside the readings that are logged."""
    asked = talk.state.pending
    before = asked.readings if asked is not None else ()
    new = {draft.subject: Decimal(draft.value) for draft in drafts if draft.value is not None}
    told = tuple(replace(r, value=new[r.subject], said_at="") for r in before if r.subject in new)
    return tuple(reading for reading in with_more(talk, heard, told) if reading not in told)


def puts_right(talk: Conversation, heard: Heard) -> bool:
    """True for words that tell another number than was meant before: "change that", "forty, not fifty"."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    first = frozenset[str]().union(*map(lexicon.list, _OPENS))
    wrong = {*read.words[:_FIRST]} & first or {*read.words} & frozenset().union(*map(lexicon.list, _ANYWHERE))
    return corrects(talk, heard) or read.has("scratch", "make_that") or bool(wrong)


def with_more(talk: Conversation, heard: Heard, told: Sequence[Reading]) -> tuple[Reading, ...]:
    """Return what waits with what is ``told`` now: in its stead, or beside it where it was read again.

    A number with a time of its own, one that is said to be of "now" and one told minutes later is another,
    unless something is put right.
    """
    asked, read = talk.state.pending, heard.interpretation.heard
    before = told_then(talk, asked.readings, timedelta(0)) if asked is not None else ()
    right, again = puts_right(talk, heard), read.has("now_word", "note_again")
    subjects = [*dict.fromkeys(reading.subject for reading in (*before, *told))]
    kept = list[Reading]()
    for old, stamped in zip(asked.readings if asked is not None else (), before, strict=True):
        anew = [new for new in told if (new.subject, new.measured) == (old.subject, old.measured)]
        long_ago = talk.clock.now() - datetime.fromisoformat(stamped.said_at) >= _RECHECKED
        timed = (new.said_at not in ("", old.said_at) for new in anew)
        stays = all(new.value != old.value for new in anew)
        stays = stays and (not anew or all(timed) or ((again or long_ago) and not right))
        kept += ((stamped,) if anew else told_then(talk, (old,))) if stays else ()
    return tuple(sorted((*kept, *told), key=lambda r: (subjects.index(r.subject), r.said_at or "~")))

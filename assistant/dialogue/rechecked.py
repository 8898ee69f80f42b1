"""The new number of what failed just before, said without its name: "thirty nine now".

It is always read back: in a kitchen such words may be about anything.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.dialogue import action_talk, recording
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.slots import Slots
from assistant.dialogue.statements import asks
from intents.mentions import Understanding
from intents.readings import Reading

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation
    from assistant.logbook.views import Line

AGAIN = "note_again"
DONE = ("fixed_word", "remade_word")


def report(talk: Conversation, heard: Heard) -> Outcome | None:
    """Read the number back for the place or food that did not pass; ``None`` where nothing waits for one."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    opened = " ".join(read.words[:2]) in lexicon.list("recheck_openers")
    told_now = opened or read.has("now_word", AGAIN) or bool(set(read.words[:1]) & lexicon.list("present_is"))
    if read.names.get("food") or (len(read.free_measures) != 1 and not read.has(*DONE)):
        return None
    if (asks(read) and not opened) or read.text.strip().endswith("?"):
        return None
    if not talk.state.recent(talk.clock.now()):
        return None
    line = _waiting(talk)
    if line is None:
        return None
    if read.has(*DONE):
        return _done_and_read(talk, read, line)
    if read.names.get("equipment"):
        return None
    if not told_now and not (line.entry.kind == "event" and _number_alone(talk, read)):
        return None
    readings = _of(talk, line, talk.without_wake(heard.text))
    return recording.confirm(talk, readings) if len(readings) == 1 else None


def _of(talk: Conversation, line: Line, text: str) -> tuple[Reading, ...]:
    kind = "food" if line.now.item else "equipment"
    return talk.interpreter.answer_for(kind, line.now.subject, text).certain


def _number_alone(talk: Conversation, read: Understanding) -> bool:
    """True for "two hundred" after "read it again to close it"."""
    number, small = read.free_measures[0], talk.interpreter.lexicon.filler
    rest = (*read.words[: number.start], *read.words[number.end :])
    return all(word in small for word in rest)


def _done_and_read(talk: Conversation, read: Understanding, line: Line) -> Outcome | None:
    """Note "dumped it and made a new one", and read back the number said with it."""
    at = max(s.end for s in read.concepts if s.value in DONE)  # "a new one, two fifty" is no "one two fifty"
    if not any(m.end > at for m in read.measures):
        return None
    readings = _of(talk, line, " ".join(read.words[at:]))
    done = talk.interpreter.interpret(" ".join(read.words[:at])).heard
    noted = action_talk.done(talk, talk.request(action_talk.DONE, Slots.of(done)))
    if noted is None or len(readings) != 1 or not any(draft.kind == "event" for draft in noted.drafts):
        return None
    asked = recording.confirm(talk, readings)
    return replace(asked, own_drafts=noted.own_drafts)


def _waiting(talk: Conversation) -> Line | None:
    """Return the entry logged last in this conversation if what it is about has not passed yet."""
    lines = [talk.log.views.line(number) for number in talk.state.last_reading_ids[-1:]]
    line = lines[0] if lines else None
    if line is None or line.withdrawn or line.entry.kind not in ("reading", "event"):
        return None
    still_open = any(o.entry.subject == line.now.subject for o in talk.log.views.open_actions())
    cooking = line.entry.kind == "reading" and line.now.verdict == "cannot judge"
    return line if still_open or cooking else None

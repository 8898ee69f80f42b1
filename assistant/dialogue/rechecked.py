"""What was done about a fail with the number that it came to: "dumped it and made a new one, two fifty"."""

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

DONE = ("fixed_word", "remade_word")


def report(talk: Conversation, heard: Heard) -> Outcome | None:
    """Note the deed and read its number back; ``None`` where nothing waits for one."""
    read = heard.interpretation.heard
    if read.names.get("food") or not read.has(*DONE) or asks(read) or not talk.state.recent(talk.clock.now()):
        return None
    line = _waiting(talk)
    return _done_and_read(talk, read, line) if line is not None else None


def _of(talk: Conversation, line: Line, text: str) -> tuple[Reading, ...]:
    kind = "food" if line.now.item else "equipment"
    return talk.interpreter.answer_for(kind, line.now.subject, text).certain


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

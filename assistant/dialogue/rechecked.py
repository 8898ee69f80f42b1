"""The new number of what failed just before, said without its name: "thirty nine now".

It is always read back: in a kitchen such words may be about anything.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.dialogue import recording
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.statements import asks

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation
    from assistant.logbook.views import Line


def report(talk: Conversation, heard: Heard) -> Outcome | None:
    """Read the number back for the place or food that did not pass; ``None`` where nothing waits for one."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    opened = " ".join(read.words[:2]) in lexicon.list("recheck_openers")
    told_now = opened or read.has("now_word") or bool(set(read.words[:1]) & lexicon.list("present_is"))
    if (
        not told_now
        or (asks(read) and not opened)
        or read.text.strip().endswith("?")
        or len(read.free_measures) != 1
        or not talk.state.recent(talk.clock.now())
    ):
        return None
    if read.names.get("equipment") or read.names.get("food"):
        return None
    line = _waiting(talk)
    if line is None:
        return None
    kind = "food" if line.now.item else "equipment"
    readings = talk.interpreter.answer_for(kind, line.now.subject, talk.without_wake(heard.text)).certain
    return recording.confirm(talk, readings) if len(readings) == 1 else None


def _waiting(talk: Conversation) -> Line | None:
    """Return the entry logged last in this conversation if what it is about has not passed yet."""
    lines = [talk.log.views.line(number) for number in talk.state.last_reading_ids[-1:]]
    line = lines[0] if lines else None
    if line is None or line.withdrawn or line.entry.kind not in ("reading", "event"):
        return None
    still_open = any(o.entry.subject == line.now.subject for o in talk.log.views.open_actions())
    cooking = line.entry.kind == "reading" and line.now.verdict == "cannot judge"
    return line if still_open or cooking else None

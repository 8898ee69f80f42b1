"""What was done about a failed reading: noted on the open action, which only a passing reading closes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.dialogue.answer import Answer, Request
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.slots import Slots
from assistant.dialogue.state import Pending
from assistant.dialogue.talking import talks
from assistant.logbook.entry import Draft
from assistant.logbook.views import Line

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

DONE = "action_done"
DISCARD = "discard"
AMOUNT = "volume|weight|number|container_word|half_word"
"""What answers how much was thrown out."""


@talks(DONE)
def done(talk: Conversation, request: Request) -> Outcome:
    """Log what was done, naming the action that it is about: of the place said, else the newest open one."""
    line = _open_action(talk, request)
    if line is None:
        return Outcome(None, "", keep_context=True)  # talk among cooks: nothing is open
    entry = line.entry
    words = " ".join(request.slots.words)
    draft = Draft(
        kind="event", subject=entry.subject, item=entry.item, measured=entry.measured,
        refers_to=entry.id, note=f"done: {words}",
    )  # fmt: skip
    name = talk.shown(entry.subject)
    is_food = not talk.site.kind_of(entry.subject)
    if is_food and set(request.slots.words) & talk.interpreter.lexicon.list("thrown"):
        wanted = talk.request(DISCARD, Slots(foods=(entry.subject,)))
        waiting = Pending("slot", talk.clock.now(), AMOUNT, wanted)
        answer = Answer("how_much", {"place": name[:1].upper() + name[1:]})
        return Outcome(answer, DONE, request, own_drafts=(draft,), pending=waiting, keep_context=True)
    key = "noted_discard" if "discard" in entry.note else "noted"
    answer = Answer(key, {"place": name[:1].upper() + name[1:]})
    return Outcome(answer, DONE, request, own_drafts=(draft,), keep_context=True)


def _open_action(talk: Conversation, request: Request) -> Line | None:
    """Return the action meant: of the place named, or the newest that what was done can be about."""
    lines = talk.log.views.open_actions()
    words, lexicon = set(request.slots.words), talk.interpreter.lexicon
    moved, remade = words & lexicon.list("moved"), words & lexicon.list("remade")
    named = [line for line in lines if line.entry.subject in request.slots.places and not moved]
    if named:
        return named[-1]
    fitting = [line for line in lines if not remade or _mixed(talk, line)]
    fitting = [line for line in fitting if not moved or not _mixed(talk, line)]
    return fitting[-1] if fitting else None


def _mixed(talk: Conversation, line: Line) -> bool:
    """True for a solution, which is remade and not moved."""
    return talk.site.kind_of(line.entry.subject).startswith("sanitizer")

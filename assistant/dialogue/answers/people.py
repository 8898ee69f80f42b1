"""Answers about who is speaking."""

from __future__ import annotations

from assistant.dialogue.answer import Answer, Request, answers
from assistant.logbook.entry import Draft


@answers("sign_in", "sign_in_unknown")
def sign_in(request: Request) -> Answer:
    """Sign a cook in for the entries that follow; a name that the kitchen does not have signs nobody in."""
    if not request.slots.people:
        reply = "unknown_now" if request.person else "unknown"
        return Answer(reply, {"name": request.person}, intent="sign_in_unknown")
    name = request.slots.people[0]
    draft = Draft(kind="sign_in", subject=name, person=name)
    return Answer("hello", {"name": name}, drafts=(draft,), intent="sign_in")

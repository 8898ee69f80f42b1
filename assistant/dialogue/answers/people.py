"""Answers about who is speaking."""

from __future__ import annotations

from assistant.dialogue.answer import Answer, Request, answers
from assistant.logbook.entry import Draft


@answers("sign_in")
def sign_in(request: Request) -> Answer:
    """Sign a cook in for the entries that follow."""
    name = request.slots.people[0]
    return Answer("hello", {"name": name}, drafts=(Draft(kind="sign_in", subject=name, person=name),))

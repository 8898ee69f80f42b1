"""The answer to whose rules are in force here."""

from __future__ import annotations

from assistant.dialogue.answer import Answer, Request, answers
from assistant.rules.basis import Citation


@answers("which_rules")
def which_rules(request: Request) -> Answer:
    """Say which code the kitchen asked about is set to."""
    title = request.profile.title
    return Answer("answer", {"title": title}, (Citation(title, "as adopted", flag="PRACTICE"),))

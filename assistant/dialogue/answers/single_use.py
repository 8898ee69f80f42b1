"""Single-use things and reused packaging: no rule is held, so another decides."""

from __future__ import annotations

from assistant.dialogue.answer import Answer, Request, answers
from assistant.rules.basis import Citation

NO_RULE = Citation("no rule held", "single-use items and reused packaging", flag="PRACTICE")


@answers("single_use")
def single_use(request: Request) -> Answer:
    """Say that no rule is held, and who may be asked."""
    reused = request.slots.has("reuse_word", "use_word") and not request.slots.has("where")
    return Answer("answer" if reused else "store", sources=(NO_RULE,))

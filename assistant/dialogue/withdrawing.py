"""Takes entries back: they stay in the log, struck through, with who took them back and when."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.dialogue.answer import Answer
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.record import withdrawn
from assistant.logbook.views import Line

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

CORRECTION = "correction"


def withdraw(talk: Conversation, lines: list[Line]) -> Outcome:
    """Return the outcome that takes ``lines`` back and names them."""
    named = (
        f"{line.now.amount} {talk.site.spoken_name(line.now.subject)} {_shown(line.now.value, line.now.unit)}"
        for line in lines
    )
    what = ", ".join(dict.fromkeys(name.strip() for name in named))
    return Outcome(Answer("withdrawn", {"what": what}), CORRECTION, own_drafts=tuple(map(withdrawn, lines)))


def _shown(value: str | None, unit: str) -> str:
    return f"{value or ''}{f'°{unit}' if unit in ('F', 'C') else f' {unit}'}".strip()

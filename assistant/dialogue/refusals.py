"""Deliveries sent back: the refusal with its amount closes what the delivery's reading opened."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.dialogue import discards
from assistant.dialogue.answer import Answer
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.say import listed_in
from assistant.logbook.entry import Draft
from assistant.logbook.standing import DELIVERY
from assistant.logbook.views import Line
from intents.deed_amounts import Item
from intents.deeds import Deed

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

CHECK = "receive_check"


def told(talk: Conversation, heard: Heard, deed: Deed) -> Outcome | None:
    """Log food that was refused; ``None`` where no food is named and no delivery failed.

    Nor where a place of this kitchen is named: "sent it back to the walk-in" was kept.
    """
    if heard.interpretation.heard.names.get("equipment"):
        return None
    opened = [line for line in talk.log.views.open_actions() if line.entry.measured == DELIVERY]
    items = deed.items or (Item(),)
    drafts: list[Draft] = []
    said = []
    for item in items:
        line = _of(opened, item.food)
        food = item.food or (
            line.entry.subject if line is not None else discards.unsaid(talk, heard.interpretation.heard)
        )
        if not food:
            return None
        drafts += _drafts(food, item.amount, line)
        said.append(discards.amount_of(talk, drafts[0] if line is None else drafts[-2], item.counted))
    answer = Answer("refused", {"list": listed_in(talk, said)}, drafts=tuple(drafts))
    return Outcome(answer, CHECK)


def _of(opened: list[Line], food: str) -> Line | None:
    """Return the open action of a delivery: of the food named, or the newest where none is."""
    words = set(food.split())
    fitting = [line for line in opened if not food or words & set(line.entry.subject.split())]
    return fitting[-1] if fitting else None


def _drafts(food: str, amount: str, line: Line | None) -> tuple[Draft, ...]:
    refused = Draft(
        kind="event", subject=food, item=food, measured=DELIVERY, amount=amount, note="refused",
        refers_to=line.entry.id if line is not None else None,
    )  # fmt: skip
    if line is None:
        return (refused,)
    closed = Draft(
        kind="action_closed", subject=line.entry.subject, measured=DELIVERY, refers_to=line.entry.id,
        note="refused",
    )  # fmt: skip
    return (refused, closed)


def driver_gone(talk: Conversation, heard: Heard) -> Outcome | None:
    """Answer "the driver's gone already", of a delivery that should have been refused."""
    words, lexicon = set(heard.interpretation.heard.words), talk.interpreter.lexicon
    opened = any(line.entry.measured == DELIVERY for line in talk.log.views.open_actions())
    gone = words & lexicon.list("drivers") and words & lexicon.list("has_left")
    if not opened or not gone or len(heard.interpretation.heard.words) > MOST_WORDS:
        return None
    return Outcome(Answer("driver_gone"), CHECK, keep_context=True)


MOST_WORDS = 6
"""More words than these tell more than that nobody is there to take it back."""

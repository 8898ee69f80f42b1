"""What a conversation remembers between turns: plain values, replaced and never changed in place."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING, Literal

from assistant.dialogue.answer import Answer, Request
from assistant.dialogue.setting import VoiceSetting
from intents.readings import Reading

if TYPE_CHECKING:
    from assistant.dialogue.notes import NoteDraft
    from assistant.dialogue.outcome import Outcome

FOLLOW_UP_SECONDS = 180
"""How long "and the turkey?" or "scratch that" still refers to what was said before."""

FOOD_SECONDS = 600
"""How long a food spoken of is the one that was thrown out or moved where none is named (judgement)."""


@dataclass(frozen=True)
class Pending:
    """A question that waits for its answer.

    ``slot``: a fact that ``request`` lacks. ``confirm``: ``readings`` wait for a yes. ``choose``:
    one of ``options`` has to be named (``readings`` of the
    same breath are logged already). ``value``: ``readings`` with a place wait for their number.
    ``meant``: one of ``intents`` was meant by ``request``. ``note``: the words of a note,
    or a yes to those in ``slot``.
    ``agree``: ``agreed``, told at ``told_at``, was inferred and waits for a yes.
    """

    kind: Literal["slot", "confirm", "choose", "value", "meant", "note", "agree"]
    asked_at: datetime
    slot: str = ""
    request: Request | None = None
    readings: tuple[Reading, ...] = ()
    options: tuple[tuple[Reading, ...], ...] = ()
    times_asked: int = 1
    intents: tuple[str, ...] = ()
    unnumbered: tuple[str, ...] = ()  # places told without their number; "": a number without its place
    agreed: Outcome | None = None
    told_at: str = ""
    in_a_crowd: bool = False  # read back of what was not called among several voices: asked only once
    given_up: frozenset[str] = frozenset()  # what "scratch the second" took out of what was read back
    disputed: bool = False  # one of what was read back is wrong and nobody knows which: a yes logs none

    @property
    def partly_logged(self) -> bool:
        """True where the rest of the breath is logged already and only one of its places is asked."""
        return self.kind == "choose" and bool(self.readings)


@dataclass(frozen=True)
class State:
    """The whole memory of one conversation."""

    person: str = ""
    pending: Pending | None = None
    last_request: Request | None = None
    last_answer: Answer | None = None
    last_reply: str = ""
    last_aloud: str = ""  # what the voice said of it, where it was not the same
    last_at: datetime | None = None
    last_reading_ids: tuple[int, ...] = ()
    asked_place: str = ""  # the place (or cooling food) of a round that a bare number answers
    asked_at: datetime | None = None
    reminded: tuple[str, ...] = ()  # limits that were spoken of once already
    voice: VoiceSetting = field(default_factory=VoiceSetting)
    signed_in_at: datetime | None = None
    last_question: str = ""  # the words of the question that waits
    spoken_foods: tuple[str, ...] = ()  # named last in a turn that was answered: what "tossed it" is about
    foods_at: datetime | None = None
    unheard: str = ""  # what was said last where it had a place or number and came to nothing
    spoken_places: tuple[str, ...] = ()  # named last in any turn, or read back: what "that one" is about
    places_at: datetime | None = None
    spoken_aspect: str = ""  # what was measured there ("wash"), where that was said
    said_before: tuple[tuple[str, ...], ...] = ()  # the words of the two turns that were answered last
    unconfirmed: tuple[Reading, ...] = ()  # read back and never confirmed: told when the log is asked for
    notes: tuple[NoteDraft, ...] = ()  # told of an entry that waits for an answer
    judged: tuple[Reading, ...] = ()  # only judged in the turn before: what "log it" is about
    memory: dict[str, str] = field(default_factory=dict)

    def recent(self, now: datetime) -> bool:
        """True while what was said before may still be referred to."""
        return self.last_at is not None and 0 <= (now - self.last_at).total_seconds() <= FOLLOW_UP_SECONDS

    def foods(self, now: datetime) -> tuple[str, ...]:
        """Return the foods spoken of last, if that was lately."""
        lately = self.foods_at is not None and 0 <= (now - self.foods_at).total_seconds() <= FOOD_SECONDS
        return self.spoken_foods if lately else ()

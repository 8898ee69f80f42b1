"""A place said without its number where several have one: "drawer is at forty" asks which drawer.

Nothing is ever logged of "the drawer" as such, but where the site has one without a number (``unnumbered``).
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.dialogue.answer import Answer
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.say import fill, worded
from assistant.dialogue.state import Pending
from intents.readings import Reading

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

READING = "reading"
_TWO = 2


def asked(talk: Conversation, readings: tuple[Reading, ...]) -> tuple[tuple[Reading, ...], Outcome] | None:
    """Return the readings whose places are told whole, and the question about the one that is not.

    ``None`` where every place is told whole.
    """
    unsure = [r for r in readings if len(_numbers(talk, r)) > 1]
    if not unsure:
        return None
    if len({r.subject for r in unsure}) > 1:
        return (), which_ones()
    rest = tuple(r for r in readings if r not in unsure)
    return rest, _question(talk, tuple(unsure))


def which_ones() -> Outcome:
    """Ask for each place with its number; a bare number after this is of nobody knows which place."""
    return Outcome(Answer("which_two"), READING, keep_context=True, changes={"asked_place": ""})


def _question(talk: Conversation, readings: tuple[Reading, ...]) -> Outcome:
    """Wait for the number of the place."""
    place, numbers = readings[0].subject, _numbers(talk, readings[0])
    template = talk.catalogue[READING].replies["which_number"]
    values = worded({"place": talk.shown(place), "numbers": _span(numbers)}, talk.catalogue)
    text = fill(template, values)
    options = tuple(
        tuple(replace(reading, subject=f"{place} {number}") for reading in readings) for number in numbers
    )
    waiting = Pending("choose", talk.clock.now(), options=options)
    return Outcome(Answer("say_again"), READING, text=text, pending=waiting)


def _numbers(talk: Conversation, reading: Reading) -> tuple[int, ...]:
    """Return the numbers of the place named without one; none for a place that needs none."""
    item = talk.site.equipment_by_id(reading.subject) if reading.subject_kind == "equipment" else None
    if item is None or item.id != reading.subject or item.unnumbered:
        return ()
    return item.numbers


def filled_in(talk: Conversation, readings: tuple[Reading, ...]) -> tuple[Reading, ...]:
    """Return the readings with the number of a place that has but one."""
    return tuple(
        replace(r, subject=f"{r.subject} {numbers[0]}") if len(numbers := _numbers(talk, r)) == 1 else r
        for r in readings
    )


def _span(numbers: tuple[int, ...]) -> str:
    """Return numbers in a few words ("1-6", "1, 2")."""
    if len(numbers) > _TWO and numbers == tuple(range(numbers[0], numbers[-1] + 1)):
        return f"{numbers[0]}-{numbers[-1]}"
    return ", ".join(str(number) for number in numbers)

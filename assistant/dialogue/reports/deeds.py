"""Deeds told with the time when they were done: answered and judged as of that time, and logged with it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports.said_at import When, when
from assistant.dialogue.reports.times import BEFORE_A_TIME, Part, Told, ways, without
from assistant.dialogue.slots import Slots
from intents.lexicon import Lexicon
from intents.mentions import READ, Understanding

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation


STARTS = frozenset({"clock_cooling", "clock_thawing", "clock_time"})
"""Intents that start a food's clock: "under water since ten" tells when, and its time may be over by now."""


def told_at(
    talk: Conversation,
    heard: Heard,
    parts: tuple[Part, ...],
    *,
    counting: bool = False,
    beside: frozenset[int] = frozenset(),
) -> tuple[Told, When] | None:
    """Return the one time that a sentence tells something to have been done, and the moment meant.

    With ``counting`` the other numbers are known to be amounts, and leave the time to the deed. The words
    ``beside`` tell of something else.
    """
    read = heard.interpretation
    lexicon = talk.interpreter.lexicon
    every = ways(read.heard, lexicon, read.meaning.roles)  # times by their own words come first
    marked = {at for at, word in enumerate(read.heard.words) if counting and word in BEFORE_A_TIME}
    for told in sorted(every, key=lambda way: not any(each.start in marked for each in way)):
        way = tuple(each for each in told if not beside & set(each.words) and each.part != "plan")
        if len(way) != 1 or way[0].part not in parts or way[0].beside:
            continue  # "before the two o'clock rush" tells no time of its own
        surely = not way[0].bare or way[0].start in marked or way[0].part == "since"
        if (counting and surely) or _of_the_deed(read.heard, way[0], lexicon):
            return way[0], when(way[0], talk.clock.now())
    return None


def _of_the_deed(heard: Understanding, told: Told, lexicon: Lexicon) -> bool:
    """True unless the time is that of something else: "went in the ice bath at one, they're one oh five".

    A number that was read has its time right beside it, or first in the sentence; a second number, or
    the present time ("it's eight thirty"), leaves the time to the answer.
    """
    if set(heard.words[told.start : told.start + 1]) & lexicon.list("present_is"):
        return False
    read = [m for m in heard.free_measures if m.kind in READ and m.start not in told.words]
    if not read:
        return True
    return len(read) == 1 and (told.start in (0, read[0].end) or told.end == read[0].start)


def as_of(talk: Conversation, heard: Heard, intent: str) -> Outcome | None:
    """Return the outcome of a deed as of the time told; ``None`` where none was told or nothing is logged."""
    if intent == "backdate":
        return None  # its answer reads the time with the number
    told = told_at(talk, heard, ("at", "since") if intent in STARTS else ("at",))
    if told is not None and intent == "clock_cooling" and told[0].bare and told[0].part == "at":
        return None  # "start the chowder at one forty eight": its answer tells a time from degrees
    words = heard.interpretation.heard.words
    ends = talk.interpreter.lexicon.list("held_for") if intent == "clock_time" else frozenset[str]()
    if told is not None and ends & set(words[max(0, told[0].start - 1) : told[0].start + 1]):
        return None  # "mark them for eleven fifteen": its answer tells an end from a beginning
    if told is None or told[1].kind != "told" or told[1].at is None or heard.interpretation.asked:
        return None
    time, found = told
    words = without(heard.interpretation.heard, [time.words])
    if not words:
        return None
    slots = Slots.of(talk.interpreter.readings_of(words).heard)
    request = replace(talk.request(intent, slots), said_at=found.iso)
    if intent in STARTS:  # begun then, but judged now
        slots = replace(slots, clocks=(f"{found.at:%H:%M}",))
        request = talk.request(intent, slots)
    outcome = talk.ask(request)
    return outcome if outcome.drafts or outcome.pending else None

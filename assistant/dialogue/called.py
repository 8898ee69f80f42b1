"""Readings that may as well be an order called out ("dessert forty two") or a time ("bucket two at two")."""

from __future__ import annotations

from decimal import Decimal

from assistant.dialogue.conversation import Conversation
from assistant.dialogue.hearing import Heard
from intents.lexicon import Lexicon
from intents.readings import Reading


def may_be_order(heard: Heard, readings: tuple[Reading, ...], lexicon: Lexicon, *, in_short: bool) -> bool:
    """True for one bare number after nothing but a word that is called at the pass, too.

    Such is also a place ``in_short``, overheard: "salad four" of the salad fridge, or four salads.
    """
    words = heard.interpretation.heard.words
    numbers = heard.interpretation.heard.measures
    if len(readings) != 1 or len(numbers) != 1 or numbers[0].kind != "number" or not words:
        return False
    number = numbers[0]
    alone = number.start == 1 and number.end == len(words)
    if number.value != int(number.value):
        return False
    if alone and (in_short or words[0] in lexicon.list("called_names")):
        return True
    handed = number.end == len(words) - 1 and words[-1] in lexicon.list("called_last")
    return handed and readings[0].subject_kind == "food"


_TIME_AGO = 190  # minutes: longer ago a time of day is no likelier than a temperature (judgement)
_JUST_AGO = 60  # minutes: so near to now "at one forty" beside a place may be a time (judgement)
_CLOCK_AHEAD = 10
_NO_TIME = 10_000
_ONE_TENTH = Decimal("0.1")


def may_be_time(talk: Conversation, readings: tuple[Reading, ...], heard: Heard) -> bool:
    """True for "put the chili in the ice bath at one thirty", and "bucket two at two thirty", near that time.

    The first word tells what was done, or nothing tells that the number was read.
    """
    read = heard.interpretation.heard
    words, lexicon = read.words, talk.interpreter.lexicon
    if not words:
        return False
    ends = {span.end for spans in read.names.values() for span in spans}
    acted = words[0] in lexicon.list("acts")
    at = [
        m for m in read.free_measures if not m.unit and m.start and words[m.start - 1] in lexicon.list("at")
    ]
    bare = [m for m in at if acted or m.start - 1 in ends]
    said = {value for m in bare for value in m.options} & {r.value for r in readings}
    now, most = talk.clock.now(), _TIME_AGO if acted else _JUST_AGO
    return any(_minutes_ago(value, now.hour * 60 + now.minute) <= most for value in said)


def may_be_article(talk: Conversation, readings: tuple[Reading, ...], heard: Heard) -> bool:
    """True for the 3.1 of "cave three one pantry four", which may be three, and one pantry."""
    read, ones = heard.interpretation.heard, talk.interpreter.lexicon.list("batch_one")
    named = {s.start for s in (*talk.interpreter.in_short(read.words), *read.names.get("equipment", ()))}
    told = {m.end for m in read.free_measures} & named - read.breaks
    tenths = any(r.value % 1 == _ONE_TENTH for r in readings)
    return tenths and any(read.words[at - 1] in ones for at in told)


def _minutes_ago(value: Decimal, minutes: int) -> int:
    """Return how long ago it was ``value`` o'clock (130 is half past one), by a clock of twelve hours."""
    hour, minute = divmod(int(value), 100)
    if value != int(value) or not (1 <= hour <= 12 and minute < 60):
        return _NO_TIME
    return (minutes + _CLOCK_AHEAD - hour * 60 - minute) % (12 * 60)


def rival_asks(talk: Conversation, heard: Heard) -> bool:
    """True when the second listener heard a question ("is 43 ok") where the first heard a report ("it's")."""
    words = heard.rival.heard.words if heard.rival is not None else ()
    return bool(words) and words[0] in talk.interpreter.lexicon.list("asking")

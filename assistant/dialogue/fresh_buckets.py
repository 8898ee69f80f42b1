"""Buckets made up fresh: which ones, and what the strip shows; both the change and the reading are logged."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING

from assistant.dialogue import recording
from assistant.dialogue.answer import Answer, Request, capital
from assistant.dialogue.clocks import STOPPED, clock_draft, running_clock
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports.core import with_readings
from assistant.dialogue.say import listed_in
from assistant.dialogue.slots import Slots
from assistant.dialogue.state import Pending
from assistant.dialogue.talking import talks
from assistant.logbook.entry import Draft
from intents.deeds import Deed
from intents.equipment_kinds import plausible
from intents.language import language
from intents.mentions import Measure, Understanding
from intents.readings import Reading

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

CLOCK, BUCKET, EMPTIED = "clock_bucket", "sanitizer_bucket", "emptied"
_BOTH = 2
Pair = tuple[str, Decimal | None]


def told(talk: Conversation, heard: Heard, deed: Deed) -> Outcome | None:
    """Log the buckets that were changed with their readings; ask which one where none was told."""
    every = _buckets(talk)
    if not every or any(talk.site.kind_of(place) not in (BUCKET, "") for place in deed.places):
        return None
    read = heard.interpretation.heard
    spans = [(max(a, 0), b) for a, b in deed.spans]
    pairs = list(_pairs(talk, read, spans, sure=deed.it))
    words = {word for start, end in spans for word in read.words[start:end]}
    lexicon = talk.interpreter.lexicon
    each = bool(words & (lexicon.list("deed_each") | lexicon.list("deed_all")))
    both = each and len(every) == _BOTH
    places = [place for place, _ in pairs if place]
    if not places and (both or words & (lexicon.list("deed_all") - lexicon.list("deed_each"))):
        places = every
    values = [value for _, value in pairs if value is not None]
    if not places and (len(every) == 1 or deed.it):
        places = every if len(every) == 1 else [_spoken_of(talk)]
    if not places or not places[0]:
        return _which(talk, values[0] if len(values) == 1 else None)
    unsure = bool(values) and deed.it and len(places) == 1 and _twice(talk, read, spans, places[0])
    if each and len(set(values)) == 1:
        return made(talk, heard, [(place, values[0]) for place in places])
    if len(places) == len(values):
        return made(talk, heard, list(zip(places, values, strict=True)), ask=unsure)
    if len(values) > 1 or (values and len(places) > 1):
        return None  # whose number it is was not told
    return made(talk, heard, [(place, values[0] if values else None) for place in places], ask=unsure)


def emptied(talk: Conversation, heard: Heard, deed: Deed) -> Outcome | None:
    """Log buckets emptied and not made anew; ``None`` where none was told."""
    read = heard.interpretation.heard
    places = [place for place, _ in _pairs(talk, read, deed.spans, sure=False) if place]
    words = {word for start, end in deed.spans for word in read.words[start:end]}
    if not places and words & talk.interpreter.lexicon.list("deed_each"):
        places = _buckets(talk)
    if not places or any(talk.site.kind_of(place) != BUCKET for place in places):
        return None
    drafts = []
    for place in places:
        running = running_clock(talk.log.views, talk.clock.now(), "sanitizer", place)
        ended = clock_draft("sanitizer", place, f"{STOPPED}: {EMPTIED}")
        drafts.append(ended if running else Draft(kind="event", subject=place, note=EMPTIED))
    named = listed_in(talk, [talk.shown(place) for place in places])
    return Outcome(Answer("emptied", {"place": capital(named)}, drafts=tuple(drafts)), CLOCK)


def _twice(talk: Conversation, read: Understanding, spans: list[tuple[int, int]], place: str) -> bool:
    """True for "made a new one, two fifty" of bucket two: 250, or 50 in it."""
    grammar, number = language(read.language).numbers, place.split()[-1]
    for start, end in spans:
        for at in range(start, end):
            if {str(value) for value in grammar.integers(read.words[at : at + 1])} == {number}:
                ends = [stop for stop, _ in grammar.numbers_from(read.words, at + 1)] if at + 1 < end else []
                rest = [_strip(grammar.values(read.words[at + 1 : stop])) for stop in ends]
                return (
                    any(value is not None for value in rest)
                    and _strip(grammar.values(read.words[at : max(ends)])) is not None
                )
    return False


def unnumbered(talk: Conversation, heard: Heard, deeds: Sequence[Deed]) -> bool:
    """True for "made up a fresh bucket, strip says a hundred": which one is not told."""
    every = set(_buckets(talk))
    read = {r.subject for option in heard.interpretation.readings.options for r in option}
    return len(every) > 1 and any(deed.kind == "remade" for deed in deeds) and not read & every


def made(talk: Conversation, heard: Heard | None, pairs: list[Pair], *, ask: bool = False) -> Outcome:
    """Return the outcome that logs changed buckets, and what was read in those with a number.

    With ``ask`` the number is read back first.
    """
    begun = [talk.ask(talk.request(CLOCK, Slots(places=(place,)))) for place, _ in pairs]
    drafts = tuple(draft for each in begun for draft in each.drafts)
    readings = tuple(
        Reading(place, "equipment", value, "ppm", "ppm") for place, value in pairs if value is not None
    )
    if not readings:
        texts = [talk.rendered(each) for each in begun]
        return replace(begun[0], text=" ".join(texts), own_drafts=drafts, answer=_bare(begun[0].answer))
    if ask:
        taken = recording.confirm(talk, readings)
    elif heard is None:
        taken = recording.log(talk, readings)
    else:
        core = with_readings(heard.interpretation, (readings,))
        taken = recording.take(talk, readings, replace(heard, interpretation=core))
    return replace(taken, own_drafts=(*drafts, *taken.own_drafts))


def _bare(answer: Answer | None) -> Answer | None:
    return replace(answer, drafts=()) if answer is not None else None


@talks(CLOCK)
def with_number(talk: Conversation, request: Request) -> Outcome | None:
    """Log the change with its reading, once it was asked which bucket it is; ``None`` without a reading."""
    strip = next((m for m in request.slots.measures if m.kind == "ppm" and not m.end), None)
    places = [place for place in request.slots.places if talk.site.kind_of(place) == BUCKET]
    if strip is None or len(places) != 1:
        return None
    return made(talk, None, [(places[0], strip.value)])


def named(talk: Conversation, read: Understanding) -> tuple[str, ...]:
    """Return the bucket that "two" or "number two" names as an answer."""
    pairs = list(_pairs(talk, read, [(0, len(read.words))], sure=False))
    return (pairs[0][0],) if len(pairs) == 1 and pairs[0][0] and pairs[0][1] is None else ()


def _buckets(talk: Conversation) -> list[str]:
    items = (item for item in talk.site.equipment if item.kind == BUCKET)
    return [place for item in items for place in ([f"{item.id} {n}" for n in item.numbers] or [item.id])]


def _numbered(talk: Conversation) -> dict[int, str]:
    """Return the buckets by their number, where no two have the same."""
    found: dict[int, list[str]] = {}
    for place in _buckets(talk):
        last = place.split()[-1]
        if last.isdigit():
            found.setdefault(int(last), []).append(place)
    return {number: places[0] for number, places in found.items() if len(places) == 1}


def _pairs(
    talk: Conversation, read: Understanding, stretches: Sequence[tuple[int, int]], *, sure: bool
) -> Iterator[Pair]:
    """Give the buckets and numbers of stretches of words, each bucket with the number behind it."""
    grammar, numbered = language(read.language).numbers, _numbered(talk)
    every = _buckets(talk)  # a bucket without its number is none of them
    spans = {s.start: s for s in read.names.get("equipment", ()) if s.value in every}
    inside = {i for start, end in stretches for i in range(start, end)}
    at, end, place = min(inside, default=0), max(inside, default=-1) + 1, ""
    start = at
    while at < end:
        if at not in inside:  # the verb
            at += 1
            continue
        if at in spans:
            if place:
                yield place, None
            place, at = spans[at].value, spans[at].end
            continue
        stop = at
        while stop in inside and (
            grammar.is_number_word(read.words[stop]) or grammar.is_numeral(read.words[stop])
        ):
            stop += 1
        if stop == at:
            at += 1
            continue
        article = (
            at > start and read.words[at - 1] in grammar.ONE and read.words[at - 1] not in ("one", "uno")
        )
        whole = _strip(grammar.values(read.words[at - article : stop]) or grammar.values(read.words[at:stop]))
        first = grammar.integers(read.words[at : at + 1])
        number = numbered.get(min(first), "") if first else ""
        rest = _strip(grammar.values(read.words[at + 1 : stop])) if stop > at + 1 else None
        if number and not (whole is not None and (place or sure)) and (stop == at + 1 or rest is not None):
            if place:
                yield place, None
            place, whole = number, rest
        if whole is not None:
            yield place, whole
            place = ""
        at = stop
    if place:
        yield place, None


def _strip(values: frozenset[Decimal]) -> Decimal | None:
    """Return the one number that a strip can show."""
    shown = [value for value in values if plausible(BUCKET, "ppm", value)]
    return shown[0] if len(shown) == 1 else None


def _spoken_of(talk: Conversation) -> str:
    """Return the bucket read last in this conversation, or the only one with an open action."""
    lines = talk.last_lines
    read = [line.now.subject for line in lines if talk.site.kind_of(line.now.subject) == BUCKET]
    opened = {line.entry.subject for line in talk.log.views.open_actions()}
    failed = [place for place in opened if talk.site.kind_of(place) == BUCKET]
    return read[-1] if len(set(read)) == 1 else failed[0] if len(failed) == 1 else ""


def _which(talk: Conversation, value: Decimal | None) -> Outcome:
    """Ask which bucket it is; the number of the strip waits with the question."""
    strip = (Measure("ppm", (value,), "ppm", 0, 0),) if value is not None else ()
    request = talk.request(CLOCK, Slots(measures=strip))
    waiting = Pending("slot", talk.clock.now(), "place", request)
    return Outcome(Answer("which"), CLOCK, request, pending=waiting)

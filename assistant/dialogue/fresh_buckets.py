"""Buckets made up fresh: which ones, and what the strip shows; both the change and the reading are logged."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from decimal import Decimal

from assistant.dialogue import lacking, recording
from assistant.dialogue.answer import Answer, Request, capital
from assistant.dialogue.clocks import STOPPED, clock_draft, running_clock
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports.times import ways
from assistant.dialogue.say import listed_in
from assistant.dialogue.slots import Slots
from assistant.dialogue.state import Pending
from assistant.dialogue.talking import talks
from assistant.dialogue.topic import topics
from assistant.logbook.entry import Draft
from intents.deed_marks import verbs_in
from intents.deeds import Deed
from intents.equipment_kinds import equipment_kinds, plausible
from intents.language import language
from intents.lexicon import Lexicon, Span
from intents.mentions import Measure, Understanding
from intents.readings import Reading

CLOCK, BUCKET, EMPTIED = "clock_bucket", "sanitizer_bucket", "emptied"
_BOTH = 2
_OF = "bucket_of"
"""What the question of which bucket keeps of its name."""
Pair = tuple[str, Decimal | None]


def told(talk: Conversation, heard: Heard, deed: Deed, *, alone: bool, said_at: str = "") -> Outcome | None:
    """Log the buckets that were changed with their readings; ask which one where none was told.

    Without a name it is the bucket spoken of last, if the breath says nothing else (``alone``).
    """
    every = _buckets(talk)
    if not every or any(talk.site.kind_of(place) not in (BUCKET, "") for place in deed.places):
        return None
    places, values, words = _named_in(talk, heard, deed, every)
    places = places or [place for place in deed.places if place in every]
    lexicon, said = talk.interpreter.lexicon, {*heard.interpretation.heard.words}
    every_one = len(places) > 1 and bool(said & lexicon.list("deed_all"))
    if every_one and _numbers_said(heard.interpretation.heard, lexicon) > 1:
        return None  # "all three, two hundred, two hundred and two fifty"
    each = every_one or bool(words & lexicon.list("deed_each"))
    if not places and not alone:
        return None
    unsure = False
    if not places:
        place = every[0] if len(every) == 1 else spoken_of(talk)
        if not place:
            anew = [value for _, value in _made_with(talk, heard, deed) if value is not None] or values
            return _which(talk, anew[0] if len(anew) == 1 else None, of=deed.places[:1])
        places = [place]
        unsure = bool(values) and _perhaps_another(talk, heard.interpretation.heard, deed, place)
    unsure = unsure or _or_a_time(talk, heard, deed, values) or _of_before(talk, heard)
    if len(set(values)) == 1 and (each or len(places) == len(values)):
        return made(talk, heard, [(place, values[0]) for place in places], ask=unsure, said_at=said_at)
    if values:
        return None  # whose number it is was not told
    return made(talk, heard, [(place, None) for place in places], said_at=said_at)


def _made_with(talk: Conversation, heard: Heard, deed: Deed) -> list[Pair]:
    """Return the buckets and numbers behind the verb: those of what was made, not of what was dumped."""
    behind = [(max(start, deed.end), end) for start, end in deed.spans if end > deed.end]
    return list(_pairs(talk, heard.interpretation.heard, behind, sure=True))


def with_buckets(talk: Conversation, heard: Heard) -> Heard:
    """Return what was heard with the buckets named in short with their number: "made floor two"."""
    read, every = heard.interpretation.heard, _buckets(talk)
    if not verbs_in(read.words, talk.interpreter.lexicon):
        return heard
    foods, places = read.names.get("food", ()), read.names.get("equipment", ())
    full = talk.interpreter.with_short_places(read).names["equipment"]
    short = (s for s in full if s.value in every and s.value.split()[-1].isdigit())
    short = (s for s in short if not any(s.overlaps(other) for other in (*foods, *places)))
    more = replace(read, names={**read.names, "equipment": tuple(sorted((*places, *short), key=_start))})
    return replace(heard, interpretation=replace(heard.interpretation, heard=more))


def _start(span: Span) -> int:
    return span.start


def _named_in(
    talk: Conversation, heard: Heard, deed: Deed, every: list[str]
) -> tuple[list[str], list[Decimal], set[str]]:
    """Return the buckets and the numbers of a deed's words, and these words."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    words = {word for start, end in deed.spans for word in read.words[max(start, 0) : end]}
    pairs = list(_pairs(talk, read, deed.spans, sure=deed.it or bool(spoken_of(talk))))
    places = list(dict.fromkeys(place for place, _ in pairs if place))
    both = bool(words & lexicon.list("deed_each")) and len(every) == _BOTH
    all_of_them = words & lexicon.list("deed_all") and words & lexicon.list("deed_all_buckets")
    if len(places) <= 1 and (family := _all_so_many(talk, read)):
        places = family
    elif (not places and both) or (len(places) <= 1 and all_of_them):
        places = _of_name(talk, read, every)
    return places, [value for _, value in pairs if value is not None], words


def _all_so_many(talk: Conversation, read: Understanding) -> list[str]:
    """Return the three buckets of one name after "all three changed", if one name has three."""
    grammar, all_ = language(read.language).numbers, talk.interpreter.lexicon.list("deed_all")
    after = [read.words[i + 1 : i + 2] for i, word in enumerate(read.words[:-1]) if word in all_]
    counts = {value for words in after for value in grammar.values(words)}
    families: dict[str, list[str]] = {}
    for place in _buckets(talk):
        families.setdefault(place.rstrip("0123456789 "), []).append(place)
    fit = [places for places in families.values() if len(places) in counts]
    return fit[0] if len(fit) == 1 else []


def _numbers_said(read: Understanding, lexicon: Lexicon) -> int:
    """Return how many numbers were said, that of "all three" left out."""
    numbers, all_ = language(read.language).numbers, lexicon.list("deed_all")
    there = [numbers.is_number_word(word) for word in read.words]
    begins = (
        i for i, number in enumerate(there) if number and (i in read.breaks or not any(there[i - 1 : i]))
    )
    return sum(not {*read.words[max(0, i - 1) : i]} & all_ for i in begins)


def _of_name(talk: Conversation, read: Understanding, every: list[str]) -> list[str]:
    """Return the buckets of the name that was said: "all the line buckets" are not the one for pastry."""
    shared = talk.interpreter.lexicon.list("deed_all_buckets") | talk.interpreter.lexicon.list("deed_buckets")
    said = {*read.words} - shared
    named = [place for place in every if said & {word for word in place.split() if not word.isdigit()}]
    return named or every


def emptied(talk: Conversation, heard: Heard, deed: Deed) -> Outcome | None:
    """Log buckets emptied and not made anew; asked which one where none was told or spoken of."""
    every = _buckets(talk)
    places, values, _ = _named_in(talk, heard, deed, every)
    if values and not {s.value for s in heard.interpretation.heard.names.get("equipment", ())} & {*every}:
        return None  # "drained both, ..., sani two fifty"
    if not places and every:
        one = every[0] if len(every) == 1 else spoken_of(talk)
        places = [one] if one else []
        if not one:
            return _which(talk, None, EMPTIED, deed.places[:1])
    return _emptied(talk, places)


def _emptied(talk: Conversation, places: Sequence[str]) -> Outcome | None:
    if not places or any(talk.site.kind_of(place) != BUCKET for place in places):
        return None
    drafts = []
    for place in places:
        running = running_clock(talk.log.views, talk.clock.now(), "sanitizer", place)
        ended = clock_draft("sanitizer", place, f"{STOPPED}: {EMPTIED}")
        drafts.append(ended if running else Draft(kind="event", subject=place, note=EMPTIED))
    named = listed_in(talk, [talk.shown(place) for place in places])
    return Outcome(Answer("emptied", {"place": capital(named)}, drafts=tuple(drafts)), CLOCK)


def _or_a_time(talk: Conversation, heard: Heard, deed: Deed, values: Sequence[Decimal]) -> bool:
    """True for "changed it at two thirty", which is a time to come or 230 ppm."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    grammar = language(read.language).numbers
    inside = {i for start, end in deed.spans for i in range(start, end)}
    told = {t for way in ways(read, lexicon, ()) for t in way if t.bare and inside & {*t.words}}
    now = lexicon.list("present_is")  # "it's at two thirty"
    told = {t for t in told if not now & {*read.words[max(0, t.start - 1) : t.start + 1]}}
    return any(set(values) & set(grammar.values(read.words[t.start + 1 : t.end])) for t in told)


def _of_before(talk: Conversation, heard: Heard) -> bool:
    """True for "changed it at ten, it was a hundred": what was dumped read so, or what was made."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    it, was, article = (lexicon.list(name) for name in ("still_it", "past_only", "deed_articles"))
    led = [[w for w in read.words[: m.start] if w not in article - it][-2:] for m in read.free_measures]
    return any({*words[:1]} & it and {*words[1:]} & was for words in led)


def _perhaps_another(talk: Conversation, read: Understanding, deed: Deed, place: str) -> bool:
    """True where a number stands beside what was done, or what was spoken of last holds a solution, too."""
    numbers = language(read.language).numbers
    inside = {i for start, end in deed.spans for i in range(start, end)}
    beside = any(numbers.is_number_word(w) for i, w in enumerate(read.words) if i not in inside)
    last = next((topic.name for topic in topics(talk) if talk.site.kind_of(topic.name)), place)
    other = last != place and "ppm" in equipment_kinds().get(talk.site.kind_of(last), {})
    return beside or other or _twice(read, deed.spans, place)


def _twice(read: Understanding, spans: Sequence[tuple[int, int]], place: str) -> bool:
    """True for "made a new one, two fifty" of bucket two: 250, or 50 in it."""
    grammar, number = language(read.language).numbers, place.split()[-1]
    for start, end in spans:
        for at in range(max(start, 0), end):
            if {str(value) for value in grammar.integers(read.words[at : at + 1])} == {number}:
                ends = [stop for stop, _ in grammar.numbers_from(read.words, at + 1)] if at + 1 < end else []
                rest = [_strip(grammar.values(read.words[at + 1 : stop])) for stop in ends]
                whole = _strip(grammar.values(read.words[at : max(ends)])) if ends else None
                return whole is not None and any(value is not None for value in rest)
    return False


def made(
    talk: Conversation, heard: Heard | None, pairs: list[Pair], *, ask: bool = False, said_at: str = ""
) -> Outcome:
    """Return the outcome that logs changed buckets, and what was read in those with a number.

    With ``ask`` the number is read back first.
    """
    requests = (replace(talk.request(CLOCK, Slots(places=(place,))), said_at=said_at) for place, _ in pairs)
    begun = [talk.ask(request) for request in requests]
    drafts = tuple(draft for each in begun for draft in each.drafts)
    readings = tuple(
        Reading(place, "equipment", value, "ppm", "ppm", said_at=said_at)
        for place, value in pairs
        if value is not None
    )
    if not readings:
        texts = [talk.rendered(each) for each in begun]
        return replace(begun[0], text=" ".join(texts), own_drafts=drafts, answer=begun[0].bare)
    if ask:
        taken = recording.confirm(talk, readings)
    elif heard is None:
        taken = recording.log(talk, readings)
    else:
        taken = recording.take(talk, readings, heard.read_as(readings))
    return replace(taken, own_drafts=(*drafts, *taken.own_drafts))


@talks(CLOCK)
def with_number(talk: Conversation, request: Request) -> Outcome | None:
    """Log the change with its reading, once it was asked which bucket it is; ``None`` without a reading.

    Buckets of one name are asked apart.
    """
    timed = bool(request.slots.clocks)  # a bare number may be the time's
    numbers = (m for m in request.slots.measures if m.kind == "ppm" or (m.kind == "number" and not timed))
    strip = next((m for m in numbers if _strip(frozenset(m.options)) is not None), None)
    every = _buckets(talk)
    places = [place for place in request.slots.places if talk.site.kind_of(place) == BUCKET]
    if EMPTIED in request.slots.concepts and places:
        return _emptied(talk, places[:1])
    alone = {item.id for item in talk.site.equipment if item.unnumbered}
    if len(every) > 1 and places and not set(places) & {*every, *alone}:
        return _which(talk, strip.value if strip is not None else None, of=tuple(places[:1]))
    if strip is None or len(places) != 1:
        return None
    return made(talk, None, [(places[0], strip.value)], said_at=request.said_at)


def named(talk: Conversation, request: Request, read: Understanding) -> tuple[str, ...]:
    """Return the bucket that "two" or "number two" names as an answer, of those that were asked about."""
    of = request.memory.get(_OF, "")
    pairs = list(_pairs(talk, read, [(0, len(read.words))], sure=False, of=of))
    return (pairs[0][0],) if len(pairs) == 1 and pairs[0][0] and pairs[0][1] is None else ()


def _buckets(talk: Conversation) -> list[str]:
    items = (item for item in talk.site.equipment if item.kind == BUCKET)
    return [place for item in items for place in ([f"{item.id} {n}" for n in item.numbers] or [item.id])]


def _numbered(talk: Conversation, of: str = "") -> dict[int, str]:
    """Return the buckets, or those ``of`` one name, by their number, where no two have the same."""
    found: dict[int, list[str]] = {}
    for place in _buckets(talk):
        last = place.split()[-1]
        if last.isdigit() and place.startswith(of):
            found.setdefault(int(last), []).append(place)
    return {number: places[0] for number, places in found.items() if len(places) == 1}


def _pairs(
    talk: Conversation,
    read: Understanding,
    stretches: Sequence[tuple[int, int]],
    *,
    sure: bool,
    of: str = "",
) -> Iterator[Pair]:
    """Give the buckets and numbers of stretches of words, each bucket with the number behind it."""
    grammar, numbered = language(read.language).numbers, _numbered(talk, of)
    lexicon = talk.interpreter.lexicon
    leads = lexicon.list("deed_buckets") | lexicon.list("deed_inside")
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
        while (
            stop in inside
            and (stop == at or stop not in read.breaks)
            and (grammar.is_number_word(read.words[stop]) or grammar.is_numeral(read.words[stop]))
        ):
            stop += 1
        if stop == at:
            at += 1
            continue
        joint = stop in inside and read.words[stop] in lexicon.list("deed_joints")
        ends = [end for end, _ in grammar.numbers_from(read.words, stop + 1)] if joint else []
        more = [end for end in ends if not read.over_break(stop, end)]
        whole_too = (grammar.values(read.words[first : max(more)]) for first in (max(at - 1, 0), at) if more)
        if any(_strip(values) is not None for values in whole_too):
            stop = max(more)  # "a hundred and ten each"
        article = (
            at > start and read.words[at - 1] in grammar.ONE and read.words[at - 1] not in ("one", "uno")
        )
        whole = _strip(grammar.values(read.words[at - article : stop]) or grammar.values(read.words[at:stop]))
        first = grammar.integers(read.words[at : at + 1])
        number = numbered.get(min(first), "") if first else ""
        rest = _strip(grammar.values(read.words[at + 1 : stop])) if stop > at + 1 else None
        led = at > start and read.words[at - 1] in leads  # "in two", "number one two sixty"
        alone = whole is None or (led and not place) or not (place or sure or rest is not None)
        alone = alone and not _counted(read, at, lexicon)
        if number and alone and (stop == at + 1 or rest is not None):
            if place:
                yield place, None
            place, whole = number, rest
        if whole is not None:
            yield place, whole
            place = ""
        at = stop
    if place:
        yield place, None


def _counted(read: Understanding, at: int, lexicon: Lexicon) -> bool:
    """True for the three of "ran three racks": several of what stands behind it, and of no bucket."""
    word = read.words[at + 1] if at + 1 < len(read.words) else ""
    ends = tuple(lexicon.list("plural_ending"))
    return len(word) > 2 and word.endswith(ends) and word not in lexicon.small()


def _strip(values: frozenset[Decimal]) -> Decimal | None:
    """Return the one number that a strip can show."""
    shown = [value for value in values if plausible(BUCKET, "ppm", value)]
    return shown[0] if len(shown) == 1 else None


def spoken_of(talk: Conversation) -> str:
    """Return the bucket that is spoken of, or that failed and waits; empty where several may be."""
    named = lacking.spoken_of(talk, (BUCKET,))
    return named[0] if len(named) == 1 else ""


def _which(talk: Conversation, value: Decimal | None, done: str = "", of: Sequence[str] = ()) -> Outcome:
    """Ask which bucket it is, ``of`` one name; the number of the strip is read back and waits with that."""
    strip = (Measure("ppm", (value,), "ppm", 0, 0),) if value is not None else ()
    request = talk.request(CLOCK, Slots(measures=strip, concepts=frozenset({done} - {""})))
    request = replace(request, memory={_OF: "".join(of)})
    waiting = Pending("slot", talk.clock.now(), "place", request)
    answer = Answer("which_strip", {"value": f"{value:f}"}) if value is not None else Answer("which")
    return Outcome(answer, CLOCK, request, pending=waiting)

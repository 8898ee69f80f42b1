"""A number told of a place that this kitchen lacks: "reach-in two" of one reach-in, "beer cooler at forty".

It never goes to another place in silence: what is known is said, and which place is meant is asked.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache

from assistant.dialogue import recording, which_place
from assistant.dialogue.answer import Answer
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.gate import Passage, fits_place, passage
from assistant.dialogue.hearing import Heard
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.policy import telling
from assistant.dialogue.reports.fits import reading_of
from assistant.dialogue.reports.said_at import when
from assistant.dialogue.reports.times import Way, ways
from assistant.dialogue.say import fill, worded
from assistant.dialogue.state import Pending
from assistant.dialogue.statements import asks
from assistant.dialogue.topic import Topic, can_be
from assistant.site import Equipment, load_site
from intents.language import language
from intents.lexicon import Finder, Lexicon, Span
from intents.meaning import Role
from intents.mentions import READ, Measure, Understanding
from intents.place_names import places_of
from intents.readings import Reading
from intents.tools import tools

_HOTTEST = 300
"""No place and no food reads more in a kitchen's round: the first digit was a place's number (judgement)."""
_TWO = 2
_SURELY = 0.95
"""From this share on words go on with what was asked before (judgement)."""
_MOST_NUMBER = 20
"""A greater number after a place is no number of a place."""


def report(talk: Conversation, heard: Heard) -> Outcome | None:
    """Ask which place is meant; ``None`` where every place is known or nothing was told of one."""
    read = heard.interpretation.heard
    last, best = talk.state.last_request, heard.interpretation.meaning.best
    if not read.words or asks(read) or talk.interpreter.places.neighbours(read.words):
        return None
    going_on = last is not None and best.intent == last.intent and best.share >= _SURELY
    if going_on and best.intent in telling().incidents:
        return None  # "and the salad bar's three meters": it goes on with what was asked
    return _numbered(talk, heard) or _of_family(talk, heard) or _called(talk, heard)


def _of_family(talk: Conversation, heard: Heard) -> Outcome | None:
    """Ask which of several is meant by "trolleys forty", where one number is told of all."""
    read, numbers = heard.interpretation.heard, language(talk.language).numbers
    if not talk.addressed or read.names.get("equipment") or len(read.free_measures) != 1:
        return None
    one = tuple(w if numbers.is_number_word(w) else w.removesuffix("s") for w in read.words)
    named = [s for s in talk.interpreter.places.find_longest(one) if one[s.end - 1] != read.words[s.end - 1]]
    readings = talk.interpreter.interpret(" ".join(one)).readings.certain if len(named) == 1 else ()
    asked = which_place.asked(talk, readings) if _sensible(talk, readings) else None
    return asked[1] if asked is not None else None


def _numbered(talk: Conversation, heard: Heard) -> Outcome | None:
    """Answer "reach-in two is at thirty eight" where there is one reach-in, or "low-boy five" of three."""
    read = heard.interpretation.heard
    options = heard.interpretation.readings.options
    if any(_sensible(talk, option) for option in options):
        return None  # "walk-in three eight" is thirty eight
    may_be_heard_wrong = any(r.value <= _HOTTEST for option in options for r in option)
    read_at, roles = talk.interpreter.lexicon.list("read_at"), heard.interpretation.meaning.roles
    times = [told for way in ways(read, talk.interpreter.lexicon, roles) for told in way]
    timed, surely = {t.start for t in times}, {i for t in times if not t.bare for i in t.words}
    for span in read.names.get("equipment", ()):
        item = talk.site.equipment_by_id(span.value)
        at = span.end + (read.words[span.end : span.end + 1] == ("number",))
        number = _number_at(read, at)
        if item is None or span.value != item.id or number is None or number in item.numbers:
            continue
        told = read_at & set(read.words[at + 1 : at + 2])
        left = any(m.end > at + 1 and m.end - 1 not in surely for m in read.free_measures)
        if not told and (may_be_heard_wrong or at + 1 in timed or not left):
            continue  # "walk-in one thirty eight", "larder three around one", "... power out at ten"
        rest = read.part((*range(span.end), *range(at + 1, len(read.words))))
        readings = talk.interpreter.interpret(rest).readings.certain
        if not any(r.subject == item.id for r in readings) or not _sensible(talk, readings):
            continue
        if len(item.numbers) < _TWO:
            return _only_one(talk, item, readings)
        return _several(talk, heard, item, readings)
    return None


def _number_at(read: Understanding, at: int) -> int | None:
    """Return the number of a place that stands alone in the word at ``at``."""
    if at >= len(read.words):
        return None
    values = language(read.language).numbers.values(read.words[at : at + 1])
    value = min(values) if len(values) == 1 else None
    return int(value) if value is not None and value in range(1, _MOST_NUMBER + 1) else None


def _only_one(talk: Conversation, item: Equipment, readings: tuple[Reading, ...]) -> Outcome:
    asked = recording.confirm(talk, readings)
    known = _words(talk, "only_one", place=talk.shown(item.id))
    return replace(asked, text=f"{known} {asked.text}")


def _several(talk: Conversation, heard: Heard, item: Equipment, readings: tuple[Reading, ...]) -> Outcome:
    """Ask which number is meant; what the same breath tells of other places is logged."""
    numbers = ", ".join(str(number) for number in item.numbers)
    text = _words(talk, "known_numbers", place=talk.shown(item.id), numbers=numbers)
    taken, asked = recording.take(talk, readings, heard), which_place.asked(talk, readings)
    question = asked[1].text if asked is not None else None
    every = frozenset(range(len(heard.interpretation.heard.words)))
    return replace(taken, text=talk.rendered(taken).replace(question or "", text), used=every)


def names(talk: Conversation, heard: Heard) -> list[tuple[int, int]]:
    """Return where the names of places stand that this kitchen lacks."""
    found = _unknown_names(talk, heard.interpretation.heard, heard.interpretation.meaning.roles)
    return [(begin, end) for begin, _, end in found]


def _called(talk: Conversation, heard: Heard) -> Outcome | None:
    """Answer "beer cooler at forty" and "the fish drawer's at forty one"."""
    read, roles = heard.interpretation.heard, heard.interpretation.meaning.roles
    unknown = list(_unknown_names(talk, read, roles))
    if len(unknown) == 1 and (only := _the_only(talk, read, unknown[0])) is not None:
        return only
    names = [(begin, end) for begin, _, end in unknown if _has_number(talk, read, begin, end)]
    found = [
        (told, left)
        for told in ways(read, talk.interpreter.lexicon, roles)
        if len(left := _left(read, told)) == 1
    ]
    told, numbers = max(found, key=lambda each: len(each[0]), default=((), []))
    at = when(next((each for each in told if each.part == "at"), None), talk.clock.now())
    if len(names) != 1 or not numbers or at.kind not in ("now", "told"):
        return None if unknown else _of_elsewhere(talk, heard)
    said = " ".join(read.words[numbers[0].start : numbers[0].end])
    options = where_read(talk, said, at.iso)
    text = _words(talk, "no_such_place", place=shown(talk, read.words[slice(*names[0])]))
    kinds = {reading.subject: talk.site.kind_of(reading.subject) for (reading,) in options}
    clear = bool(options) and passage(heard, options[0], kinds) is Passage.LOG
    waiting = Pending("choose", talk.clock.now(), options=options) if clear else None
    return Outcome(Answer("say_again"), recording.READING, text=text, pending=waiting)


def _left(read: Understanding, told: Way) -> list[Measure]:
    """Return the numbers that were read off, where the times are told so."""
    timed = {i for each in told for i in each.words}
    return [m for m in read.free_measures if m.kind in READ and m.start not in timed]


def where_read(talk: Conversation, words: str, said_at: str) -> tuple[tuple[Reading], ...]:
    """Return a number as a reading of each place where it can have been read."""
    now, options = talk.clock.now(), []
    for item in talk.site.places:
        for place in [f"{item.id} {number}" for number in item.numbers] or [item.id]:
            topic = Topic("equipment", place, now)
            reading = reading_of(talk, topic, words)
            if reading is not None and can_be(talk, topic, reading):
                options.append((replace(reading, said_at=said_at),))
    return tuple(options)


@cache
def _elsewhere(code: str) -> Finder:
    """Return what finds the names of two words and more that kitchens give their places."""
    named = places_of(code, load_site().spoken_equipment())
    return Finder("equipment", ((n, place) for n, place in named if " " in n and not place[-1].isdigit()))


def _of_site(talk: Conversation, read: Understanding) -> tuple[Span, ...]:
    """Return where places of the site are named, in short and to be compared with, too."""
    named = (span for kind in ("equipment", "compared") for span in read.names.get(kind, ()))
    return (*named, *talk.interpreter.in_short(read.words))


def _names_elsewhere(talk: Conversation, read: Understanding) -> Iterator[tuple[int, int]]:
    """Give where a place is named in full that other kitchens have, and this one by no name as long."""
    own = _of_site(talk, read)
    for span in _elsewhere(talk.language).find_longest(read.words):
        length = span.end - span.start
        if not any(s.overlaps(span) and s.end - s.start >= length for s in own):
            yield span.start, span.end


def _of_elsewhere(talk: Conversation, heard: Heard) -> Outcome | None:
    """Say that a place is not here whose like is not, either: "dish machine one sixty" in a bar."""
    read = heard.interpretation.heard
    told = any(measure.kind in READ for measure in read.free_measures)
    named = list(_names_elsewhere(talk, read))
    if not told or len(named) != 1 or heard.interpretation.readings.options:
        return None
    if not (_has_number(talk, read, *named[0]) or _goes_on(talk, read, named[0][1])):
        return None
    text = _words(talk, "no_such_place", place=shown(talk, read.words[slice(*named[0])]))
    return Outcome(Answer("say_again"), recording.READING, text=text)


def _the_only(talk: Conversation, read: Understanding, name: tuple[int, int, int]) -> Outcome | None:
    """Read back "big walk-in thirty six" as the only walk-in; "beer cooler" names another."""
    begin, noun, _ = name
    words, vague = read.words[begin:noun], talk.interpreter.lexicon.list("short_never")
    if not words or not {*words} <= vague:
        return None
    rest = read.part((*range(begin), *range(noun, len(read.words))))
    readings = talk.interpreter.interpret(rest).readings.certain
    return recording.confirm(talk, readings) if len(readings) == 1 and _sensible(talk, readings) else None


def unknown_name(talk: Conversation, heard: Heard) -> str:
    """Return the place elsewhere that a number is said of ("walk in" where there is none), or nothing."""
    read, roles = heard.interpretation.heard, heard.interpretation.meaning.roles
    for begin, _, end in _unknown_names(talk, read, roles):
        if _has_number(talk, read, begin, end):
            return shown(talk, read.words[begin:end])
    told = {i for m in read.measures for i in range(m.start, m.end)}
    used = tools(read, talk.site.kind_of, talk.interpreter.lexicon)
    water = {s.start: s.end for s in read.spans("place_water")}
    told |= {i for start, end in (*used.items(), *water.items()) for i in range(start, end)}
    heard_so = [i for i, role in enumerate(roles) if role == "place" and i not in told]
    for first in (i for i in heard_so if i - 1 not in heard_so):
        last = next(i for i in range(first, len(read.words)) if i + 1 not in heard_so)
        if len(roles) == len(read.words) and _has_number(talk, read, first, last + 1):
            return shown(talk, read.words[first : last + 1])
    return ""


def _has_number(talk: Conversation, read: Understanding, begin: int, end: int) -> bool:
    """True for a name right beside a number in one clause, no "plumber did it, ninety eight now"."""
    small = talk.interpreter.lexicon.small("read_at", "short_small", "prepositions")
    gaps = [
        (end, m.start) if end <= m.start else (m.end, begin) for m in read.free_measures if m.kind in READ
    ]
    clear = (pair for pair in gaps if not read.breaks & {*range(pair[0], pair[1] + 1)})
    return any({*read.words[low:high]} <= small for low, high in clear)


def _goes_on(talk: Conversation, read: Understanding, end: int) -> bool:
    """True for "the box next to it, the one with eggs, is forty": nothing else is named up to the number."""
    number = next((m.start for m in read.free_measures if m.kind in READ and m.start >= end), end)
    others = (*read.names.get("food", ()), *read.names.get("equipment", ()), *read.spans("place_water"))
    led = talk.interpreter.lexicon.list("read_with")
    named = (s.start for s in others if end <= s.start < number)
    return number > end and all(read.words[at - 1] in led for at in named)


def _unknown_names(
    talk: Conversation, read: Understanding, roles: tuple[Role, ...]
) -> Iterator[tuple[int, int, int]]:
    """Give begin, noun and end of each name that has a place's noun and more than this kitchen says.

    What more may be said is in a list, or the net hears it as part of the place.
    """
    lexicon = talk.interpreter.lexicon
    others = {i for s in read.names.get("person", ()) for i in range(s.start, s.end)}
    others |= {
        i for m in read.measures for i in range(m.start, m.end + 1)
    }  # "five below, freezer two's three below"
    others |= {i for clock in read.clocks for i in range(clock.start, clock.end)}  # "a la 1:30 refri"
    small, articles = lexicon.small(), lexicon.list("deed_articles")  # "the" fish drawer
    heard = {
        i
        for i, word in enumerate(read.words)
        if len(roles) == len(read.words) and roles[i] == "place" and word not in small and i not in others
    }
    places = _of_site(talk, read)
    foods = {s.end: s.start for s in read.names.get("food", ())}
    for noun, end in _nouns(read.words, lexicon.list("place_nouns")):
        begin = noun - 1 if noun - 1 in heard and noun not in {*foods, *read.breaks} else noun
        modifiers = lexicon.list("place_modifiers")
        while begin and begin not in read.breaks and (begin in foods or read.words[begin - 1] in modifiers):
            begin = foods.get(begin, begin - 1)
        begin = next((i for i in range(begin, noun) if read.words[i] not in articles), noun)
        whole = _reaching_on(read, end, lexicon)
        vague = {*read.words[begin:noun]} <= lexicon.list("short_never")  # "left" of two with numbers
        numbered = {item.id for item in talk.site.places if len(item.numbers) > 1}
        known = any(s.start <= begin and whole <= s.end for s in places)
        known |= vague and any(s.start == noun and whole <= s.end and s.value in numbered for s in places)
        alone = end - noun > 1 or " ".join(read.words[noun:end]) in lexicon.list("place_nouns_alone")
        bare = begin == noun and whole == end and not alone
        compared = talk.interpreter.places.compared(read.words, noun)
        if not (known or bare or compared):
            yield begin, noun, whole


def _reaching_on(read: Understanding, end: int, lexicon: Lexicon) -> int:
    """Return the end of a name whose kind is said after its noun ("refri del bar", "nevera de cerveza")."""
    after, joins = lexicon.list("place_modifiers_after"), lexicon.list("place_joins")
    foods = {s.start: s.end for s in read.names.get("food", ())}
    at = end
    while at < len(read.words) and read.words[at] in joins:
        at += 1
    if at > end and at in foods:
        return foods[at]
    return at + 1 if at < len(read.words) and read.words[at] in after else end


def _nouns(words: tuple[str, ...], nouns: frozenset[str]) -> Iterator[tuple[int, int]]:
    """Give where each noun of a place begins and ends, one of two words ("walk in") before one of one."""
    for end in range(1, len(words) + 1):
        length = next((n for n in (2, 1) if n <= end and " ".join(words[end - n : end]) in nouns), 0)
        if length:
            yield end - length, end


def shown(talk: Conversation, words: tuple[str, ...]) -> str:
    """Return a name without the small words before it ("the fish drawer")."""
    lexicon = talk.interpreter.lexicon
    small = lexicon.links - lexicon.list("place_modifiers")
    first = next((i for i, word in enumerate(words) if word not in small), 0)
    return " ".join(words[first:])


def _sensible(talk: Conversation, readings: tuple[Reading, ...]) -> bool:
    kinds = {place: talk.site.kind_of(place) for r in readings for place in (r.subject, r.place)}
    return bool(readings) and all(fits_place(reading, kinds) for reading in readings)


def _words(talk: Conversation, key: str, **values: str) -> str:
    template = talk.catalogue[recording.READING].replies[key]
    return fill(template, worded(dict(values), talk.catalogue))

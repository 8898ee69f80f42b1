"""Whose a number is, where no grammar reads it: what the words may name, and what the talk is about.

"Number two", "the big one" and "the trolley" may be several places, and "it's five now" names none. Every
number gets what is named beside it, else what was talked about. What can read so much, what the round asks
for, what waits for a number and what was spoken of last decide, in this order; where several are left, it is
asked which. What is not said in plain words is read back.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import timedelta
from itertools import pairwise, product
from typing import TYPE_CHECKING

from assistant.dialogue import implied, recording, which_place
from assistant.dialogue.hearing import Heard
from assistant.dialogue.implied import MEASURED
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports.counted import counts, not_read, of_all, without_count
from assistant.dialogue.reports.fits import (
    JUST_NOW,
    Fits,
    can_read,
    likeliest,
    unnamed,
    waiting,
)
from assistant.dialogue.reports.mentioned import Mention, joined, mentioned, tool_words
from assistant.dialogue.reports.said_at import When, when
from assistant.dialogue.reports.time_of import times_of
from assistant.dialogue.reports.times import Way, ways
from assistant.dialogue.statements import wished
from assistant.dialogue.topic import ASPECTS, Topic, told_at
from intents.interpret import BOUND
from intents.language import language
from intents.meaning import Role
from intents.mentions import READ, Measure, Understanding
from intents.not_measured import counts_things, names_thing, not_measured
from intents.number_roles import may_differ, words_of_others
from intents.siblings import of_a_list

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

_TELLS_A_NUMBER = (
    "reading", "cooling_check", "cook_done", "food_place", "probe_off", "receive_check", "holding_check",
    "reheat_check", "log_value", "date_day", "strip_between",
)  # fmt: skip
"""Intents that the net may hear in a number that was measured."""
_TOLD, _LEAST_TOLD, _SURELY = 0.5, 0.2, 0.8
"""Shares of telling, and of a reading, from which words beside a number are remarks on it (judgement)."""
_EARLY = 4
"""Overheard, a number of nothing named that stands later in the words belongs to a story (judgement)."""
_TWO, _MOST_NUMBERS, _FEW = 2, 4, 5
_AGAINST = ("takes_back", "wished")
"""Lists of words that turn a report round."""
_MEANT = 0.5
"""From this share on the net has heard another kind of report (judgement)."""
_NOT_OURS = ("receive_check", "correction", "round_skip", "not_done")
"""Intents of numbers that are told in another way: of deliveries, of what was wrong, of what is to come."""
_THINGS = ("not_food", "place_water")
"""Concepts of things that have a number of their own, and are neither foods nor places."""
_A_TURN = timedelta(seconds=2)
"""What a turn logged is a little older than what it named last."""


@dataclass(frozen=True, slots=True)
class _Found:
    """The numbers told, each with what it can be of, when it was, and how plainly it is said.

    ``strict``: nothing else is said. ``whole``: every place and food said has its number, in its full name.
    """

    fits: tuple[Fits, ...]
    at: tuple[When, ...]
    clear: bool  # no time may be of another number, or another hour
    strict: bool
    named: bool
    first: int
    whole: bool = False


def report(
    talk: Conversation, heard: Heard, *, batches_only: bool = False, unnamed: bool = False
) -> Outcome | None:
    """Return what is done with numbers of what is named in short or was talked about; ``None`` for others.

    With ``unnamed`` only of what was talked about, or of a batch that cools.
    """
    read, called = heard.interpretation, talk.addressed
    if read.readings.options or read.heard.asks or not read.heard.words or not _tells(talk, heard):
        return None
    if not (called or talk.state.recent(talk.clock.now())):
        return None
    found = next(_found(talk, heard, batches_only=batches_only), None)
    if found is None or (unnamed and _of_a_name(found)):
        return None
    said_to_us = called and read.meaning.talk < _TOLD
    if _of_a_name(found) and not said_to_us:
        return None
    if _of_a_name(found) and _turned_round(talk, heard, remarks=not _surely_a_reading(heard)):
        return None
    if any(len(fits) > 1 for fits in found.fits):
        return _ask(talk, found)
    pairs = zip(found.fits, found.at, strict=True)
    readings = tuple(replace(fits[0][1], said_at=at.iso) for fits, at in pairs)
    doubted = not found.clear or may_differ(read.heard)
    if doubted or not (called and _surely(talk, heard, found)):
        taken = recording.confirm(talk, readings)
    else:
        taken = recording.take(talk, readings, heard.read_as(readings))
    return taken


def _of_a_name(found: _Found) -> bool:
    return found.named and not all(topic.batch for fits in found.fits for topic, _ in fits)


def _opens_with_number(talk: Conversation, heard: Heard) -> bool:
    """True for "sixty six, crap" and "it's at forty, done": a number first, few words, nothing named."""
    said, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    present = {*said.words[:1]} & lexicon.list("present_is") and {*said.words[1:2]} & lexicon.list("read_at")
    first = any(m.kind in READ and m.start <= (_TWO if present else 1) for m in said.free_measures)
    return first and len(said.words) <= _FEW and not any(said.names.values())


def _tells(talk: Conversation, heard: Heard) -> bool:
    """True where a number was told, and not in a way that others take."""
    read, meaning = heard.interpretation, heard.interpretation.meaning
    another = meaning.best.intent in _NOT_OURS and meaning.best.share >= _MEANT
    share = max((g.share for g in meaning.guesses if g.intent == recording.READING), default=0.0)
    if another or read.heard.text.strip().endswith("?"):
        return False
    tells = meaning.share_of("tell", "answer", "amend") >= _TOLD
    tells = tells or (talk.addressed and _opens_with_number(talk, heard))
    return tells or share >= _LEAST_TOLD or (read.best is not None and read.best.intent in _TELLS_A_NUMBER)


def _surely_a_reading(heard: Heard, *more: str) -> bool:
    """True where the net hears a reading and nothing else: "that's not good" behind it is a remark."""
    meaning, meant = heard.interpretation.meaning, (recording.READING, *more)
    share = sum(guess.share for guess in meaning.guesses if guess.intent in meant)
    return meaning.best.intent in meant and min(share, meaning.share_of("tell", "answer")) >= _SURELY


def _turned_round(talk: Conversation, spoken: Heard, *, remarks: bool = True) -> bool:
    """True where words tell that a number was not measured, or take it back.

    Without ``remarks`` those that may as well be one ("that's not good") do not count.
    """
    heard, lexicon = spoken.interpretation.heard, talk.interpreter.lexicon
    harmless = lexicon.links if remarks else lexicon.links | lexicon.list("of_remarks")
    against = any(set(heard.words) & (lexicon.list(name) - harmless) for name in _AGAINST)
    return against or not_measured(heard, lexicon)


def tells_otherwise(talk: Conversation, heard: Heard) -> bool:
    """True where nobody tells a number, it is to be reached, or words turn it round."""
    said = heard.interpretation.heard
    turned = _turned_round(talk, heard, remarks=not _surely_a_reading(heard))
    return turned or not _tells(talk, heard) or any(wished(said, m) for m in said.free_measures)


def _found(talk: Conversation, heard: Heard, *, batches_only: bool) -> Iterator[_Found]:
    """Give the ways in which every number has something that it can be of; those in plain words first."""
    found = [
        f for way in times_told(talk, heard) if (f := _one_way(talk, heard, way, batches_only)) is not None
    ]
    yield from sorted(found, key=lambda f: not f.strict)


def times_told(talk: Conversation, heard: Heard) -> tuple[Way, ...]:
    """Return the ways to hear the times that were told."""
    return ways(heard.interpretation.heard, talk.interpreter.lexicon, heard.interpretation.meaning.roles)


def _one_way(talk: Conversation, heard: Heard, way: Way, batches_only: bool) -> _Found | None:
    said = heard.interpretation.heard
    if any(told.part == "ahead" for told in way):
        return None  # "thirty eight by four" is to come
    mentions = mentioned(talk, heard, way)
    numbers = numbers_told(talk, heard, way, mentions)
    if any(m.start < each.end < m.end for each in mentions for m in said.measures):
        return None  # "quat bucket two hundred": no number is cut in two for a name
    if not numbers or len(numbers) > _MOST_NUMBERS:
        return None
    places = [(number.start, number.end) for number in numbers]
    timed = times_of(way, said, places, talk.interpreter.lexicon)
    at = tuple(when(timed.of.get(place), talk.clock.now()) for place in places)
    clear = timed.sure and len({each.iso for each in at}) == 1 and not any(each.others for each in at)
    if timed.torn or any(each.kind not in ("now", "told") for each in at):
        return None
    fits, each_at, used = list[Fits](), list[When](), set[int]()
    for i, number in enumerate(numbers):
        begin = numbers[i - 1].end if i else 0
        until = numbers[i + 1].start if i + 1 < len(numbers) else len(said.words)
        free = [m for m in mentions if m.start not in used]
        beside = _beside(talk, said, free, number, begin, until)
        if not beside and len(numbers) > 1 and (i or not waiting(talk) or number.start > _TWO):
            return None  # "thirty nine now, and the yoghurt is forty"
        if any(of_a_list(said.words, m.end, number.start, talk.interpreter.lexicon) for m in beside):
            return None  # "freezers one and two"
        of_aspect = _aspect(said, begin, number)
        words = " ".join(said.words[i] for i in (*of_aspect, *range(number.start, number.end)))
        for can in [m.can_be for m in beside] or [unnamed(talk, said.words)]:
            can = tuple(t for t in can if t.batch or not batches_only)
            can = tuple(t for t in can if not implied.of_another_chemical(talk, said, t.name))
            fitting = likeliest(talk, can_read(talk, can, words), named=bool(beside))
            if not fitting:
                return None
            fits.append(fitting)
            each_at.append(at[i])  # one number of two foods has one time
        used |= {*of_aspect, *range(number.start, number.end)}
        used |= {i for m in beside for i in range(m.start, m.end)}
    used |= {i for told in way for i in told.words}
    used |= {i for s in said.concepts if s.value == "note_again" for i in range(s.start, s.end)}
    small = _small(talk)
    strict = all(i in used or word in small for i, word in enumerate(said.words))
    taken = [m for m in mentions if m.start in used]
    if any(m not in taken and (not m.sure or joined(talk, said.words, numbers[-1].end, m)) for m in mentions):
        return None  # "low-boy one is forty and two is fine"
    if not taken and not strict and _of_a_story(talk, heard, numbers[0].start):
        return None
    strict = strict and all(m.sure for m in taken)
    full = {(s.start, s.end) for kind in ("equipment", "food") for s in said.names.get(kind, ())}
    names = {topic.name for m in taken for topic in m.can_be}
    behind = numbers[-1].end if all(not m.food for m in taken) else len(said.words)
    left = [m for m in mentions if m not in taken and not (m.food and m.start >= behind)]
    open_ = [m for m in left if not _said_already(talk, m, names)]  # "... and i tossed two pounds of ham"
    whole = not open_ and len(fits) == len(taken) and any((m.start, m.end) in full for m in taken)
    return _Found(tuple(fits), tuple(each_at), clear, strict, bool(taken), numbers[0].start, whole)


def _said_already(talk: Conversation, mention: Mention, names: set[str]) -> bool:
    """True for a place that has its number elsewhere in the words, and for the probe it was read with."""
    can = {topic.name for topic in mention.can_be}
    return can <= names or {talk.site.kind_of(name) for name in can} == {"probe"}


def numbers_told(talk: Conversation, heard: Heard, way: Way, mentions: list[Mention]) -> list[Measure] | None:
    """Return the numbers outside times and names that were read off; ``None`` where one is a bound."""
    said, roles = heard.interpretation.heard, heard.interpretation.meaning.roles
    touched = {i for span in said.concepts if span.value.startswith(BOUND) for i in (span.end, span.end + 1)}
    timed = {i for told in way for i in told.words}
    named = {i for m in mentions for i in range(m.start, m.end)}
    named |= of_all(said.words, talk.interpreter.lexicon) | tool_words(talk, said) | words_of_others(said)
    spoken = talk.interpreter.readings_of(said.masked(named)).heard
    measured = [without_count(spoken, m) for m in spoken.measures if m.start not in timed]
    bounds = {
        i for q in said.quantities if q.marker in ("over", "under", "of")
        for i in range(q.start, q.end)
    }  # fmt: skip
    found, lexicon = [], talk.interpreter.lexicon
    for m in measured:
        alone = m.end - m.start == len(said.words)  # "thirty eight": the net has nothing to tell by
        role: Role = roles[m.start] if len(roles) == len(said.words) and not alone else "value"
        bound = m.start in bounds or m.start in touched
        cut = runs_on(talk, said.words, m.end)
        doubtful = len(m.options) > 1 or bound or cut or counts_things(said, m.end, lexicon)
        named_so = names_thing(said, m, lexicon) or counts(said, role, m.end)
        if m.kind not in READ or named_so or not_read(said, role, m.start, lexicon):
            continue  # "all three racks"
        if doubtful:
            return None
        found.append(m)
    return found


def _aspect(said: Understanding, begin: int, number: Measure) -> tuple[int, ...]:
    """Return the words before a number that tell what was measured ("wash is one forty eight")."""
    spans = [s for s in said.concepts if s.value.removeprefix(MEASURED) in ASPECTS]
    return tuple(
        i for s in spans[:1] if begin <= s.start and s.end <= number.start for i in range(s.start, s.end)
    )


def runs_on(talk: Conversation, words: tuple[str, ...], end: int) -> bool:
    """True where a number goes on behind its end: the last word of "two hundred and one hundred"."""
    grammar, follows = language(talk.language).numbers, words[end : end + 1]
    return any(map(grammar.is_number_word, follows)) and not grammar.numbers_from(words, end)


def _beside(
    talk: Conversation,
    said: Understanding,
    mentions: list[Mention],
    number: Measure,
    begin: int,
    until: int,
) -> list[Mention]:
    """Return what is named before a number, else behind it after a preposition ("four in the big one").

    Several share it where the words say so ("shrimp and beans both one seventy").
    """
    lexicon, words = talk.interpreter.lexicon, said.words
    before = [m for m in mentions if begin <= m.start and m.end <= number.start]
    if before:
        named = [m for m in before if not m.food] or before
        each = {tuple(phrase.split()) for phrase in lexicon.list("plural_each")}
        between = words[named[0].end : number.start]
        both = any(between[i : i + n] in each for n in (1, 2) for i in range(len(between)))
        if both:
            return named
        return [named_for(talk, said, named, number.start)]  # "from the rail to the drawer"
    behind = [m for m in mentions if number.end <= m.start and m.end <= until and not m.food]
    small = lexicon.small("prepositions")
    for mention in behind[:1]:
        between = words[number.end : mention.start]
        if set(between) & lexicon.list("prepositions") and set(between) <= small:
            return [mention]
    return []


def named_for(talk: Conversation, said: Understanding, named: list[Mention], at: int) -> Mention:
    """Return which of the names before it a number is of: the last place, the first food.

    "Rice pudding for tea" is no tea, but "the chicken's done, the beef's at ..." tells of the beef.
    """
    lexicon, last, words = talk.interpreter.lexicon, named[-1], said.words
    between, before = {*words[last.end : at]}, {*words[max(0, last.start - 2) : last.start]}
    its_own = between and between <= lexicon.list("read_at") and not before & lexicon.list("deed_from")
    its_own = its_own or (last.food and last.start in said.breaks)  # "soup's the same, gravy's down, ..."
    return last if not named[0].food or its_own else named[0]


def _of_a_story(talk: Conversation, heard: Heard, first: int) -> bool:
    """True where a number of nothing named stands beside a person or a place not known here, or late."""
    read = heard.interpretation
    roles = read.meaning.roles if len(read.meaning.roles) == len(read.heard.words) else ()
    late = first > _EARLY and not talk.addressed
    return (
        bool(read.heard.names.get("person"))
        or late
        or "place" in roles[:first]
        or of_something_else(talk, heard, first)
    )


def of_something_else(talk: Conversation, heard: Heard, first: int) -> bool:
    """True where a number's own words say what it is of ("water is twenty two"): nothing spoken of before."""
    said, roles = heard.interpretation.heard, heard.interpretation.meaning.roles
    if len(roles) != len(said.words):
        return False
    small = _small(talk) | talk.interpreter.lexicon.list("batch_containers")
    heard_so = {i for i in range(first) if roles[i] == "food" and said.words[i] not in small}
    ends = (s.end for s in said.concepts if s.value in _THINGS and first - _TWO <= s.end <= first)
    it = talk.interpreter.lexicon.list("still_it")  # "new water, now it's three hundred"
    return bool(heard_so) or any(not it & {*said.words[end:first]} for end in ends)


def _ask(talk: Conversation, found: _Found) -> Outcome | None:
    """Ask which of several is meant."""
    every = tuple(product(*found.fits))
    apart = tuple(way for way in every if len({topic for topic, _ in way}) == len(way))
    can = apart if len(apart) > 1 else every
    options = tuple(
        tuple(replace(r, said_at=at.iso) for (_, r), at in zip(way, found.at, strict=True)) for way in can
    )
    _, which = which_place.between(talk, options) if found.named else (options, None)
    return which or recording.ask_which(talk, options)


def _surely(talk: Conversation, heard: Heard, found: _Found) -> bool:
    """True where nothing has to be read back: all is plain, and what has no name waits for its number."""
    if _of_a_name(found):
        waits = {topic.name for topic in waiting(talk)}  # "chicken's away back on, one sixty eight now"
        due = all(topic.name in waits for fits in found.fits for topic, _ in fits)
        told = found.whole and (due or _surely_a_reading(heard))
        return found.strict or (told and not _turned_round(talk, heard))
    if found.named:
        return True  # a batch that cools, by its food
    said, lexicon = heard.interpretation.heard.words, talk.interpreter.lexicon
    pans = lexicon.list("batch_containers") | lexicon.list("batch_one")
    if any(one in lexicon.list("points_other") and two in pans for one, two in pairwise(said)):
        return False  # "other pan's sixty nine": not of what was read last
    topic = found.fits[0][0][0]
    its = ("cooling_check",) if topic.batch else ()
    told = found.strict or found.first == 0 or _told_now(talk, heard) or _surely_a_reading(heard, *its)
    return told and (topic.waits or _just_named(talk, topic))


def _just_named(talk: Conversation, topic: Topic) -> bool:
    """True for a place named just now of which nothing was logged since."""
    named = talk.state.places_at
    since = (line for line in talk.last_lines if named is None or told_at(line) >= named - _A_TURN)
    read = any(line.now.subject == topic.name for line in since)
    return topic.kind == "equipment" and not read and talk.clock.now() - topic.at <= JUST_NOW


def _told_now(talk: Conversation, heard: Heard) -> bool:
    said, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    opened = set(said.words[:_TWO]) & (lexicon.list("present_is") | lexicon.list("told_now"))
    return bool(opened) or said.has("now_word", "note_again") or said.words[0] in lexicon.list("read_at")


def _small(talk: Conversation) -> frozenset[str]:
    return talk.interpreter.lexicon.small("short_small", "read_at")

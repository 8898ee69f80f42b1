"""A reading is a core with modifiers and times around it: every way to find the core, the likeliest first."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from assistant.dialogue.reports.modifiers import Around, Does, around
from assistant.dialogue.reports.time_of import places_of, times_of
from assistant.dialogue.reports.times import Told, Way, ways, without
from intents.interpret import Interpretation, Interpreter, told_anew
from intents.lexicon import Lexicon
from intents.meaning import Role
from intents.mentions import Understanding
from intents.number_roles import left_out, only_differs
from intents.readings import Reading

Readings = tuple[Reading, ...]
_TIMES: frozenset[Role] = frozenset({"at", "since", "span"})
_NUMBERS: frozenset[Role] = frozenset({"value", "limit", "place", "count"})


@dataclass(frozen=True)
class Report:
    """What was read, with what stood around it.

    ``options`` are the ways in which ``core`` reads. ``against`` counts the words that the net hears
    otherwise: a time as a number, or a number as a time. ``loose`` cores hold words that are not known,
    ``between`` of them between names and numbers. ``of``: which readings of each option the time is of;
    not ``sure``: it may be of others, or of none.
    """

    core: Interpretation
    told: Way = ()
    around: tuple[Around, ...] = ()
    against: int = 0
    loose: bool = False
    between: int = 0
    of: tuple[frozenset[int], ...] = ()
    sure: bool = True

    @property
    def options(self) -> tuple[Readings, ...]:
        """The ways in which the core reads."""
        return self.core.readings.options

    @property
    def at(self) -> Told | None:
        """The time that it was, if one was told."""
        return next((told for told in self.told if told.part == "at"), None)

    @property
    def since(self) -> Told | None:
        """Since when, or for how long, it has been so."""
        return next((told for told in self.told if told.part in ("since", "span")), None)

    def has(self, *does: Does) -> bool:
        """True when a modifier of one of these kinds stands around the core."""
        return any(each.does in does for each in self.around)


def reports(
    read: Interpretation, interpreter: Interpreter, sensible: Callable[[Readings], bool]
) -> tuple[Report, ...]:
    """Return the ways in which an utterance is a report of readings, the likeliest first.

    ``sensible`` tells whether numbers make sense for their places. Reports that read alike, with the
    same times, come once. Several with as little against them are open: the cook has to be asked.
    """
    lexicon, heard = interpreter.lexicon, read.heard
    if only_differs(heard) or left_out(heard) is None:
        return ()
    roles = read.meaning.roles if len(read.meaning.roles) == len(heard.words) else ()
    marks = around(heard, lexicon)
    found: dict[tuple[object, ...], Report] = {}
    for of_words in (_report, _loose):
        for way in ways(heard, lexicon, roles):
            if (report := of_words(read, interpreter, way, marks)) is not None:
                aside = {i for mark in report.around for i in mark.words}
                made = _timed(report, way, aside, heard, lexicon)
                if made is not None:
                    made = replace(made, against=_against(heard, lexicon, roles, way))
                    found.setdefault((made.options, made.told), made)
        if found:
            break
    return tuple(sorted(found.values(), key=lambda r: (not any(map(sensible, r.options)), r.against)))


def _timed(
    report: Report, way: Way, aside: set[int], heard: Understanding, lexicon: Lexicon
) -> Report | None:
    """Return a report with the times of its readings, not those of other clauses and of asides.

    ``None`` where what is told of a time is not what the named place reads.
    """
    way = tuple(told for told in way if told.part != "at" or not aside & set(told.words))
    of, kept, sure = list[frozenset[int]](), set[Told](), True
    for option in report.options:
        places = places_of((r.value for r in option), way, heard)
        timed = times_of(way, heard, [place for place in places if place is not None], lexicon)
        if timed.torn:
            return None
        of.append(frozenset(i for i, place in enumerate(places) if place is None or place in timed.of))
        kept |= {*timed.of.values()} if any(places) else {*way}
        sure = sure and timed.sure
    told = tuple(told for told in way if told.part != "at" or told in kept)
    return replace(report, told=told, of=tuple(of), sure=sure)


def _report(
    read: Interpretation, interpreter: Interpreter, way: Way, marks: tuple[Around, ...]
) -> Report | None:
    """Return the core that remains without the times of ``way`` and, where needed, without modifiers."""
    times = [told.words for told in way]
    if not way and read.readings.options:
        beside = set(read.beside)  # left out already, but "the thermometer is broken" counts
        return Report(read, (), tuple(mark for mark in marks if beside & set(mark.words)))
    apart = tuple(m for m in marks if not any(set(m.words[: m.head - m.start]) & set(t) for t in times))
    for tried in _tries(apart, read, way, interpreter.lexicon):
        words = without(read.heard, [*times, *(m.words for m in tried)])
        core = interpreter.readings_of(words) if words else None
        if core is not None and core.readings.options:
            return Report(core, way, tried)
    return None


def _loose(
    read: Interpretation, interpreter: Interpreter, way: Way, marks: tuple[Around, ...]
) -> Report | None:
    """Return a core by its names and numbers, whatever stands around them."""
    words, roles = read.heard.words, read.meaning.roles
    times = [told.words for told in way]
    clear = tuple(m for m in marks if not any(set(m.words) & set(t) for t in times))
    gone = {i for span in (*times, *(m.words for m in clear)) for i in span}
    kept = [i for i in range(len(words)) if i not in gone]
    if not kept or len(roles) != len(words):
        return None
    core, between = interpreter.loosely(read.heard.said(kept), tuple(roles[i] for i in kept))
    if not core.readings.options:
        return None
    return Report(core, way, clear, loose=True, between=between)


def _tries(
    marks: tuple[Around, ...], read: Interpretation, way: Way, lexicon: Lexicon
) -> Iterator[tuple[Around, ...]]:
    """Give the modifiers to leave out: none, what the net hears beside, all, all of a phrase, each alone."""
    yield ()
    past = lexicon.list("past_only")
    if way and read.meaning.roles:
        timed = {i for told in way for i in told.words}
        beside = _beside(read, timed, lexicon)
        if beside:
            yield beside
    clear = tuple(m for m in marks if m.does != "ask" or not _numbers_in(m, read.heard, way, past))
    if clear:
        yield clear
        phrases = tuple(m for m in clear if m.end == m.head)
        yield from (each for each in (phrases, *((m,) for m in clear)) if each and each != clear)


def _beside(read: Interpretation, timed: set[int], lexicon: Lexicon) -> tuple[Around, ...]:
    """Return the words that the net hears beside the reading: no part of a number, and none told anew."""
    roles = read.meaning.roles
    places = {
        i
        for i, role in enumerate(roles)
        if role in ("courtesy", "aside", "reason", "condition") and i not in timed
    }
    for measure in read.heard.measures:
        words = set(range(measure.start, measure.end))
        if not words <= places:
            places -= words
        elif told_anew(read.heard.words, measure, lexicon):
            return ()
    return tuple(Around("drop", roles[i], i, i + 1, i + 1) for i in sorted(places))


def _numbers_in(mark: Around, heard: Understanding, way: Way, past: frozenset[str]) -> bool:
    """True when a number is told beside that may change the reading; "but it was 44 an hour ago" does not."""
    timed = {i for told in way for i in told.words}
    if timed & set(mark.words) and past & {heard.words[i] for i in mark.words}:
        return False
    return any(m.start in mark.words and m.start not in timed for m in heard.measures)


def _against(heard: Understanding, lexicon: Lexicon, roles: tuple[Role, ...], way: Way) -> int:
    """Count the words of numbers and times that the net hears otherwise than this way does."""
    timed = {i for told in way for i in told.words}
    found = 0
    for quantity in heard.quantities if roles else ():
        for i in range(quantity.start, quantity.end):
            found += (i in timed and roles[i] in _NUMBERS) or (i not in timed and roles[i] in _TIMES)
    return found

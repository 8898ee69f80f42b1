"""Of which readings a told time is: a time belongs to the clause that it stands in.

One place decides, for reports by the grammar, for breaths matched as a whole, and for what names no place. A
clause that has words of its own and no reading keeps its time; a time at the very beginning or end of a plain
list of readings is of all.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal

from assistant.dialogue.reports.times import BEFORE_A_TIME, Place, Told, Way, beside, said_now
from intents.lexicon import Lexicon
from intents.mentions import READ, Understanding
from intents.quantities import Day

_TWO = 2
"""So many words of its own are a verb and its subject."""
_SMALL = (
    "hesitating", "openers", "deed_articles", "prepositions", "read_at", "plural_each", "short_small",
    "told_now", "past_only", "before_time", "after_time", "list_joins",
)  # fmt: skip


@dataclass(frozen=True)
class Timed:
    """The time of each number that has one. Not ``sure``: the words may be meant in another way, too."""

    of: Mapping[Place, Told] = field(default_factory=dict)
    sure: bool = True
    torn: bool = False  # a number is another's, or no time: "bar fridge forty, an hour ago it was fifty"


def times_of(
    way: Way, heard: Understanding, numbers: Sequence[Place], lexicon: Lexicon, lost: Iterable[Place] = ()
) -> Timed:
    """Return which of ``numbers`` was read when; ``lost`` are numbers that nothing was made of."""
    said = _Said(way, heard, tuple(sorted({*numbers})), lexicon, tuple(lost))
    found = [(told, *said.owned(told)) for told in said.times]
    nobodys = any(
        told.bare and heard.words[told.start] not in BEFORE_A_TIME for told, of, _ in found if not of
    )
    clear, found = all(sure for _, _, sure in found), [each for each in found if each[1]]
    each = [*zip(said.numbers, found, strict=False)]
    if len(found) == len(said.numbers) > 1 and all(number in of for number, (_, of, _) in each):
        return Timed({number: told for number, (told, _, _) in each})  # each has its own
    of = dict[Place, Told]()
    for number in said.numbers:
        its = [told for told, owners, _ in found if number in owners]
        anew = bool(its) and said.corrected(its[0].end, its[-1].start)  # "at ten, no, at eleven"
        if its:
            of[number] = its[-1] if anew else min(its, key=lambda told: said.apart(told, number))
        clear = clear and len(its) <= 1
    return Timed(of, clear, nobodys or any(said.torn(told) for told, _, _ in found))


def of_another_clause(
    told: Told, way: Way, heard: Understanding, numbers: Sequence[Place], lexicon: Lexicon
) -> bool:
    """True for a time in a clause that says something else and holds no number: "we open at ten"."""
    said = _Said(way, heard, tuple(sorted({*numbers})), lexicon, ())
    start, end = said.around(told.start)
    does = {*heard.words[start:end]} & lexicon.list("told_by")  # "we open at ten"
    own = len(said.own_words(start, end)) + len(does)
    if isinstance(told.meaning, Day) and told.meaning.offset != 0:
        return False  # "what yesterday's sheet says"
    least = 1 if isinstance(told.meaning, Day) else _TWO  # "thick today"
    return not any(start <= n[0] < end for n in said.numbers) and own >= least


def places_of(values: Iterable[Decimal], way: Way, heard: Understanding) -> list[Place | None]:
    """Return where each number is said, in their order; what several have stands once."""
    timed = {i for told in way for i in told.words}
    runs = [
        (at, end, {abs(value) for value in found})
        for at in range(len(heard.words))
        for end, found in heard.numbers_from(at)
        if not timed & {*range(at, end)}
    ]
    runs += [
        (m.start, m.end, {abs(m.value)}) for m in heard.free_measures if not timed & {*range(m.start, m.end)}
    ]
    places, behind = list[Place | None](), 0
    for value in values:
        can = sorted(
            {(at, end) for at, end, found in runs if abs(value) in found}, key=lambda p: (p[0], -p[1])
        )
        place = next((p for p in can if p[0] >= behind), can[-1] if can else None)
        behind = place[1] if place is not None else behind
        places.append(place)
    return places


@dataclass(frozen=True)
class _Said:
    """What was said, cut into clauses."""

    way: Way
    heard: Understanding
    numbers: tuple[Place, ...]
    lexicon: Lexicon
    lost: tuple[Place, ...]

    @property
    def times(self) -> list[Told]:
        return [told for told in self.way if told.part == "at"]

    @property
    def others(self) -> list[Place]:
        """The numbers that are of no reading."""
        timed = {i for told in self.way for i in told.words}
        free = [(m.start, m.end) for m in self.heard.free_measures if m.kind in READ]
        used = timed | {i for number in self.numbers for i in range(*number)}
        return [*self.lost, *(each for each in free if not used & {*range(*each)})]

    def owned(self, told: Told) -> tuple[frozenset[Place], bool]:
        """Return the numbers that a time is of, and whether nothing else can be meant."""
        words, (start, end) = self.heard.words, self.around(told.start)
        inside = [n for n in self.numbers if start <= n[0] < end]
        others = [n for n in self.others if start <= n[0] < end]
        apart = self.own_words(start, end)
        tells = self._tells_reading(apart)
        behind = [n for n in self.numbers if n[0] >= end and not self._named(*self.around(n[0]))][:1]
        if isinstance(told.meaning, Day) and apart and not (inside or others):
            return frozenset(), True  # "it's thick today, one fifty"
        was_then = bool(behind) and self._tense(told.words[0:1]) == "was"
        if not inside and not others and was_then and self._tense(behind[0]) == "is":
            return frozenset(), True  # "it was fine at ten, it's fifty now"
        goes_on = bool(behind) and self._named(start, end)  # "did the larder at ten, forty"
        if not inside and not others and goes_on:
            of = frozenset(behind) if self._goes_on(start, end, behind[0]) else frozenset[Place]()
            return of, len(self.numbers) == 1 and not apart
        if not inside and not others and self._tells_of(start, end) and min(apart) < told.start:
            doer = words[start] in self.lexicon.list("deed_doers") - self.lexicon.list("still_it")
            cut = start not in self.heard.breaks and start in self._ends()
            return frozenset(), not (cut and doer)  # "the tech came at ten"
        near = beside(told, words, [*inside, *others] or [*self.numbers, *self.others], self.lexicon)
        if near is None or near not in self.numbers:
            anew = [n for n in self.numbers if near is not None and self.corrected(near[1], n[0])]
            return frozenset(anew[:1]), not anew
        alone = len(self.numbers) == 1
        if alone or len(self.times) > 1:
            between = {*range(min(near[1], told.end), max(near[0], told.start))} & {*apart}
            opened = {i for i in apart if i < told.start} if told.start < near[0] else between
            clear = tells or (len(opened) < _TWO if inside else not apart)
            return frozenset({near}), clear
        sure = told.start == 0 and words[0] in self.lexicon.list("present_is")  # "it's nine fifteen"
        return self._shared(told, near, bool(inside)), sure

    def torn(self, told: Told) -> bool:
        """True where a reading and its time have no name in their clause, and a number left over has one."""
        start, end = self.around(told.start)
        clauses = [self.around(other[0]) for other in self.others if not start <= other[0] < end]
        named = [self._named(*each) for each in ((start, end), *clauses)]
        inside = any(start <= number[0] < end for number in self.numbers)
        return inside and not named[0] and any(named[1:])

    def corrected(self, start: int, end: int) -> bool:
        """True where words between two numbers or times take the first back, and name nothing else."""
        openers = self.lexicon.list("correction_openers") & {*self.heard.words[start:end]}
        return bool(openers) and not self._named(start, end)

    def _named(self, start: int, end: int) -> bool:
        spans = (span for kind in ("equipment", "food") for span in self.heard.names.get(kind, ()))
        return any(start <= span.start < end for span in spans)

    def _shared(self, told: Told, near: Place, inside: bool) -> frozenset[Place]:
        """Return all of a plain list at whose end or beginning a time stands, else the one beside it."""
        words, lexicon = self.heard.words, self.lexicon
        start, end = self.around(told.start)
        if lexicon.list("plural_each") & {*words[start:end]}:
            return frozenset(self.numbers)
        first, last = self.numbers[0], self.numbers[-1]
        if told.end > first[0] and told.start < last[1]:
            return frozenset({near})
        if not inside:
            return frozenset(self.numbers)
        own = self._tense(near)
        alike = {n for n in self.numbers if self._tense(n) in (own, "was" if near == first else own, "")}
        if near == last and own:
            alike = {n for n in self.numbers if self._tense(n) == own}
        return frozenset({near, *alike})

    def _tense(self, number: Sequence[int]) -> str:
        """Return whether a clause tells what was, or what is; nothing where it has no verb."""
        start, end = self.around(number[0])
        said = {*self.heard.words[start:end]}
        now = (self.lexicon.list("present_is") | self.lexicon.list("told_now")) - self.lexicon.list(
            "list_joins"
        )
        return "was" if said & self.lexicon.list("past_only") else "is" if said & now else ""

    def apart(self, told: Told, number: Place) -> int:
        """Return how many numbers stand between a time and a number, then how many words."""
        low, high = sorted((told.start, number[0]))
        between = sum(low < other[0] < high for other in self.numbers)
        return 100 * between + min(abs(told.start - number[1]), abs(number[0] - told.end))

    def around(self, at: int) -> Place:
        """Return where the clause around a word begins and ends: at commas, and at "and"."""
        words, joins = self.heard.words, self.lexicon.list("list_joins")
        whole = (*(told.words for told in self.way), *(range(*n) for n in self.numbers))
        kept = {i for each in whole for i in each[1:]} - {e[-1] for e in whole if words[e[-1]] in joins}
        cuts = {i for i, word in enumerate(words) if word in joins or i in self.heard.breaks}
        cuts = {0, len(words)} | (cuts - kept)
        cuts |= {e for e in self._ends() if self._begins(e, min((c for c in cuts if c > e), default=0))}
        return max(cut for cut in cuts if cut <= at), min(cut for cut in cuts if cut > at)

    def _ends(self) -> set[int]:
        """Return behind which words a reading is told: its number, and "on the prep cooler" behind that."""
        small = self.lexicon.list("prepositions") | self.lexicon.list("deed_articles")
        ends = {number[1] for number in self.numbers}
        named = self.heard.names.get("equipment", ())
        return ends | {
            s.end for s in named for e in ends if s.start >= e and {*self.heard.words[e : s.start]} <= small
        }

    def _goes_on(self, start: int, end: int, number: Place) -> bool:
        """True where a number of the next clause has no time of its own, and no deed was before it.

        "Iced the soup at ten, it's forty now", "put it in at ten, ninety at eleven". From what began a batch
        ("rice made at eight, 120 now") the judge of its cooling takes the hours.
        """
        if {*self.heard.words[start:end]} & self.lexicon.list("batch_made"):
            return True
        first, last = self.around(number[0])
        timed = any(first <= told.start < last for told in self.times)
        deed = bool(self.own_words(start, end)) and not self._tells_reading(range(start, end))
        of_now = said_now(number, self.heard.words, self.lexicon) or (deed and self._tense(number) == "is")
        return not (timed or of_now)

    def _begins(self, at: int, end: int) -> bool:
        """True where a clause of its own follows a number with no comma: "forty six the breaker tripped"."""
        people = {span.start for span in self.heard.names.get("person", ())}
        opens = frozenset[str]().union(*map(self.lexicon.list, ("deed_articles", "deed_doers", "told_by")))
        return (at in people or {*self.heard.words[at : at + 1]} <= opens) and self._tells_of(at, end)

    def _tells_of(self, start: int, end: int) -> bool:
        """True where words have a subject and a verb of their own, and tell nothing of a reading."""
        said, apart = {*self.heard.words[start:end]}, self.own_words(start, end)
        own = len(apart) + bool(said & self.lexicon.list("past_only"))
        return own >= _TWO and not self._tells_reading(range(start, end))

    def _tells_reading(self, inside: Iterable[int]) -> bool:
        """True for a word that tells of a reading; "took it out" tells of food or a tray."""
        words, lexicon = self.heard.words, self.lexicon
        told = [i for i in inside if words[i] in lexicon.list("tells_reading")]
        away = [i for i in told if words[i] in lexicon.list("deed_sent")]
        gone = lexicon.list("taken_where")
        return any(i not in away or not gone & {*words[i + 1 : i + 4]} for i in told)

    def own_words(self, start: int, end: int) -> list[int]:
        """Return the words of a clause that say something else than a reading; a place, where others do."""
        words, lexicon = self.heard.words, self.lexicon
        doers = lexicon.list("deed_doers") - lexicon.list("still_it")
        small = frozenset[str]().union(*map(lexicon.list, _SMALL)) - doers
        gone = {i for told in self.way for i in told.words} | {i for n in self.numbers for i in range(*n)}
        gone = gone | {i for m in self.heard.measures for i in range(m.start, m.end)}
        named = {i for s in self.heard.names.get("equipment", ()) for i in range(s.start, s.end)}
        free = [i for i in range(start, end) if i not in gone and words[i] not in small]
        return free if any(i not in named for i in free) else []

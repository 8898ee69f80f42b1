"""One utterance, fully read: what it mentions, how it parses as readings, what it means."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

from intents.by_role import readings_by_role
from intents.carried import on_display, place_carried
from intents.catalogue import Catalogue, examples_of, load_catalogue
from intents.foods_heard import qualified
from intents.guessed_places import PlaceFinder
from intents.language import language
from intents.lexicon import Lexicon, Span, load_lexicon
from intents.meaning import (
    NONE,
    OTHER,
    REMEMBERED,
    UNSUPPORTED,
    Guess,
    Meaning,
    Role,
    meanings,
    nothing,
)  # fmt: skip
from intents.mentions import Measure, Understanding, understand
from intents.names_heard import begins_place, food_finder, foods_of, own_foods, rounds_of
from intents.not_food import NOT_FOOD, no_foods
from intents.not_measured import counts_things
from intents.number_roles import left_out as not_read
from intents.number_roles import may_read, only_differs, said_without, words_of_others
from intents.place_names import guessed_names, number_first, places_of
from intents.readings import KindOf, ReadingParse
from intents.remarks import says_nothing
from intents.short_names import short_names
from intents.siblings import stands_for_a_thing
from intents.sound_alike import SoundAlikes
from intents.spoken_names import SpokenNames
from intents.ways_to_read import parse_readings
from intents.words import tokenise

DISPLAY = "note_display"
"""The concept of places where food is shown or sold from."""
RAW_SERVICE = "as_raw_service"
"""The concept of food that is served raw ("for sushi")."""
OF_NAMES = frozenset({"sign_in_unknown", "food_facts"})
"""Intents of a name alone: where it is not known, another hypothesis may have heard it better."""
READING, ROUND = "reading", "round_start"
YES, NO = "yes", "no"
COURTESY: Role = "courtesy"
BOUND = "bound_"
"""How the names of concepts begin that make a number a bound ("just over"): never left out."""
LEAST_SHARE = 0.2
"""An intent with less of the net's share was not meant."""
HALF = 0.5
WHOLE_SHARE = 0.5
"""With this share an intent is likelier than all others together."""
BESIDE = frozenset({"courtesy", "aside", "reason", "condition"})
"""Roles of words that stand around what was said and are no part of it."""
ASKED = "zzasked"
"""Stands for the place that was asked for, in front of a bare number; no word that anybody says."""


@dataclass(frozen=True)
class Interpretation:
    """Everything that one hypothesis can mean; the dialogue decides."""

    heard: Understanding
    readings: ReadingParse
    meaning: Meaning
    beside: tuple[int, ...] = ()  # words around a reading, which is of the others only

    @property
    def best(self) -> Guess | None:
        """The intent that was most likely meant; ``None`` for talk and for what no intent covers."""
        best = self.meaning.best
        return None if best.intent in (NONE, UNSUPPORTED) or best.share < LEAST_SHARE else best

    @property
    def asked(self) -> bool:
        """True when something is asked, or leave for it: nothing of it was measured or done.

        Told by the net, and in any case by a question mark or a word of asking at the beginning.
        """
        return self.meaning.share_of("ask", "leave") > HALF or self.heard.asks

    @property
    def understood(self) -> bool:
        """True when the words mean something whole: readings, or one intent rather than all others."""
        if self.readings.options:
            return True
        named = self.best is not None and (
            self.best.intent not in OF_NAMES or bool(self.heard.names.get("food"))
        )
        return named and self.best is not None and self.best.share >= WHOLE_SHARE


def told_anew(words: tuple[str, ...], number: Measure, lexicon: Lexicon) -> bool:
    """True for a number with words of before ahead of it and words of now behind it."""
    was, now = {*words[: number.start]}, {*words[number.end :]}
    return bool(was & lexicon.list("told_before") and now & lexicon.list("told_now"))


class Interpreter:
    """Reads utterances of one language with the names of one site. Pure once built."""

    def __init__(
        self,
        language: str,
        equipment: tuple[tuple[str, str], ...],
        people: tuple[tuple[str, str], ...],
        menu: tuple[tuple[str, str], ...],
        kind_of: KindOf,
        unit: str = "F",
        rounds: tuple[tuple[str, str], ...] = (),
    ) -> None:
        self.lexicon: Lexicon = load_lexicon(language)
        self.catalogue: Catalogue = load_catalogue(language).in_unit(unit)
        rounds = rounds_of(language, rounds)
        foods, places = food_finder(language).more(menu), places_of(language, equipment)
        short = short_names(places, self.lexicon, foods, menu)
        named = (*short.sure, *short.doubtful)
        guesses = number_first(language, guessed_names(language, places, named, kind_of))
        several = [phrase for phrase, _ in guesses]
        sure_guesses = tuple(guess for guess in guesses if several.count(guess[0]) == 1)
        doubtful = tuple(guess for guess in guesses if guess not in sure_guesses)
        self.sites_own = tuple(name for name, _ in (*menu, *places, *guesses, *people, *rounds))
        sure = number_first(language, (*places, *short.sure))
        known = (*sure, *sure_guesses)
        self.names = SpokenNames((*foods_of(language), *menu), known, people, rounds)
        self.places = PlaceFinder(sure, sure_guesses, self.lexicon, foods)
        self._finders = self.names.finders(foods, self.places)
        self._short = PlaceFinder(number_first(language, short.doubtful), doubtful, self.lexicon, foods)
        self._written = frozenset(word for name, _ in equipment for word in tokenise(name))
        self._kind_of = kind_of
        self._unit = unit
        self._may_read = may_read(kind_of, celsius=unit == "C")
        self._net = meanings()
        self._exact = (
            examples_of(language)
            | {" ".join(tokenise(name)): ROUND for name, _ in rounds}
            | dict.fromkeys(self.lexicon.list("hold_on"), NONE)
        )
        self._interpretation_of = lru_cache(maxsize=REMEMBERED)(self._interpreted)
        self._understand = lru_cache(maxsize=2 * REMEMBERED)(self._marked)

    @cached_property
    def place_words(self) -> frozenset[str]:
        """Every word of a name by which a place may be spoken of."""
        return self._finders["equipment"].words

    @cached_property
    def words(self) -> frozenset[str]:
        """The words of the language's tables, and those that taught the net."""
        return self.words_of(self.lexicon.language) | self.lexicon.finder.words

    @cached_property
    def own_words(self) -> frozenset[str]:
        """The words of the language's tables, without those of the sentences that taught the net."""
        lexicon = self.lexicon
        numbers = language(lexicon.language).numbers.number_words()
        return lexicon.finder.words | lexicon.small("asking") | numbers

    def words_of(self, code: str) -> frozenset[str]:
        """Return the words that the net was taught in a language."""
        return self._net.words.get(code, frozenset())

    def interpret(self, text: str, before: tuple[str, ...] = ()) -> Interpretation:
        """Return all that ``text`` can mean, after the words ``before`` if any were said just now.

        What was read lately is not read again.
        """
        return self._interpretation_of(text, before)

    def _interpreted(self, text: str, before: tuple[str, ...]) -> Interpretation:
        heard = self._understand(text)
        read = Interpretation(heard, self._readings(heard), self.meaning_of(heard.words, before))
        if not read.readings.options:
            read = self._core(read)
        whole = read.understood and (read.readings.options or read.meaning.best.intent != READING)
        if not whole and (better := self._spelled_better(heard, before)) is not None:
            return better
        return read

    def meaning_of(self, words: tuple[str, ...], before: tuple[str, ...] = ()) -> Meaning:
        """Return what the net says of ``words``, after those said before them."""
        if not words:
            return nothing(words)
        first, last = self._around(words)
        meaning = self._net.meaning_of(words[first:last], before)
        roles = ((OTHER,) * first, meaning.roles, (COURTESY,) * (len(words) - last))
        meaning = replace(meaning, roles=tuple(role for part in roles for role in part))
        exact = self._exact.get(" ".join(words)) or self._round_named(words) or self._yes_or_no(words)
        return meaning.with_best(exact) if exact else meaning

    def _round_named(self, words: tuple[str, ...]) -> str:
        """Return the intent of a round's name with small words around it ("the morning check please")."""
        spans = self._finders["round"].find_longest(words)
        named = {i for span in spans if span.end - span.start > 1 for i in range(span.start, span.end)}
        alone = all(i in named or word in self.lexicon.filler for i, word in enumerate(words))
        return ROUND if named and alone else ""

    def _around(self, words: tuple[str, ...]) -> tuple[int, int]:
        """Return where what was said begins and ends, without words that say nothing ("okay so")."""
        first, last = 0, len(words)
        while last - first > 1 and words[first] in self.lexicon.list("says_nothing_first"):
            first += 1
        for phrase in self.lexicon.list("says_nothing_last"):
            count = len(phrase.split())
            if last - first > count + 1 and " ".join(words[last - count : last]) == phrase:
                return first, last - count
        return first, last

    def _yes_or_no(self, words: tuple[str, ...]) -> str:
        """Return the intent of a yes or a no with nothing but small words around it: these are exact."""
        spans = [s for s in self.lexicon.finder.find_all(words) if s.value in (YES, NO)]
        covered = {i for span in spans for i in range(span.start, span.end)}
        alone = all(i in covered or word in self.lexicon.filler for i, word in enumerate(words))
        said = {span.value for span in spans}
        return said.pop() if alone and len(said) == 1 else ""

    def _readings(self, heard: Understanding) -> ReadingParse:
        readings = parse_readings(heard, self._finders, self.lexicon, self._kind_of, self._unit, self._short)
        foods, places = heard.names["food"], heard.names["equipment"]
        return on_display(place_carried(readings, foods, places, self._kind_of), heard.has(DISPLAY))

    def _core(self, read: Interpretation) -> Interpretation:
        """Read the reading inside "hey, walk-in's at thirty nine, cause the door was open, thanks".

        What stands around it stays in ``beside``: a number in there was used for nothing.
        """
        kept = {i for s in read.heard.concepts if s.value.startswith(BOUND) for i in range(s.start, s.end)}
        kept |= {i for i, word in enumerate(read.heard.words) if word in self.lexicon.list("negation")}
        # After a number "sorry" and "wait" take it back: no courtesy.
        first = min((m.end for m in read.heard.measures), default=len(read.heard.words))
        openers = self.lexicon.list("correction_openers")
        kept |= {i for i, word in enumerate(read.heard.words) if i >= first and word in openers}
        kept |= {m.end for m in read.heard.measures if counts_things(read.heard, m.end, self.lexicon)}
        was, told = self.lexicon.list("past_only"), read.heard.words
        before = (i for i, word in enumerate(told) if word in self.lexicon.list("was_before"))
        kept |= {i for i in before if was & {*told[:i][-2:]}}  # "that was before the door got fixed"
        again, count = self.lexicon.list("same_as_before"), len(read.heard.words)
        kept |= {i for i in range(count) if " ".join(read.heard.words[i:]) in again}
        left_out = {i for i, role in enumerate(read.meaning.roles) if role in BESIDE}
        if not_read(read.heard) is None or only_differs(read.heard):
            return read
        others = words_of_others(read.heard)
        left_out |= others
        opens = self.lexicon.list("beside_openers")
        left_out |= {i - 1 for i in left_out if i and read.heard.words[i - 1] in opens}  # "if we're closing"
        left_out -= kept | self._things_called(read.heard, left_out)
        # "Chlorine strip" and "four and a half" are left out whole or not at all.
        ends = [(s.start, s.end) for s in read.heard.concepts] + [
            (m.start, m.end) for m in read.heard.measures
        ]
        for start, end in ends:
            words_of = set(range(start, end))
            if not words_of <= left_out and not words_of & others:
                left_out -= words_of
        if any(
            m.start in left_out and told_anew(read.heard.words, m, self.lexicon) for m in read.heard.measures
        ):
            return read  # "was forty three when I came in, forty now": neither number is beside the other
        beside = tuple(sorted(left_out))
        words = read.heard.words
        core = said_without(read.heard, beside)
        if not beside or not core or len(read.meaning.roles) != len(words):
            return read
        readings = self._readings(self._understand(" ".join(core)))
        return replace(read, readings=readings, beside=beside) if readings.options else read

    def _things_called(self, heard: Understanding, left_out: set[int]) -> set[int]:
        """Return the words before a "one" that stays: "the strong one" is no place's number without them."""
        ones = (i for i in range(1, len(heard.words)) if i not in left_out)
        return {i - 1 for i in ones if stands_for_a_thing(heard, i, self.lexicon)}

    def readings_of(self, words: tuple[str, ...]) -> Interpretation:
        """Return how ``words`` alone read as readings; the net is not asked again."""
        heard = self._understand(" ".join(words))
        return Interpretation(heard, self._readings(heard), nothing(heard.words))

    def loosely(self, said: tuple[str, ...], roles: tuple[Role, ...]) -> tuple[Interpretation, int]:
        """Return how words read by names, numbers and roles, and how many words stand between them."""
        heard = self._understand(" ".join(said))
        loose = readings_by_role(
            heard, roles, self._finders, self.lexicon, self._kind_of, self._unit, self._short
        )
        return Interpretation(heard, loose.parse, nothing(heard.words)), loose.between

    def in_short(self, words: tuple[str, ...]) -> tuple[Span, ...]:
        """Return where words may name a place in short, once for each place that they can be."""
        found, lexicon = self._short.find_all(words), self.lexicon
        return tuple(s for s in found if not (lexicon.says_nothing(words, s) or lexicon.of_another(words, s)))

    def only_guessed(self, words: tuple[str, ...]) -> frozenset[str]:
        """Return the places that words tell by no name of theirs."""
        sure, short = self.places.guessed(words), self._short.guessed(words)
        named = {span.value for span in (*sure[1], *short[1]) if not any(map(span.overlaps, sure[0]))}
        return frozenset(span.value for span in (*sure[0], *short[0])) - named

    def names_of(self, place: str) -> tuple[tuple[str, ...], ...]:
        """Return the words with which a place is named, in full and in short."""
        return self._names_by_place.get(place, ())

    @cached_property
    def _names_by_place(self) -> dict[str, tuple[tuple[str, ...], ...]]:
        found: dict[str, dict[tuple[str, ...], None]] = {}
        for name, place in (*self.names.equipment, *self._short.pairs()):
            found.setdefault(place, {})[tokenise(name)] = None
        return {place: tuple(names) for place, names in found.items()}

    def with_short_places(self, heard: Understanding) -> Understanding:
        """Return what was heard with the places in short that can be only one, a food of that name left out.

        For words that surely are of a place: a correction, what was logged for one.
        """
        named = list(heard.names.get("equipment", ()))
        short = sorted(self.in_short(heard.words), key=lambda s: (s.start, -s.end))
        for span in short:
            rivals = [other for other in (*named, *short) if other.overlaps(span) and other != span]
            if all(span.start <= o.start and o.end < span.end for o in rivals):
                named.append(span)
        places = tuple(sorted(named, key=lambda span: span.start))
        foods = tuple(f for f in heard.names.get("food", ()) if not any(f.overlaps(s) for s in places))
        return replace(heard, names={**heard.names, "equipment": places, "food": foods})

    def answer_for(self, kind: str, name: str, text: str) -> ReadingParse:
        """Return how ``text`` ("it's thirty eight") reads as a reading of what was asked for.

        ``kind`` is equipment or food, ``name`` its id.
        """
        finders = {**self._finders, kind: self._finders[kind].plus(ASKED, name)}
        heard = replace(understand(f"{ASKED} {text}", self.lexicon, finders), may_read=self._may_read)
        return parse_readings(heard, finders, self.lexicon, self._kind_of, self._unit)

    def _marked(self, text: str) -> Understanding:
        heard = replace(understand(text, self.lexicon, self._finders), may_read=self._may_read)
        heard = replace(heard, concepts=(*heard.concepts, *no_foods(heard, self.lexicon)))
        served = [s for s in heard.concepts if s.value == RAW_SERVICE and self._after_preposition(heard, s)]
        beside = tuple(f for f in heard.names["food"] if self.lexicon.only_compared(heard.words, f))
        beside += self.places.compared_with(heard.words)
        others = (*heard.names["equipment"], *beside, *heard.spans(NOT_FOOD), *served)
        of = (food for food in heard.names["food"] if food not in beside)
        named = [food for food in of if not any(_inside(food, s) for s in others)]
        small, places = self.lexicon.links, heard.names["equipment"]
        foods = tuple(f for f in named if not any(begins_place(f, s, heard.words, small) for s in places))
        foods = tuple(f for f in foods if not any(c.start <= f.start < f.end <= c.end for c in heard.clocks))
        if not own_foods(self.lexicon.language):
            foods = qualified(heard.words, foods)
        none = {c for c in heard.concepts if says_nothing(heard.words, c, self.lexicon)}
        meat = (c for c in heard.concepts if c.value == "measured_food")  # not the meat of "meat fridge"
        none |= {c for c in meat if any(_inside(c, s) for s in places)}
        concepts = tuple(c for c in heard.concepts if c not in none)
        return replace(heard, concepts=concepts, names={**heard.names, "food": foods, "compared": beside})

    def _after_preposition(self, heard: Understanding, span: Span) -> bool:
        """True for "for sushi", which tells how a fish is served and names no food of its own."""
        return heard.words[span.start] in self.lexicon.list("prepositions")

    @cached_property
    def _sound_alikes(self) -> SoundAlikes:
        """Return the places and trade words that an unknown word may stand for, of this site and language.

        Never a food: an unknown food gets the stricter answer, a wrong one perhaps a weaker.
        """
        lexicon = self.lexicon
        names = self._finders["equipment"].words | self._written
        known = (
            *self._written,
            *(word for finder in self._finders.values() for word in finder.words),
            *lexicon.finder.words,
            *lexicon.filler,
            *lexicon.links,
            *language(lexicon.language).numbers.number_words(),
            *(word for said in examples_of(lexicon.language) for word in said.split()),
            *(word for phrase in lexicon.emergencies for word in phrase.split()),  # nobody cools who chokes
        )
        return SoundAlikes((*names, *lexicon.list("trade_words")), known)

    def _spelled_better(self, heard: Understanding, before: tuple[str, ...] = ()) -> Interpretation | None:
        """Read a sentence whose one unknown word is like a name, only if all of it then makes sense."""
        words = self._sound_alikes.corrected(heard.words)
        if words is None:
            return None
        again = self._understand(" ".join(replace(heard, words=words).said(range(len(words)))))
        meaning = self.meaning_of(words, before)
        read = Interpretation(replace(again, text=heard.text), self._readings(again), meaning)
        return read if read.understood else None


def _inside(food: Span, other: Span) -> bool:
    """True when a food's name is only a part of a longer name, or is mostly said of something else."""
    longer = other.end - other.start > food.end - food.start
    return (longer or other.value == NOT_FOOD) and other.start <= food.start and food.end <= other.end

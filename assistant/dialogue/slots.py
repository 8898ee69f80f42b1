"""What an utterance filled in, ready for an answer; a follow-up inherits what it did not say."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from decimal import Decimal

from assistant.rules.basis import Temperature, TemperatureUnit
from assistant.rules.food_names import Ambiguity, ambiguity, find_food
from assistant.rules.foods import Food, unknown_food
from intents.lexicon import Span, load_lexicon
from intents.meaning import Meaning, Role
from intents.mentions import Measure, Understanding
from intents.number_roles import words_of_others

QUALITY = "as_"
"""How the names of concepts begin that say something of the food meant (stuffed, ground): gone with it."""
SETTING = "place_"
"""How the names of concepts begin that say where something stands: a new one stands in place of the old."""
ILL = "ill_"
"""How the names of concepts begin that say what somebody is ill with: kept until another is said."""
WOUND = "ill_wound"
NO_SIGN = frozenset({"ill_near", "ill_well", WOUND})
"""What is told with an illness and stands in place of no sign of it."""
OWN = "source_own"
"""Told of food that a hunter or a home gave, whoever stamped it after."""
WHOLE = "as_whole"
FELL = "fell_from_hot"
"""Set where food fell out of hot holding: reheated within its hours, or thrown out."""
LAW = "law_"
"""How the names of concepts begin that name a place whose rules are asked about."""
RELATIONS = ("above", "below", "beside")
"""Concepts of where one food is to another: a new one stands in place of the old."""


WEEKDAYS = (
    "day_monday", "day_tuesday", "day_wednesday", "day_thursday", "day_friday", "day_saturday", "day_sunday",
)  # fmt: skip
_NAME_BEHIND = 2
"""So many words behind "today" or "yesterday" a weekday may be its name."""
VAGUE = "vague_after"
"""The list of words right after a number that make it one of several."""
SURE = 0.65
"""A share of acts above this tells what a sentence does; a report must not be lost to a close call."""


class Usage:
    """What an answer looked at: measures that it never looked at were used for nothing."""

    def __init__(self) -> None:
        self._kinds: set[str] = set()
        self.chemical = ""  # the sanitizer that the place meant holds, where that decided the answer

    def note(self, *kinds: str) -> None:
        """Note that measures of ``kinds`` were looked at."""
        self._kinds.update(kinds)

    def looked_at(self, kind: str) -> bool:
        """True when a measure of this kind, or a bare number as one, was looked at."""
        return kind in self._kinds or (kind == "number" and bool(self._kinds))


@dataclass(frozen=True)
class Slots:
    """Foods and places in the order said, measures, clock times, people, and the concepts mentioned."""

    foods: tuple[str, ...] = ()
    places: tuple[str, ...] = ()
    people: tuple[str, ...] = ()
    measures: tuple[Measure, ...] = ()
    clocks: tuple[str, ...] = ()
    concepts: frozenset[str] = frozenset()
    concept_order: tuple[tuple[int, str], ...] = ()
    words: tuple[str, ...] = ()
    food_spans: tuple[tuple[int, int], ...] = ()
    rounds: tuple[str, ...] = ()
    heard: Understanding | None = None  # the utterance itself
    meaning: Meaning | None = None  # what the net says of it
    usage: Usage = field(default_factory=Usage, compare=False, repr=False)

    @classmethod
    def of(cls, heard: Understanding, meaning: Meaning | None = None) -> Slots:
        """Collect the slots of one utterance, with what it means where that is known."""
        foods = heard.names.get("food", ())
        inside = {i for s in heard.clocks for i in range(s.start, s.end)}
        told = [span for span in heard.concepts if span.value != WHOLE or _of_food(heard, span)]
        to_come = set[int]() if heard.asks else words_of_others(heard, "set")
        return cls(
            tuple(span.value for span in foods),
            tuple(span.value for span in heard.names.get("equipment", ())),
            tuple(span.value for span in heard.names.get("person", ())),
            tuple(
                m
                for m in heard.free_measures
                if not (m.kind == "number" and m.start in inside) and not _vague(heard, m)
                if m.start not in to_come
            ),
            tuple(span.value for span in heard.clocks),
            frozenset(span.value for span in told),
            tuple((span.start, span.value) for span in told),
            heard.words,
            tuple((span.start, span.end) for span in foods),
            tuple(span.value for span in heard.names.get("round", ())),
            heard,
            meaning,
        )

    @property
    def asked_by_form(self) -> bool:
        """True for a question mark or a word of asking first; "came in at forty, do I take it" tells, too."""
        return self.heard is None or self.heard.asks

    @property
    def asked(self) -> bool:
        """True when something is asked, or leave for it: nothing of it was measured or done."""
        return self.asked_by_form or (
            self.meaning is not None and self.meaning.share_of("ask", "leave") > SURE
        )

    @property
    def wants_leave(self) -> bool:
        """True when leave is asked for: "can I", not "does it"."""
        return self.meaning is not None and self.meaning.act == "leave"

    def roles(self, start: int, end: int) -> frozenset[Role]:
        """Return the roles of the words from ``start`` to ``end``; none where they were not told."""
        known = self.meaning.roles if self.meaning is not None else ()
        return frozenset(known[start:end]) if len(known) == len(self.words) else frozenset()

    def food_roles(self, index: int) -> frozenset[Role]:
        """Return the roles of the food said at ``index``, none for one that was said before."""
        if len(self.food_spans) != len(self.foods):
            return frozenset()
        return self.roles(*self.food_spans[index])

    def said_as(self, *roles: Role) -> str:
        """Return the words with one of ``roles`` that are part of no food known, without articles."""
        inside = {i for start, end in self.food_spans for i in range(start, end)}
        filler = load_lexicon(self.language).filler
        told = [
            i for i, word in enumerate(self.words) if i not in inside and self.roles(i, i + 1) & set(roles)
        ]
        states = {at for at, name in self.concept_order if name.startswith(QUALITY)}
        lexicon = load_lexicon(self.language)
        pointing = lexicon.list("it_stands_for") | lexicon.list("done_to_it")
        if all(i in states or self.words[i] in pointing for i in told):
            return ""  # "cooked one", "brined": of what was named before
        return " ".join(
            word
            for i, word in enumerate(self.words)
            if i not in inside and word not in filler and self.roles(i, i + 1) & set(roles)
        )

    @property
    def language(self) -> str:
        """The language of the utterance."""
        return self.heard.language if self.heard else "en"

    def lacking(self, needs: Iterable[str]) -> str:
        """Return the first kind of what is needed that was not said (often enough), or an empty string."""
        said = {
            "food": len(self.foods),
            "equipment": len(self.places),
            "person": len(self.people),
            "round": len(self.rounds),
        }
        wanted = Counter(needs)
        return next((k for k, n in wanted.items() if said.get(k, len(self.all_measures(k))) < n), "")

    def has(self, *concepts: str) -> bool:
        """True when any of ``concepts`` was mentioned."""
        return any(concept in self.concepts for concept in concepts)

    def denied(self, start: int) -> bool:
        """True for what is said right behind a word of denying: "no fever", "without the egg"."""
        apart = self.heard is not None and start in self.heard.breaks  # "hell no, lettuce"
        before = {*self.words[max(0, start - 1) : start]}
        return not apart and bool(before & load_lexicon(self.language).list("denies_thing"))

    def without_denied(self) -> Slots:
        """Return the slots of a question without the foods said not to be there: "no cream in it".

        Of two foods one over another none is taken away: "should no raw chicken sit above lettuce".
        """
        if self.has(*RELATIONS):
            return self
        pairs = tuple(zip(self.foods, self.food_spans, strict=True))
        kept = [(food, span) for food, span in pairs if not self.denied(span[0])]
        return replace(self, foods=tuple(f for f, _ in kept), food_spans=tuple(span for _, span in kept))

    def has_now(self, *concepts: str) -> bool:
        """True when one of ``concepts`` was said here and not denied."""
        return any(name in concepts and not self.denied(at) for at, name in self.concept_order)

    def denied_now(self) -> frozenset[str]:
        """Return the concepts that were said here only to deny them."""
        return frozenset(name for at, name in self.concept_order if self.denied(at))

    def all_measures(self, *kinds: str) -> tuple[Measure, ...]:
        """Return the measures of ``kinds`` in the order said."""
        self.usage.note(*kinds)
        return tuple(m for m in self.measures if m.kind in kinds)

    def measure(self, *kinds: str) -> Measure | None:
        """Return the first measure of ``kinds``; a bare number counts as any kind if it is asked for last."""
        return next(iter(self.all_measures(*kinds)), None)

    def number(self, kind: str) -> Decimal | None:
        """Return the value of the first measure of ``kind``."""
        found = self.measure(kind)
        return found.value if found else None

    def temperature(self, unit: TemperatureUnit) -> Temperature | None:
        """Return the first temperature said, in the unit said or else ``unit`` (the site's)."""
        found = self.measure("temperature") or self.measure("number")
        if found is None:
            return None
        return Temperature(found.value, "C" if found.unit == "C" else "F" if found.unit == "F" else unit)

    def food(self, index: int = 0) -> Food | None:
        """Return the food said at ``index`` as the rules know it, or ``None`` when fewer were said."""
        if index >= len(self.foods):
            return None
        return find_food(self.foods[index]) or unknown_food(self.foods[index])

    def food_question(self, index: int = 0) -> Ambiguity | None:
        """Return what has to be asked about the food at ``index``, if its name is ambiguous."""
        return ambiguity(self.foods[index]) if index < len(self.foods) else None

    def merged(self, new: Slots) -> Slots:
        """Return these slots with everything that ``new`` said in place of, or added to, the old."""
        kinds = {m.kind for m in new.measures}
        kept = tuple(m for m in self.measures if m.kind not in kinds)
        gone: tuple[str, ...] = (QUALITY,) if new.foods else ()
        gone += (LAW,) if any(c.startswith(LAW) for c in new.concepts) else ()
        gone += (SETTING,) if any(c.startswith(SETTING) for c in new.concepts) else ()
        gone += RELATIONS if new.has(*RELATIONS) else ()
        told = frozenset(c for c in self.concepts if not c.startswith(gone)) - self.days_called()
        return replace(
            new,
            foods=new.foods or self.foods,
            places=new.places or self.places,
            people=new.people or self.people,
            measures=(*new.measures, *kept),
            clocks=new.clocks or self.clocks,
            concepts=told | new.concepts,
        )

    def weekdays(self) -> tuple[tuple[str, ...], str]:
        """Return the weekdays told, and the one that today is called: "opened Sunday, today is Friday"."""
        days = [(at, name) for at, name in self.concept_order if name in WEEKDAYS]
        relative = [(at, name) for at, name in self.concept_order if name in ("day_today", "day_yesterday")]
        names = {at: name for at, _ in days for first, name in relative if 0 < at - first <= _NAME_BEHIND}
        called = next((name for at, name in days if names.get(at) == "day_today"), "")
        return tuple(dict.fromkeys(name for at, name in days if at not in names)), called

    def days_called(self) -> frozenset[str]:
        """Return the concepts of weekdays that only say what today or yesterday is called, and "today"."""
        told, _ = self.weekdays()
        return frozenset({*WEEKDAYS, "day_today"} - {*told}) if told else frozenset()

    def with_whole_foods(self, behind: frozenset[str] = frozenset()) -> Slots:
        """Return these slots with each food once and "beef mince" as one, but "the beef, mince" as two.

        A food right before a word that begins with one of ``behind`` is left out ("the meat van").
        """
        if len(self.foods) != len(self.food_spans) or len(self.foods) < 2:
            return self
        found: dict[str, tuple[int, int]] = {}
        breaks = self.heard.breaks if self.heard is not None else frozenset[int]()
        for food, (start, end) in zip(self.foods, self.food_spans, strict=True):
            last = next(reversed(found), "")
            if last and found[last][1] == start and start not in breaks:
                found[f"{last} {food}"] = (found.pop(last)[0], end)
            elif not any(word.startswith(each) for word in self.words[end : end + 1] for each in behind):
                found.setdefault(food, (start, end))
        return replace(self, foods=tuple(found), food_spans=tuple(found.values()))

    def as_json(self) -> dict[str, str | list[str]]:
        """Return the slots as plain text by name, for the turn's JSON."""
        found: dict[str, str | list[str]] = {}
        for name, values in (
            ("food", self.foods),
            ("place", self.places),
            ("person", self.people),
            ("clock", self.clocks),
            ("round", self.rounds),
        ):
            if values:
                found[name] = values[0] if len(values) == 1 else list(values)
        for m in self.measures:
            found.setdefault(m.kind, f"{m.value} {m.unit}".strip())
        return found


def _of_food(heard: Understanding, whole: Span) -> bool:
    """True for a whole food, "and whole", "the whole one": a whole tray or lot says nothing of it."""
    named = next((food.end for food in heard.names.get("food", ()) if food.start == whole.end), None)
    end = whole.end if named is None else named
    behind = {*heard.words[end : end + 1]}
    if named is not None:
        return not any(span.start == end for span in heard.spans("container_word"))
    return behind <= load_lexicon(heard.language).list("it_stands_for")


def _vague(heard: Understanding, measure: Measure) -> bool:
    """True for "two hundred something": no number was told that an answer could use."""
    phrases = (phrase.split() for phrase in load_lexicon(heard.language).list(VAGUE))
    return any(list(heard.words[measure.end : measure.end + len(phrase)]) == phrase for phrase in phrases)

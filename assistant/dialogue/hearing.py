"""Chooses what was meant among the n-best hypotheses, and how sure the numbers are."""

from __future__ import annotations

import re
from collections.abc import Callable, Hashable, Iterable
from dataclasses import dataclass, replace
from enum import IntEnum
from functools import cached_property

from assistant.dialogue.gate_table import gate_table
from intents.hypotheses import Hypotheses, Hypothesis
from intents.interpret import Interpretation
from intents.readings import Reading, ReadingParse

Numbers = tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Heard:
    """The interpretation that counts, and the share of the n-best mass that agrees on its numbers.

    ``second`` is the same share among what a second listener heard, if there was one, and ``rival``
    what that listener most likely heard. ``alone`` is true when only that one heard this meaning.
    ``crowded``: others talked on in the same sound, and nobody called in it; ``others_before``: they
    did in what was said since the call. ``guessed`` are the places that its words only point at, perhaps.
    """

    interpretation: Interpretation
    text: str
    agreement: float
    typed: bool
    second: float | None = None
    rival: Interpretation | None = None
    alone: bool = False
    crowded: bool = False
    others_before: bool = False
    guessed: frozenset[str] = frozenset()

    @property
    def beside_others(self) -> bool:
        """True where nobody called, and others talk on in it or have since the call."""
        return self.crowded or self.others_before

    def read_as(self, *options: tuple[Reading, ...], core: Interpretation | None = None) -> Heard:
        """Return this utterance with other readings; ``core``: of a part of its words."""
        read = replace(core or self.interpretation, readings=ReadingParse(options))
        return replace(self, interpretation=read)


def numbers_of(interpretation: Interpretation) -> Numbers:
    """Return every number and time of day in an utterance, with the place it was said of."""
    options = interpretation.readings.options
    if options:
        return _numbers_in(options[0])
    measures = ((m.kind, f"{m.value.normalize():f}") for m in interpretation.heard.measures)
    return (*measures, *(("clock", span.value) for span in interpretation.heard.clocks))


def _numbers_in(readings: Iterable[Reading]) -> Numbers:
    return tuple(
        (f"{singular(r.subject)} {r.quantity} {r.bound}".strip(), f"{value.normalize():f}")
        for r in readings
        for value in (r.value, r.upper)
        if value is not None
    )


def singular(name: str) -> str:
    """Return a name without plural endings: "soups at 162" is what "soup's at 162" sounds like."""
    return " ".join(w[:-1] if len(w) > 3 and w[-1] == "s" and w[-2] != "s" else w for w in name.split())


UNKNOWN = "[unk]"
PARTLY_HEARD = 0.5
"""Weight of a hypothesis with words that its listener did not know."""
LEAST_BACKED = 0.05
"""Mass that a meaning needs to be preferred to likelier words that mean nothing whole."""
LEAST_ALONE = 0.4
"""Mass that a meaning needs which only the second listener heard."""
SURE_PLACE = 0.6
"""Share of the first listener's mass that makes it sure of a place."""
LEAST_LIKE_NAME = 72.0
"""Likeness (0 to 100) of words to a place's name for being that name, spelled worse."""

_JOINED = re.compile(r"(?<![\d.:,$-])([1-9])([1-9]\d)(?![\d%]|[.:,]\d)")


def as_spoken(text: str) -> str:
    """Open up a recogniser's numerals: "bucket 150" may have been "bucket one, fifty".

    The number grammar then sees both, and the dialogue asks where both make sense.
    """
    return _JOINED.sub(r"\1 \2", text)


@dataclass(frozen=True)
class _Read:
    """One hypothesis with its part of its listener's n-best mass and what it means."""

    text: str
    share: float
    meant: Interpretation
    interpret: Callable[[str], Interpretation]

    @cached_property
    def in_digits(self) -> Interpretation | None:
        """Return what is meant if words that sound like digits are digits; nothing if there are none."""
        alike = gate_table()["sounds_like"]
        words = [alike.get(word.lower(), word) for word in self.text.split()]
        return None if words == self.text.split() else self.interpret(as_spoken(" ".join(words)))

    @property
    def whole(self) -> bool:
        return self.meant.understood


def choose(hypotheses: Hypotheses, interpret: Callable[[str], Interpretation]) -> Heard | None:
    """Return what is most likely meant, or the likeliest words if nothing means something whole.

    Of one listener, the likeliest hypothesis that parses wins over a likelier one that does not. Of two
    listeners, the meaning wins that has most of both their masses together. The numbers' agreement is
    the share of all hypotheses that hold the same numbers for the same places.
    """
    typed = hypotheses.engine == "typed"
    first = _read(hypotheses.alternatives, str if typed else as_spoken, interpret)
    second = _read(hypotheses.second or (), without_unknown, interpret)
    if not first:
        return None
    if hypotheses.second is None:
        chosen = next((each for each in first if each.whole and each.share >= LEAST_BACKED), first[0])
        loose = Loose.SPELLING if chosen is first[0] else Loose.NO
        agreement = _agreement(first, chosen, loose)
        heard = Heard(chosen.meant, chosen.text, agreement, typed)
        return replace(heard, crowded=hypotheses.crowded, others_before=hypotheses.others_before)
    picked = _chosen(first, second)
    chosen = _settled(picked, second)
    # Where the first is sure of the place, a place that the second has no word for is no contradiction.
    open_place = _agreement(first, chosen, Loose.NO) >= SURE_PLACE
    return Heard(
        chosen.meant,
        chosen.text,
        _agreement(first, chosen, Loose.SPELLING),
        typed,
        _agreement(second, chosen, Loose.UNKNOWN_PLACE if open_place else Loose.SPELLING),
        second[0].meant if second else None,
        not any(each is picked for each in first),
        hypotheses.crowded,
        hypotheses.others_before,
    )


def _read(
    said: Iterable[Hypothesis], opened: Callable[[str], str], interpret: Callable[[str], Interpretation]
) -> list[_Read]:
    return [_Read(each.text, each.share, interpret(opened(each.text)), interpret) for each in said]


def _chosen(first: list[_Read], second: list[_Read]) -> _Read:
    """Return the first hypothesis of the meaning that both listeners together find likeliest."""
    masses: dict[Hashable, float] = {}
    worth = float(gate_table()["two_listeners"]["weight_of_second"])
    for listener, each in (*((1.0, each) for each in first), *((worth, each) for each in second)):
        if each.whole:
            # Words that the streaming listener left out may be what the question turns on.
            weight = listener * (PARTLY_HEARD if UNKNOWN in each.text else 1.0)
            masses[_deed(each)] = masses.get(_deed(each), 0.0) + weight * each.share
    backed = {_deed(each) for each in first if each.whole}
    least = {deed: LEAST_BACKED if deed in backed else LEAST_ALONE for deed in masses}
    masses = {deed: mass for deed, mass in masses.items() if mass >= least[deed]}
    if not masses:
        return first[0]
    best = max(masses, key=lambda deed: masses[deed])
    return next(each for each in (*first, *second) if each.whole and _deed(each) == best)


def _settled(chosen: _Read, second: list[_Read]) -> _Read:
    """Let the second listener settle a number that the first wrote ambiguously.

    "Bucket 110" may be bucket one at ten; who heard "a hundred and ten" knows.
    """
    options = chosen.meant.readings.options
    if len(options) < 2 or not second or len(second[0].meant.readings.options) != 1:
        return chosen
    settled = second[0].meant.readings.options[0]
    return second[0] if _numbers_in(settled) in [_numbers_in(option) for option in options] else chosen


def _deed(read: _Read) -> Hashable:
    """Return what acting on a hypothesis comes to: two that read differently may mean the same."""
    if read.meant.readings.options:
        return numbers_of(read.meant)
    names = {kind: tuple(s.value for s in spans) for kind, spans in read.meant.heard.names.items()}
    best = read.meant.best
    return best.intent if best else "", tuple(sorted(names.items())), numbers_of(read.meant)


class Loose(IntEnum):
    """How far words that report no reading may differ from the chosen one and still agree with it."""

    NO = 0
    SPELLING = 1  # "cloring bucket 100" is "chlorine bucket 100" spelled worse
    UNKNOWN_PLACE = 2  # "[unk] one forty nine" may be any place


def _agreement(read: list[_Read], chosen: _Read, loose: Loose) -> float:
    """Return the share of the n-best mass that holds the chosen numbers of the chosen places."""
    wanted = numbers_of(chosen.meant)
    names = _names_in(chosen.meant) if chosen.meant.readings.options else ()
    return sum(each.share for each in read if _agrees(each, wanted, names, loose))


def _agrees(other: _Read, wanted: Numbers, names: tuple[str, ...], loose: Loose) -> bool:
    found = numbers_of(other.meant)
    if found == wanted or any(_numbers_in(option) == wanted for option in other.meant.readings.options):
        return True
    if not wanted or not loose or other.meant.readings.options:
        return False
    if names and other.in_digits is not None and numbers_of(other.in_digits) == wanted:
        return True
    if [value for _, value in found] != [value for _, value in wanted]:
        return False
    anywhere = loose is Loose.UNKNOWN_PLACE and UNKNOWN in other.text
    return anywhere or all(_sounds_in(name, other.meant.heard.words) for name in names)


def _names_in(meant: Interpretation) -> tuple[str, ...]:
    """Return the words with which the places and foods of the first option were said."""
    spans = [s for kind in ("equipment", "food") for s in meant.heard.names.get(kind, ())]
    said = {s.value: " ".join(meant.heard.words[s.start : s.end]) for s in spans}
    subjects = {name for r in meant.readings.options[0] for name in (r.subject, r.place) if name}
    return tuple(said.get(name, name) for name in subjects)


def _sounds_in(name: str, words: tuple[str, ...]) -> bool:
    from rapidfuzz import fuzz  # typed words seldom need it

    count = len(name.split())
    sizes = {1, count, count + 1}  # "check in" for chicken
    parts = [" ".join(words[i : i + size]) for size in sizes for i in range(len(words) - size + 1)]
    return any(fuzz.ratio(name, part) >= LEAST_LIKE_NAME for part in parts)


def without_unknown(text: str) -> str:
    """Return a streaming listener's words without the mark of words that it does not know."""
    return " ".join(word for word in text.split() if word != UNKNOWN)

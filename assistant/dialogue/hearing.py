"""Chooses what was meant among the n-best hypotheses, and how sure the numbers are."""

from __future__ import annotations

import re
from collections.abc import Callable, Hashable, Iterable
from dataclasses import dataclass

from intents.hypotheses import Hypotheses, Hypothesis
from intents.interpret import Interpretation
from intents.readings import Reading

Numbers = tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Heard:
    """The interpretation that counts, and the share of the n-best mass that agrees on its numbers.

    ``second`` is the same share among what a second listener heard, if there was one, and ``rival``
    what that listener most likely heard.
    """

    interpretation: Interpretation
    text: str
    agreement: float
    typed: bool
    second: float | None = None
    rival: Interpretation | None = None


def numbers_of(interpretation: Interpretation) -> Numbers:
    """Return every number in an utterance with the place it was said of, for comparing hypotheses."""
    options = interpretation.readings.options
    if options:
        return _numbers_in(options[0])
    return tuple((m.kind, f"{m.value.normalize():f}") for m in interpretation.heard.measures)


def _numbers_in(readings: Iterable[Reading]) -> Numbers:
    return tuple(
        (f"{_singular(r.subject)} {r.quantity} {r.bound}".strip(), f"{value.normalize():f}")
        for r in readings
        for value in (r.value, r.upper)
        if value is not None
    )


def _singular(name: str) -> str:
    """Return a name without plural endings: "soups at 162" is what "soup's at 162" sounds like."""
    return " ".join(w[:-1] if len(w) > 3 and w[-1] == "s" and w[-2] != "s" else w for w in name.split())


UNKNOWN = "[unk]"
PARTLY_HEARD = 0.5
"""Weight of a hypothesis with words that its listener did not know."""
LEAST_ALONE = 0.4
"""Mass that a meaning needs which only the second listener heard."""

_FOR = re.compile(
    r"(?<=\bin )for(?= (?:\d|oh|zero|one|two|three|four|five|six|seven|eight|nine)$)", re.IGNORECASE
)
_JOINED = re.compile(r"(?<![\d.:,$-])([1-9])([1-9]\d)(?![\d%]|[.:,]\d)")


def as_spoken(text: str) -> str:
    """Open up a recogniser's numerals: "bucket 150" may have been "bucket one, fifty".

    The number grammar then sees both, and the dialogue asks where both make sense. After a place at the
    end, "in for zero" can only be digits: "walk-in four zero".
    """
    return _JOINED.sub(r"\1 \2", _FOR.sub("four", text))


def _agrees(other: Interpretation, wanted: Numbers, spelled_worse: bool) -> bool:
    """True for the same numbers of the same places.

    Where ``spelled_worse`` is allowed, words that report no reading agree by their numbers: "cloring
    bucket 100" is no other number than "chlorine bucket 100", only worse spelling.
    """
    found = numbers_of(other)
    if found == wanted or any(_numbers_in(option) == wanted for option in other.readings.options):
        return True
    loose = spelled_worse and not other.readings.options
    return bool(wanted) and loose and [value for _, value in found] == [value for _, value in wanted]


@dataclass(frozen=True)
class _Read:
    """One hypothesis with its part of its listener's n-best mass and what it means."""

    text: str
    share: float
    meant: Interpretation

    @property
    def whole(self) -> bool:
        return bool(self.meant.readings.options or self.meant.matches)


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
        chosen = next((each for each in first if each.whole), first[0])
        agreed = _agreement(first, numbers_of(chosen.meant), chosen is first[0])
        return Heard(chosen.meant, chosen.text, agreed, typed)
    chosen = _settled(_chosen(first, second), second)
    wanted = numbers_of(chosen.meant)
    return Heard(
        chosen.meant,
        chosen.text,
        _agreement(first, wanted, True),
        typed,
        _agreement(second, wanted, True),
        second[0].meant if second else None,
    )


def _read(
    said: Iterable[Hypothesis], opened: Callable[[str], str], interpret: Callable[[str], Interpretation]
) -> list[_Read]:
    return [_Read(each.text, each.share, interpret(opened(each.text))) for each in said]


def _chosen(first: list[_Read], second: list[_Read]) -> _Read:
    """Return the first hypothesis of the meaning that both listeners together find likeliest."""
    masses: dict[Hashable, float] = {}
    for each in (*first, *second):
        if each.whole:
            # Words that the streaming listener left out may be what the question turns on.
            weight = PARTLY_HEARD if UNKNOWN in each.text else 1.0
            masses[_deed(each)] = masses.get(_deed(each), 0.0) + weight * each.share
    backed = {_deed(each) for each in first if each.whole}
    masses = {deed: mass for deed, mass in masses.items() if deed in backed or mass >= LEAST_ALONE}
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
    return best.intent.name if best else "", tuple(sorted(names.items())), numbers_of(read.meant)


def _agreement(read: list[_Read], wanted: Numbers, likeliest: bool) -> float:
    """Return the share of the n-best mass that holds the ``wanted`` numbers."""
    return sum(each.share for each in read if _agrees(each.meant, wanted, likeliest))


def without_unknown(text: str) -> str:
    """Return a streaming listener's words without the mark of words that it does not know."""
    return " ".join(word for word in text.split() if word != UNKNOWN)

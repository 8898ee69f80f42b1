"""Examples as evidence: which intent's examples an utterance resembles most.

Words count by how rare they are among all examples, names and numbers only by their kind. Used where no
pattern fits, and to decide between intents whose patterns fit about equally well.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cached_property
from math import log

from intents.catalogue import Catalogue, Intent, Pattern
from intents.lexicon import Lexicon
from intents.matcher import Match, named_in, nearly_fits, undecided
from intents.mentions import Understanding

LEAST_LIKENESS = 0.6
"""A resemblance this great takes the place of a pattern (0 to 1); set on the sentences in tests/intents."""
LEAST_LEAD = 0.1
"""How much more alike the best intent has to be than the next one."""
CLOSE_SCORES = 0.45
"""Pattern scores nearer than this are decided by resemblance."""

Understand = Callable[[str], Understanding]


@dataclass(frozen=True)
class _Known:
    intent: Intent
    marks: frozenset[str]


class Examples:
    """All examples of a catalogue, read on first use. ``understand`` marks the mentions of a sentence."""

    def __init__(self, catalogue: Catalogue, lexicon: Lexicon, understand: Understand) -> None:
        self._catalogue = catalogue
        self._lexicon = lexicon
        self._understand = understand

    @cached_property
    def _known(self) -> tuple[_Known, ...]:
        return tuple(
            _Known(intent, marks(self._understand(example.say), self._lexicon))
            for intent in self._catalogue.intents.values()
            if intent.patterns
            for example in intent.examples
        )

    @cached_property
    def _weights(self) -> dict[str, float]:
        """Return how much each mark tells: the rarer among the examples, the more."""
        counts = Counter(mark for known in self._known for mark in known.marks)
        return {mark: log(1 + len(self._known) / count) for mark, count in counts.items()}

    @cached_property
    def _sums(self) -> tuple[float, ...]:
        """Return the whole weight of each example."""
        return tuple(sum(self._weights[mark] for mark in known.marks) for known in self._known)

    @cached_property
    def _holders(self) -> dict[str, list[int]]:
        """Return, by mark, the places of the examples that hold it."""
        found: dict[str, list[int]] = {}
        for place, known in enumerate(self._known):
            for mark in known.marks:
                found.setdefault(mark, []).append(place)
        return found

    def likeness(self, heard: Understanding) -> dict[str, float]:
        """Return, by intent, how much ``heard`` resembles its most similar example (0 to 1)."""
        said = marks(heard, self._lexicon)
        new = log(1 + len(self._known))
        whole = sum(self._weights.get(mark, new) for mark in said)
        shared: dict[int, float] = {}
        for mark in said & self._holders.keys():
            for place in self._holders[mark]:
                shared[place] = shared.get(place, 0.0) + self._weights[mark]
        best: dict[str, float] = {}
        for place, common in shared.items():
            name = self._known[place].intent.name
            best[name] = max(best.get(name, 0.0), common / (whole + self._sums[place] - common))
        return best

    def stand_in(self, heard: Understanding) -> tuple[Match, ...]:
        """Return the one intent that ``heard`` clearly resembles though no pattern fits, or nothing."""
        ranked = sorted(self.likeness(heard).items(), key=lambda item: -item[1])[:2]
        if not ranked or ranked[0][1] < LEAST_LIKENESS:
            return ()
        name, likeness = ranked[0]
        if len(ranked) > 1 and likeness - ranked[1][1] < LEAST_LEAD:
            return ()
        intent = self._catalogue[name]
        expects = {kind for pattern in intent.patterns for kind in named_in(pattern)}
        if heard.names.get("food") and "food" not in expects:
            return ()
        if not any(nearly_fits(heard, pattern) for pattern in intent.patterns if not pattern.refuses):
            return ()
        nothing = Pattern((), {}, frozenset(), frozenset(), "resembles an example")
        if undecided(heard, intent, nothing, self._lexicon):
            return ()
        return (Match(intent, 1 + likeness, likeness, (), nothing),)

    def settle(self, heard: Understanding, matches: tuple[Match, ...]) -> tuple[Match, ...]:
        """Return ``matches`` with those about as good as the best in order of resemblance."""
        close = [m for m in matches if matches[0].score - m.score < CLOSE_SCORES]
        if len(close) < 2:
            return matches
        alike = self.likeness(heard)
        close.sort(key=lambda match: -(match.score + alike.get(match.intent.name, 0.0)))
        return (*close, *(m for m in matches if m not in close))


def marks(heard: Understanding, lexicon: Lexicon) -> frozenset[str]:
    """Return what an utterance holds: kinds of names and numbers, concepts, and other content words."""
    taken: dict[int, str] = {}
    for kind, spans in heard.names.items():
        taken.update({i: f"{{{kind}}}" for span in spans for i in range(span.start, span.end)})
    for measure in heard.measures:
        taken.update(dict.fromkeys(range(measure.start, measure.end), f"{{{measure.kind}}}"))
    told = (span for span in heard.concepts if span.value not in lexicon.aside)
    for span in sorted(told, key=lambda s: s.end - s.start):
        for i in range(span.start, span.end):
            if not taken.get(i, "").startswith("{"):
                taken[i] = span.value
    return frozenset(_content(heard.words, taken, lexicon.filler))


def _content(words: tuple[str, ...], taken: dict[int, str], filler: Iterable[str]) -> Iterable[str]:
    return (taken.get(i, word) for i, word in enumerate(words) if i in taken or word not in filler)

"""Decides which intent an utterance means, by the meanings it holds and the words left unexplained.

Only names are matched loosely, and elsewhere; here every word is exact. A match is refused when too
much of what was said stays unexplained: better no answer than an answer to another question.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from intents.catalogue import Catalogue, Intent, Pattern
from intents.lexicon import Lexicon, Span
from intents.mentions import Measure, Understanding

WEAK_WEIGHT = 0.4
OPTIONAL_WEIGHT = 0.3
SLOT_WEIGHT = 1.0
COVERAGE_WEIGHT = 1.5
KNOWN_LEFT_OVER = 0.5
UNKNOWN_LEFT_OVER = 0.35
ASKING_LEFT_OVER = 0.05
LEAST_COVERAGE = 0.45
REFUSAL_BONUS = 1.2
REFUSAL_LEFT_OVER = 0.6
"""Weights of the match, set on the development sentences in tests/intents."""


@dataclass(frozen=True)
class Match:
    """One intent that fits, with its score, the share of content words explained, and the rest."""

    intent: Intent
    score: float
    coverage: float
    left_over: tuple[str, ...]
    pattern: Pattern


@dataclass(frozen=True)
class _Said:
    """What one utterance holds, worked out once for all patterns."""

    heard: Understanding
    meanings: frozenset[str]  # concepts and, in braces, kinds of slots
    slots: dict[str, tuple[Span | Measure, ...]]
    slot_words: frozenset[int]
    name_words: frozenset[int]
    known: frozenset[int]  # words of some concept that is not weak
    asking: frozenset[int]  # words of weak concepts only
    decisive: tuple[Span, ...]

    @classmethod
    def of(cls, heard: Understanding, lexicon: Lexicon) -> _Said:
        slots = _slot_spans(heard)
        known = _words_of(s for s in heard.concepts if s.value not in lexicon.weak | lexicon.aside)
        return cls(
            heard,
            frozenset(s.value for s in heard.concepts) | {f"{{{kind}}}" for kind in slots},
            slots,
            _words_of(s for spans in slots.values() for s in spans),
            _words_of(s for spans in heard.names.values() for s in spans),
            known,
            _words_of(s for s in heard.concepts if s.value in lexicon.weak) - known,
            tuple(s for s in heard.concepts if s.value in lexicon.decisive),
        )

    def explained(self, meanings: frozenset[str]) -> frozenset[int]:
        """Return the words that ``meanings`` cover."""
        return _words_of(s for s in self.heard.concepts if s.value in meanings)


def _words_of(spans: Iterable[Span | Measure]) -> frozenset[int]:
    return frozenset(i for s in spans for i in range(s.start, s.end))


def rank(heard: Understanding, catalogue: Catalogue, lexicon: Lexicon) -> tuple[Match, ...]:
    """Return the intents that fit ``heard``, best first; empty when nothing fits well enough."""
    matches: list[Match] = []
    said = _Said.of(heard, lexicon)
    leave = lexicon.asks_leave(heard.words) or heard.text.strip().endswith(("?", "？"))
    for intent in catalogue.intents.values():
        patterns = [p for p in intent.patterns if leave or not p.refuses]
        options = [m for p in patterns if (m := _try(said, intent, p, lexicon)) is not None]
        if options:
            matches.append(max(options, key=lambda match: match.score))
    return tuple(sorted(matches, key=lambda match: -match.score))


def _try(said: _Said, intent: Intent, pattern: Pattern, lexicon: Lexicon) -> Match | None:
    if not all(any(c in said.meanings for c in group) for group in pattern.needed):
        return None
    if pattern.avoid & said.meanings or any(
        len(said.slots.get(kind, ())) < count for kind, count in pattern.slots.items()
    ):
        return None
    explained = said.explained(expected(intent, pattern))
    if not pattern.refuses and _contradicted(said, explained):
        return None
    score = SLOT_WEIGHT * sum(pattern.slots.values())
    score += sum(WEAK_WEIGHT if all(c in lexicon.weak for c in group) else 1.0 for group in pattern.needed)
    score += OPTIONAL_WEIGHT * len(pattern.optional & said.meanings)
    return _weighed(Match(intent, score, 0.0, (), pattern), said, explained | said.slot_words, lexicon)


def _weighed(match: Match, said: _Said, covered: frozenset[int], lexicon: Lexicon) -> Match | None:
    """Return ``match`` with the words it leaves unexplained counted, or ``None`` if they are too many."""
    words = said.heard.words
    content = [
        i for i, word in enumerate(words) if i in covered or not (word in lexicon.filler or i in said.asking)
    ]
    rest = [i for i in content if i not in covered]
    coverage = 1 - len(rest) / len(content) if content else 0.0
    refuses = match.pattern.refuses
    if coverage < LEAST_COVERAGE and not refuses:
        return None
    score = match.score + COVERAGE_WEIGHT * coverage
    unexplained = sum(KNOWN_LEFT_OVER if i in said.known else UNKNOWN_LEFT_OVER for i in rest)
    # "... cause we're slammed and the chef is yelling" makes nothing dangerous right.
    score += REFUSAL_BONUS - min(unexplained, REFUSAL_LEFT_OVER) if refuses else -unexplained
    score -= ASKING_LEFT_OVER * len(said.asking - covered)
    return replace(match, score=score, coverage=coverage, left_over=tuple(words[i] for i in rest))


def named_in(pattern: Pattern) -> frozenset[str]:
    """Return the kinds of slots that a pattern takes, needed or as one of several ways."""
    ways = (item for group in pattern.needed for item in group if item.startswith("{"))
    return frozenset(pattern.slots) | {item.strip("{}") for item in ways}


def nearly_fits(heard: Understanding, pattern: Pattern) -> bool:
    """True when an utterance names all that a pattern needs but for one meaning, and nothing it refuses."""
    slots = _slot_spans(heard)
    if any(len(slots.get(kind, ())) < count for kind, count in pattern.slots.items()):
        return False
    meanings = frozenset(s.value for s in heard.concepts) | {f"{{{kind}}}" for kind in slots}
    missing = [group for group in pattern.needed if not any(c in meanings for c in group)]
    return len(missing) <= 1 and len(missing) < len(pattern.needed) and not pattern.avoid & meanings


def expected(intent: Intent, pattern: Pattern) -> frozenset[str]:
    """Return the concepts that a pattern of an intent explains."""
    return intent.also | pattern.optional | {c for group in pattern.needed for c in group}


def undecided(heard: Understanding, intent: Intent, pattern: Pattern, lexicon: Lexicon) -> bool:
    """True when a meaning that changes the answer was said, and the intent does not expect it.

    Inside a name ("ground beef", "cooked chicken") or a longer expected phrase it is accounted for.
    """
    said = _Said.of(heard, lexicon)
    return _contradicted(said, said.explained(expected(intent, pattern)))


def _contradicted(said: _Said, explained: frozenset[int]) -> bool:
    accounted = explained | said.name_words
    return any(not accounted.issuperset(range(span.start, span.end)) for span in said.decisive)


def _slot_spans(heard: Understanding) -> dict[str, tuple[Span | Measure, ...]]:
    found: dict[str, tuple[Span | Measure, ...]] = {
        kind: spans for kind, spans in heard.names.items() if spans
    }
    by_kind: dict[str, list[Span | Measure]] = {}
    for measure in heard.free_measures:
        by_kind.setdefault(measure.kind, []).append(measure)
    found |= {kind: tuple(spans) for kind, spans in by_kind.items()}
    if heard.clocks:
        found["clock"] = heard.clocks
    return found


def clear_winner(matches: Iterable[Match], margin: float = 0.0) -> Match | None:
    """Return the best match when it leads the second by more than ``margin``."""
    ranked = tuple(matches)
    if not ranked:
        return None
    if len(ranked) > 1 and ranked[0].score - ranked[1].score < margin:
        return None
    return ranked[0]

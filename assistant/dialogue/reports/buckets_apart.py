"""A bucket that was changed, and another one beside it: each is told in clauses of its own.

"Changed bucket two at nine, one's still two hundred": deed and time are of the first, the number is of the
second.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import reduce
from itertools import pairwise
from typing import TYPE_CHECKING

from assistant.dialogue import agreed
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.reports.shared_out import family
from intents.language import language
from intents.mentions import Understanding

if TYPE_CHECKING:
    from collections.abc import Callable

    from assistant.dialogue.conversation import Conversation
    from assistant.dialogue.hearing import Heard

_FRESH, _BUCKET = "fresh_bucket", "sanitizer_bucket"
_TWO, _TEN = 2, 10


@dataclass
class _Part:
    """Words from ``start`` to ``end`` that are of one bucket, and what stands for short words of its name."""

    place: str
    start: int
    end: int
    instead: dict[int, str] = field(default_factory=dict)


def report(talk: Conversation, heard: Heard, take: Callable[[Heard], Outcome]) -> Outcome | None:
    """Return what ``take`` makes of each bucket's own clauses; ``None`` where not several are told so."""
    said = heard.interpretation.heard
    if not talk.addressed or said.asks or not said.has(_FRESH):
        return None
    parts = list(_parts(talk, talk.interpreter.with_short_places(said)))
    if len({part.place for part in parts}) < len(parts) or len(parts) < _TWO:
        return None
    texts = [said.part(range(part.start, part.end), part.instead) for part in parts]
    each = [replace(heard, interpretation=talk.interpreter.interpret(t), text=t, rival=None) for t in texts]
    told = [take(one) for one in each]
    if not all(one.drafts or one.pending for one in told) or sum(bool(one.pending) for one in told) > 1:
        return None
    both = reduce(lambda one, two: agreed.both(talk, one, two), told)
    return replace(both, used=frozenset(range(len(said.words))))


def _parts(talk: Conversation, said: Understanding) -> Iterator[_Part]:
    """Give the words of each bucket: from a clause that names it to one that names another."""
    joins = talk.interpreter.lexicon.list("list_joins")
    ends = {0, *said.breaks, *(i for i, word in enumerate(said.words) if word in joins), len(said.words)}
    last: _Part | None = None
    for start, end in pairwise(sorted(ends)):
        part = _named(talk, said, start, end, last.place if last is not None else "")
        if last is None:
            last = replace(part, start=0) if part is not None else None
        elif part is not None and part.place != last.place:
            yield last
            last = part
        else:
            last.end = end
    if last is not None:
        yield last


def _named(talk: Conversation, said: Understanding, start: int, end: int, before: str) -> _Part | None:
    """Return the one bucket that a clause names, or the sibling of the one ``before`` by its number."""
    spans = [s for s in said.names.get("equipment", ()) if start <= s.start and s.end <= end]
    if spans:
        bucket = len(spans) == 1 and talk.site.kind_of(spans[0].value) == _BUCKET
        return _Part(spans[0].value, start, end) if bucket else None
    kin, grammar = family(("equipment", before, 0)), language(said.language).numbers
    small = talk.interpreter.lexicon.list("list_joins") | talk.interpreter.lexicon.list("deed_articles")
    at = next((i for i in range(start, end) if said.words[i] not in small or _digit(said, i)), end)
    place = f"{kin} {_digit(said, at)}" if at < end else ""
    stated = {*said.words[at + 1 : at + 2]} & talk.interpreter.lexicon.list("read_at")
    whole = max((until for until, _ in said.numbers_from(at)), default=at)
    its_own = whole == at + 1 and any(map(grammar.is_number_word, said.words[whole : whole + 1]))
    if not kin or not (stated or its_own) or talk.site.kind_of(place) != _BUCKET:
        return None
    return _Part(place, start, end, {at: talk.site.spoken_name(place)})


def _digit(said: Understanding, at: int) -> int:
    values = language(said.language).numbers.values(said.words[at : at + 1])
    return next((int(value) for value in values if value in range(1, _TEN)), 0)

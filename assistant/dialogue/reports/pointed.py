"""Places that are pointed at: "the other one", "the other bucket", "the next one"."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from assistant.dialogue import round_talk
from assistant.dialogue.reports.place_marks import alike
from assistant.dialogue.topic import topics
from intents.language import language
from intents.words import tokenise

if TYPE_CHECKING:
    from assistant.dialogue.conversation import Conversation

Words = tuple[str, ...]


def pointed(talk: Conversation, words: Words) -> list[tuple[int, int]]:
    """Return where "other one" or "next one" stands, without the places of a name behind it."""
    lexicon = talk.interpreter.lexicon
    pointing = lexicon.list("points_other") | lexicon.list("points_next")
    return [
        (at, at + 1 + bool({*words[at + 1 : at + 2]} & lexicon.list("batch_one")))
        for at, word in enumerate(words)
        if word in pointing
    ]


def told_apart(talk: Conversation, words: Words) -> Iterator[tuple[int, list[str]]]:
    """Give where one word tells a place from the one spoken of: "the back is ninety" after the front sink."""
    last = next((t.name for t in topics(talk)[:1] if t.kind == "equipment"), "")
    lexicon, grammar = talk.interpreter.lexicon, language(talk.language).numbers
    telling = lexicon.list("short_never") - {word for name in _names(talk, last) for word in name}
    found: dict[str, list[str]] = {}
    for place in alike(talk, last) if last else []:
        for word in telling & {word for name in _names(talk, place) for word in name}:
            found.setdefault(word, []).append(place)
    for at, word in enumerate(words[:-1]):
        led = not at or words[at - 1] in lexicon.list("deed_articles") - lexicon.list("still_it")
        behind = words[at + 1]
        told = behind in lexicon.list("read_at") or grammar.is_number_word(behind)
        if word in found and led and told:
            yield at, found[word]


def _names(talk: Conversation, place: str) -> tuple[Words, ...]:
    return (tuple(tokenise(talk.site.spoken_name(place))),) if place else ()


def meant(talk: Conversation, word: str, before: tuple[str, ...]) -> list[str]:
    """Return the places that "other" or "next" can mean; ``before`` were named last in the same words."""
    last = before or tuple(t.name for t in topics(talk)[:1] if t.kind == "equipment")
    if len(last) != 1:
        return []
    if word in talk.interpreter.lexicon.list("points_next"):
        return _next(talk, last[0])
    return [place for place in alike(talk, last[0]) if place != last[0]]


def _next(talk: Conversation, last: str) -> list[str]:
    """Return the place that a round asks for, else the one behind the last in the order of a round."""
    if talk.state.asked_place:
        return [talk.state.asked_place]
    here = round_talk.running(talk)
    plans = [here.plan] if here is not None else talk.site.rounds
    places = next((list(plan.places) for plan in plans if last in plan.places), [])
    return places[places.index(last) + 1 :][:1] if places else []

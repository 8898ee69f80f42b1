"""A kitchen that works in Celsius hears no Fahrenheit, whatever it asks."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest

from assistant.dialogue import conversation
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.slots import Slots
from assistant.dialogue.turn import Turn
from assistant.logbook.clock import SetClock
from assistant.logbook.store import Logbook
from assistant.site import Site
from intents.catalogue import load_catalogue
from intents.hypotheses import Hypotheses
from tests.empty_log import open_empty

EXAMPLES = {
    code: {i.name: [e.say for e in i.examples] for i in load_catalogue(code).intents.values() if i.examples}
    for code in ("en", "es")
}
FAHRENHEIT = re.compile(r"°F|ahrenheit")
ASKED_OF: set[str] = set()
"""Answers kept in either kitchen whose reason and rest were looked at."""


@pytest.fixture(params=["united_kingdom", "units"])
def celsius_talk(
    request: pytest.FixtureRequest, tmp_path: Path, site: Site, clock: SetClock, until_the_end: ExitStack
) -> Callable[[], Conversation]:
    """Make fresh conversations under a Celsius profile, or in a Celsius kitchen under a Fahrenheit code.

    Each has an empty log: looking through a long one is what takes time.
    """
    kitchen = site.kitchen.model_copy(update={"units": "C"})
    there = (
        site.with_profile(request.param)
        if request.param != "units"
        else site.model_copy(update={"kitchen": kitchen})
    )
    interpreter = conversation.interpreter_for(there)
    books: list[Logbook] = []

    def make() -> Conversation:
        if not books or books[-1].views.head().count:
            books.append(until_the_end.enter_context(open_empty(tmp_path / str(len(books)), clock)))
        return Conversation(there, books[-1], clock, interpreter)

    return make


@pytest.mark.parametrize("code", EXAMPLES)
def test_no_fahrenheit(celsius_talk: Callable[[], Conversation], code: str) -> None:
    """No reply to any example, nor the reason and the rest of it, has a Fahrenheit figure.

    Each example is said alone: what it means is then asked of the net once in all tests.
    """
    for name, sayings in EXAMPLES[code].items():
        for said in sayings:
            talk = celsius_talk()
            turn = talk.hear(Hypotheses.typed(said))
            for each, words in (("", turn.reply), *followed(talk, turn)):
                assert not FAHRENHEIT.search(words), f"{name}: {said!r} {each} -> {words!r}"


def followed(talk: Conversation, turn: Turn) -> Iterator[tuple[str, str]]:
    """Give what "why" and "more" would tell: worked out from the answer kept, so once of each like it."""
    kept = f"{talk.language} {turn.intent} {talk.state.last_answer!r}"
    if kept in ASKED_OF:
        return
    ASKED_OF.add(kept)
    for intent in ("why", "more"):
        yield intent, talk.rendered(talk.ask(talk.request(intent, Slots())))


@pytest.mark.parametrize("code", EXAMPLES)
def test_no_bare_temperatures(code: str) -> None:
    """No reply names a temperature of the code without its degrees: such a number could not be converted."""
    bare = re.compile(r"\b(?:135|165|155|145|41) (?:to|within|by|for|or|at)\b|\bto (?:70|41|165|135)\b(?!°)")
    for intent in load_catalogue(code).intents.values():
        for key, text in intent.replies.items():
            assert not bare.search(text), f"{intent.name}.{key}: {text}"

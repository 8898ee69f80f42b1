"""A kitchen that works in Celsius hears no Fahrenheit, whatever it asks."""

from __future__ import annotations

import re
from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path

import pytest

from assistant.dialogue.conversation import Conversation, interpreter_for
from assistant.logbook.clock import SetClock
from assistant.logbook.store import Logbook
from assistant.site import Site
from intents.catalogue import load_catalogue
from intents.hypotheses import Hypotheses

EXAMPLES = {
    code: {i.name: [e.say for e in i.examples] for i in load_catalogue(code).intents.values() if i.examples}
    for code in ("en", "es")
}
FOLLOWED_BY = {"en": ("why", "more"), "es": ("por qué", "más")}


@pytest.fixture(params=["united_kingdom", "units"])
def celsius_talk(
    request: pytest.FixtureRequest, tmp_path: Path, site: Site, clock: SetClock, until_the_end: ExitStack
) -> Callable[[], Conversation]:
    """Make fresh conversations under a Celsius profile, or in a Celsius kitchen under a Fahrenheit code."""
    kitchen = site.kitchen.model_copy(update={"units": "C"})
    there = (
        site.with_profile(request.param)
        if request.param != "units"
        else site.model_copy(update={"kitchen": kitchen})
    )
    interpreter = interpreter_for(there)
    book = until_the_end.enter_context(Logbook.open(tmp_path / "log", clock=clock))
    return lambda: Conversation(there, book, clock, interpreter)


@pytest.mark.parametrize("code", EXAMPLES)
def test_no_fahrenheit(celsius_talk: Callable[[], Conversation], code: str) -> None:
    """No reply to any example, nor "why" or "more" after it, has a Fahrenheit figure."""
    for name, sayings in EXAMPLES[code].items():
        talk = celsius_talk()
        for said in sayings:
            for each in (said, *FOLLOWED_BY[code]):
                turn = talk.hear(Hypotheses.typed(each))
                assert not re.search(r"°F|ahrenheit", turn.reply), f"{name}: {each!r} -> {turn.reply!r}"


@pytest.mark.parametrize("code", EXAMPLES)
def test_no_bare_temperatures(code: str) -> None:
    """No reply names a temperature of the code without its degrees: such a number could not be converted."""
    bare = re.compile(r"\b(?:135|165|155|145|41) (?:to|within|by|for|or|at)\b|\bto (?:70|41|165|135)\b(?!°)")
    for intent in load_catalogue(code).intents.values():
        for key, text in intent.replies.items():
            assert not bare.search(text), f"{intent.name}.{key}: {text}"

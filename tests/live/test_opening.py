"""A recogniser that loads while the kitchen is opened: it gets its words late, and a fault comes out."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from assistant.ear import Opening
from assistant.errors import InputError, MissingError
from assistant.speech import engines
from assistant.speech.fake import ScriptedRecogniser
from assistant.speech.vocabulary import Vocabulary
from intents.interpret import Interpreter

Words = Callable[[], Vocabulary]


def test_the_words_come_when_the_kitchen_is_open(
    monkeypatch: pytest.MonkeyPatch, interpreter: Interpreter
) -> None:
    """Loading has begun before, and waits for them only where it needs them."""
    got: list[Vocabulary] = []

    def load(engine: str, words: Words, language: str) -> ScriptedRecogniser:
        got.append(words())
        return ScriptedRecogniser([])

    monkeypatch.setattr(engines, "open_engine", load)
    with Opening() as opening:
        recogniser = opening.recogniser(interpreter, "hey kitchen")
    assert recogniser.name == "scripted"
    assert got[0].wake_phrase == "hey kitchen"


def test_a_fault_while_loading_is_raised_where_the_recogniser_is_asked_for(interpreter: Interpreter) -> None:
    """In the one sentence that it has anyway."""
    with Opening("ear") as opening, pytest.raises(InputError, match="no engine is called 'ear'"):
        opening.recogniser(interpreter)


def test_a_kitchen_that_cannot_be_opened_gives_the_loading_up(monkeypatch: pytest.MonkeyPatch) -> None:
    """The thread that waits for the words is not left behind."""
    monkeypatch.setattr(engines, "open_engine", lambda engine, words, language: words())
    with pytest.raises(MissingError), Opening() as opening:
        raise MissingError("no log")
    opening._thread.shutdown(wait=True)
    assert opening._opened.done()

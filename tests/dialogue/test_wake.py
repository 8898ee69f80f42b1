"""The wake phrase is found at the start only, also as it is misheard."""

from __future__ import annotations

import pytest

from assistant.dialogue.wake import after_wake, strip_wake, traced
from intents.hypotheses import Hypotheses, Hypothesis


@pytest.mark.parametrize(
    "said",
    [
        "hey kitchen walk in 38",
        "Hey, Kitchen: walk in 38",
        "hay kitchen walk in 38",
        "8 kitchen walk in 38",
        "uh hey kitchen walk in 38",
    ],
)
def test_found(said: str) -> None:
    """The rest of the sentence is left."""
    assert strip_wake(said, "hey kitchen") == ("walk in 38", True)


@pytest.mark.parametrize(
    "said",
    [
        "walk in 38",
        "the kitchen is hot",
        "they keep chickens",
        "clean the kitchen",
        "kitchen",
        "hey chicken",
        "the day kitchen crew was late again",
    ],
)
def test_not_found(said: str) -> None:
    """Nothing else wakes it."""
    assert strip_wake(said, "hey kitchen") == (said, False)


@pytest.mark.parametrize(
    "written",
    [
        "hey kitchen walk in 38",
        "take it chin walk in 38",
        "hey cushions walk in 38",
        "he kitchen, walk in 38",
        "corner behind you hey kitchen walk in 38",
        "walk in 38",
    ],
)
def test_where_a_listener_of_its_own_heard_it_any_spelling_goes(written: str) -> None:
    """The words' listener need not have understood the phrase."""
    heard = Hypotheses((Hypothesis(written),), 1.0, "pair", "none", woken=True)
    assert after_wake(heard, "hey kitchen").best == "walk in 38"


def test_unwoken_words_stay_as_they_are() -> None:
    """Only what was addressed is cut."""
    heard = Hypotheses((Hypothesis("take it chin walk in 38"),), 1.0, "pair", "none")
    assert after_wake(heard, "hey kitchen") == heard


def test_the_phrase_alone_leaves_nothing() -> None:
    """Then the assistant listens on."""
    heard = Hypotheses((Hypothesis("hey kitchen"),), 1.0, "pair", "none", woken=True)
    assert after_wake(heard, "hey kitchen").best == ""


@pytest.mark.parametrize(
    ("first", "second", "expected"),
    [
        ("take it chin walk in 38", "", False),
        ("hey Ken, where's my salmon", "hey kitchen where", False),
        ("hay kitchen walk in 38", "", True),
        ("walk in 38", "hey kitchen walk in thirty eight", False),
        ("corner behind you hey kitchen walk in 38", "", True),
        ("how deep does the dish need to be", "how does the dish", False),
        ("walk in 38", "walk in thirty eight", False),
    ],
)
def test_the_phrase_leaves_a_trace_in_the_words(first: str, second: str, expected: bool) -> None:
    """A listener for the phrase is not believed against the one that writes the words."""
    heard = Hypotheses((Hypothesis(first),), 1.0, "pair", "none", second=(Hypothesis(second),), woken=True)
    assert traced(heard, "hey kitchen") is expected


@pytest.mark.parametrize(
    ("written", "later"),
    [
        ("corner behind you hey kitchen walk in 38", True),
        ("hey kitchen walk in 38", False),
        ("take it chin walk in 38", False),
    ],
)
def test_traced_behind_other_words(written: str, later: bool) -> None:
    """What opens the words is judged by the sound; only a phrase behind other talk rests on the words."""
    assert traced(Hypotheses((Hypothesis(written),), 1.0, "pair", "none"), "hey kitchen", later=True) is later

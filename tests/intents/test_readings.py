"""The reading grammar: places, numbers, several in a breath, and what must never be read."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from intents.en.spell import say_number
from intents.interpret import Interpreter


def read(interpreter: Interpreter, text: str) -> list[list[tuple[str, str]]]:
    """Return every way in which ``text`` reads as readings, as (subject, value)."""
    return [[(r.subject, f"{r.value}") for r in way] for way in interpreter.interpret(text).readings.options]


@pytest.mark.parametrize(
    ("said", "readings"),
    [
        ("quat bucket two hundred", [("quat bucket", "200")]),
        ("quat bucket two two hundred", [("quat bucket 2", "200")]),
        ("bucket number two, two hundred", [("quat bucket 2", "200")]),
        ("low-boy two, thirty-eight", [("low-boy 2", "38")]),
        ("sani's a buck fifty, bucket three", [("quat bucket 3", "150")]),
        ("forty one on the walk-in", [("walk-in", "41")]),
        ("freezer four below", [("freezer", "-4")]),
        ("the freezer is minus two point five degrees", [("freezer", "-2.5")]),
        ("dish machine final rinse 1-84", [("dish machine", "184")]),
        (
            "walk in 38, reach in 41 and the freezer's at minus two",
            [("walk-in", "38"), ("reach-in", "41"), ("freezer", "-2")],
        ),
        ("soup on the steam table is one twenty-eight", [("soup", "128")]),
        ("oysters are forty-eight in the meat", [("oysters", "48")]),
        ("third sink is fifty-eight degrees with quat in it", [("third sink", "58")]),
    ],
)
def test_reads(interpreter: Interpreter, said: str, readings: list[tuple[str, str]]) -> None:
    """The sentence reads in exactly one way."""
    assert read(interpreter, said) == [readings]


@pytest.mark.parametrize(
    "said",
    [
        "eighty-six the salmon",
        "two sixty-fives all day",
        "walk-in forty covers",
        "fire two steaks table nine",
        "walk-in",
        "thirty eight",
        "walk-in thirty eight lots of whatnot blah",
        "quat bucket hundred",
        "walk in 1,0001",
    ],
)
def test_never_reads(interpreter: Interpreter, said: str) -> None:
    """What is not wholly explained is no reading."""
    assert read(interpreter, said) == []


def test_two_sensible_ways_are_both_returned(interpreter: Interpreter) -> None:
    """ "bucket two fifty" may be bucket 2 at 50 or the bucket at 250: both come back."""
    assert sorted(read(interpreter, "quat bucket two fifty")) == [
        [("quat bucket", "250")],
        [("quat bucket 2", "50")],
    ]


@given(
    tenths=st.integers(200, 700),
    place=st.sampled_from(["reach-in", "prep cooler", "dessert cooler", "egg cooler"]),
)
def test_every_spoken_temperature_is_read_as_said(interpreter: Interpreter, tenths: int, place: str) -> None:
    """Any plausible cold temperature said after its place is read as exactly that number."""
    value = Decimal(tenths) / 10
    ways = interpreter.interpret(f"{place} {say_number(value)}").readings.options
    assert [[r.value for r in way] for way in ways] == [[value]]


@given(ppm=st.integers(10, 99).map(lambda n: n * 10), number=st.integers(1, 4))
def test_numbered_buckets_never_swallow_a_wrong_number(
    interpreter: Interpreter, ppm: int, number: int
) -> None:
    """The true reading of bucket number and strength is the only one, or one of those asked about."""
    words = ("one", "two", "three", "four")[number - 1]
    ways = interpreter.interpret(
        f"chlorine bucket number {words} {say_number(Decimal(ppm))} ppm"
    ).readings.options
    assert any(
        [(r.subject, r.value) for r in way] == [(f"chlorine bucket {number}", Decimal(ppm))] for way in ways
    )

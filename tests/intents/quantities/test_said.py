"""Spoken forms and what they say, written by hand (common speech, no source); in ``notation``.

The rows say what a listener would take each form for, all meanings of the whole run, in order.
"""

from __future__ import annotations

import csv
from decimal import Decimal
from pathlib import Path

import pytest

from intents.quantities import Clock, Day, Number, Quantity, quantities
from intents.words import tokenise
from tests.intents.quantities.notation import heard, shown

HERE = Path(__file__).parent


def table(path: Path) -> list[tuple[str, str]]:
    """Return the rows of a table: what is said, what is heard."""
    with path.open(encoding="utf-8", newline="") as file:
        return [(row["said"], row["heard"]) for row in csv.DictReader(file)]


def rows(code: str) -> list[tuple[str, str]]:
    """Return the rows of a language's table."""
    return table(HERE / f"said_{code}.csv")


@pytest.mark.parametrize(("said", "means"), rows("en"))
def test_english(said: str, means: str) -> None:
    assert heard(quantities(tokenise(said), "en")) == means


@pytest.mark.parametrize(("said", "means"), rows("es"))
def test_spanish(said: str, means: str) -> None:
    assert heard(quantities(tokenise(said), "es")) == means


def only(said: str) -> Quantity:
    """Return the one quantity of a sentence."""
    (found,) = quantities(tokenise(said), "en")
    return found


def splits(said: str) -> list[str]:
    """Return the other ways to cut the one quantity of a sentence."""
    return [heard(way) for way in only(said).splits]


def test_a_number_and_a_clock_time_may_be_two_numbers() -> None:
    assert splits("two thirty") == ["2 | 2:00x? + 30"]


def test_a_clock_time_told_with_to_may_be_a_range() -> None:
    assert splits("at ten to two") == ["[at] 10 | 10:00x? + [to] 2 | 2:00x?"]


def test_hours_and_minutes_may_be_a_span_and_a_reading() -> None:
    assert "60 min + 40" in splits("an hour forty")


def test_a_day_and_a_time_may_stand_apart() -> None:
    assert splits("yesterday noon") == ["day-1 + 12:00"]


def test_what_every_way_cuts_is_cut() -> None:
    found = quantities(tokenise("bucket two two hundred"), "en")
    assert [(q.start, q.end) for q in found] == [(1, 2), (2, 4)]


def test_all_numbers_of_all_ways_are_kept() -> None:
    assert only("one fifty two").values == {Decimal(n) for n in (152, 150, 1, 52, 50, 2)}


def test_meanings_are_found_by_type() -> None:
    found = only("at two thirty")
    assert found.first(Clock) == Clock((2, 14), 30)
    assert found.all(Number) == (Number((Decimal(230),)),)
    assert found.first(Day) is None
    assert [shown(m) for m in found.meanings] == ["230", "2:30x?"]


def test_marks_tell_where_they_stand() -> None:
    found = only("since about six")
    assert [(m.name, m.start, m.end, m.hedge) for m in found.marks] == [
        ("since", 0, 1, False),
        ("about", 1, 2, True),
    ]


def test_no_words_say_nothing() -> None:
    assert quantities((), "en") == ()

"""What holds of any words: no number vanishes, runs lie apart and inside, ways cover only their run."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from num2words import num2words

from intents.en.spell import say_digits, say_number
from intents.language import language
from intents.quantities import Clock, Day, Moment, Number, Quantity, Span, quantities, resolve
from intents.words import breaks_in, tokenise

GRAMMAR = {code: language(code).numbers for code in ("en", "es")}
TENTHS = st.integers(-999, 9999).map(lambda n: Decimal(n) / 10)
TALK = {
    "en": (
        "the soup is at ten two thirty to past half quarter of an hour and a ago degrees ppm since open this "
        "morning six oh hundred noon yesterday last night minutes forty point five tuesday third pans table"
    ).split(),
    "es": (
        "la sopa esta a las dos diez treinta y media cuarto para menos una hora hace grados ppm desde abrir "
        "manana seis cien mediodia ayer anoche minutos cuarenta punto cinco martes charolas como mesa de el"
    ).split(),
}
SENTENCES = {code: st.lists(st.sampled_from(words), max_size=9).map(tuple) for code, words in TALK.items()}


def all_parts(found: tuple[Quantity, ...]) -> list[Quantity]:
    """Return the quantities and those of their splits."""
    return [*found, *(part for q in found for way in q.splits for part in way)]


@given(TENTHS)
def test_no_spoken_number_vanishes(number: Decimal) -> None:
    """Numbers spelled by our own speller, as words and digit by digit, with a unit and without."""
    for said in (say_number(number), say_digits(number), f"{number}"):
        for sentence in (said, f"the soup is at {said} degrees", f"{said} F"):
            assert number in values(sentence, "en"), sentence


@given(st.integers(0, 9999))
def test_no_whole_number_of_the_reference_vanishes(number: int) -> None:
    """Spelled by num2words (PyPI); its "and" in "one thousand, and one" is left out."""
    said = str(num2words(number)).replace(" and ", " ").replace("-", " ")
    assert number in values(f"{said} ppm", "en")
    assert number in values(f"{num2words(number, lang='es')} partes", "es")


def values(said: str, code: str) -> frozenset[Decimal]:
    """Return every number that a sentence's quantities hold."""
    return frozenset().union(*(q.values for q in quantities(tokenise(said), code)))


@pytest.mark.parametrize("code", ["en", "es"])
@given(data=st.data())
def test_whatever_the_number_grammar_reads_is_held(code: str, data: st.DataObject) -> None:
    """A run that the number grammar reads as one number holds all its values, units or not."""
    words = data.draw(SENTENCES[code])
    for found in quantities(words, code):
        read = dict(GRAMMAR[code].numbers_from(words, found.start))
        assert read.get(found.end, frozenset()) <= found.values


@pytest.mark.parametrize("code", ["en", "es"])
@given(data=st.data())
def test_runs_lie_inside_and_apart(code: str, data: st.DataObject) -> None:
    words = data.draw(SENTENCES[code])
    found = quantities(words, code)
    assert all(0 <= q.start < q.end <= len(words) for q in found)
    assert all(one.end <= other.start for one, other in pairwise(found))
    for quantity in found:
        assert quantity.meanings or quantity.splits
        for way in quantity.splits:
            assert way
            assert quantity.start <= way[0].start
            assert way[-1].end <= quantity.end
            assert all(one.end <= other.start for one, other in pairwise(way))
            assert all(part.meanings for part in way)


@pytest.mark.parametrize("code", ["en", "es"])
@given(data=st.data())
def test_marks_never_lie_in_another_run(code: str, data: st.DataObject) -> None:
    words = data.draw(SENTENCES[code])
    found = quantities(words, code)
    for quantity in found:
        for mark in quantity.marks:
            others = [q for q in found if q is not quantity]
            assert all(mark.end <= q.start or q.end <= mark.start for q in others)


@pytest.mark.parametrize("code", ["en", "es"])
@given(data=st.data())
def test_words_of_no_quantity_change_nothing(code: str, data: st.DataObject) -> None:
    """A strange word in front moves the runs, nothing else."""
    words = data.draw(SENTENCES[code])
    before, after = quantities(words, code), quantities(("blorp", *words), code)
    assert [(q.start + 1, q.end + 1, q.meanings) for q in before] == [
        (q.start, q.end, q.meanings) for q in after
    ]


@pytest.mark.parametrize("code", ["en", "es"])
@given(text=st.text(max_size=40) | st.text(alphabet="0123456789:./-½² amphoursto°F,", max_size=25))
@example("²½")
def test_nothing_typed_breaks_it(code: str, text: str) -> None:
    for found in quantities(tokenise(text), code):
        for meaning in found.meanings:
            if isinstance(meaning, Clock | Day | Moment):
                resolve(meaning, datetime(2026, 3, 12, 14, 50, tzinfo=UTC), "either")


def test_a_moment_beyond_all_years_is_none() -> None:
    (moment,) = meanings("99999999999999 weeks ago")
    assert isinstance(moment, Moment)
    assert resolve(moment, datetime(2026, 3, 12, tzinfo=UTC)).candidates == ()


@given(st.integers(1, 99), st.integers(5, 59))
@example(1, 40)
def test_spans_are_exact(hours: int, minutes: int) -> None:
    said = f"{num2words(hours)} hours and {num2words(minutes)} minutes"
    assert Span((Fraction(hours * 60 + minutes),)) in meanings(said)
    assert Moment(anchor="now", offset=Fraction(-hours * 60 - minutes)) in meanings(f"{said} ago")


@given(st.integers(1, 9999))
def test_seconds_are_exact_minutes(seconds: int) -> None:
    assert Span((Fraction(seconds, 60),)) in meanings(f"{seconds} seconds")


@given(st.integers(0, 400), st.sampled_from(["F", "C", "ppm", "percent", "psi", "pounds", "portions"]))
def test_a_unit_goes_with_its_number(number: int, unit: str) -> None:
    found = [m for m in meanings(f"{number} {unit}") if isinstance(m, Number)]
    assert [(m.values, bool(m.unit)) for m in found] == [((Decimal(number),), True)]


def meanings(said: str) -> tuple[object, ...]:
    """Return the meanings of the one quantity of a sentence."""
    (found,) = quantities(tokenise(said), "en")
    return found.meanings


READ = st.integers(0, 420)
SAID = st.sampled_from([say_digits, say_number])


@given(st.lists(st.tuples(READ, SAID), min_size=2, max_size=5))
@example([(160, say_digits), (157, say_digits)])
@example([(140, say_digits), (1, say_number), (142, say_digits)])
def test_no_number_goes_over_a_comma(row: list[tuple[int, Callable[[Decimal], str]]]) -> None:
    """ "One sixty, one fifty seven" is two numbers, each with all that it may be alone, and no third."""
    said = [speak(Decimal(value)) for value, speak in row]
    text = ", ".join(said)
    words = tokenise(text)
    breaks = breaks_in(text, words)
    found = quantities(words, "en", breaks)
    alone = [q for one in said for q in quantities(tokenise(one), "en")]
    assert [q.values for q in found] == [q.values for q in alone]
    assert all(breaks.isdisjoint(range(q.start + 1, q.end)) for q in found)


@given(st.lists(st.tuples(READ, SAID), min_size=2, max_size=4))
@example([(160, say_digits), (157, say_digits)])
def test_numbers_in_a_row_without_commas_keep_the_way_that_was_meant(
    row: list[tuple[int, Callable[[Decimal], str]]],
) -> None:
    """Whatever else the words may be, the numbers that were said stay one of the ways to cut them."""
    words = tokenise(" ".join(speak(Decimal(value)) for value, speak in row))
    meant = tuple(Decimal(value) for value, _ in row)
    assert meant in GRAMMAR["en"].readings(words)
    assert frozenset(meant) <= frozenset().union(*(q.values for q in quantities(words, "en")))


@given(st.integers(1, 9), READ.filter(lambda value: value > 9))
def test_a_place_number_before_a_comma_is_no_part_of_what_it_reads(place: int, value: int) -> None:
    text = f"well {say_number(Decimal(place))}, {say_digits(Decimal(value))}"
    words = tokenise(text)
    first, *rest = quantities(words, "en", breaks_in(text, words))
    assert Decimal(place) in first.values
    assert Decimal(value) in frozenset().union(*(q.values for q in rest)) - first.values

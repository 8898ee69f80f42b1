"""Every minute of the day in every form, spelled and read back.

The numbers are spelled by num2words (PyPI), not by our own speller; the forms are common speech.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from num2words import num2words

from intents.quantities import Clock, quantities
from intents.words import tokenise


def en(number: int) -> str:
    """Spell a number in English."""
    return str(num2words(number)).replace("-", " ")


def es(number: int) -> str:
    """Spell a number in Spanish; hours are feminine."""
    return str(num2words(number, lang="es"))


def twelve(hour: int) -> int:
    """Return the hour on a clock's face."""
    return (hour - 1) % 12 + 1


def spoken_minute(minute: int) -> str:
    """Spell the minutes behind an hour: "oh five", "fifteen"."""
    return f"oh {en(minute)}" if minute < 10 else en(minute)


def open_forms(hour: int, minute: int) -> Iterator[str]:
    """Say a time in every form that leaves am and pm open."""
    now, after, left = en(twelve(hour)), en(twelve(hour + 1)), en(60 - minute)
    yield f"{twelve(hour)}:{minute:02d}"
    if minute == 0:
        yield from (f"{now} o'clock", f"at {now}", f"around {now}")
        return
    yield from (f"{now} {spoken_minute(minute)}", f"{en(minute)} minutes past {now}")
    yield from (f"{en(minute)} past {now}", f"{en(minute)} after {now}", f"at {en(minute)} past {now}")
    if minute > 30:
        yield f"{left} minutes to {after}"
    if minute > 30 and 60 - minute in (5, *range(10, 30)):  # "two to four" is a range
        yield from (f"{left} to {after}", f"{left} till {after}")
        yield from (f"{left} before {after}", f"at {left} to {after} o'clock")
    if minute in (35, 40, 45, 50, 55):
        yield f"{en(60 - minute)} of {after}"
    if minute == 15:
        yield from (f"quarter past {now}", f"a quarter after {now}")
    if minute == 30:
        yield from (f"half past {now}", f"half {now}")
    if minute == 45:
        yield from (f"quarter to {after}", f"a quarter of {after}")


def known_forms(hour: int, minute: int) -> Iterator[str]:
    """Say a time in every form that tells the half of the day."""
    half = "am" if hour < 12 else "pm"
    part = "morning" if hour < 12 else "afternoon" if hour < 16 else "evening"
    yield from (f"{twelve(hour)}:{minute:02d} {half}", f"{twelve(hour)}:{minute:02d}{half}")
    if minute == 0:
        yield from (f"{en(twelve(hour))} {half}", f"{en(twelve(hour))} {half[0]}. m.")
        yield f"{en(twelve(hour))} in the {part}"
        yield f"{en(hour) if hour > 9 else 'oh ' + en(hour)} hundred hours" if hour else "zero hundred"
        return
    yield f"{en(twelve(hour))} {spoken_minute(minute)} {half}"
    yield f"{en(minute)} past {en(twelve(hour))} in the {part}"
    if hour > 12:
        yield from (f"{hour}:{minute:02d}", f"{en(hour)} {spoken_minute(minute)}")
    if 0 < hour < 10:
        yield from (f"0{hour}:{minute:02d}", f"oh {en(hour)} {spoken_minute(minute)}")


def spanish_forms(hour: int, minute: int) -> Iterator[str]:
    """Say a time in Spanish, am and pm open."""

    def las(number: int) -> str:
        return "la una" if number == 1 else f"las {es(number)}"

    now, after = las(twelve(hour)), las(twelve(hour + 1))
    if minute == 0:
        yield from (f"a {now}", f"{now} en punto")
        return
    yield f"a {now} y {es(minute)}"
    if minute >= 10:
        yield f"a {now} {es(minute)}"
    if minute > 30:
        yield f"{es(60 - minute)} minutos para {after}"
    if minute > 30 and 60 - minute in (5, *range(10, 30)):
        yield from (f"{es(60 - minute)} para {after}", f"{after} menos {es(60 - minute)}")
    if minute == 15:
        yield f"{now} y cuarto"
    if minute == 30:
        yield f"{now} y media"
    if minute == 45:
        yield from (f"cuarto para {after}", f"{after} menos cuarto")


def spanish_forms_with_the_half(hour: int, minute: int) -> Iterator[str]:
    """Say a time in Spanish with the part of the day."""
    part = "madrugada" if hour < 5 else "mañana" if hour < 12 else "tarde" if hour < 20 else "noche"
    now = "la una" if twelve(hour) == 1 else f"las {es(twelve(hour))}"
    behind = "" if minute == 0 else f" y {es(minute)}"
    yield from (f"a {now}{behind} de la {part}", f"a las {twelve(hour)}:{minute:02d} de la {part}")
    yield f"{twelve(hour)}:{minute:02d} {'am' if hour < 12 else 'pm'}"
    if minute == 30:
        yield f"a {now} y media de la {part}"
    if hour > 12 and minute:
        yield from (f"{hour}:{minute:02d}", f"a las {hour}:{minute:02d} horas")


def clocks(said: str, code: str) -> list[Clock]:
    """Return the clock times that all words of a run may say."""
    return [clock for found in quantities(tokenise(said), code) for clock in found.all(Clock)]


@pytest.mark.parametrize("hour", range(12))
def test_every_minute_with_its_half_open(hour: int) -> None:
    for minute in range(60):
        for said in open_forms(hour, minute):
            found = [(c.hours, c.minute) for c in clocks(said, "en")]
            assert found == [((hour, hour + 12), minute)], said


@pytest.mark.parametrize("hour", range(24))
def test_every_minute_with_its_half_known(hour: int) -> None:
    for minute in range(60):
        for said in known_forms(hour, minute):
            assert [(c.hours, c.minute) for c in clocks(said, "en")] == [((hour,), minute)], said


@pytest.mark.parametrize("hour", range(12))
def test_every_minute_in_spanish(hour: int) -> None:
    for minute in range(60):
        for said in spanish_forms(hour, minute):
            found = [(c.hours, c.minute) for c in clocks(said, "es") if c.worded]
            assert ((hour, hour + 12), minute) in found, said  # "diez y uno" was eleven once


@pytest.mark.parametrize("hour", range(24))
def test_every_minute_in_spanish_with_its_half_known(hour: int) -> None:
    for minute in range(60):
        for said in spanish_forms_with_the_half(hour, minute):
            assert ((hour,), minute) in [(c.hours, c.minute) for c in clocks(said, "es")], said


@pytest.mark.parametrize("minute", range(1, 60))
def test_every_minute_without_its_hour(minute: int) -> None:
    said = [f"{en(minute)} past"] + ([f"{en(60 - minute)} to"] if minute in (35, 40, 45, 50, 55) else [])
    for each in said:
        assert clocks(each, "en") == [Clock(tuple(range(24)), minute, True)], each

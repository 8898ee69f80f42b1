"""Spanish numbers: ways of saying them, laws, and text2num, an independent parser, as second opinion."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from text_to_num import text2num

from intents.es.numbers import integers, numbers_from, values, written
from intents.es.spell import for_ear, for_eye, say_digits, say_integer, say_number
from intents.words import tokenise

SAID = [
    ("ciento sesenta y cinco", "165"),
    ("uno sesenta y cinco", "165"),
    ("uno seis cinco", "165"),
    ("cuarenta coma cinco", "40.5"),
    ("cuarenta punto cinco", "40.5"),
    ("cuarenta y medio", "40.5"),
    ("menos dos", "-2"),
    ("dos bajo cero", "-2"),
    ("doscientos", "200"),
    ("doscientas", "200"),
    ("dos cincuenta", "250"),
    ("dos cero cinco", "205"),
    ("treinta y ocho", "38"),
    ("treinta ocho", "38"),
    ("veintiún", "21"),
    ("dieciséis", "16"),
    ("mil doscientos", "1200"),
    ("cien", "100"),
    ("tres coma veinticinco", "3.25"),
]
"""Ways to say a number, common practice in kitchens, no source; the numbers themselves are plain Spanish."""


def words(text: str) -> tuple[str, ...]:
    """Return the words as the interpreter sees them."""
    return tokenise(written(text))


@pytest.mark.parametrize(("said", "number"), SAID)
def test_a_number_is_understood(said: str, number: str) -> None:
    """Every way of saying it has exactly its one meaning."""
    assert values(words(said)) == {Decimal(number)}


@given(st.integers(min_value=0, max_value=9999))
def test_what_is_spelled_is_understood(number: int) -> None:
    """A number spelled for the voice is heard as that number, and nothing else as a whole."""
    assert number in integers(words(say_integer(number)))


@given(st.integers(min_value=0, max_value=20_999))
def test_text2num_reads_our_spelling(number: int) -> None:
    """An independent library reads our spelling as the same number (it lacks "veintiún mil" and on)."""
    assert text2num(say_integer(number), "es") == number


@given(st.decimals(min_value=-60, max_value=600, places=1))
def test_decimals_go_there_and_back(number: Decimal) -> None:
    """Temperatures to a tenth survive being spelled and heard."""
    assert number.normalize() in {v.normalize() for v in values(words(say_number(number)))}


@given(st.integers(min_value=0, max_value=9999))
def test_digits_read_singly_are_the_number(number: int) -> None:
    """The read-back in single digits means the number itself."""
    assert number in integers(words(say_digits(Decimal(number))))


def test_an_article_is_no_number() -> None:
    """ "Un" and "una" before a noun begin no number of their own."""
    assert numbers_from(words("una cubeta"), 0) == ()


def test_a_decimal_comma_is_read() -> None:
    """ "40,5" is forty and a half; "1,000" is a thousand."""
    assert words("marca 40,5") == ("marca", "40.5")
    assert words("son 1,000") == ("son", "1000")


@pytest.mark.parametrize(
    ("shown", "spoken"),
    [
        ("200-400 ppm", "doscientas a cuatrocientas partes por millón"),
        ("41°F", "cuarenta y un grados"),
        ("1°F", "un grado"),
        ("1 1/2 cucharaditas", "una cucharadita y media"),
        ("2 1/2 galones", "dos galones y medio"),
        ("21 horas", "veintiuna horas"),
        ("1 horas", "una hora"),
        ("31 días", "treinta y un días"),
        ("Quedan 1 minutos", "Queda un minuto"),
        ("Faltan 10", "Faltan diez"),
        ("7 o 8 días", "siete u ocho días"),
        ("1 a 2 días", "uno a dos días"),
        ("1.5 h", "una hora y media"),
        ("3.5 horas", "tres horas y media"),
        ("⟦165⟧°F", "uno seis cinco grados"),
        ("a las 2:30 pm", "a las dos y media de la tarde"),
        ("a las 1:05 pm", "a la una y cinco de la tarde"),
        ("a las 12:10 am", "a las doce y diez de la noche"),
        ("a las 3:00 am", "a las tres de la madrugada"),
        ("21 lb", "veintiuna libras"),
        ("Tíralo. Mídela.", "Tira lo. Mide la."),
        ("Ajústalo o cámbialo: 7 o 8", "Ajústalo, o cámbialo: siete u ocho"),
    ],
)
def test_a_reply_is_spelled(shown: str, spoken: str) -> None:
    """Units, ranges, fractions and clock times become Spanish words.

    Gender before a noun ("veintiuna horas"), "u" before an o and "e" before an i: RAE, Diccionario
    panhispánico de dudas, "numerales", "o" and "y" (from memory).
    """
    assert for_ear(shown) == spoken


@pytest.mark.parametrize(
    ("filled", "shown"),
    [
        ("Hoy: 1 lecturas, 1 bien.", "Hoy: 1 lectura, 1 bien."),
        ("Quedan 1 días", "Queda 1 día"),
        ("Quedan 1.5 horas", "Quedan 1.5 horas"),
        ("Faltan 11: refri", "Faltan 11: refri"),
        ("arroz y higos", "arroz e higos"),
        ("agua y hielo", "agua y hielo"),
        ("desde las 1:05 pm", "desde la 1:05 pm"),
        ("A las 1:00 pm, son las 1:45 pm", "A la 1:00 pm, es la 1:45 pm"),
        ("Son las 11:00 am, antes de las 12:01 am", "Son las 11:00 am, antes de las 12:01 am"),
        ("1 onzas líquidas en 1 galones", "1 onza líquida en 1 galón"),
        ("Le quedan 1 h: 4 horas en total", "Le queda 1 h: 4 horas en total"),
        ("165°F por 1 minutos", "165°F por 1 minuto"),
    ],
)
def test_what_is_filled_in_agrees(filled: str, shown: str) -> None:
    """One is singular, and small words take the form that the next word wants (RAE, as above)."""
    assert for_eye(filled) == shown


def test_a_telephone_number_is_read_out_in_groups() -> None:
    """As people read it out; the number is the US health department's, from memory."""
    said = "uno ochocientos, doscientos veintidós, doce, veintidós"
    assert for_ear("La línea es 1-800-222-1222.") == f"La línea es {said}."
    assert for_ear("La línea es 1-800-005-0100.").endswith("cero cero cinco, cero, uno, cero, cero.")

"""Numbers and replies spelled for the ear in Brazilian Portuguese."""

from __future__ import annotations

import re
from functools import partial

_SMALL = (
    "zero", "um", "dois", "três", "quatro", "cinco", "seis", "sete", "oito", "nove", "dez", "onze", "doze",
    "treze", "catorze", "quinze", "dezesseis", "dezessete", "dezoito", "dezenove",
)  # fmt: skip
_TENS = ("", "", "vinte", "trinta", "quarenta", "cinquenta", "sessenta", "setenta", "oitenta", "noventa")
_HUNDREDS = (
    "", "cento", "duzentos", "trezentos", "quatrocentos", "quinhentos", "seiscentos", "setecentos",
    "oitocentos", "novecentos",
)  # fmt: skip
_UNITS = (
    (re.compile(r"\s*°F\b"), " graus Fahrenheit"),
    (re.compile(r"\s*°C\b"), " graus Celsius"),
    (re.compile(r"\s*°"), " graus"),
    (re.compile(r"\bppm\b"), "partes por milhão"),
    (re.compile(r"\bpsi\b"), "libras por polegada quadrada"),
    (re.compile(r"\bpH\b"), "pê agá"),
    (re.compile(r"\s*%"), " por cento"),
    (re.compile(r"\bmL\b|\bml\b"), "mililitros"),
    (re.compile(r"(?<=\d) ?L\b"), " litros"),
    (re.compile(r"(?<=\d) ?kg\b"), " quilos"),
    (re.compile(r"(?<=\d) ?lb\b"), " libras"),
    (re.compile(r"(?<=\d) ?h\b"), " horas"),
    (re.compile(r"(?<=\d) ?min\b"), " minutos"),
)
_FRACTIONS = {"1/2": "meia", "1/4": "um quarto de", "3/4": "três quartos de", "1/8": "um oitavo de"}
# Nouns that are feminine: "duas horas", "uma colher".
_FEMININE = frozenset("hora horas partes colher colheres xícara xícaras onça onças bandejas libras".split())
_AT_ONE = re.compile(r"\b([Àà])s (1:\d\d)\b")
_READ_BACK = re.compile(r"⟦(-?\d+(?:\.\d+)?)⟧")
_CLOCK = re.compile(r"\b(\d{1,2}):(\d{2})\b")
_RANGE = re.compile(r"(?<=\d)\s*[-–]\s*(?=\d)")
_NUMBER = re.compile(r"(?<![\w.,])(-?)(\d+)(?:\.(\d+))?(?!\w)(?=(?: a \d+)?(?:\s+(\w+))?)")


def for_eye(text: str) -> str:
    """Return a rendered reply as shown: without the marks around read-back digits, "à 1:30", not "às"."""
    return _AT_ONE.sub(r"\1 \2", text.replace("⟦", "").replace("⟧", ""))


def say_integer(number: int) -> str:
    """Spell a whole number."""
    if number < 0:
        return f"menos {say_integer(-number)}"
    if number < 20:
        return _SMALL[number]
    if number < 100:
        tens, digit = divmod(number, 10)
        return _TENS[tens] + (f" e {_SMALL[digit]}" if digit else "")
    if number == 100:
        return "cem"
    if number < 1000:
        hundreds, rest = divmod(number, 100)
        return _HUNDREDS[hundreds] + (f" e {say_integer(rest)}" if rest else "")
    if number < 1_000_000:
        thousands, rest = divmod(number, 1000)
        said = "mil" if thousands == 1 else f"{say_integer(thousands)} mil"
        joint = " e " if rest < 100 or rest % 100 == 0 else " "
        return said + (joint + say_integer(rest) if rest else "")
    return " ".join(_SMALL[int(digit)] for digit in str(number))


def say_digits(number: str) -> str:
    """Spell a number digit by digit, as a read-back that cannot be misheard ("um seis cinco")."""
    words = {"-": "menos", ".": "vírgula"}
    return " ".join(words.get(mark) or _SMALL[int(mark)] for mark in number)


def _feminine(spelled: str) -> str:
    spelled = re.sub(r"\bum$", "uma", re.sub(r"\bdois$", "duas", spelled))
    return re.sub(r"(duz|trez|quatroc|quinh|seisc|setec|oitoc|novec)entos\b", r"\1entas", spelled)


def _said(match: re.Match[str]) -> str:
    sign, whole, fraction, noun = match.groups()
    spelled = say_integer(int(whole))
    if fraction:
        digits = " ".join(_SMALL[int(digit)] for digit in fraction)
        spelled = f"{spelled} vírgula {digits}"
    elif noun in _FEMININE:
        spelled = _feminine(spelled)
    return ("menos " if sign else "") + spelled


def _clock(match: re.Match[str]) -> str:
    hour, minute = int(match[1]), int(match[2])
    said = _feminine(say_integer(hour))
    return said + (f" e {say_integer(minute)}" if minute else " horas")


def _and_a_part(part: str, match: re.Match[str]) -> str:
    return f"{_feminine(say_integer(int(match[1])))} e {part}"


def for_ear(text: str) -> str:
    """Return a rendered reply as words for the voice."""
    text = _READ_BACK.sub(lambda match: say_digits(match[1]), text)
    text = _CLOCK.sub(_clock, _AT_ONE.sub(r"\1 \2", text))
    text = _RANGE.sub(" a ", text)
    for pattern, words in _UNITS:
        text = pattern.sub(words, text)
    for written, words in _FRACTIONS.items():
        mixed = partial(_and_a_part, words.removesuffix(" de"))
        text = re.sub(rf"(?<!\d)(\d+) {written}(?!\d)", mixed, text)
        text = re.sub(rf"(?<![\d/]){written}(?![\d/])", words, text)
    return _NUMBER.sub(_said, text)

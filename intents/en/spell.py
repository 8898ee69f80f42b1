"""Numbers and reply texts spelled for the ear: "200 ppm" -> "two hundred parts per million"."""

from __future__ import annotations

import re
from decimal import Decimal

_ONES = (
    "zero one two three four five six seven eight nine ten eleven twelve "
    "thirteen fourteen fifteen sixteen seventeen eighteen nineteen"
).split()
_TENS = "zero ten twenty thirty forty fifty sixty seventy eighty ninety".split()


def say_integer(number: int) -> str:
    """Spell a whole number below a million ("one hundred sixty five"); the sign is spoken first."""
    if number < 0:
        return f"minus {say_integer(-number)}"
    if number < 20:
        return _ONES[number]
    if number < 100:
        tens, ones = divmod(number, 10)
        return _TENS[tens] + (f" {_ONES[ones]}" if ones else "")
    if number < 1000:
        hundreds, rest = divmod(number, 100)
        return f"{_ONES[hundreds]} hundred" + (f" {say_integer(rest)}" if rest else "")
    thousands, rest = divmod(number, 1000)
    return f"{say_integer(thousands)} thousand" + (f" {say_integer(rest)}" if rest else "")


def say_number(number: Decimal) -> str:
    """Spell a number with its decimals ("minus zero point five", "thirty eight point five")."""
    sign = "minus " if number.is_signed() and number != 0 else ""
    whole, _, tail = f"{abs(number):f}".partition(".")
    tail = tail.rstrip("0")
    spelled = say_integer(int(whole))
    if tail:
        spelled += " point " + " ".join(_ONES[int(digit)] for digit in tail)
    return sign + spelled


def say_digits(number: Decimal) -> str:
    """Spell a number digit by digit, as a read-back that cannot be misheard ("one six five")."""
    words = {"-": "minus", ".": "point"}
    text = f"{number:f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return " ".join(words.get(mark) or _ONES[int(mark)] for mark in text)


_UNITS = {
    "°F": "degrees",
    "°C": "degrees Celsius",
    "°": "degrees",
    "ppm": "parts per million",
    "%": "percent",
    "mL": "milliliters",
    "L": "liters",
    "lb": "pounds",
    "tsp": "teaspoons",
    "tbsp": "tablespoons",
    "h": "hours",
    "min": "minutes",
    "psi": "p s i",
    "ft": "feet",
    "kg": "kilograms",
}
_FRACTIONS = {
    "1/2": "a half",
    "1/4": "a quarter",
    "3/4": "three quarters",
    "1/8": "an eighth",
    "1/3": "a third",
    "2/3": "two thirds",
}
_UNIT = "|".join(re.escape(unit) for unit in sorted(_UNITS, key=len, reverse=True))
_PHONE = re.compile(r"\b1-(\d)00-(\d{3})-(\d{4})\b")
_CLOCK = re.compile(r"\b(\d{1,2}):(\d{2})\b(?:\s?(am|pm)\b)?")
_MIXED = re.compile(r"(?:\b(\d+) )?\b([1-3]/[2483])\b")
_NUMBER = re.compile(
    r"(?<![\w.])(-?\d+(?:,\d{3})*(?:\.\d+)?)(?:(?:\s?-\s?| to )(\d+(?:\.\d+)?))?"
    rf"(?:\s?({_UNIT})(?![A-Za-z]))?"
)
_ONE = re.compile(r"(?<![\w.,:-])1 (hour|minute|second|day|pound|gallon)s\b")
_DIGITS = re.compile(rf"⟦(-?\d+(?:\.\d+)?)⟧(?:\s?({_UNIT})(?![A-Za-z]))?")


def for_eye(text: str) -> str:
    """Return a rendered reply as shown: the marks around read-back digits are dropped."""
    return _ONE.sub(r"1 \1", text.replace("⟦", "").replace("⟧", ""))


def for_ear(text: str) -> str:
    """Return a rendered reply as words for the voice: numbers, units, clock times and ranges spelled.

    Digits between ⟦ and ⟧ are read singly.
    """
    text = _DIGITS.sub(lambda m: say_digits(Decimal(m[1])) + (f" {_UNITS[m[2]]}" if m[2] else ""), text)
    text = _CLOCK.sub(_say_clock, _ONE.sub(r"1 \1", _PHONE.sub(_say_phone, text)))
    text = _MIXED.sub(
        lambda m: (f"{say_integer(int(m[1]))} and " if m[1] else "") + _FRACTIONS.get(m[2], m[2]), text
    )
    text = _NUMBER.sub(_say_quantity, text)
    text = re.sub(rf"(?<=\w) ({_UNIT})(?![A-Za-z])(?=[\s.,;!?]|$)", _lone_unit, text)
    return re.sub(r"\s+", " ", text.replace("pH", "p H")).strip()


def _say_phone(match: re.Match[str]) -> str:
    """Spell "1-800-222-1222" as it is dialled ("one eight hundred, two two two, one two two two")."""
    first, *groups = match.groups()
    dialled = (" ".join(say_integer(int(digit)) for digit in group) for group in groups)
    return ", ".join((f"one {say_integer(int(first) * 100)}", *dialled))


def _lone_unit(match: re.Match[str]) -> str:
    unit = match[1]
    return (
        f" {_UNITS[unit]}" if unit in ("ppm", "°F", "°C", "mL", "tsp", "tbsp", "psi", "lb", "%") else match[0]
    )


def _say_clock(match: re.Match[str]) -> str:
    hour, minute = int(match[1]), int(match[2])
    half = match[3] or ("pm" if hour > 12 else "")
    spoken = say_integer(hour - 12 if hour > 12 else hour or 12)
    if minute:
        spoken += " " + (f"oh {say_integer(minute)}" if minute < 10 else say_integer(minute))
    elif not half:
        spoken += " o'clock"
    return spoken + (" " + " ".join(half) if half else "")


def _say_quantity(match: re.Match[str]) -> str:
    number, high, unit = match[1].replace(",", ""), match[2], match[3]
    spoken = say_number(Decimal(number))
    if high:
        spoken += f" to {say_number(Decimal(high))}"
    if unit:
        name = _UNITS[unit]
        one = number in ("1", "-1") and not high and name.endswith("s") and name != "p s i"
        spoken += " " + (name.removesuffix("s") if one else name)
    return spoken

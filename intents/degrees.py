"""Fahrenheit figures of replies said in Celsius, rounded to the safe side.

Replies and the values that answers give name the figures of the rules, most of them Fahrenheit. A kitchen
that works in Celsius hears whole degrees: an upper limit rounded down, a lower one up. Without words that
tell which it is, cold figures are upper limits and hot ones lower limits.
"""

from __future__ import annotations

import re
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

_FIGURE = re.compile(
    r"(?P<minus>(?<![\d\w])-)?(?P<low>\d+(?:\.\d+)?)(?:-(?P<high>\d+(?:\.\d+)?))?°F"
    r"(?P<after>(?: (?:or|o) \w+| off)?)"
)
_WITHIN = re.compile(r"(?:within|over|of) $|(?:dentro de|más de) $")
_COLDEST_HOT = Decimal(71)
"""From here on a bare figure is a lower limit: the water for thawing and cold food are below."""
UPPER = frozenset({"colder", "less", "menos", "lower"})
LOWER = frozenset({"hotter", "warmer", "more", "más", "higher"})
_SMALL = Decimal(5)
"""Up to here, after "within" or before "off", a figure is a difference and no temperature."""


def celsius(text: str) -> str:
    """Return ``text`` with every Fahrenheit figure in Celsius."""
    return _FIGURE.sub(lambda match: _said(match, text), text)


def _said(match: re.Match[str], text: str) -> str:
    after = match["after"]
    low = Decimal(match["low"]) * (-1 if match["minus"] else 1)
    if low <= _SMALL and not match["minus"] and (after == " off" or _WITHIN.search(text[: match.start()])):
        return f"{_whole(low * 5 / 9, up=False) or 1}°C{after}"
    if match["high"]:
        return f"{_degrees(low, up=True)}-{_degrees(Decimal(match['high']), up=False)}°C{after}"
    word = after.rpartition(" ")[2]
    up = word in LOWER or (word not in UPPER and low >= _COLDEST_HOT)
    return f"{_degrees(low, up)}°C{after}"


def _degrees(fahrenheit: Decimal, up: bool) -> int:
    return _whole((fahrenheit - 32) * 5 / 9, up)


def _whole(number: Decimal, up: bool) -> int:
    return int(number.quantize(Decimal(1), ROUND_CEILING if up else ROUND_FLOOR))

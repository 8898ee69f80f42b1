"""Numbers said digit by digit where the whole makes no sense: "three nine" of a Celsius cooler."""

from __future__ import annotations

from decimal import Decimal

from intents.equipment_kinds import plausible
from intents.language import NumberGrammar


def spelled_out(
    kind: str, value: Decimal, unit: str, words: tuple[str, ...], numbers: NumberGrammar
) -> Decimal:
    """Return 3.9 for the 39 that ``words`` end in, where a place may be at 3.9 Celsius, and never at 39."""
    digits = [min(numbers.integers((word,)), default=-1) for word in words[-2:]]
    told = len(digits) == 2 and all(0 <= d <= 9 for d in digits) and value == 10 * digits[0] + digits[1]
    if unit != "C" or not told or plausible(kind, "temperature", value, celsius=True):
        return value
    return value / 10 if plausible(kind, "temperature", value / 10, celsius=True) else value

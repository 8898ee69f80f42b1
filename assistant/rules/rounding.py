"""Rounding for showing a number; comparisons never use it."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction


def rounded(number: Fraction, places: int = 1) -> Decimal:
    """Return ``number`` with ``places`` decimals, halves up."""
    scaled = number * 10**places + Fraction(1, 2)
    return Decimal(scaled.numerator // scaled.denominator).scaleb(-places)


def rounded_down(number: Fraction, places: int = 0) -> Decimal:
    """Return ``number`` with ``places`` decimals, rounded down: for time that is left."""
    scaled = number * 10**places
    return Decimal(scaled.numerator // scaled.denominator).scaleb(-places)

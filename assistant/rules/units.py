"""Exact conversions of kitchen volumes and weights, and the household measure nearest to an amount.

Definitions (exact by law): 1 US gallon = 231 cubic inches, 1 inch = 25.4 mm, 1 pound = 0.45359237 kg.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cache

Number = int | Decimal | Fraction
"""Any exact number: floats are refused by the type checker, because they round."""

GALLON_ML = 231 * Fraction(254, 100) ** 3
POUNDS_PER_UNIT = {
    "pound": Fraction(1),
    "ounce": Fraction(1, 16),
    "kilogram": Fraction(10**8, 45359237),
}

ML_PER_UNIT: dict[str, Fraction] = {
    "millilitre": Fraction(1),
    "teaspoon": GALLON_ML / 768,
    "tablespoon": GALLON_ML / 256,
    "fluid_ounce": GALLON_ML / 128,
    "cup": GALLON_ML / 16,
    "pint": GALLON_ML / 8,
    "quart": GALLON_ML / 4,
    "litre": Fraction(1000),
    "gallon": GALLON_ML,
}
"""Millilitres in one of each US customary or metric unit, exactly."""


class UnknownUnitError(LookupError):
    """Raised for a volume unit that the table does not hold."""


def _ml_per(unit: str) -> Fraction:
    try:
        return ML_PER_UNIT[unit]
    except KeyError:
        raise UnknownUnitError(f"'{unit}' is no volume unit; use one of: {', '.join(ML_PER_UNIT)}") from None


def volume_ml(amount: Number, unit: str) -> Fraction:
    """Return ``amount`` of ``unit`` in millilitres, exactly."""
    return Fraction(amount) * _ml_per(unit)


def volume_in(volume: Fraction, unit: str) -> Fraction:
    """Return a volume given in millilitres as a number of ``unit``, exactly."""
    return volume / _ml_per(unit)


def pounds(amount: Number, unit: str) -> Fraction:
    """Return a weight (pound, ounce, kilogram) in avoirdupois pounds, exactly."""
    return Fraction(amount) * POUNDS_PER_UNIT[unit]


@dataclass(frozen=True, slots=True)
class Measure:
    """Something to scoop: counts of household units, the bigger first (a quarter cup and one tablespoon)."""

    parts: tuple[tuple[Fraction, str], ...]

    @property
    def ml(self) -> Fraction:
        """Return what the measure holds, in millilitres."""
        return sum((volume_ml(count, unit) for count, unit in self.parts), Fraction(0))


@cache
def _ladder() -> tuple[Measure, ...]:
    """Return the measures a kitchen's spoons and cups give, rising: eighth teaspoon to one gallon."""
    spoons = [((Fraction(1, 8), "teaspoon"),)]
    spoons += [((Fraction(quarters, 4), "teaspoon"),) for quarters in range(1, 12)]
    spoons += [((Fraction(halves, 2), "tablespoon"),) for halves in range(2, 8)]
    cups = [
        ((Fraction(quarters, 4), "cup"), *(((Fraction(spoon), "tablespoon"),) if spoon else ()))
        for quarters in range(1, 65)
        for spoon in range(4)
    ]
    return tuple(Measure(parts) for parts in [*spoons, *cups])


def household_measure(
    ideal_ml: Fraction, at_most_ml: Fraction, at_least_ml: Fraction = Fraction(0)
) -> Measure | None:
    """Return the household measure nearest to ``ideal_ml`` within the two bounds, or ``None`` if none is."""
    ladder = _ladder()
    above = bisect_right(ladder, ideal_ml, key=lambda measure: measure.ml)
    near = ladder[max(above - 1, 0) : above + 1]
    fitting = [measure for measure in near if at_least_ml <= measure.ml <= at_most_ml]
    return min(fitting, key=lambda measure: abs(measure.ml - ideal_ml), default=None)


def metric_measure(
    ideal_ml: Fraction, at_most_ml: Fraction, at_least_ml: Fraction = Fraction(0)
) -> Fraction | None:
    """Return the millilitres to read off a jug or syringe nearest to ``ideal_ml`` within the bounds.

    Steps are half a millilitre below ten, one below a hundred, five above; ``None`` if no step fits.
    """
    step = Fraction(1, 2) if ideal_ml < 10 else Fraction(1) if ideal_ml < 100 else Fraction(5)
    floor = ideal_ml // step * step
    fitting = [
        amount for amount in (floor, floor + step) if at_least_ml <= amount <= at_most_ml and amount > 0
    ]
    return min(fitting, key=lambda amount: abs(amount - ideal_ml), default=None)

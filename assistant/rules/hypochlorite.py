"""The percent words of a bleach label: sodium hypochlorite, available chlorine and trade percent.

A US household label prints weight percent of sodium hypochlorite. Sources: pool-chemistry texts on
label units (READ); densities of household strengths about 1.07 to 1.11 kg/L (MEMORY).
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Literal

from assistant.rules.dilution import nominal_ppm
from assistant.rules.units import Number

PercentWords = Literal["sodium_hypochlorite", "available_chlorine", "trade_percent"]
CHLORINE_PER_HYPOCHLORITE = Fraction(100, 105)
"""Weight of available chlorine for a weight of sodium hypochlorite, as the trade rounds it."""


def available_chlorine_percent(hypochlorite_percent: Number) -> Fraction:
    """Return weight percent of available chlorine for weight percent of sodium hypochlorite."""
    return Fraction(hypochlorite_percent) * CHLORINE_PER_HYPOCHLORITE


def trade_percent(hypochlorite_percent: Number, density: Number) -> Fraction:
    """Return trade percent (grams per litre of available chlorine / 10); ``density`` in kg/L."""
    return available_chlorine_percent(hypochlorite_percent) * Fraction(density)


def hypochlorite_percent(percent: Number, words: PercentWords, density: Number = Decimal("1.08")) -> Fraction:
    """Return weight percent of sodium hypochlorite for a label percent given in other words."""
    if words == "available_chlorine":
        return Fraction(percent) / CHLORINE_PER_HYPOCHLORITE
    if words == "trade_percent":
        return Fraction(percent) / Fraction(density) / CHLORINE_PER_HYPOCHLORITE
    return Fraction(percent)


def mass_ppm(
    hypochlorite_weight_percent: Number, density: Number, concentrate_ml: Fraction, water_ml: Fraction
) -> Fraction:
    """Return the ppm by weight of available chlorine: 2 to 6 percent above the nominal rule.

    ``density`` in kg/L; chlorine per hypochlorite by molar mass, 70.906 / 74.442 g/mol (MEMORY).
    """
    strength = Fraction(hypochlorite_weight_percent) * Fraction(density) * Fraction(70906, 74442)
    return nominal_ppm(strength, concentrate_ml, water_ml)

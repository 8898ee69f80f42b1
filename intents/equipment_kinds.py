"""What can be read at each kind of equipment, and which numbers make sense there."""

from __future__ import annotations

import tomllib
from decimal import Decimal
from functools import cache
from pathlib import Path

COLDEST, HOTTEST = -60, 600
"""Degrees of any unit that a kitchen's thermometers show at most: judgement."""

LEAST_PPM = 10
"""The lowest block above nought on test papers (common practice, no source): 2 is a bucket's number."""

COLDEST_OF_FOOD, HOTTEST_OF_FOOD = 25, 260

CHEMICAL_MACHINE, HOT_RINSE = "dish_machine_chemical", range(180, 196)
"""A machine that sanitizes by heat rinses at so many °F (FDA Food Code 2022 4-501.112): no strip's."""


@cache
def equipment_kinds() -> dict[str, dict[str, object]]:
    """Return the table of what can be read at each kind of equipment."""
    return tomllib.loads(Path(__file__).with_name("equipment_kinds.toml").read_text(encoding="utf-8"))


FIRST_STEPS = (10, 25, 50)
"""The weakest steps of a strip's colors, in ppm: between them nobody reads a number off (judgement)."""
FOOD_MEASURED = frozenset({"food", "air", "water", "ice water", "boiling water", ""})
"""What can be measured of food; a plate is measured at the dish machine ("rice for one plate")."""


def plausible(kind: str, quantity: str, value: Decimal, celsius: bool = False) -> bool:
    """Return whether ``value`` makes sense for ``quantity`` (temperature in F unless ``celsius``, or ppm)."""
    span = equipment_kinds().get(kind, {}).get(quantity)
    if not isinstance(span, list):
        return False
    if no_block(quantity, value):
        return False
    if kind == CHEMICAL_MACHINE and quantity == "ppm" and value in HOT_RINSE:
        return False
    number = value * 9 / 5 + 32 if celsius and quantity == "temperature" else value
    return bool(span[0] <= number <= span[1])


def holds_food(kind: str) -> bool:
    """False for a bucket, a machine, a hand sink: what is read there is of no food."""
    return equipment_kinds().get(kind, {}).get("measured", "") not in ("ppm", "final rinse", "ice water")


def unusual(kind: str, value: Decimal, celsius: bool) -> bool:
    """True for a temperature warmer than a cold place of that kind mostly is."""
    most = equipment_kinds().get(kind, {}).get("usual")
    return isinstance(most, int) and (value * 9 / 5 + 32 if celsius else value) > most


def no_block(quantity: str, value: Decimal) -> bool:
    """True for the "2 ppm" of "bucket one and two": no test paper shows it."""
    return quantity == "ppm" and 0 < value < LEAST_PPM


def between_steps(value: Decimal) -> bool:
    """True for a weak number of ppm that no strip shows."""
    return value < FIRST_STEPS[-1] and value not in FIRST_STEPS


def readable(quantity: str, value: Decimal) -> bool:
    """Return False for a temperature that no gauge shows: "walk-in at eight thirty" tells a time."""
    return quantity != "temperature" or COLDEST <= value <= HOTTEST


def may_be_degrees(kind: str, value: Decimal) -> bool:
    """True for a bare "one sixty nine" of a sanitizing sink: no step of a strip, but a hot rinse's degrees.

    Strips step by 25 ppm or more at that strength; a sink that sanitizes by heat is near 171°F (judgement).
    """
    return kind == "sanitizer_sink" and 150 < value < 200 and value % 25 != 0


def food_reads(value: Decimal, unit: str, measured: str = "") -> bool:
    """Return False for a number hotter than food gets: "chicken three fifty" tells of an oven (judgement).

    False, too, where something else than food was measured.
    """
    return measured in FOOD_MEASURED and (value * 9 / 5 + 32 if unit == "C" else value) <= HOTTEST_OF_FOOD


def food_may_read(value: Decimal, celsius: bool) -> bool:
    """True for what food in a kitchen reads, cold to hot; none is near nought Fahrenheit (judgement)."""
    number = value * 9 / 5 + 32 if celsius else value
    return COLDEST_OF_FOOD <= number <= HOTTEST_OF_FOOD


def unit_meant(kind: str, value: Decimal, told: str, own: str) -> str:
    """Return the unit of a number without one: that ``told`` of another where it makes sense, else our own.

    ``kind`` is that of its place; empty for a food.
    """
    fits = plausible(kind, "temperature", value, told == "C") if kind else food_reads(value, told)
    return told if told and fits else own

"""Thermometers: ice and boiling checks, air thermometers, and readings put right by a known offset."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from assistant.rules.basis import Citation, Judgement, Limit, Range, Temperature, TemperatureUnit, Verdict
from assistant.rules.boiling import BOILING_SOURCE, boiling_point
from assistant.rules.compare import assumed_detail, limit_unit
from assistant.rules.profile import Profile
from assistant.rules.rounding import rounded

ICE = Temperature(Decimal(0), "C")


def judge_ice_point(reading: Temperature, profile: Profile) -> Judgement:
    """Judge a probe in ice water; details give the ``offset`` to take off every reading."""
    return _judge_probe(reading, ICE.in_unit("F"), profile.limit("probe_tolerance"))


def judge_boiling_point(reading: Temperature, altitude_feet: Decimal, profile: Profile) -> Judgement:
    """Judge a probe in boiling water at an altitude in feet."""
    return _judge_probe(
        reading, boiling_point(altitude_feet), profile.limit("probe_tolerance"), BOILING_SOURCE
    )


def judge_air_thermometer(reading: Temperature, true: Temperature, profile: Profile) -> Judgement:
    """Judge an air thermometer against one that is known to be right."""
    return _judge_probe(reading, true.in_unit("F"), profile.limit("air_tolerance"))


def offset(reading: Temperature, true: Temperature) -> Fraction:
    """Return how many degrees the thermometer reads too high, in the unit of ``reading``."""
    return Fraction(reading.value) - true.in_unit(reading.unit)


def true_degrees(display: Temperature, ice_reading: Temperature) -> Fraction:
    """Return the exact true degrees, in the unit of ``display``, given what the probe reads in ice water."""
    return Fraction(display.value) - (ice_reading.in_unit(display.unit) - ICE.in_unit(display.unit))


def judge_with_offset(
    display: Temperature, ice_reading: Temperature, limit: Limit, profile: Profile, *, hot: bool
) -> Judgement:
    """Judge a display against ``limit`` after taking off the probe's error in ice water.

    ``hot``: the food may not be below the limit, else not above it. Details: ``true`` temperature.
    """
    unit: TemperatureUnit = limit_unit(limit)
    true = true_degrees(display, ice_reading)
    in_limit = true if unit == display.unit else _convert(true, display.unit)
    failed = in_limit < limit.value if hot else in_limit > limit.value
    tolerance = profile.limit("probe_tolerance")
    details = {"true": rounded(in_limit, 2), "unit": unit, **assumed_detail(limit)}
    limits = Range(unit, low=limit.value) if hot else Range(unit, high=limit.value)
    citations = (limit.citation, tolerance.citation)
    if failed:
        return Judgement(
            Verdict.FAIL, "too_low" if hot else "too_high", citations, limits, "recheck", details
        )
    return Judgement(Verdict.PASS, "in_range", citations, limits, details=details)


def _convert(degrees: Fraction, unit: TemperatureUnit) -> Fraction:
    return degrees * Fraction(9, 5) + 32 if unit == "C" else (degrees - 32) * Fraction(5, 9)


def _judge_probe(reading: Temperature, true_f: Fraction, tolerance: Limit, *sources: Citation) -> Judgement:
    """Judge a thermometer by how far it is from the truth, in degrees Fahrenheit."""
    error, width = reading.in_unit("F") - true_f, Fraction(tolerance.value)
    details: dict[str, Decimal | str] = {
        "offset": rounded(error, 2),
        "unit": "F",
        **assumed_detail(tolerance),
    }
    limits = Range("F", rounded(true_f - width, 2), rounded(true_f + width, 2))
    citations = (tolerance.citation, *sources)
    if abs(error) > width:
        return Judgement(Verdict.FAIL, "out_of_true", citations, limits, "adjust_or_replace", details)
    if error:
        return Judgement(Verdict.PASS, "within_tolerance", citations, limits, "adjust_if_possible", details)
    return Judgement(Verdict.PASS, "true", citations, limits, details=details)

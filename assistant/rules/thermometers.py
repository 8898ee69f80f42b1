"""Thermometers: ice and boiling checks, air thermometers, and readings put right by a known offset."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from assistant.rules.basis import Citation, Judgement, Limit, Range, Temperature, Verdict
from assistant.rules.boiling import BOILING_SOURCE, boiling_point
from assistant.rules.compare import assumed_detail
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


def offset(reading: Temperature, true: Temperature) -> Fraction:
    """Return how many degrees the thermometer reads too high, in the unit of ``reading``."""
    return Fraction(reading.value) - true.in_unit(reading.unit)


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

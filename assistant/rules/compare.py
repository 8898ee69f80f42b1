"""Holds a reading against a limit in the unit in which the limit is written, without rounding."""

from __future__ import annotations

from decimal import Decimal

from assistant.rules.basis import Judgement, Limit, Range, Temperature, TemperatureUnit, Verdict


def limit_unit(limit: Limit) -> TemperatureUnit:
    """Return the temperature unit of ``limit``; raises ``ValueError`` for a limit that is no temperature."""
    return limit.temperature.unit


def warmer_than(temperature: Temperature, limit: Limit) -> bool:
    """Return whether the reading is above the limit (being on it is not)."""
    if temperature.unit == limit.unit:
        return temperature.value > limit.value
    return temperature.in_unit(limit_unit(limit)) > limit.value


def colder_than(temperature: Temperature, limit: Limit) -> bool:
    """Return whether the reading is below the limit (being on it is not)."""
    if temperature.unit == limit.unit:
        return temperature.value < limit.value
    return temperature.in_unit(limit_unit(limit)) < limit.value


def assumed_detail(*limits: Limit) -> dict[str, Decimal | str]:
    """Return the detail that names limits whose own text was not read, empty if there are none."""
    keys = [limit.key for limit in limits if limit.assumed]
    return {"assumed": ", ".join(keys)} if keys else {}


def judge_at_most(temperature: Temperature, limit: Limit, action: str, reason: str = "too_high") -> Judgement:
    """Judge a temperature that may not be above ``limit``."""
    failed = warmer_than(temperature, limit)
    return _judgement(failed, reason, action, limit, Range(limit.unit, high=limit.value))


def judge_at_least(temperature: Temperature, limit: Limit, action: str, reason: str = "too_low") -> Judgement:
    """Judge a temperature that may not be below ``limit``."""
    failed = colder_than(temperature, limit)
    return _judgement(failed, reason, action, limit, Range(limit.unit, low=limit.value))


def _judgement(failed: bool, reason: str, action: str, limit: Limit, limits: Range) -> Judgement:
    details = assumed_detail(limit)
    if failed:
        return Judgement(Verdict.FAIL, reason, (limit.citation,), limits, action, details)
    return Judgement(Verdict.PASS, "in_range", (limit.citation,), limits, details=details)


def judge_seconds(seconds: Decimal, limit: Limit, reason: str = "hold_too_short") -> Judgement:
    """Judge a time that may not be shorter than ``limit`` (in seconds)."""
    return _judgement(seconds < limit.value, reason, "hold_longer", limit, Range("seconds", low=limit.value))

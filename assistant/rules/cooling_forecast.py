"""Whether a cooling will meet its next limit, and how sure that is: a forecast, never a verdict."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from assistant.rules.basis import Limit, Temperature
from assistant.rules.compare import limit_unit
from assistant.rules.cooling import next_limit
from assistant.rules.cooling_curve import CoolingReading, ordered
from assistant.rules.cooling_fit import CoolingFit, fit_cooling
from assistant.rules.profile import Profile

Outlook = Literal["likely", "unlikely", "unsure"]
SURE = 0.9


@dataclass(frozen=True, slots=True)
class Forecast:
    """What the fitted curve says of the next limit (hours on the caller's scale, Fahrenheit).

    ``probability`` that the food is at or below ``limit`` at ``deadline_hours``; ``expected_hours`` when
    the curve gets there, ``None`` if it never does, as when the surroundings are too warm.
    """

    outlook: Outlook
    probability: float
    limit: Limit
    deadline_hours: Fraction
    expected_f: float
    deviation_f: float
    expected_hours: float | None
    fit: CoolingFit


def forecast_cooling(
    readings: Sequence[CoolingReading], profile: Profile, surroundings: Temperature | None = None
) -> Forecast | None:
    """Return the forecast for the next limit, or ``None`` where there is no next limit or too few readings.

    ``surroundings`` is the air, ice bath or blast chiller around the food; with it two readings are
    enough, without it three. Newton's law holds for stirred or thin food; the middle of a thick piece lags.
    """
    due = next_limit(readings, profile)
    if due is None:
        return None
    limit, deadline = due
    series = ordered(readings)
    zero = Fraction(series[0].hours)
    fit = fit_cooling(
        [float(Fraction(reading.hours) - zero) for reading in series],
        [float(reading.temperature.in_unit("F")) for reading in series],
        None if surroundings is None else float(surroundings.in_unit("F")),
    )
    if fit is None:
        return None
    from statistics import NormalDist  # loads much, and few turns forecast

    degrees = float(Temperature(limit.value, limit_unit(limit)).in_unit("F"))
    at = float(deadline - zero)
    expected, deviation = fit.temperature(at), fit.deviation(at)
    probability = NormalDist(expected, max(deviation, 1e-9)).cdf(degrees)
    outlook: Outlook = (
        "likely" if probability >= SURE else "unlikely" if probability <= 1 - SURE else "unsure"
    )
    reached = fit.hours_at(degrees)
    hours = None if reached is None else reached + float(zero)
    return Forecast(outlook, probability, limit, deadline, expected, deviation, hours, fit)

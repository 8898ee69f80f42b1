"""Newton's law of cooling fitted to readings: T(t) = surroundings + excess x exp(-rate x t).

Least squares with the standard library. For a given rate the other parameters are linear, so only the
rate is searched (variable projection). Floats are used here: a forecast is never a verdict.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log, sqrt

RATE_BOUNDS = (0.02, 20.0)
"""Rates searched, per hour: from a big closed pot in still air to a thin pan in a blast chiller."""
READING_SPREAD_F = 1.0
"""Standard deviation assumed of one reading: half of the tolerance of a probe (2F)."""
_GRID = 160
_GOLDEN = (sqrt(5) - 1) / 2

Matrix = list[list[float]]


@dataclass(frozen=True, slots=True)
class CoolingFit:
    """The fitted curve in Fahrenheit and hours, with the covariance of its free parameters.

    Parameters in order: excess, rate and, where it was not given, surroundings. ``spread`` is the standard
    deviation of one reading that the covariance was scaled with.
    """

    surroundings: float
    excess: float
    rate: float
    spread: float
    covariance: tuple[tuple[float, ...], ...]

    def temperature(self, hours: float) -> float:
        """Return the temperature of the curve in Fahrenheit."""
        return self.surroundings + self.excess * exp(-self.rate * hours)

    def deviation(self, hours: float) -> float:
        """Return the standard deviation of the curve at ``hours``, by the delta method."""
        slope = _gradient(self.excess, self.rate, hours, len(self.covariance))
        pairs = [
            slope[i] * slope[j] * self.covariance[i][j] for i in range(len(slope)) for j in range(len(slope))
        ]
        return sqrt(max(sum(pairs), 0.0))

    def hours_at(self, degrees: float) -> float | None:
        """Return when the curve comes down to ``degrees``, or ``None`` if it never does."""
        left = degrees - self.surroundings
        if left <= 0 or self.excess <= 0:
            return None
        return log(self.excess / left) / self.rate


def fit_cooling(
    hours: Sequence[float], degrees: Sequence[float], surroundings: float | None = None
) -> CoolingFit | None:
    """Fit the curve to readings in Fahrenheit; ``None`` where they are too few or do not fall.

    Two readings are needed when the temperature of the surroundings is given, else three.
    """
    needed = 3 if surroundings is None else 2
    if len(hours) < needed or len(set(hours)) < needed or degrees[-1] >= degrees[0]:
        return None
    rate = _best_rate(hours, degrees, surroundings)
    excess, around = _linear(rate, hours, degrees, surroundings)
    size = needed
    gradients = [_gradient(excess, rate, hour, size) for hour in hours]
    normal = [[sum(g[i] * g[j] for g in gradients) for j in range(size)] for i in range(size)]
    inverse = _inverse(normal)
    if inverse is None or excess <= 0:
        return None
    free = len(hours) - size
    residual = sqrt(_misfit(rate, hours, degrees, surroundings) / free) if free else 0.0
    spread = max(residual, READING_SPREAD_F)
    covariance = tuple(tuple(spread * spread * value for value in row) for row in inverse)
    return CoolingFit(around, excess, rate, spread, covariance)


def _gradient(excess: float, rate: float, hours: float, size: int) -> list[float]:
    decay = exp(-rate * hours)
    return [decay, -excess * hours * decay, 1.0][:size]


def _linear(
    rate: float, hours: Sequence[float], degrees: Sequence[float], surroundings: float | None
) -> tuple[float, float]:
    """Return the best excess and surroundings for one rate."""
    decay = [exp(-rate * hour) for hour in hours]
    if surroundings is not None:
        top = sum(d * (degree - surroundings) for d, degree in zip(decay, degrees, strict=True))
        return top / sum(d * d for d in decay), surroundings
    mean_decay, mean_degrees = sum(decay) / len(decay), sum(degrees) / len(degrees)
    spread = sum((d - mean_decay) ** 2 for d in decay)
    both = sum((d - mean_decay) * (degree - mean_degrees) for d, degree in zip(decay, degrees, strict=True))
    excess = both / spread
    return excess, mean_degrees - excess * mean_decay


def _misfit(
    rate: float, hours: Sequence[float], degrees: Sequence[float], surroundings: float | None
) -> float:
    excess, around = _linear(rate, hours, degrees, surroundings)
    return sum(
        (degree - around - excess * exp(-rate * hour)) ** 2
        for hour, degree in zip(hours, degrees, strict=True)
    )


def _best_rate(hours: Sequence[float], degrees: Sequence[float], surroundings: float | None) -> float:
    """Return the rate with the least misfit: a grid over the logarithm, then golden-section search."""
    low, high = log(RATE_BOUNDS[0]), log(RATE_BOUNDS[1])
    step = (high - low) / _GRID

    def misfit(log_rate: float) -> float:
        return _misfit(exp(log_rate), hours, degrees, surroundings)

    best = min((low + step * index for index in range(_GRID + 1)), key=misfit)
    left, right = max(best - step, low), min(best + step, high)
    for _ in range(60):
        width = _GOLDEN * (right - left)
        if misfit(right - width) <= misfit(left + width):
            right = left + width
        else:
            left = right - width
    return exp((left + right) / 2)


def _inverse(matrix: Matrix) -> Matrix | None:
    """Return the inverse by Gauss-Jordan elimination with pivoting, ``None`` if (nearly) singular."""
    size = len(matrix)
    rows = [[*row, *(float(i == j) for j in range(size))] for i, row in enumerate(matrix)]
    scale = max(abs(value) for row in matrix for value in row)
    for column in range(size):
        pivot = max(range(column, size), key=lambda index: abs(rows[index][column]))
        if abs(rows[pivot][column]) <= 1e-12 * scale:
            return None
        rows[column], rows[pivot] = rows[pivot], rows[column]
        rows[column] = [value / rows[column][column] for value in rows[column]]
        for other in range(size):
            if other != column:
                factor = rows[other][column]
                rows[other] = [a - factor * b for a, b in zip(rows[other], rows[column], strict=True)]
    return [row[size:] for row in rows]

"""The few probabilities that the hints need; pure, standard library only."""

from __future__ import annotations

from collections.abc import Iterable
from math import exp, lgamma, log, log1p, sqrt


def at_most(count: int, trials: int, share: float) -> float:
    """Return the chance of ``count`` successes or fewer in ``trials``; ``share`` lies between 0 and 1."""
    success, failure = log(share), log1p(-share)
    ways = [lgamma(trials + 1) - lgamma(k + 1) - lgamma(trials - k + 1) for k in range(count + 1)]
    return min(1.0, sum(exp(way + k * success + (trials - k) * failure) for k, way in enumerate(ways)))


def run_bound(pairs: int, length: int, share: float) -> float:
    """Return a bound on the chance of ``length`` equal values in a row somewhere among ``pairs`` pairs.

    ``share`` is the chance that two neighbours are equal; each place where a run may begin counts once.
    """
    return min(1.0, max(pairs - length + 2, 1) * share ** (length - 1))


def none_of(shares: Iterable[float]) -> float:
    """Return the chance that none of several independent things happens."""
    return exp(sum(log1p(-share) for share in shares))


def wilson(count: int, trials: int, deviations: float = 1.96) -> tuple[float, float]:
    """Return Wilson's interval for a share: 0 to 1 where there are no trials."""
    if trials == 0:
        return 0.0, 1.0
    square = deviations * deviations
    share = count / trials
    middle = share + square / (2 * trials)
    half = deviations * sqrt(share * (1 - share) / trials + square / (4 * trials * trials))
    bottom = 1 + square / trials
    return max(0.0, (middle - half) / bottom), min(1.0, (middle + half) / bottom)

"""The end of what somebody near said while others talk on: voice activity never falls silent then.

Two things have to come together: the streaming listener's words stand still, and the sound stays clearly
softer than it was while the near one spoke. Either alone happens in the middle of a sentence, too.
"""

from __future__ import annotations

from collections import deque

import numpy as np

from assistant.audio.utterance import RATE, Samples
from assistant.live.complete import Completeness

LULL_S: dict[Completeness, float] = {"complete": 0.8, "number": 1.2, "unknown": 1.4, "open": 2.0}
"""Time for which both have to last, by what was heard so far. Words come out about 0.2 s late."""

FALL_DB: dict[bool, float] = {True: 3.0, False: 6.0}
"""How far the sound has to fall: after the wake phrase, and for a follow-up without it.

Six people talking alone seldom fall 6 dB for half a second; after somebody 10 dB above them the sound falls
10 to 13 dB, after 5 dB it falls 5 to 8 (tests/benchmarks/live.md).
"""

DEEP_DB = 9.0
"""A fall that is like a silence, so that it may end an utterance nearly as soon: words come out later than
in silence by what the level is smoothed over."""

DEEP_LULL_S: dict[Completeness, float] = {"complete": 0.4, "number": 0.6, "unknown": 0.8, "open": 1.4}

_SMOOTH_S = 0.3  # a syllable or two: the level is the mean power over this long
_PAUSE_S = 1.5  # between two words of the same speaker
_PAD_S = 0.4
_NOISE_S = 1.0


class Lull:
    """Fed with each block of an utterance and the words so far. Not for two threads."""

    def __init__(self) -> None:
        self.begin()

    def begin(self) -> None:
        """An utterance begins."""
        self._powers: deque[tuple[float, int]] = deque()
        self._levels: list[tuple[float, float]] = []
        self._loudest = -np.inf
        self._at = 0.0
        self._words = ""
        self._changed = 0.0
        self._first = np.inf  # when the first words came out

    def accept(self, samples: Samples) -> None:
        """Take the next sound."""
        if not len(samples):
            return
        self._at += len(samples) / RATE
        self._powers.append((float(np.sum(samples.astype(np.float64) ** 2)), len(samples)))
        length = sum(count for _, count in self._powers)
        while length - self._powers[0][1] >= _SMOOTH_S * RATE:
            length -= self._powers.popleft()[1]
        if length >= _SMOOTH_S * RATE:
            power = max(1.0, sum(power for power, _ in self._powers) / length)
            self._levels.append((self._at, float(10 * np.log10(power))))
            self._loudest = max(self._loudest, self._levels[-1][1])

    @property
    def loudest_db(self) -> float:
        """How loud the loudest syllable or two were."""
        return self._loudest

    def hear(self, words: str) -> None:
        """Take the words so far."""
        if words != self._words:
            self._first = min(self._first, self._at)
            self._words, self._changed = words, self._at

    def lasts_s(self, fall_db: float) -> float:
        """Return for how long the words have stood still and the sound has been so much below its loudest."""
        if not self._words:
            return 0.0
        loud = (at for at, level in reversed(self._levels) if level > self._loudest - fall_db)
        return self._at - max(self._changed, next(loud, 0.0))

    def near(self, fall_db: float) -> slice:
        """Return the samples of the utterance's last stretch in which somebody spoke so loud, padded.

        Where less than a second comes before it, and no words, it begins with the utterance: that is noise.
        """
        loud = [at for at, level in self._levels if level > self._loudest - fall_db]
        begun = next((b for a, b in zip(loud[-2::-1], loud[:0:-1], strict=True) if b - a > _PAUSE_S), loud[0])
        first, last = begun - _SMOOTH_S - _PAD_S, loud[-1] + _PAD_S
        whole = first <= 0 or (first < _NOISE_S and self._first >= first)
        return slice(0 if whole else round(first * RATE), round(last * RATE))

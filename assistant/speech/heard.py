"""The sound of the utterance in progress and where somebody speaks in it: shared by all recognisers."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from assistant.audio.levels import advice_for
from assistant.audio.utterance import RATE, Samples, empty
from assistant.audio.voice_activity import CHUNK, VoiceActivity, cut_to_speech, speech_spans

Spans = list[tuple[int, int]]
"""First and past-last 32 ms chunk of each stretch of speech."""


@dataclass
class Heard:
    """Frames so far with the probability of speech of each 32 ms; one object an utterance."""

    activity: VoiceActivity
    frames: list[Samples] = field(default_factory=list)
    probabilities: list[float] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.activity.reset()

    def accept(self, samples: Samples) -> None:
        """Keep a copy of the frames and look for speech in them."""
        self.probabilities += self.activity.accept(samples)
        self.frames.append(samples.copy())

    def samples(self) -> Samples:
        """Return all the sound so far."""
        return np.concatenate([*self.frames, empty()])

    def spans(self) -> Spans:
        """Return where somebody spoke."""
        return speech_spans(self.probabilities)

    def silence_s(self) -> float:
        """Return how long nobody has spoken."""
        spans = self.spans()
        return (len(self.probabilities) - (spans[-1][1] if spans else 0)) * CHUNK / RATE

    def advice(self) -> str:
        """Return what is wrong with the sound, judged where somebody speaks."""
        spans = self.spans()
        return advice_for(cut_to_speech(self.samples(), spans, 0.0) if spans else self.samples(), bool(spans))

"""Where an utterance begins and ends in a stream of frames."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Literal

import numpy as np

from assistant.audio.utterance import RATE, Samples, empty, to_samples
from assistant.audio.voice_activity import CHUNK, STAY, THRESHOLD, VoiceActivity

_CHUNK_S = CHUNK / RATE


class Phase(Enum):
    """Where the stream is."""

    WAITING = "waiting"  # nobody has spoken yet
    SPEAKING = "speaking"
    PAUSE = "pause"  # silence, not yet long enough to be the end: time to recognise ahead
    ENDED = "ended"  # ``take`` the utterance


@dataclass(frozen=True)
class EndSettings:
    """Seconds. ``hang_s``: silence that ends an utterance; ``longest_s``: its cap, for babble and music.

    ``begin_s``: speech without a break that begins one, so that a clink does not; ``pre_roll_s``: sound
    kept from before, because soft first sounds are noticed late.
    """

    hang_s: float = 0.6
    longest_s: float = 15.0
    begin_s: float = 0.12
    pre_roll_s: float = 0.4


class EndOfSpeech:
    """Fed with frames of any length, it says where the utterance is. Not for two threads.

    ``hang_s`` may be changed at any time: shorter when what was said is already complete, longer
    while a number or a place is still missing.
    """

    def __init__(self, settings: EndSettings | None = None) -> None:
        self.settings = settings or EndSettings()
        self.hang_s = self.settings.hang_s
        self._activity = VoiceActivity()
        self._sound = empty()  # the utterance, or the pre-roll while nobody speaks
        self._after = empty()  # frames beyond the end of the utterance
        self._handed_on = 0
        self._begin()

    @property
    def phase(self) -> Phase:
        """Where the stream is."""
        if self._ended_by:
            return Phase.ENDED
        if not self._spoke:
            return Phase.WAITING
        return Phase.PAUSE if self._silent else Phase.SPEAKING

    @property
    def ended_by(self) -> Literal["", "silence", "length"]:
        """Why it ended: the speaker fell silent, or the cap was reached."""
        return self._ended_by

    @property
    def silence_s(self) -> float:
        """Silence since the last speech of this utterance."""
        return self._silent * _CHUNK_S if self._spoke else 0.0

    @property
    def speech_s(self) -> float:
        """Length of the utterance so far, with the sound before it."""
        return len(self._sound) / RATE if self._spoke else 0.0

    def accept(self, frames: bytes | Samples) -> Phase:
        """Take frames and return the phase; after the end they are kept for the next utterance."""
        self._after = np.concatenate([self._after, to_samples(frames)])
        while len(self._after) >= CHUNK and not self._ended_by:
            chunk, self._after = self._after[:CHUNK], self._after[CHUNK:]
            self._step(chunk)
        return self.phase

    def fresh(self) -> Samples:
        """Return the utterance's sound that was not returned before: what a recogniser is fed with."""
        if not self._spoke:
            return empty()
        fresh = self._sound[self._handed_on :]
        self._handed_on = len(self._sound)
        return fresh

    def begin_late(self, seconds: float) -> None:
        """Let the utterance have begun only ``seconds`` ago; ``fresh`` returns its sound again."""
        self._sound = self._sound[-round(seconds * RATE) :]
        self._handed_on = 0

    def take(self, keep_s: float = 0.0) -> Samples:
        """Return the utterance so far and begin the next one, with its last ``keep_s`` once more."""
        taken = self._sound if self._spoke else empty()
        if keep_s:
            self._after = np.concatenate([taken[-round(keep_s * RATE) :], self._after])
        self._sound = empty()
        self._begin()
        return taken

    def reset(self) -> None:
        """Forget all sound, also what came after the end: for gaps, and after the program has spoken."""
        self._sound = self._after = empty()
        self._begin()

    def _begin(self) -> None:
        self._activity.reset()
        self._handed_on = 0
        self._spoke = False
        self._voiced = 0  # chunks of speech without a break
        self._silent = 0  # chunks of silence since the last speech
        self._ended_by: Literal["", "silence", "length"] = ""
        self.hang_s = self.settings.hang_s

    def _step(self, chunk: Samples) -> None:
        (probability,) = self._activity.accept(chunk)
        self._sound = np.concatenate([self._sound, chunk])
        voiced = probability >= (STAY if self._voiced else THRESHOLD)
        self._voiced = self._voiced + 1 if voiced else 0
        if not self._spoke:
            if self._voiced * _CHUNK_S >= self.settings.begin_s:
                self._spoke = True
            else:
                keep = int((self.settings.pre_roll_s + self._voiced * _CHUNK_S) * RATE)
                self._sound = self._sound[-keep:]
            return
        self._silent = 0 if voiced else self._silent + 1
        if self._silent * _CHUNK_S >= self.hang_s:
            self._ended_by = "silence"
        elif len(self._sound) >= self.settings.longest_s * RATE:
            self._ended_by = "length"

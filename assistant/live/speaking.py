"""Speaks a reply through the player without ever being heard as input; can be cut off at once."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from assistant.audio.earcon import Earcon, earcon
from assistant.audio.frames import Block
from assistant.audio.half_duplex import HalfDuplexGate
from assistant.audio.player import Player
from assistant.audio.sound_files import read_sound, resample
from assistant.audio.utterance import RATE, Samples, empty
from assistant.speech.voice import Voice, VoiceError, VoiceSettings


class Mouth:
    """The voice and the speaker, with the gate that closes the ear while it speaks."""

    def __init__(
        self, voice: Voice, player: Player, clock: Callable[[], float], usual: VoiceSettings | None = None
    ) -> None:
        self._voice = voice
        self._player = player
        self._clock = clock
        self._gate = HalfDuplexGate()
        self._speaking = False
        self.usual = self.settings = usual or VoiceSettings()
        self.problem = ""

    def set_for(self, language: str, volume: float, speed: float) -> None:
        """Speak a language from now on, so many times as loud and as fast as usual."""
        usual = self.usual
        self.settings = replace(
            usual,
            language=language,
            voice=usual.voice if language == usual.language else "",
            volume=min(1.0, usual.volume * volume),
            words_a_minute=round(usual.words_a_minute * speed),
        )

    @property
    def speaking(self) -> bool:
        """True from the first sample until the last has sounded; call it regularly."""
        if self._speaking and not self._player.playing():
            self._end()
        return self._speaking

    def say(self, words: str, clips: Sequence[Path] = ()) -> float:
        """Begin to speak ``words``, then ``clips``; return the monotonic time of the first sample."""
        try:
            samples = self._voice.samples(words, self.settings)
        except VoiceError as fault:
            self.problem = str(fault)
            samples = empty()
        rate = self._voice.rate
        kept = [_clip(path, rate) for path in clips if path.is_file()]
        return self._play(np.concatenate([samples, *kept]), rate)

    def signal(self, kind: Earcon) -> None:
        """Give one of the short signals."""
        self._play(earcon(kind, self._voice.rate, self.settings.volume), self._voice.rate)

    def stop(self, spoken_over: bool = False) -> None:
        """Fall silent at once. Spoken over, the ear opens at once too: what comes now is not our echo."""
        self._player.stop()
        if self._speaking:
            self._end()
        if spoken_over:
            self._gate.open()

    def hears_itself(self, block: Block) -> bool:
        """True when ``block`` may hold our own voice."""
        return not self._gate.passes(block)

    def close(self) -> None:
        """Let go of voice and speaker."""
        self._player.close()
        self._voice.close()

    def _play(self, samples: Samples, rate: int) -> float:
        at = self._clock()
        if len(samples):
            self._gate.speaking_began(at)
            self._speaking = True
            self._player.play(samples, rate)
        return at

    def _end(self) -> None:
        self._speaking = False
        self._gate.speaking_ended(self._clock())


def _clip(path: Path, rate: int) -> Samples:
    """Return a kept clip at the voice's rate."""
    return resample(read_sound(path).samples.astype(np.float32) / np.float32(32768), RATE, rate)


class BargeIn:
    """Finds somebody speaking over our own voice: much louder than the echo that came back so far.

    The echo's strength is learnt from the first part of each answer; in a headset there is none.
    """

    LEARN_S = 0.3
    NEEDED_S = 0.15
    FACTOR = 4.0
    FLOOR = 300.0

    def __init__(self) -> None:
        self._heard_s = 0.0
        self._echo = 0.0
        self._loud_s = 0.0

    def begin(self) -> None:
        """A new answer begins."""
        self._heard_s = self._loud_s = 0.0
        self._echo = 0.0

    def accept(self, block: Block, rate: int) -> bool:
        """Take a block captured while we speak; True when somebody speaks over us."""
        seconds = len(block.samples) / rate
        level = float(np.sqrt(np.mean(block.samples.astype(np.float64) ** 2))) if len(block.samples) else 0.0
        self._heard_s += seconds
        if self._heard_s <= self.LEARN_S:
            self._echo = max(self._echo, level)
            return False
        loud = level > max(self.FLOOR, self.FACTOR * self._echo)
        self._loud_s = self._loud_s + seconds if loud else 0.0
        return self._loud_s >= self.NEEDED_S

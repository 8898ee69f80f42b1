"""The default recogniser as the tests share it: a sound that comes twice is heard once."""

from __future__ import annotations

import numpy as np

from assistant.audio.utterance import Samples, Utterance
from assistant.speech.recogniser import Recogniser, recognise
from intents.hypotheses import Hypotheses


class HearsOnce:
    """Gives whole utterances to a recogniser and remembers what it heard.

    That the same sound gives the same words, whatever came before, is checked for every recogniser in
    tests/speech/test_recogniser_contract.py.
    """

    def __init__(self, recogniser: Recogniser) -> None:
        self._recogniser = recogniser
        self._heard: dict[bytes, Hypotheses] = {}
        self._sound = b""

    def start(self) -> None:
        """Begin an utterance."""
        self._sound = b""

    def accept(self, frames: Samples) -> None:
        """Take the next frames."""
        self._sound += frames.tobytes()

    def finish(self) -> Hypotheses:
        """Return what the recogniser hears, or heard, in the whole of it."""
        if self._sound not in self._heard:
            samples = np.frombuffer(self._sound, np.int16)
            self._heard[self._sound] = recognise(self._recogniser, Utterance(samples))
        return self._heard[self._sound]

    def close(self) -> None:
        """Let go of the recogniser."""
        self._recogniser.close()

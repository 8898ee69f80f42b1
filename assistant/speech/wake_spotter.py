"""Listens for nothing but the wake phrase: all other speech is one unknown word to it.

A grammar of one phrase finds it where a listener for whole sentences takes it for something else.
"""

from __future__ import annotations

import re

from assistant.audio.utterance import RATE, Samples
from assistant.speech.vocabulary import Lack
from assistant.speech.vosk_grammar import UNKNOWN, checked_json
from assistant.speech.vosk_model import VoskModel, VoskStream

_RIVALS = 10
_SHORTEST = 3  # letters of a part of a compound
SURELY = 20.0
"""Stands for the margin where all of the likeliest readings have the phrase, or none has."""


class WakeSpotter:
    """Fed with the same frames as the recogniser. Deaf where the model lacks a word of the phrase.

    What it hears may be taken back as more comes: "hey kid" begins like the phrase.
    """

    def __init__(self, model: VoskModel, phrase: str) -> None:
        self._model = model
        words = " ".join(
            _in_known_words(word, model) for word in re.findall(r"[\w']+", phrase.lower())
        ).split()
        self._phrase = " ".join(words)
        self.lacking = tuple(Lack(word) for word in words if not model.knows(word))
        self.deaf = not words or bool(self.lacking) or not model.knows(UNKNOWN)
        self._grammar = "" if self.deaf else checked_json([self._phrase, UNKNOWN])
        self._stream: VoskStream | None = None
        self._heard = False
        self._done = ""

    def start(self) -> None:
        """Begin an utterance."""
        self._heard = False
        self._done = ""
        self._stream = None if self.deaf else self._model.recogniser(RATE, self._grammar, 1)

    def accept(self, frames: bytes) -> None:
        """Take frames of 16-bit sound."""
        if self._stream is None:
            return
        ended = self._stream.accept(frames)
        self._done += " " + str((ended or {}).get("alternatives", [{}])[0].get("text", ""))
        self._heard = self._phrase in f"{self._done} {self._stream.partial()}"

    def heard(self) -> bool:
        """Tell whether the phrase was heard since ``start``."""
        return self._heard

    def margin(self, samples: Samples) -> float | None:
        """Return by how much the phrase fits ``samples`` better than sound without it, a logarithm.

        None where it is deaf. A stream of its own, so that it may be asked from any thread.
        """
        if self.deaf:
            return None
        stream = self._model.recogniser(RATE, self._grammar, _RIVALS)
        stream.accept(samples.astype("<i2").tobytes())
        readings = [
            (str(each["text"]), float(each["confidence"])) for each in stream.final().get("alternatives", [])
        ]
        with_it = max((score for text, score in readings if self._phrase in text), default=None)
        without = max((score for text, score in readings if self._phrase not in text), default=None)
        if with_it is None:
            return -SURELY
        return SURELY if without is None else max(-SURELY, min(SURELY, with_it - without))


def _in_known_words(word: str, model: VoskModel) -> str:
    """Return a word that the model lacks as two that it knows, where there are such ("snow boy")."""
    if model.knows(word):
        return word
    cuts = range(_SHORTEST, len(word) - _SHORTEST + 1)
    parts = ((word[:at], word[at:]) for at in cuts)
    return next((f"{a} {b}" for a, b in parts if model.knows(a) and model.knows(b)), word)

"""Listens for nothing but the wake phrase: all other speech is one unknown word to it.

A grammar of one phrase finds it where a listener for whole sentences takes it for something else.
"""

from __future__ import annotations

import re

from assistant.audio.utterance import RATE
from assistant.speech.vosk_grammar import UNKNOWN, checked_json
from assistant.speech.vosk_model import VoskModel, VoskStream


class WakeSpotter:
    """Fed with the same frames as the recogniser. Deaf where the model lacks a word of the phrase.

    What it hears may be taken back as more comes: "hey kid" begins like the phrase.
    """

    def __init__(self, model: VoskModel, phrase: str) -> None:
        self._model = model
        self._phrase = " ".join(re.findall(r"[\w']+", phrase.lower()))
        words = self._phrase.split()
        self.deaf = not words or not all(model.knows(word) for word in (*words, UNKNOWN))
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

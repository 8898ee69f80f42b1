"""PocketSphinx as a listener of the benchmark, for comparison only: its own models, general language.

It is no part of the program. Run it with ``uv run --with pocketsphinx python -m tests.benchmarks.hearing
--engine pocketsphinx``.
"""

from __future__ import annotations

import time
from typing import Any

from assistant.audio.utterance import Samples, to_samples
from assistant.speech.recogniser import Plain
from assistant.speech.vocabulary import Lack
from intents.hypotheses import Hypotheses, Hypothesis


class PocketSphinxRecogniser(Plain):
    """The library's English acoustic model with its general trigram; one hypothesis, no n-best."""

    name = "pocketsphinx"
    model = "en-us"
    streams = True

    def __init__(self) -> None:
        from importlib import import_module

        try:
            self._decoder: Any = import_module("pocketsphinx").Decoder(loglevel="FATAL")
        except ImportError:
            raise ValueError("pocketsphinx is not here: uv run --with pocketsphinx python -m ...") from None
        self._open = False

    def warm_up(self) -> None:
        """Do nothing."""

    def start(self) -> None:
        """Begin an utterance."""
        self.reset()
        self._decoder.start_utt()
        self._open = True

    def reset(self) -> None:
        """Forget the utterance."""
        if self._open:
            self._decoder.end_utt()
        self._open = False

    def accept(self, frames: bytes | Samples) -> None:
        """Decode the frames."""
        self._decoder.process_raw(to_samples(frames).astype("<i2").tobytes(), False, False)

    def partial(self) -> str:
        """Return the words so far."""
        found = self._decoder.hyp()
        return str(found.hypstr) if found else ""

    def finish(self) -> Hypotheses:
        """Return the words."""
        begun = time.perf_counter()
        self.reset()
        text = self.partial()
        spent = {"decode": (time.perf_counter() - begun) * 1000}
        heard = (Hypothesis(text),) if text else ()
        return Hypotheses(heard, 1.0 if text else 0.0, self.name, self.model, timings_ms=spent)

    def lacking(self) -> tuple[Lack, ...]:
        """Return nothing: its dictionary is general."""
        return ()

    def close(self) -> None:
        """Let go of the model."""
        self._decoder = None

"""Whisper behind the recogniser protocol: the embedded default, from a local folder, never a network.

Sound goes in only where the voice-activity model found speech, because Whisper invents text in silence.
"""

from __future__ import annotations

import math
import threading
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from assistant.audio.utterance import RATE, Samples, to_samples
from assistant.audio.voice_activity import CHUNK, VoiceActivity, cut_to_speech
from assistant.errors import MissingError
from assistant.speech.heard import Heard, Spans
from assistant.speech.recogniser import Plain
from assistant.speech.vocabulary import Lack, Vocabulary
from assistant.speech.whisper_engine import Guess, WhisperEngine, WhisperSettings
from intents.hypotheses import Hypotheses, Hypothesis
from models.manifest import shipped_folder

_LONGEST_PIECE_S = 28.0
_SETTLED_S = 0.16  # silence after which the end of speech can be taken as the end


@dataclass(frozen=True)
class _Ahead:
    """What was decoded before the end was declared: good as long as the last speech ends there."""

    of: Heard
    ends: int
    guesses: list[Guess]
    milliseconds: float


def embedded_model() -> Path:
    """Return the folder of the English model that comes with the program."""
    return shipped_folder() / "whisper_kitchen_en"


class WhisperRecogniser(Plain):
    """Whisper, five hypotheses, each with its share of their common probability mass.

    It cannot stream: ``partial`` decodes what is there and keeps the result, and ``finish`` uses that
    if no more speech came, so that working ahead during the end-of-speech wait costs nothing.
    """

    name = "whisper"
    streams = False

    def __init__(
        self,
        folder: Path | None = None,
        vocabulary: Vocabulary | None = None,
        settings: WhisperSettings | None = None,
        model: str = "tiny.en",
    ) -> None:
        folder = embedded_model() if folder is None else folder.absolute()
        self.model = model
        self._settings = settings or WhisperSettings()
        self._engine: WhisperEngine | None = WhisperEngine(folder, vocabulary or Vocabulary(), self._settings)
        self._activity = VoiceActivity()
        self._state = threading.Lock()
        self._decoding = threading.Lock()
        self._heard = Heard(self._activity)
        self._ahead: _Ahead | None = None

    def warm_up(self) -> None:
        """Decode a second of faint noise."""
        noise = np.random.default_rng(0).integers(-300, 300, RATE).astype(np.int16)
        self._need_engine().decode(noise)

    def start(self) -> None:
        """Begin an utterance."""
        self.reset()

    def reset(self) -> None:
        """Forget the utterance."""
        with self._state:
            self._heard = Heard(self._activity)

    def accept(self, frames: bytes | Samples) -> None:
        """Keep the frames and look for speech in them."""
        samples = to_samples(frames)
        with self._state:
            self._heard.accept(samples)

    def partial(self) -> str:
        """Decode the speech so far, working ahead for ``finish``."""
        with self._decoding:
            with self._state:
                heard = self._heard
                samples, spans, settled = heard.samples(), heard.spans(), heard.silence_s() >= _SETTLED_S
            if not spans:
                return ""
            ahead = self._ahead_of(heard, spans)
            if ahead is None:
                guesses, timings = self._decode(samples, spans)
                ahead = _Ahead(heard, spans[-1][1], guesses, sum(timings.values()))
                if settled:
                    self._ahead = ahead
            return ahead.guesses[0].text if ahead.guesses else ""

    def finish(self) -> Hypotheses:
        """Decode what ``partial`` has not decoded yet and return the hypotheses."""
        with self._decoding:
            with self._state:
                heard = self._heard
                samples, spans, advice = heard.samples(), heard.spans(), heard.advice()
            ahead = self._ahead_of(heard, spans)
            self.reset()
            if not spans:
                return Hypotheses((), 0.0, self.name, self.model, advice)
            if ahead is not None:
                return self._hypotheses(ahead.guesses, advice, {"ahead": ahead.milliseconds})
            guesses, timings = self._decode(samples, spans)
            return self._hypotheses(guesses, advice, timings)

    def opening(self, samples: Samples, phrase: str) -> float:
        """Return the log-odds that the words of ``samples`` begin with ``phrase``."""
        return self._need_engine().opening(samples, phrase)

    def lacking(self) -> tuple[Lack, ...]:
        """Return nothing: Whisper spells, so it can write any word."""
        return ()

    def unhinted(self) -> tuple[str, ...]:
        """Return the nouns that found no room in the hint; they are heard without help."""
        return self._need_engine().unhinted

    def close(self) -> None:
        """Free the model's memory."""
        self._engine = None

    def _ahead_of(self, heard: Heard, spans: Spans) -> _Ahead | None:
        ahead = self._ahead
        return ahead if ahead and spans and ahead.of is heard and ahead.ends == spans[-1][1] else None

    def _decode(self, samples: Samples, spans: Spans) -> tuple[list[Guess], dict[str, float]]:
        engine = self._need_engine()
        if len(cut_to_speech(samples, spans, self._settings.pad_s)) <= _LONGEST_PIECE_S * RATE:
            return engine.decode(cut_to_speech(samples, spans, self._settings.pad_s))
        joined: list[Guess] = []
        timings: dict[str, float] = {}
        for piece in _pieces(spans):
            guesses, spent = engine.decode(cut_to_speech(samples, piece, self._settings.pad_s))
            joined += guesses[:1]
            for stage, milliseconds in spent.items():
                timings[stage] = timings.get(stage, 0.0) + milliseconds
        whole = Guess(
            " ".join(guess.text for guess in joined),
            sum(guess.log_probability for guess in joined),
            sum(guess.tokens for guess in joined),
        )
        return [whole] if joined else [], timings

    def _hypotheses(self, guesses: list[Guess], advice: str, timings: dict[str, float]) -> Hypotheses:
        total = sum(math.exp(guess.log_probability) for guess in guesses)
        alternatives = tuple(
            Hypothesis(guess.text, math.exp(guess.log_probability) / total) for guess in guesses
        )
        best = guesses[0] if guesses else None
        confidence = math.exp(best.log_probability / (best.tokens + 1)) if best else 0.0
        language = best.language if best else ""
        return Hypotheses(alternatives, confidence, self.name, self.model, advice, timings, language)

    def _need_engine(self) -> WhisperEngine:
        if self._engine is None:
            raise MissingError("this recogniser was closed; make a new one")
        return self._engine


def _pieces(spans: Spans) -> list[Spans]:
    """Divide stretches of speech into pieces that each fit the model's window."""
    longest = int(_LONGEST_PIECE_S * RATE / CHUNK)
    pieces: list[Spans] = []
    for begun, ended in spans:
        for at in range(begun, ended, longest):
            span = (at, min(ended, at + longest))
            if pieces and span[1] - pieces[-1][0][0] <= longest:
                pieces[-1].append(span)
            else:
                pieces.append([span])
    return pieces

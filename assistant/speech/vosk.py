"""Vosk behind the recogniser protocol: it streams, with a grammar made from the intents and the site."""

from __future__ import annotations

import math
import threading
import time
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, Literal

import numpy as np

from assistant.audio.utterance import RATE, Samples, empty, to_samples
from assistant.audio.voice_activity import VoiceActivity
from assistant.errors import MissingError
from assistant.speech.heard import Heard
from assistant.speech.recogniser import Plain
from assistant.speech.vocabulary import Lack, Vocabulary
from assistant.speech.vosk_grammar import UNKNOWN, Grammar, make_grammar
from assistant.speech.vosk_model import VoskModel, VoskStream
from assistant.speech.wake_spotter import WakeSpotter
from intents.hypotheses import Hypotheses, Hypothesis

_STEP = 1_600  # samples decoded at a time, always the same: the words depend a little on it


@dataclass(frozen=True)
class VoskSettings:
    """One mode a recogniser: ``alternatives`` gives n-best texts, ``words`` one text with confidences."""

    mode: Literal["alternatives", "words"] = "alternatives"
    alternatives: int = 5
    log_level: int = -2  # the library's own levels: errors only


@dataclass(frozen=True)
class _Reading:
    """One way a stretch may read; ``log_weight`` compares only with others of the same stretch."""

    text: str
    log_weight: float


class VoskRecogniser(Plain):
    """A streaming recogniser. Shares are n-best posteriors of the decoder's own lattice, no more.

    With a small grammar the library has few rivals to weigh, so even a wrong word may get a high
    figure: use it to ask again, never alone to accept. ``[unk]`` stays in the text as a word nobody
    knows; sound without speech gives nothing, whatever the library wrote.
    """

    name = "vosk"
    streams = True

    def __init__(
        self,
        folder: Path | VoskModel,
        vocabulary: Vocabulary | None = None,
        settings: VoskSettings | None = None,
        language: str = "en",
        model: str = "",
        own_phrases: bool = False,
    ) -> None:
        """Load ``folder``, unless it is loaded. With ``own_phrases`` its own graph is used, not a grammar."""
        self._settings = settings or VoskSettings()
        loaded = folder if isinstance(folder, VoskModel) else VoskModel(folder, self._settings.log_level)
        self._model: VoskModel | None = loaded
        self.model = model or loaded.name
        vocabulary = vocabulary or Vocabulary()
        texts = Vocabulary(nouns=vocabulary.nouns) if own_phrases else vocabulary
        grammar = make_grammar(texts, loaded.knows, language)
        self._grammar: Grammar = replace(grammar, json_text="") if own_phrases else grammar
        self._spotter = WakeSpotter(loaded, vocabulary.wake_phrase)
        self._lock = threading.Lock()
        self._activity = VoiceActivity()
        self._rest = empty()
        self._spent = 0.0
        self._clear()

    def warm_up(self) -> None:
        """Decode half a second of faint noise; the library's first chunk costs about a second."""
        noise = np.random.default_rng(0).integers(-300, 300, RATE // 2).astype(np.int16)
        with self._lock:
            self._decode(noise)
            self._stream.final()
            self._clear()

    def start(self) -> None:
        """Begin an utterance."""
        self.reset()

    def reset(self) -> None:
        """Forget the utterance and everything that the library learnt from it.

        A fresh one of the library's recognisers costs a few milliseconds, keeps memory flat and makes
        the same sound give the same words whatever came before; its own reset does not.
        """
        with self._lock:
            self._clear()

    def accept(self, frames: bytes | Samples) -> None:
        """Decode the frames at once."""
        samples = to_samples(frames)
        with self._lock:
            begun = time.perf_counter()
            self._heard.accept(samples)
            sound = np.concatenate([self._rest, samples])
            whole = len(sound) - len(sound) % _STEP
            for at in range(0, whole, _STEP):
                self._decode(sound[at : at + _STEP])
            self._rest = sound[whole:]
            self._spent += time.perf_counter() - begun

    def partial(self) -> str:
        """Return the words so far, aliases already replaced."""
        with self._lock:
            done = [_readings(result)[0].text for result in self._results if _readings(result)]
            return self._grammar.restore(" ".join([*done, self._stream.partial()]).strip())

    def woken(self) -> bool:
        """Tell whether the wake phrase was heard in this utterance."""
        return self._spotter.heard()

    def opening(self, samples: Samples, phrase: str) -> float | None:
        """Return by how much the wake phrase fits better than other sound; None without all its words."""
        return self._spotter.margin(samples)

    def finish(self) -> Hypotheses:
        """Flush the decoder and return what the utterance may have been."""
        with self._lock:
            begun = time.perf_counter()
            self._decode(self._rest)
            results = [*self._results, self._stream.final()]
            spoke = bool(self._heard.spans())
            woken = spoke and self._spotter.heard()
            advice = self._heard.advice()
            timings = {"streamed": self._spent * 1000, "decode": (time.perf_counter() - begun) * 1000}
            self._clear()
        readings = _joined([_readings(result) for result in results]) if spoke else []
        alternatives = self._alternatives(readings)
        confidence = alternatives[0].share if alternatives else 0.0
        return Hypotheses(alternatives, confidence, self.name, self.model, advice, timings, woken=woken)

    def lacking(self) -> tuple[Lack, ...]:
        """Return the words that the model does not know, each with what it listens for, or has learnt."""
        learnt = self._model.learnt if self._model is not None else {}
        taught = (Lack(word, learnt=" ".join(phones)) for word, phones in learnt.items())
        return (*self._grammar.lacking, *self._spotter.lacking, *taught)

    def close(self) -> None:
        """Let go of the model."""
        with self._lock:
            if self._model is not None:
                self._model.close()
            self._model = None

    def _clear(self) -> None:
        if self._model is None:
            raise MissingError("this recogniser was closed; make a new one")
        count = self._settings.alternatives if self._settings.mode == "alternatives" else 0
        self._stream: VoskStream = self._model.recogniser(RATE, self._grammar.json_text, count)
        self._spotter.start()
        self._heard = Heard(self._activity)
        self._random = np.random.default_rng(0)
        self._rest = empty()
        self._results: list[dict[str, Any]] = []
        self._spent = 0.0

    def _decode(self, samples: Samples) -> None:
        # The models expect a trace of noise under the sound; ours is seeded, the library's own is not.
        hiss = np.round(self._random.normal(0.0, 1.0, len(samples)))
        frames = np.clip(samples + hiss, -32768, 32767).astype("<i2").tobytes()
        self._spotter.accept(frames)
        ended = self._stream.accept(frames)
        if ended is not None:
            self._results.append(ended)

    def _alternatives(self, readings: list[_Reading]) -> tuple[Hypothesis, ...]:
        """Turn weights into shares; texts that read the same after restoring are added up."""
        by_text: dict[str, float] = {}
        for reading in readings:
            text = self._grammar.restore(reading.text)
            if text.replace(UNKNOWN, "").strip():
                by_text[text] = by_text.get(text, 0.0) + math.exp(reading.log_weight)
        total = sum(math.exp(reading.log_weight) for reading in readings)
        if self._settings.mode == "words":
            total = 1.0  # a weight is the least sure word's confidence already
        ordered = sorted(by_text.items(), key=lambda item: -item[1])
        return tuple(Hypothesis(text, min(1.0, weight / total)) for text, weight in ordered)


def _readings(result: dict[str, Any]) -> list[_Reading]:
    """Read one of the library's results, whichever mode it comes from; best first, none for no words."""
    if "alternatives" in result:
        listed = [(str(item["text"]).strip(), float(item["confidence"])) for item in result["alternatives"]]
        best = max((score for _, score in listed), default=0.0)
        return [_Reading(text, score - best) for text, score in listed if text]
    text = str(result.get("text", "")).strip()
    least = min((float(word["conf"]) for word in result.get("result", [])), default=1.0)
    return [_Reading(text, math.log(max(least, 1e-6)))] if text else []


def _joined(parts: list[list[_Reading]]) -> list[_Reading]:
    """Join the stretches of one utterance: every reading of one beside the best of the others."""
    parts = [part for part in parts if part]
    if not parts:
        return []
    best = [part[0] for part in parts]
    joined = {" ".join(item.text for item in best): sum(item.log_weight for item in best)}
    for at, part in enumerate(parts):
        for reading in part[1:]:
            chosen = [*best[:at], reading, *best[at + 1 :]]
            joined[" ".join(item.text for item in chosen)] = sum(item.log_weight for item in chosen)
    return [_Reading(text, weight) for text, weight in joined.items()]

"""The one gate to Whisper: our own features, the tokenizers library, CTranslate2's decoding."""

from __future__ import annotations

import json
import math
import time
import zlib
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from assistant.audio.utterance import RATE, Samples
from assistant.errors import MissingError
from assistant.speech.calls import log_odds, spellings
from assistant.speech.log_mel import HOP, log_mel
from assistant.speech.spoken_text import spoken_text
from assistant.speech.vocabulary import Vocabulary
from assistant.speech.whisper_files import opened

_FULL_WINDOW_S = 30.0  # the window that the model was trained on
_HINT_TOKENS = 120
_SILENCE_SHARE, _UNSURE = 0.6, -1.0  # the customary pair of limits for "nobody spoke"
_REPEATS = 2.4  # text that compresses better than this goes in circles
_CHARACTERS_A_SECOND = 30  # nobody speaks faster (common practice, no source)
_ROOM_S = 1.0  # silence that must follow the sound in its window
_ENCODED_S = 0.02  # sound that one of the encoder's steps stands for
_SURE = -0.3
_LANGUAGES = ("en", "es")
_FOREIGN = 0.1  # how much rarer another language is than the kitchen's own (practice, no source)


@dataclass(frozen=True)
class WhisperSettings:
    """``windows_s`` are the lengths of sound that the encoder may see: the shortest that fits is used, else
    the 30 s that it was trained on. 15 s take a third of the time, and beside a second listener they
    understand as much (tests/benchmarks/hearing.md). ``hints`` says whether nouns go before the sound;
    ``certain_silence`` the share of "nobody spoke" above which the model is believed at once, if any;
    ``own_language`` what is mostly spoken there, of several that the model knows (empty: each alike).
    """

    cpu_threads: int = 2
    beam_size: int = 5
    alternatives: int = 5
    windows_s: tuple[float, ...] = (15.0,)
    hints: bool = True
    certain_silence: float | None = None
    pad_s: float = 0.2
    compute_type: str = "int8"
    own_language: str = ""


TAUGHT = WhisperSettings(windows_s=(5.0, 8.0, 15.0), hints=False, certain_silence=0.9)
"""For a model that was taught kitchen talk, in short windows too (models/training/whisper_tune.py)."""


@dataclass(frozen=True)
class Guess:
    """One way the sound may read. ``language`` is told by a model that knows several and heard which."""

    text: str
    log_probability: float  # of all tokens together
    tokens: int
    language: str = ""


class WhisperEngine:
    """A loaded model with its prompt. Raises ``MissingError`` for a folder that lacks a file."""

    def __init__(self, folder: Path, vocabulary: Vocabulary, settings: WhisperSettings) -> None:
        from tokenizers import Tokenizer

        self._settings = settings
        self._model = opened(folder, compute_type=settings.compute_type, intra_threads=settings.cpu_threads)
        import ctranslate2

        self._array: Callable[[Any], Any] = ctranslate2.StorageView.from_array
        self._tokenizer = Tokenizer.from_file(str(folder / "tokenizer.json"))
        self._end = self._token("endoftext")
        self._spoken = self._languages_heard(folder)
        self._prompt, self._hint, self.unhinted = self._make_prompt(vocabulary)

    def decode(self, samples: Samples) -> tuple[list[Guess], dict[str, float]]:
        """Return the distinct guesses, best first, and the milliseconds of each stage."""
        seconds = len(samples) / RATE
        fitting = (window for window in self._settings.windows_s if seconds + _ROOM_S <= window)
        begun = time.perf_counter()
        features = self._features(samples, next(fitting, _FULL_WINDOW_S))
        made = time.perf_counter()
        encoded = self._model.encode(features)
        read = time.perf_counter()
        guesses = self._guesses(self._generated(encoded, self._prompt, seconds), seconds)
        own = self._settings.own_language
        if guesses and own in self._spoken.values() and guesses[0].language != own:
            guesses = self._with_own(encoded, guesses, seconds)
        done = time.perf_counter()
        stages = (("features", begun, made), ("encode", made, read), ("decode", read, done))
        return guesses, {name: (to - at) * 1000 for name, at, to in stages}

    def _generated(self, encoded: Any, prompt: list[int], seconds: float) -> Any:
        return self._model.generate(
            encoded,
            [prompt],
            beam_size=self._settings.beam_size,
            num_hypotheses=self._settings.alternatives,
            sampling_temperature=0.0,
            return_scores=True,
            return_no_speech_prob=True,
            max_length=min(224, 24 + int(12 * seconds)) + len(prompt),
        )[0]

    def _with_own(self, encoded: Any, foreign: list[Guess], seconds: float) -> list[Guess]:
        """Return guesses in another language beside those in the kitchen's own, which is likelier by far.

        A short word may be one of either: what the kitchen speaks is then read as that.
        """
        own = self._settings.own_language
        mark = next(mark for mark, code in self._spoken.items() if code == own)
        result = self._generated(encoded, [*self._prompt, mark], seconds)
        read = [replace(guess, language=own) for guess in self._guesses(result, seconds)]
        rarer = [
            replace(guess, log_probability=guess.log_probability + math.log(_FOREIGN))
            for guess in foreign
            if guess.language != own and guess.text not in {each.text for each in read}
        ]
        return sorted((*read, *rarer), key=lambda guess: -guess.log_probability)

    def opening(self, samples: Samples, phrase: str) -> float:
        """Return the log-odds that the words of ``samples`` begin with ``phrase``.

        The window is just long enough: 60 ms of one core for two seconds, a fifth of a whole decoding.
        """
        encoded = self._model.encode(self._features(samples, len(samples) / RATE + _ROOM_S))
        frames = int(len(samples) / RATE / _ENCODED_S)
        likeliest = -math.inf
        marks: list[list[int]] = [[mark] for mark in self._spoken] or [[]]
        for mark in marks:  # taken as said in each language that the model knows
            for spelled in spellings(phrase):
                shares = self._shares(encoded, [*mark, *self._tokens(f" {spelled}")], frames)
                said = sum(math.log(max(share, 1e-9)) for share in shares[len(mark) :])
                likeliest = max(likeliest, said)
                if likeliest >= _SURE:
                    return log_odds(likeliest)  # nothing is left to other spellings
        return log_odds(likeliest)

    def _shares(self, encoded: Any, tokens: list[int], frames: int) -> list[float]:
        """Return the probability of each token, given those before it (of a mark: nothing of use).

        The library itself puts in that no times are wanted.
        """
        (read,) = self._model.align(encoded, [self._token("startoftranscript")], [tokens], frames)
        return list(read.text_token_probs)

    def _features(self, samples: Samples, window_s: float) -> Any:
        """Return what the encoder takes of ``samples`` and the silence behind them."""
        frames = int(window_s * RATE / HOP) // 2 * 2
        wave = np.zeros(frames * HOP, np.float32)
        wave[: len(samples)] = samples[: len(wave)].astype(np.float32) / 32768.0
        return self._array(np.ascontiguousarray(log_mel(wave)[None]))

    def _guesses(self, result: Any, seconds: float) -> list[Guess]:
        """Drop what was made up and add up guesses that read the same."""
        by_text: dict[str, Guess] = {}
        for tokens, score in zip(result.sequences_ids, result.scores, strict=True):
            if self._nobody(result.no_speech_prob, score):
                continue
            language = self._spoken.get(tokens[0], "") if tokens else ""
            guess = Guess(spoken_text(self._text(tokens)), score * len(tokens), len(tokens), language)
            if not guess.text or self._made_up(guess.text, seconds):
                continue
            if known := by_text.get(guess.text):
                mass = np.logaddexp(known.log_probability, guess.log_probability)
                guess = replace(known, log_probability=float(mass))
            by_text[guess.text] = guess
        return sorted(by_text.values(), key=lambda guess: -guess.log_probability)

    def _nobody(self, silence: float, score: float) -> bool:
        certain = self._settings.certain_silence
        return silence > _SILENCE_SHARE and score < _UNSURE if certain is None else silence > certain

    def _made_up(self, text: str, seconds: float) -> bool:
        raw = text.encode()
        circles = len(raw) / len(zlib.compress(raw)) > _REPEATS
        too_fast = len(text) > 12 + _CHARACTERS_A_SECOND * seconds
        parroted = text.count(" ") >= 2 and f" {text} " in f" {self._hint} "
        return circles or too_fast or parroted

    def _make_prompt(self, vocabulary: Vocabulary) -> tuple[list[int], str, tuple[str, ...]]:
        hint: list[str] = []
        tokens: list[int] = []
        for at, noun in enumerate(vocabulary.nouns if self._settings.hints else ()):
            more = self._tokens(f" {noun}" if at == 0 else f", {noun}")
            if len(tokens) + len(more) > _HINT_TOKENS:
                break
            hint.append(noun)
            tokens += more
        # The closing full stop matters: without it Whisper goes on from the last noun as if it had
        # just been said, and leaves it out of "freezer minus two".
        before = [self._token("startofprev"), *tokens, *self._tokens(".")] if tokens else []
        language = [self._token("en"), self._token("transcribe")] if self._model.is_multilingual else []
        prompt = [*before, self._token("startoftranscript"), *language, self._token("notimestamps")]
        return prompt, spoken_text(" ".join(hint)), vocabulary.nouns[len(hint) :]

    def _languages_heard(self, folder: Path) -> dict[int, str]:
        """Return the marks that a model of ours writes before the words: the language that it heard.

        None for a published model, whose settings list a hundred languages: it has to be told, or knows one.
        """
        marks = {self._tokenizer.token_to_id(f"<|{code}|>"): code for code in _LANGUAGES}
        listed = json.loads((folder / "config.json").read_text(encoding="utf-8")).get("lang_ids", ())
        return {mark: code for mark, code in marks.items() if mark is not None and set(listed) == set(marks)}

    def _token(self, name: str) -> int:
        """Return the number of a token that stands for no text."""
        number = self._tokenizer.token_to_id(f"<|{name}|>")
        if number is None:
            raise MissingError(f"the speech model's tokenizer lacks the token '{name}'; install it again")
        return number

    def _tokens(self, text: str) -> list[int]:
        return list(self._tokenizer.encode(text, add_special_tokens=False).ids)

    def _text(self, tokens: list[int]) -> str:
        return str(self._tokenizer.decode([token for token in tokens if token < self._end]))

"""Open the recogniser to use: the one that is asked for, else the best one installed for the language."""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

from assistant.errors import MissingError
from assistant.speech.recogniser import Recogniser
from assistant.speech.vocabulary import Vocabulary
from models.manifest import load_manifest
from models.registry import ModelStatus, choose, partner_of, status, wrong_files

Words = Callable[[], Vocabulary]


def open_engine(
    engine: str = "",
    vocabulary: Vocabulary | Callable[[], Vocabulary] | None = None,
    language: str = "en",
    folder: Path | None = None,
    cpu_threads: int | None = None,
    window_s: float | None = None,
) -> Recogniser:
    """Load a recogniser. ``engine`` is an engine or a model by name; nothing means the best installed.

    Where nothing is named and the best one cannot stream, a streaming partner listens along with it.
    ``folder`` is where fetched models live, ``cpu_threads`` how many cores it may use (two at most by
    default). ``window_s`` is Whisper's, if not the usual one. A ``vocabulary`` that is a function is
    called, from any thread, once its words are needed. Raises ``InputError`` for a name nobody knows,
    ``MissingError`` for what is not installed.
    """
    found = _model(engine, language, folder)
    words = vocabulary if callable(vocabulary) else lambda: vocabulary or Vocabulary()
    cpu_threads = cpu_threads or min(2, os.cpu_count() or 1)
    partner = None if engine else partner_of(found, folder, language)
    if partner is None:
        return _load(found, words, cpu_threads, window_s, language)
    from assistant.speech.pair import PairRecogniser

    with ThreadPoolExecutor(1) as beside:
        second = beside.submit(_load, partner, words, 1, window_s)
        first = _load(found, words, cpu_threads, window_s, language)
        return PairRecogniser(first, second.result(), words().wake_phrase)


def _load(
    found: ModelStatus, words: Words, cpu_threads: int, window_s: float | None, language: str = ""
) -> Recogniser:
    assert found.path is not None
    if found.entry.source == "shipped":
        _check(found)
    if found.entry.engine == "vosk":
        from assistant.speech.vosk import VoskRecogniser, VoskSettings
        from assistant.speech.vosk_model import VoskModel

        entry = found.entry
        names = words().names if entry.own_phrases else ()  # others load beside what tells the words
        loaded = VoskModel(found.path, VoskSettings().log_level, names)
        return VoskRecogniser(
            loaded, words(), language=entry.language, model=entry.name, own_phrases=entry.own_phrases
        )
    from assistant.speech.whisper import WhisperRecogniser
    from assistant.speech.whisper_engine import TAUGHT, WhisperSettings

    entry = found.entry
    settings = replace(
        TAUGHT if entry.taught else WhisperSettings(), cpu_threads=cpu_threads, own_language=language
    )
    if window_s is not None:
        settings = replace(settings, windows_s=(window_s,))
    hints = words() if settings.hints else Vocabulary()  # without hints it need not wait for the words
    return WhisperRecogniser(found.path, hints, settings, entry.name)


def _check(found: ModelStatus) -> None:
    if wrong := wrong_files(found):
        raise MissingError(f"the speech model '{found.entry.name}' is damaged ({wrong[0]}); install it again")


def _model(engine: str, language: str, folder: Path | None) -> ModelStatus:
    named = [entry for entry in load_manifest() if entry.name == engine]
    if not named:
        return choose(language, engine or None, folder)
    found = status(named[0], folder)
    if not found.installed:
        raise MissingError(f"the speech model '{engine}' is {found.note}; kitchen models get {engine}")
    return found

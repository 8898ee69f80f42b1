"""Open the recogniser to use: the one that is asked for, else the best one installed for the language."""

from __future__ import annotations

import os
from pathlib import Path

from assistant.errors import MissingError
from assistant.speech.recogniser import Recogniser
from assistant.speech.vocabulary import Vocabulary
from models.manifest import load_manifest
from models.registry import ModelStatus, choose, status


def open_engine(
    engine: str = "",
    vocabulary: Vocabulary | None = None,
    language: str = "en",
    folder: Path | None = None,
    cpu_threads: int | None = None,
    window_s: float = 30.0,
) -> Recogniser:
    """Load a recogniser. ``engine`` is an engine or a model by name; nothing means the best installed.

    ``folder`` is where fetched models live, ``cpu_threads`` how many cores it may use (two at most by
    default). ``window_s`` is Whisper's: 15 answers about three times as fast and understands a little
    less in noise. Raises ``InputError`` for a name nobody knows, ``MissingError`` for what is not installed.
    """
    found = _model(engine, language, folder)
    assert found.path is not None
    words = vocabulary or Vocabulary()
    if found.entry.engine == "vosk":
        from assistant.speech.vosk import VoskRecogniser

        return VoskRecogniser(found.path, words, language=found.entry.language, model=found.entry.name)
    from assistant.speech.whisper import WhisperRecogniser
    from assistant.speech.whisper_engine import WhisperSettings

    settings = WhisperSettings(cpu_threads=cpu_threads or min(2, os.cpu_count() or 1), window_s=window_s)
    return WhisperRecogniser(found.path, words, settings, found.entry.name)


def _model(engine: str, language: str, folder: Path | None) -> ModelStatus:
    named = [entry for entry in load_manifest() if entry.name == engine]
    if not named:
        return choose(language, engine or None, folder)
    found = status(named[0], folder)
    if not found.installed:
        raise MissingError(f"the speech model '{engine}' is {found.note}; kitchen models get {engine}")
    return found

"""Chooses the recogniser: by name, or the best one whose model is installed."""

from __future__ import annotations

from assistant.errors import InputError, MissingError
from assistant.speech.recogniser import Recogniser
from assistant.speech.vocabulary import Vocabulary
from models.registry import choose

ENGINES = ("whisper", "vosk")


def open_engine(name: str, vocabulary: Vocabulary, language: str = "en") -> Recogniser:
    """Return the recogniser ``name``; empty: the default among those installed for ``language``.

    Raises ``InputError`` for an unknown name, ``MissingError`` where the model is not installed.
    """
    if name and name not in ENGINES:
        raise InputError(f"No recogniser is called '{name}'. Use one of: {', '.join(ENGINES)}.")
    found = choose(language, name or None)
    if found.path is None:
        raise MissingError(
            f"The model {found.entry.name} is not installed. Get it: kitchen models get {found.entry.name}"
        )
    if found.entry.engine == "vosk":
        from assistant.speech.vosk import VoskRecogniser

        return VoskRecogniser(found.path, vocabulary, language=language, model=found.entry.name)
    from assistant.speech.whisper import WhisperRecogniser

    return WhisperRecogniser(found.path, vocabulary)

"""The engines that the benchmark can run, each with the vocabulary that the program gives it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from assistant.dialogue.conversation import interpreter_for
from assistant.ear import vocabulary_of
from assistant.site import load_site
from assistant.speech.recogniser import Recogniser
from assistant.speech.vocabulary import Vocabulary
from models.manifest import shipped_folder
from tests.benchmarks.hearing_listen import Heard

Maker = Callable[[Path | None], Recogniser]


def vocabulary() -> Vocabulary:
    """The words that the program gives a recogniser in the example kitchen."""
    site = load_site()
    return vocabulary_of(interpreter_for(site), site.kitchen.wake_phrase)


def _whisper(folder: Path | None) -> Recogniser:
    from assistant.speech.whisper import WhisperRecogniser

    return WhisperRecogniser(folder, vocabulary())


def _whisper_unhinted(folder: Path | None) -> Recogniser:
    from assistant.speech.whisper import WhisperRecogniser

    return WhisperRecogniser(folder)


def _taught(folder: Path | None) -> Recogniser:
    from assistant.speech.engines import open_engine

    return open_engine("whisper-kitchen-en-3", vocabulary())


def _both(folder: Path | None) -> Recogniser:
    from assistant.speech.engines import open_engine

    return open_engine("whisper-kitchen-1", vocabulary())


def _vosk(folder: Path | None) -> Recogniser:
    from assistant.speech.vosk import VoskRecogniser

    if folder is None:
        raise ValueError("vosk needs a model: --engine vosk=FOLDER")
    shipped = folder.resolve().is_relative_to(shipped_folder())
    return VoskRecogniser(folder, vocabulary(), own_phrases=shipped)


def _pocketsphinx(folder: Path | None) -> Recogniser:
    from tests.benchmarks.hearing_pocketsphinx import PocketSphinxRecogniser

    return PocketSphinxRecogniser()


ENGINES: dict[str, Maker] = {
    "whisper": _whisper,
    "whisper-unhinted": _whisper_unhinted,
    "taught": _taught,
    "both": _both,
    "vosk": _vosk,
    "pocketsphinx": _pocketsphinx,
}


def label(engine: str) -> str:
    """The name under which an engine's results are kept: ``vosk=models/small`` becomes ``vosk-small``."""
    name, _, folder = engine.partition("=")
    return f"{name}-{Path(folder).name}" if folder else name


def make_engine(engine: str) -> Recogniser:
    """Load ``NAME`` or ``NAME=MODELFOLDER``. Raises ValueError for an unknown name."""
    name, _, folder = engine.partition("=")
    if name not in ENGINES:
        raise ValueError(f"no engine called {name}; there are {', '.join(ENGINES)}")
    return ENGINES[name](Path(folder) if folder else None)


def pair(first: Heard, second: Heard) -> Heard:
    """Two listeners as one: the first's words, with what the second heard beside them."""
    heard = second.hypotheses
    hypotheses = replace(first.hypotheses, second=heard.alternatives, woken=heard.woken)
    return replace(
        first,
        hypotheses=hypotheses,
        accept_ms=first.accept_ms + second.accept_ms,
        finish_ms=first.finish_ms + second.finish_ms,
        memory_mb=first.memory_mb + second.memory_mb,
    )

"""The one gate to the Vosk library: a checked model folder, our own settings, and recognisers."""

from __future__ import annotations

import json
import os
import shutil
import tempfile
import weakref
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from assistant.errors import MissingError
from assistant.speech.taught_words import teach

_NEEDED = ("am/final.mdl", "conf/mfcc.conf", "conf/model.conf", "graph/HCLr.fst", "graph/Gr.fst")
_NEVER_S = 3600.0  # the library must not end an utterance by itself: our own end of speech does
_TRAILING = "--endpoint.rule{}.min-trailing-silence="
_LONGEST = "--endpoint.rule5.min-utterance-length="


class VoskModel:
    """A loaded model; threads may share it, each with recognisers of its own.

    ``folder`` must hold a model with a dynamic graph (small models do): only those take a grammar. ``names``
    are words, each with the letters by which it is said, that our own model is to know besides.
    Raises ``MissingError`` naming what is absent.
    """

    def __init__(self, folder: Path, log_level: int = -1, names: Sequence[tuple[str, str]] = ()) -> None:
        folder = folder.resolve()
        check_vosk_folder(folder)
        try:
            import vosk
        except (ImportError, OSError) as fault:
            raise MissingError(f"the Vosk library cannot be loaded on this machine ({fault})") from None
        self._vosk = vosk
        self.name = folder.name
        self._own = Path(tempfile.mkdtemp(prefix="kitchen-vosk-"))
        self._end = weakref.finalize(self, shutil.rmtree, self._own, ignore_errors=True)
        _mirror(folder, self._own)
        self.learnt = teach(self._own / "graph", names) if names else {}
        vosk.SetLogLevel(log_level)
        try:
            self._model = vosk.Model(str(self._own))
        except Exception:  # the library raises nothing more precise
            self._end()
            raise MissingError(f"the speech model in '{folder}' does not load; fetch it again") from None

    def knows(self, word: str) -> bool:
        """Tell whether the model has ``word``, spelled exactly so."""
        return int(self._model.vosk_model_find_word(word)) >= 0

    def recogniser(self, rate: int, grammar: str = "", alternatives: int = 0) -> VoskStream:
        """Return a fresh recogniser: with ``alternatives`` n-best texts, else words with confidences."""
        if rate <= 0:
            raise ValueError("the sample rate is a positive number")
        made = (
            self._vosk.KaldiRecognizer(self._model, rate, grammar)
            if grammar
            else self._vosk.KaldiRecognizer(self._model, rate)
        )
        if alternatives:
            made.SetMaxAlternatives(alternatives)
        else:
            made.SetWords(True)
        return VoskStream(made)

    def close(self) -> None:
        """Remove the private copy of the settings; memory goes with the last recogniser."""
        self._end()


class VoskStream:
    """One of the library's recognisers, fed with bytes of 16-bit sound, an even number of them."""

    def __init__(self, recogniser: Any) -> None:
        self._recogniser = recogniser

    def accept(self, frames: bytes) -> dict[str, Any] | None:
        """Take frames; return a result where the library ended an utterance by itself."""
        if not isinstance(frames, bytes) or len(frames) % 2:
            raise ValueError("Vosk takes bytes of whole 16-bit samples only")
        if not frames:
            return None
        return _parsed(self._recogniser.Result()) if self._recogniser.AcceptWaveform(frames) else None

    def partial(self) -> str:
        """Return the words of the utterance in progress."""
        return str(_parsed(self._recogniser.PartialResult()).get("partial", ""))

    def final(self) -> dict[str, Any]:
        """Flush; call once, since a second call loses text."""
        return _parsed(self._recogniser.FinalResult())

    def reset(self) -> None:
        """Forget the utterance in progress."""
        self._recogniser.Reset()


def check_vosk_folder(folder: Path) -> None:
    """Raise ``MissingError`` unless ``folder`` holds all files of a model with a dynamic graph."""
    if not folder.is_dir():
        raise MissingError(f"there is no speech model in '{folder}'; fetch it with: kitchen models get")
    absent = [
        name for name in _NEEDED if not (folder / name).is_file() or (folder / name).stat().st_size == 0
    ]
    if absent:
        raise MissingError(f"the speech model in '{folder}' lacks {', '.join(absent)}; fetch a small model")


def _filled(path: Path) -> bool:
    return path.is_file() and path.stat().st_size > 0


def endpoint_settings(lines: str) -> str:
    """Return a model's settings so changed that the library never ends an utterance by itself."""
    changed = ("--endpoint.rule",)
    kept = [line for line in lines.splitlines() if not line.strip().startswith(changed)]
    trailing = [f"{_TRAILING.format(rule)}{_NEVER_S}" for rule in range(1, 5)]
    return "\n".join([*kept, *trailing, f"{_LONGEST}{_NEVER_S}"]) + "\n"


def feature_settings(lines: str) -> str:
    """Return a model's settings without the random noise that makes the same sound read differently."""
    kept = [line for line in lines.splitlines() if not line.strip().startswith("--dither")]
    return "\n".join([*kept, "--dither=0.0"]) + "\n"


_SETTINGS = {"model.conf": endpoint_settings, "mfcc.conf": feature_settings}


def _mirror(folder: Path, own: Path) -> None:
    """Build a folder of links to the model's files, with our own copy of its settings."""
    for source in folder.rglob("*"):
        target = own / source.relative_to(folder)
        if source.is_dir():
            target.mkdir(parents=True, exist_ok=True)
        elif source.name not in _SETTINGS:
            target.parent.mkdir(parents=True, exist_ok=True)
            _link(source, target)
    for name, change in _SETTINGS.items():
        settings = (folder / "conf" / name).read_text("utf-8")
        (own / "conf" / name).write_text(change(settings), "utf-8")


def _link(source: Path, target: Path) -> None:
    try:
        target.symlink_to(source)
    except OSError:  # systems where ordinary users may not make links
        try:
            os.link(source, target)
        except OSError:
            shutil.copyfile(source, target)


def _parsed(text: str) -> dict[str, Any]:
    result = json.loads(text)
    return result if isinstance(result, dict) else {}

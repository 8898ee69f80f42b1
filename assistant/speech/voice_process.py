"""The child process that owns pyttsx3 alone: a JSON line in asks for one sentence, a JSON line out answers.

Run by ``assistant.speech.voice``, never by hand. It lives apart because the engine prints to standard
output, may hang, keeps state between sentences and loads a C library that may be missing.
"""

from __future__ import annotations

import ctypes
import importlib.util
import json
import os
import platform
import sys
import threading
import time
from pathlib import Path
from typing import Any, TextIO

from assistant.audio.child import child_command

_LIBRARY = "libespeak-ng.so.1"
_READY = "KITCHEN_VOICE_LIBRARY"  # set in the second run, so that there is never a third
_SENTENCE_S = 4.0
_SETTLE_S = 0.01  # after its notice the engine is still busy for a moment
_TRIES = 8
_EMPTY_WAV = 44  # bytes of a header without sound
VOICES = {"en": "en-us", "es": "es-419"}
"""The voice library's voice by language."""


def main(arguments: list[str]) -> int:
    """Serve requests from standard input until it ends.

    ``arguments``: library choice, private folder, [language, voice, words a minute] as JSON.
    """
    library, folder, voice = arguments
    if platform.system() == "Linux" and not os.environ.get(_READY):
        _run_with_wheel_library(library, Path(folder), arguments)
    answers = os.fdopen(os.dup(1), "w", encoding="utf-8")
    os.dup2(2, 1)  # whatever the engine prints must not reach the protocol
    try:
        import pyttsx3

        engine = pyttsx3.init()
        finished = threading.Event()
        engine.connect("finished-utterance", lambda name, completed: finished.set())
        _set_up(engine, finished, Path(folder), *json.loads(voice))
    except Exception as fault:  # the engine raises KeyError, OSError, RuntimeError, ImportError ...
        _answer(answers, ok=False, why=f"the voice engine does not start ({type(fault).__name__}: {fault})")
        return 1
    _answer(answers, ok=True, why="")
    for line in sys.stdin:
        _answer(answers, **_speak(engine, finished, **json.loads(line)))
        time.sleep(_SETTLE_S)
    return 0


def _run_with_wheel_library(library: str, folder: Path, arguments: list[str]) -> None:
    """Start over with the wheel's library where the system has none, or where it is asked for.

    The dynamic loader reads its search path only when a process starts, hence the second run.
    """
    if library == "system" or (library == "auto" and _system_library()):
        return
    if importlib.util.find_spec("espeakng_loader") is None:
        return
    import espeakng_loader

    _link(folder / _LIBRARY, espeakng_loader.get_library_path())
    _link(folder / "espeak-ng-data", espeakng_loader.get_data_path())
    searched = os.environ.get("LD_LIBRARY_PATH", "")
    environment = {
        **os.environ,
        _READY: "wheel",
        "LD_LIBRARY_PATH": f"{folder}:{searched}" if searched else str(folder),
        "ESPEAK_DATA_PATH": str(folder),
    }
    command = child_command("assistant.speech.voice_process", *arguments)
    os.execve(command[0], command, environment)


def _system_library() -> bool:
    try:
        ctypes.CDLL(_LIBRARY)
    except OSError:
        return False
    return True


def _link(link: Path, target: str) -> None:
    if not link.is_symlink():
        link.symlink_to(target)


def _set_up(
    engine: Any, finished: threading.Event, folder: Path, language: str, voice: str, words_a_minute: int
) -> None:
    """Choose voice and speed, and try them out on a sound nobody hears.

    About one process in thirty loses the speed or the second sentence under load (seen with pyttsx3
    2.99 and espeak-ng 1.51); such a one is found out here. Raises ``RuntimeError`` if it stays so.
    """
    chosen = voice or _voice_for(engine, language)
    if chosen:
        engine.setProperty("voice", chosen)
    engine.setProperty("rate", words_a_minute)
    engine.setProperty("volume", 1.0)
    scratch = folder / f"warm-{os.getpid()}.wav"
    whole = 0
    for _ in range(_TRIES):
        spoken = _speak(engine, finished, "a", str(scratch))["ok"]
        time.sleep(_SETTLE_S)
        whole = whole + 1 if spoken and scratch.stat().st_size > _EMPTY_WAV else 0
        if engine.getProperty("rate") != words_a_minute:
            whole = 0
            engine.setProperty("rate", words_a_minute)
            time.sleep(_SETTLE_S)
        if whole == 2:
            scratch.unlink()
            return
    raise RuntimeError("it does not keep its settings")


def _speak(engine: Any, finished: threading.Event, text: str, path: str) -> dict[str, Any]:
    """Write one sentence to a file. One utterance a run: the engine keeps only the last of several.

    The run may return before the file is written (seen under load with pyttsx3 2.99 on Linux); the
    engine's own notice comes after.
    """
    finished.clear()
    try:
        engine.save_to_file(text, path)
        engine.runAndWait()
    except Exception as fault:
        return {"ok": False, "why": f"{type(fault).__name__}: {fault}"}
    if not finished.wait(_SENTENCE_S):
        return {"ok": False, "why": "the engine did not finish the sentence"}
    return {"ok": True, "why": ""}


def _voice_for(engine: Any, language: str) -> str:
    """Return the identifier of a voice for ``language`` (two letters), or nothing for the default."""
    if platform.system() == "Linux":
        return VOICES.get(language, language)
    for voice in engine.getProperty("voices"):
        spoken = [str(item).lower() for item in getattr(voice, "languages", None) or []]
        named = f"{voice.id} {voice.name}".lower()
        if any(item.startswith(language) for item in spoken) or f"_{language}-" in named:
            return str(voice.id)
    return ""


def _answer(answers: TextIO, **fields: Any) -> None:
    answers.write(json.dumps(fields) + "\n")
    answers.flush()


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

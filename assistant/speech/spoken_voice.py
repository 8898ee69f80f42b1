"""pyttsx3 as the spoken voice, made in child processes that can be killed."""

from __future__ import annotations

import platform
import re
import shutil
import tempfile
import threading
from collections import OrderedDict
from collections.abc import Iterable
from pathlib import Path

import numpy as np
import soundfile

from assistant.audio.sound_files import write_wav
from assistant.audio.utterance import Samples, empty
from assistant.speech.voice import VOICE_RATE, VoiceError, VoiceSettings
from assistant.speech.voice_child import VoiceChild

_START_S, _SENTENCE_S = 10.0, 5.0  # time-outs; a sentence takes about 20 ms
_SENTENCES_A_PROCESS = 500 if platform.system() == "Linux" else 1  # elsewhere a second may stay silent
_CHILDREN = 2  # one for each language in use
_KEPT = 200  # sentences in the cache
_FAINT = 64  # of 32768: quieter sound at either end is cut, so that the answer begins at once
_FASTEST, _USUAL_SPEED = 40.0, 165  # characters a second at most, at so many words a minute
_LEAD_S, _TAIL_S = 0.01, 0.1


class SpokenVoice:
    """pyttsx3 in a child process. For one thread at a time; others wait for their turn.

    Language, voice and speed are fixed for the life of a process, because the engine may drop a
    change made soon after a sentence (seen with pyttsx3 2.99); volume is applied here. A sentence that takes
    too long kills the process; a fresh one tries again once.
    """

    name = "pyttsx3"
    rate = VOICE_RATE
    why = ""

    def __init__(self, settings: VoiceSettings | None = None) -> None:
        self.settings = settings or VoiceSettings()
        self._turn = threading.Lock()
        self._kept: OrderedDict[tuple[str, VoiceSettings], Samples] = OrderedDict()
        self._folder = Path(tempfile.mkdtemp(prefix="kitchen-voice-"))
        self._library = self.settings.library
        self._children: OrderedDict[tuple[str, str, int], VoiceChild] = OrderedDict()

    def samples(self, text: str, settings: VoiceSettings | None = None) -> Samples:
        """Return ``text`` as mono samples; sentences said before come from the cache."""
        settings = settings or self.settings
        with self._turn:
            key = (text, settings)
            if key not in self._kept:
                self._kept[key] = self._make(text, settings) if text.strip() else empty()
                if len(self._kept) > _KEPT:
                    self._kept.popitem(last=False)
            self._kept.move_to_end(key)
            return self._kept[key]

    def speak_to_file(self, text: str, path: str | Path, settings: VoiceSettings | None = None) -> bool:
        """Write ``text`` as a 16-bit WAV file. Raises ``VoiceError``; ``OSError`` if the disk refuses."""
        write_wav(path, self.samples(text, settings), self.rate)
        return True

    def prepare(self, texts: Iterable[str]) -> None:
        """Make fixed sentences ahead, so that they cost nothing when they are needed."""
        for text in texts:
            self.samples(text)

    def start(self) -> None:
        """Start the process now. Raises ``VoiceError`` where there is no voice."""
        with self._turn:
            self._child(self.settings)

    def process_ids(self) -> list[int]:
        """Return the numbers of the child processes that run now."""
        return [child.pid for child in self._children.values()]

    def close(self) -> None:
        """End the processes and remove their folder."""
        with self._turn:
            for key in list(self._children):
                self._children.pop(key).end()
            shutil.rmtree(self._folder, ignore_errors=True)

    def _make(self, text: str, settings: VoiceSettings) -> Samples:
        for name, letters in settings.said:
            text = re.sub(rf"(?i)\b{re.escape(name)}\b", letters, text)
        path = self._folder / "sentence.wav"
        why = ""
        for _ in range(2):
            path.unlink(missing_ok=True)
            why = self._child(settings).ask({"text": text, "path": str(path)}, _SENTENCE_S)
            samples = _read(path) if not why and path.is_file() else empty()
            if len(samples) >= _least(text, settings):
                return _scaled(_trimmed(samples), settings.volume)
            self._children.pop(_key(settings)).end()
        raise VoiceError(f"the voice could not say a sentence ({why or 'it was cut off'}); read it")

    def _child(self, settings: VoiceSettings) -> VoiceChild:
        key = _key(settings)
        known = self._children.get(key)
        if known is not None and known.sentences < _SENTENCES_A_PROCESS:
            self._children.move_to_end(key)
            return known
        if known is not None:
            self._children.pop(key).end()
        elif len(self._children) >= _CHILDREN:
            self._children.popitem(last=False)[1].end()
        self._children[key] = self._new_child(settings)
        return self._children[key]

    def _new_child(self, settings: VoiceSettings) -> VoiceChild:
        child = VoiceChild(self._library, self._folder, _key(settings))
        why = child.answer(_START_S)
        if why and self._library == "auto":  # a system library without its data ends the process
            child.end()
            self._library = "wheel"
            child = VoiceChild(self._library, self._folder, _key(settings))
            why = child.answer(_START_S)
        if why:
            child.end()
            raise VoiceError(f"there is no voice on this machine: {why}")
        return child


def _key(settings: VoiceSettings) -> tuple[str, str, int]:
    return settings.language, settings.voice, settings.words_a_minute


def _least(text: str, settings: VoiceSettings) -> float:
    """Return how many samples ``text`` has at the very least: what is shorter was cut off."""
    return max(1.0, len(text) / _FASTEST * _USUAL_SPEED / settings.words_a_minute * VOICE_RATE)


def _read(path: Path) -> Samples:
    samples, found = soundfile.read(path, dtype="int16")
    if found != VOICE_RATE:
        import soxr

        samples = soxr.resample(samples, found, VOICE_RATE)
    return np.asarray(samples, np.int16)


def _trimmed(samples: Samples) -> Samples:
    loud = np.flatnonzero(np.abs(samples.astype(np.int32)) > _FAINT)
    if len(loud) == 0:
        return samples
    first = max(0, int(loud[0]) - int(_LEAD_S * VOICE_RATE))
    return samples[first : int(loud[-1]) + int(_TAIL_S * VOICE_RATE)]


def _scaled(samples: Samples, volume: float) -> Samples:
    return np.round(samples * min(1.0, max(0.0, volume))).astype(np.int16)

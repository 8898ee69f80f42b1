"""The spoken voice's protocol, its settings, and the silent voice of a machine that has none."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Literal, Protocol

from assistant.audio.utterance import Samples, empty
from assistant.errors import KitchenError

VOICE_RATE = 22_050
"""Samples a second of all spoken answers."""


class VoiceError(KitchenError):
    """The voice failed; the answer is still there as text."""


@dataclass(frozen=True)
class VoiceSettings:
    """``language`` has two letters; ``voice`` names one of the engine's own; ``volume`` is 0 to 1.

    ``said`` has words of names, each with the letters that the voice reads in its place.
    ``library`` says where the Linux voice library comes from: the system, else the wheel (auto).
    """

    language: str = "en"
    words_a_minute: int = 165
    volume: float = 1.0
    voice: str = ""
    library: Literal["auto", "system", "wheel"] = "auto"
    said: tuple[tuple[str, str], ...] = ()


class Voice(Protocol):
    """Says text. A voice that cannot speak says why in ``why`` and gives no samples."""

    rate: int

    @property
    def name(self) -> str:
        """The engine's name."""

    @property
    def why(self) -> str:
        """Why it is silent; empty when it speaks."""

    def samples(self, text: str, settings: VoiceSettings | None = None) -> Samples:
        """Return ``text`` as mono samples, ``rate`` a second. Raises ``VoiceError``."""

    def speak_to_file(self, text: str, path: str | Path, settings: VoiceSettings | None = None) -> bool:
        """Write ``text`` as a WAV file; False (and no file) for a silent voice. Raises ``VoiceError``."""

    def close(self) -> None:
        """End the voice's process."""


class SilentVoice:
    """The voice of a machine that has none."""

    name = "silent"
    rate = VOICE_RATE

    def __init__(self, why: str = "no voice was asked for") -> None:
        self.why = why

    def samples(self, text: str, settings: VoiceSettings | None = None) -> Samples:
        """Return no sound."""
        return empty()

    def speak_to_file(self, text: str, path: str | Path, settings: VoiceSettings | None = None) -> bool:
        """Write nothing."""
        return False

    def close(self) -> None:
        """Do nothing."""


def open_voice(settings: VoiceSettings | None = None) -> Voice:
    """Return a voice that was started, or a silent one that says why."""
    from assistant.speech.spoken_voice import SpokenVoice

    voice = SpokenVoice(settings)
    try:
        voice.start()
    except VoiceError as fault:
        voice.close()
        return SilentVoice(str(fault))
    return voice

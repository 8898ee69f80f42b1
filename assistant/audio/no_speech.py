"""What to say of a sound file in which nobody can be heard, whatever listens to it."""

from __future__ import annotations

from assistant.audio.levels import only_silence
from assistant.audio.utterance import Utterance
from assistant.audio.voice_activity import SHORTEST_S, has_speech
from assistant.errors import InputError


def refuse_without_sound(utterance: Utterance, name: str) -> None:
    """Raise ``InputError`` in one sentence for sound shorter than a word, or silent throughout."""
    if utterance.seconds < SHORTEST_S:
        raise InputError(
            f"'{name}' lasts {utterance.seconds:.2f} seconds, which is shorter than a word: record a whole"
            " sentence"
        )
    if only_silence(utterance.samples):
        raise InputError(
            f"'{name}' is silent from beginning to end: look whether the microphone was muted, and record it"
            " again"
        )


def refuse_without_speech(utterance: Utterance, name: str) -> None:
    """Raise ``InputError`` in one sentence for sound in which nobody speaks."""
    if not has_speech(utterance):
        raise InputError(
            f"nobody is heard speaking in '{name}': record it again, nearer to the microphone or with less"
            " noise"
        )

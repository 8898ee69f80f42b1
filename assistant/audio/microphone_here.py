"""A microphone that is not there, or gives nothing: one sentence that ends in the next command."""

from __future__ import annotations

from assistant.audio.devices import find_device
from assistant.audio.levels import only_silence
from assistant.audio.utterance import Samples
from assistant.errors import MissingError

MUTE = (
    "The microphone gives silence only: turn it on, look whether it is muted, and try it: kitchen doctor"
    " --listen"
)
TYPED = 'or type what a cook would say: kitchen ask "walk-in thirty eight"'
RECORDED = "or record what this prints, and give the files with --from: kitchen hear-check --list"


def find_microphone(name: str, otherwise: str) -> None:
    """Look whether a microphone is there; raises ``MissingError`` with what to do ``otherwise``.

    One with another name than those that are here is an ``InputError`` that lists them.
    """
    try:
        find_device(name, "input")
    except MissingError as fault:
        raise MissingError(f"{fault}, {otherwise}") from None


def refuse_mute(before: Samples, problem: str) -> None:
    """Raise ``MissingError`` where a wait for speech had no sound at all: only silence, or no block."""
    if problem or not len(before):
        raise MissingError(f"{problem or 'the microphone gives no sound'}; see what is here: kitchen doctor")
    if only_silence(before):
        raise MissingError(MUTE)

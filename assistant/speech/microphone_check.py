"""Four seconds from the microphone: does it give sound, and is it loud enough to be understood?"""

from __future__ import annotations

import time

import numpy as np

from assistant.audio.levels import CLIPPED_SHARE, TOO_QUIET_DBFS, levels_of, only_silence
from assistant.audio.microphone import Microphone
from assistant.audio.utterance import RATE, Samples
from assistant.speech.doctor import Check

SECONDS = 4
_PATIENCE_S = 12.0
NAME = "microphone heard"


def check_microphone(device: str = "") -> Check:
    """Take ``SECONDS`` of sound from a device (empty: the default one) while somebody speaks."""
    microphone = Microphone(device)
    taken: list[Samples] = []
    microphone.start()
    end = time.monotonic() + _PATIENCE_S
    try:
        while sum(map(len, taken)) < SECONDS * RATE and time.monotonic() < end and not microphone.problem:
            if (block := microphone.read(0.5)) is not None:
                taken.append(block.samples)
    finally:
        microphone.close()
    if microphone.problem or not taken:
        says = microphone.problem or "the microphone gives no sound"
        return Check(NAME, "missing", says, "check its plug, and the name in the site file")
    return judged(np.concatenate(taken))


def judged(samples: Samples) -> Check:
    """Say what is to be thought of the sound (16-bit, shape ``(n,)``)."""
    levels = levels_of(samples)
    if only_silence(samples):
        return Check(NAME, "missing", "it gives silence only", "turn it on; look whether it is muted")
    says = f"speech reached {-levels.loud_dbfs:.0f} dB below the loudest possible"
    if levels.clipped_share > CLIPPED_SHARE:
        return Check(NAME, "warning", f"{says}, and is cut off at the top", "turn its level down")
    if levels.loud_dbfs < TOO_QUIET_DBFS:
        return Check(NAME, "warning", f"{says}: too quiet", "speak nearer to it, or turn its level up")
    return Check(NAME, "ok", says)

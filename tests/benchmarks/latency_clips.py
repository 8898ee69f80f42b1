"""The recorded sound of the latency benchmark: committed synthetic clips, clean and in noise, with the
second at which their last word ends, and utterances with a pause before the number."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from assistant.audio.sound_files import read_sound
from assistant.audio.utterance import RATE, Samples
from audio_fixtures import noise
from audio_fixtures.make_clips import Line, read_lines
from audio_fixtures.voices import FOLDER, voices
from tests.benchmarks.hearing_conditions import Condition, disturb
from tests.benchmarks.hearing_speech import WAKE_PHRASE

LEAD_S, TAIL_S = 1.0, 3.0
PAUSES_S = (0.4, 0.5, 0.6, 0.7)
FAMILIES = ("neural", "neural-accented")
"""Voices that sound like people; robotic ones are the hearing benchmark's matter."""
FOLLOW_UPS = ("demo/cook_and_the_turkey", "demo/cook_why", "demo/setup_six_percent", "demo/setup_two_gallons")
KINDS = {"reading": "reading", "correction": "reading"}
CONDITIONS = (Condition("clean"), Condition("10 dB", 10))
_AUDIBLE = 0.01
"""Of the loudest sample: what lies below is the clip's own silence."""


@dataclass(frozen=True, eq=False)
class Trial:
    """Sound to be heard, with silence around it. ``ends``: seconds until the last word's end."""

    name: str
    kind: str
    condition: str
    sound: Samples
    ends: float
    before: tuple[str, ...] = ()
    wake: bool = True


def span(samples: Samples) -> tuple[int, int]:
    """Return the first and the past-last audible sample."""
    loud = np.flatnonzero(
        np.abs(samples.astype(np.int32)) > _AUDIBLE * np.abs(samples.astype(np.int32)).max()
    )
    return int(loud[0]), int(loud[-1]) + 1


def padded(speech: Samples, condition: Condition, key: str) -> tuple[Samples, float]:
    """Return speech with silence around it under a condition, noise throughout, and its end in seconds."""
    sound, ends = between_silences(speech, LEAD_S, TAIL_S)
    return disturb(sound, condition, key), ends


def between_silences(speech: Samples, lead_s: float, tail_s: float) -> tuple[noise.Samples, float]:
    """Return speech (full scale 1) with silence before and after it, and its end in seconds."""
    began, ended = span(speech)
    lead, tail = (np.zeros(int(seconds * RATE), np.int16) for seconds in (lead_s, tail_s))
    sound = np.concatenate([lead, speech[began:ended], tail])
    return sound.astype(np.float32) / 32768, lead_s + (ended - began) / RATE


def _kind(line: Line) -> str:
    if line.file.removesuffix(".flac") in FOLLOW_UPS:
        return "follow-up"
    return KINDS.get(line.intent, "question")


def trials(count: int) -> list[Trial]:
    """Return ``count`` clips, each clean and in noise, the kinds in turn."""
    return [_trial(line, condition) for line in lines(count) for condition in CONDITIONS]


def lines(count: int) -> list[Line]:
    """Return ``count`` clips of voices like a person's, the kinds in turn."""
    all_lines = [ln for ln in read_lines() if ln.intent and voices()[ln.voice].family in FAMILIES]
    by_kind: dict[str, list[Line]] = {}
    for line in all_lines:
        if line.intent not in ("stop", "repeat") and (not line.before or _kind(line) != "question"):
            by_kind.setdefault(_kind(line), []).append(line)
    chosen: list[Line] = []
    while len(chosen) < count and any(by_kind.values()):
        for waiting in by_kind.values():
            if waiting and len(chosen) < count:
                chosen.append(waiting.pop(0))
    return chosen


def _trial(line: Line, condition: Condition) -> Trial:
    sound, ends = padded(read_sound(FOLDER / line.file).samples, condition, line.file)
    return trial_of(line, condition.name, sound, ends)


def trial_of(line: Line, condition: str, sound: Samples, ends: float) -> Trial:
    """Return the trial of one clip whose ``sound`` was made under ``condition``."""
    before = tuple(words for words in line.before.split(";") if words)
    wake = line.text.lower().startswith(WAKE_PHRASE)
    return Trial(line.file.removesuffix(".flac"), _kind(line), condition, sound, ends, before, wake)


def paused() -> list[Trial]:
    """Return commands that hesitate before the number (or after the wake phrase), with four pauses each."""
    parts = sorted(FOLDER.glob("pause/*.flac"))
    found = []
    for first, second in zip(parts[::2], parts[1::2], strict=True):
        a, b = (read_sound(path).samples for path in (first, second))
        (a0, a1), (b0, b1) = span(a), span(b)
        for pause in PAUSES_S:
            speech = np.concatenate([a[a0:a1], np.zeros(int(pause * RATE), np.int16), b[b0:b1]])
            for condition in CONDITIONS:
                sound, ends = padded(speech, condition, f"{first.stem} {pause}")
                name = f"{first.stem} ({pause:g} s) {second.stem}"
                found.append(Trial(name, f"pause {pause:g} s", condition.name, sound, ends))
    return found
